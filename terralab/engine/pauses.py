"""What dated events do to the timers, the hand and the devices of a packed run."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from terralab.describe.box import Box
from terralab.describe.events import Event
from terralab.describe.routine import Door
from terralab.engine.manual_actions import BELOW, DISH_ALONE, DRAW, REFILL, SIPHON, TANK
from terralab.engine.schedule import working
from terralab.engine.tables import Work
from terralab.errors import TerralabError, UnknownName

POUR_S, SPRAY_S = 120.0, 60.0  # s that a single pour and a single spray take


def check(box: Box, events: Sequence[Event]) -> None:
    """Raise where an event names what the box does not have."""
    doors = tuple(d.name for d in working(box.routine) if isinstance(d, Door))
    devices = tuple(d.name for d in working(box.routine) if not isinstance(d, Door))
    for event in events:
        if event.word in ("stuck on", "stuck off") and event.name not in devices:
            raise UnknownName.among("device", event.name, devices)
        if event.word == "opened" and event.name not in doors:
            raise UnknownName.among("door", event.name, doors)
        if event.word == "refill":
            tanks = tuple(m.name for m in box.routine.mists if m.tank_ml is not None)
            there = (("dish",) if box.enclosure.dish is not None else ()) + tanks
            if event.name not in there:
                raise UnknownName.among("dish or tank", event.name, there)
        if event.word == "siphon" and box.enclosure.drainage is None:
            raise TerralabError("An event siphons, but this box has no drainage layer.")


def apply(work: Work, box: Box, names: tuple[str, ...], held: Sequence[Event], once: Sequence[Event]) -> Work:
    """Change the schedule of a freshly packed run by the events that hold in it, and by all that happens once."""
    every = working(box.routine)
    doors = [i for i, device in enumerate(every) if isinstance(device, Door)]
    devices = [i for i in range(len(every)) if i not in doors]
    on, rates = work.schedule_on, work.schedule_rate
    hand_t, hand = work.hand_t, work.hand
    for event in held:
        if event.word in ("no pours", "no hand"):
            rates[:, 0] = 0.0
            kept = hand[:, 0] != BELOW
            hand_t, hand = hand_t[kept], hand[kept]
        if event.word in ("no sprays", "no hand"):
            rates[:, 1:] = 0.0
        if event.word == "no hand":
            on[:, doors] = 0.0
            hand_t, hand = hand_t[:0], hand[:0]
            work.box["siphon_gap"] = -1.0
        elif event.word == "power off":
            on[:, devices] = 0.0
        elif event.word in ("stuck on", "opened") and event.name in names:
            on[:, names.index(event.name)] = 1.0
        elif event.word == "stuck off" and event.name in names:
            on[:, names.index(event.name)] = 0.0
    times = work.schedule_t
    for event in once:
        t = event.begins_s
        if event.word == "siphon":
            action = (DRAW, event.amount() / 1000.0) if event.by_volume else (SIPHON, event.amount() / 100.0)
        elif event.word == "refill":
            action = (REFILL, DISH_ALONE) if event.name == "dish" else (TANK, float(names.index(event.name)))
        else:
            span, column = (POUR_S, 0) if event.word == "pour" else (SPRAY_S, 1)
            edges = np.union1d(times, [t, t + span])
            row = np.searchsorted(times, edges, "right") - 1
            times, on, rates = edges, on[row], rates[row].copy()
            rates[(times >= t) & (times < t + span), column] += event.amount() / 1000.0 / span
            continue
        place = np.searchsorted(hand_t, t, "right")
        hand_t, hand = np.insert(hand_t, place, t), np.insert(hand.reshape(-1, 2), place, action, axis=0)
    return work._replace(schedule_t=times, schedule_on=on, schedule_rate=rates, hand_t=hand_t, hand=hand)


def stick(work: Work, names: tuple[str, ...], held: Sequence[Event]) -> None:
    """Let devices that are stuck run whatever their control reads."""
    for event in held:
        if event.word in ("stuck on", "stuck off") and event.name in names:
            i = names.index(event.name)
            work.devices["senses"][i] = 0.0
            work.device_on[i] = 1.0
