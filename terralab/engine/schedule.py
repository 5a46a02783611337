"""From a routine to the tables of who runs when: devices, switching times, pours, the room's course."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from terralab.describe.device_log import steps_s
from terralab.describe.dish import NEVER
from terralab.describe.enclosure import Enclosure
from terralab.describe.room import RoomState
from terralab.describe.routine import Door, Fan, Heater, Lamp, Mist, Routine
from terralab.engine.light import Sky
from terralab.engine.manual_actions import BELOW, DISH_ALONE, MOSS_ALONE, REFILL, SIPHON, TANK
from terralab.engine.tables import DEVICE
from terralab.jit import kernel
from terralab.physics.moist_air import humidity_ratio, saturation_pressure
from terralab.units import DAY_S as DAY

SENSES = {"temperature": 1.0, "humidity": 2.0}
BETWEEN = np.array([0.2, 0.4, 0.6, 0.8])  # where further points of a moving room lie between two of its own
LONGEST_DAYS = 2  # no daily period, pour or opened door ends later than so many days after the midnight of its day
DISH_TIME = 9.0 * 3600.0  # a dish is topped up at nine


def opened(routine: Routine) -> list[Door]:
    """The doors of a routine that are opened at all."""
    return [door for door in routine.doors if door.open_min > 0.0]


def working(routine: Routine) -> list[Mist | Lamp | Heater | Fan | Door]:
    """The devices of a routine in the order mists, lamps, heaters, fans, doors; a lamp or heater of 0 W is none."""
    powered = [device for device in (*routine.lamps, *routine.heaters) if device.power_w > 0.0]
    return [*routine.mists, *powered, *routine.fans, *opened(routine)]


def devices(
    routine: Routine,
    pick: Callable,
    shade: float,
    entries: Sequence[dict],
    basking: tuple[str, float],
    light_of: Mapping[str, float],
    skies: Sequence[Sky],
) -> np.ndarray:
    """What each device does while it runs, in the order of `working`, and after them the `skies`.

    `light_of`: what each lamp gives the plants [umol/m2/s], by its name.

    `basking`: the name of the lamp over a basking place, and the share of what it radiates that the place takes up.
    `shade` is the share of what falls on the ground area that the leaves catch; `entries` holds those of each fan
    and then of each door (`engine.fans.fan_rows`, `engine.doors.door_rows`). The motor of a fan that blows out warms the air that leaves.
    """
    every = working(routine)
    rows = np.zeros(len(every) + len(skies), DEVICE)
    rows["vent_row"] = rows["seat_row"] = -1.0
    moved = iter(entries)
    for row, device in zip(rows[: len(every)], every, strict=True):
        if isinstance(device, Mist):
            share = device.airborne
            if share is None:
                share = pick("defaults", "mister", "airborne")
            rate = device.flow_ml_min / 60.0 / 1000.0
            if device.onto == "soil":
                row["drip"] = rate
            else:
                row["fog_in"], row["spray"] = rate * share, rate * (1.0 - share)
            row["tank"] = (device.tank_ml or 0.0) / 1000.0
        elif isinstance(device, Lamp):
            light, radiant, convective = (
                getattr(device, part) if getattr(device, part) is not None else pick("lamps", device.kind, part)
                for part in ("light", "radiant", "convective")
            )
            on_glass = pick("defaults", "lamp light", "on_glass")
            kept = 1.0 - on_glass - pick("defaults", "lamp light", "leaves_box")
            inside = device.power_w * (light * kept + radiant)
            row["leaf_heat"], row["ground_heat"] = inside * shade, inside * (1.0 - shade)
            row["glass_heat"] = device.power_w * light * on_glass
            row["air_heat"] = device.power_w * convective
            row["par"] = light_of[device.name]
            row["power"] = device.power_w
        elif isinstance(device, Heater):
            radiant, convective, floor = (
                pick("heaters", device.kind, part) for part in ("radiant", "convective", "floor")
            )
            row["leaf_heat"] = device.power_w * radiant * shade
            row["ground_heat"] = device.power_w * radiant * (1.0 - shade)
            row["air_heat"] = device.power_w * convective
            row["floor_heat"] = device.power_w * floor
            row["power"] = device.power_w
        else:
            for name, value in next(moved).items():
                row[name] = value
            if isinstance(device, Door):
                continue
            blows_out = device.direction == "out" and row["vent_row"] >= 0.0
            row["air_heat"] = 0.0 if blows_out else device.motor_w
            if device.air_speed_cm_s is not None:
                row["air_speed"] = device.air_speed_cm_s / 100.0
            row["power"] = device.motor_w
        if basking[0] and device.name == basking[0]:
            row["basking_heat"] = basking[1] * (row["leaf_heat"] + row["ground_heat"])
            row["leaf_heat"] *= 1.0 - basking[1]
            row["ground_heat"] *= 1.0 - basking[1]
        control = device.control
        if control is not None:
            row["senses"] = SENSES[control.senses]
            row["above"] = 1.0 if control.switches_on == "above" else 0.0
            row["set_point"] = control.set_point
            row["hysteresis"] = max(control.hysteresis, 0.05)
            row["minimum_on"] = 60.0 * control.minimum_on_min
    for row, sky in zip(rows[len(every) :], skies, strict=True):
        for name, value in sky.row.items():
            row[name] = value
    return rows


def loads(device: Mist | Lamp | Heater | Fan | Door, days: int, first: int) -> tuple[np.ndarray, np.ndarray]:
    """The times [s] at which a device changes its load over a run, and the load from then on: by its timer or log, or of a door."""
    if isinstance(device, Door):
        return running(
            repeated([(device.time_s, device.time_s + 60.0 * device.open_min)], days, device.every_days, first)
        )
    timer = device.timer
    if timer.is_log:
        return steps_s(timer.hours, timer.loads, timer.repeat, days * DAY)
    return running(repeated(list(timer.periods_s()), days, 1, first))


def running(track: tuple[np.ndarray, np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
    """The times at which start and end times change how many periods hold, and how many hold from then on."""
    times = np.unique(np.concatenate(track))
    on = np.searchsorted(np.sort(track[0]), times, "right") - np.searchsorted(np.sort(track[1]), times, "right")
    return times, on.astype(float)


def repeated(
    periods: list[tuple[float, float]], days: int, every: int = 1, first: int = 0
) -> tuple[np.ndarray, np.ndarray]:
    """Start and end times [s] of daily periods over a run, of all that may last into its day `first` and later."""
    begun = every * max(0, (first - LONGEST_DAYS) // every)
    midnights = np.arange(begun, days, every) * DAY
    starts = np.sort(np.concatenate([midnights + on for on, _ in periods]) if periods else np.zeros(0))
    ends = np.sort(np.concatenate([midnights + off for _, off in periods]) if periods else np.zeros(0))
    return starts, ends


def switching(
    routine: Routine, days: int, airborne: float, skies: Sequence[Sky], first: int = 0
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Times [s] at which anything changes, the load of each device by its timer from then, and the hand's rates [kg/s].

    What was over before the day `first` is left out. The rates are water poured on the soil, sprayed on surfaces, and floating from a hand-spray.
    """
    tracks = [loads(device, days, first) for device in working(routine)]
    hands = []
    for pour in routine.pours:
        if pour.into == "soil":
            span = 60.0 * pour.over_min
            rate = pour.amount_ml / 1000.0 / span
            track = running(repeated([(pour.time_s, pour.time_s + span)], days, pour.every_days, first))
            hands.append((track, (rate, 0.0, 0.0)))
    for spray in routine.sprays:
        span = 60.0 * spray.over_min
        rate = spray.amount_ml / 1000.0 / span
        track = running(repeated([(spray.time_s, spray.time_s + span)], days, spray.every_days, first))
        hands.append((track, (0.0, rate * (1.0 - airborne), rate * airborne)))
    every = [*tracks, *(track for track, _ in hands)]
    sky_times = [(np.arange(first, days)[:, None] * DAY + sky.times).ravel() for sky in skies]
    times = np.unique(np.concatenate([[0.0], *[track[0] for track in every], *sky_times]))
    times = times[(times >= 0.0) & (times < days * DAY)]
    held = lambda track: np.append(0.0, track[1])[np.searchsorted(track[0], times, "right")]  # noqa: E731
    on = np.zeros((len(times), len(tracks) + len(skies)))
    for i, track in enumerate(tracks):
        on[:, i] = held(track)
    for i, sky in enumerate(skies):
        on[:, len(tracks) + i] = sky.loads[np.searchsorted(sky.times, times % DAY, "right") - 1]
    rates = np.zeros((len(times), 3))
    for track, amounts in hands:
        rates += held(track)[:, None] * np.array(amounts)
    return times, on, rates


def topped_up(glass: Enclosure) -> tuple[int, bool]:
    """How many days lie between two refills of the dish (0: none), and whether damp moss in a hide is wetted every day."""
    every = 0 if glass.dish is None or glass.dish.refill_days == NEVER else int(glass.dish.refill_days)
    return every, glass.hide is not None and glass.hide.floor == "damp moss"


def by_hand(
    routine: Routine, days: int, dish_days: int, damp_hide: bool, first: int = 0
) -> tuple[np.ndarray, np.ndarray]:
    """Times [s] and manual actions (kind, value) of siphoning on set days, topping up dish and moist hide, pouring into the drainage."""
    actions: list[tuple[float, float, float]] = []
    for siphon in routine.siphons:
        if siphon.every_days is not None:
            for day in range(siphon.every_days - 1, days, siphon.every_days):
                actions.append((day * DAY + siphon.time_s, SIPHON, siphon.to_level_cm / 100.0))
    if dish_days:
        actions.extend((day * DAY + DISH_TIME, REFILL, DISH_ALONE) for day in range(0, days, dish_days))
    if damp_hide:
        actions.extend((day * DAY + DISH_TIME, REFILL, MOSS_ALONE) for day in range(days))
    for pour in routine.pours:
        if pour.into == "drainage":
            actions.extend(
                (day * DAY + pour.time_s, BELOW, pour.amount_ml / 1000.0) for day in range(0, days, pour.every_days)
            )
    for i, device in enumerate(working(routine)):
        if isinstance(device, Mist) and device.refill_days is not None:
            every = device.refill_days
            actions.extend((day * DAY + DISH_TIME, TANK, float(i)) for day in range(every, days, every))
    actions = sorted(action for action in actions if action[0] >= first * DAY)
    return np.array([d[0] for d in actions]), np.array([d[1:] for d in actions]).reshape(-1, 2)


def room_course(state: RoomState, days: int, first: int = 0) -> np.ndarray:
    """The room from the day `first` on, as rows (time [s], temperature [C], humidity ratio [kg/kg]), straight lines between them."""
    knots = np.union1d(state.temperature.knots_s(days), state.humidity.knots_s(days))
    # every midnight is a knot, so that a longer run has the same ones
    knots = np.union1d(knots[knots >= first * DAY], np.arange(first, days + 1) * DAY)
    t = np.asarray(state.temperature.at(knots), float)
    # while the temperature moves, a few points more, since humidity ratio bends with it
    moving = np.flatnonzero(np.abs(np.diff(t)) > 0.1)
    between = knots[moving, None] + np.diff(knots)[moving, None] * BETWEEN
    knots = np.union1d(knots, between)
    t = np.asarray(state.temperature.at(knots), float) + np.zeros(len(knots))
    rh = np.asarray(state.humidity.at(knots), float) + np.zeros(len(knots))
    rows = np.column_stack([knots, t, rh])
    to_humidity_ratio(rows)
    return rows


@kernel
def to_humidity_ratio(rows):
    """Turn the relative humidity [%] in the last of the columns (time, temperature [C], humidity) into a ratio [kg/kg]."""
    for i in range(rows.shape[0]):
        rows[i, 2] = humidity_ratio(rows[i, 2] / 100.0 * saturation_pressure(rows[i, 1]))
