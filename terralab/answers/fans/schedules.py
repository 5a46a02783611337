"""The fan schedules that are compared: which fan, when it runs, and the box that has it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from terralab import materials
from terralab.answers.common.humidity_target import target_of
from terralab.describe.box import Box
from terralab.describe.hot import hot_at_lid
from terralab.describe.routine import Fan
from terralab.describe.timer import Timer, hours_text
from terralab.describe.trial import Trial
from terralab.errors import TerralabError, quoted
from terralab.quantities import as_typed, quantity
from terralab.simulation.before_a_run import fan_can_move, fan_delivers_m3_s
from terralab.units import DAY_S, clock

ASSUMED_ACH = 10.0  # air changes an hour of the fan that is tried where none is described
AFTER_SPRAY_S = 3600.0
EVERY_HOUR = (5, 10, 15, 30)
COVERED = (0.0, 0.2, 0.4, 0.6, 0.8, 0.9, 0.95, 0.98, 1.0)
MOST_OWN = 12
#: Schedules that are known by name: no fan at all, and the fans of the description.
NO_FAN, AS_DESCRIBED = "no fan", "as described"


@dataclass(frozen=True, eq=False)
class Schedule:
    """One way to run a fan: its name, mode ("none", "exchange", "circulate", "mixed"), timing in words, and its box."""

    name: str
    mode: str
    when: str
    box: Box

    @property
    def minutes_a_day(self) -> float:
        """Minutes a day that fans run, if their timers alone decide."""
        return sum(fan.timer.on_s for fan in self.box.routine.fans) / 60.0


def with_fans(box: Box, *fans: Fan) -> Box:
    """The box with just these fans."""
    return Trial.of(box, routine=replace(box.routine, fans=fans))


def shares_to_try(box: Box) -> tuple[float, ...]:
    """Covered shares of the lid that may be tried: under a hot lamp or heater none but the open lid, in
    the sun none that closes it further.
    """
    lids = [o for o in box.enclosure.openings if o.wall == "lid"]
    if not lids:
        return ()
    if hot_at_lid(box):
        return (0.0,) if any(o.covered > 0.0 for o in lids) else ()
    if box.room.sun is not None:  # in the sun nothing is to be closed further
        most = max(o.covered for o in lids)
        return tuple(share for share in COVERED if share <= most)
    return COVERED


def exchange_fan(box: Box) -> tuple[Fan, str]:
    """The exchange fan that is tried, and where it comes from: the described one, or an assumed one."""
    for fan in box.routine.fans:
        if fan.mode == "exchange":
            flow = as_typed("air flow", "m3/h", 3600.0 * fan_delivers_m3_s(fan, box.enclosure), digits=2)
            free = fan.free_flow_m3_h
            rated = "" if free is None else f" of the {as_typed('air flow', 'm3/h', free)} of its free air"
            return fan, f'the described "{fan.name}", which moves about {flow}{rated}'
    flow = float(f"{ASSUMED_ACH * box.enclosure.air_volume_m3:.2g}")
    words = (
        f"an assumed one that moves {as_typed('air flow', 'm3/h', flow)}, {ASSUMED_ACH:g} air changes an hour (none is "
        "described)"
    )
    return Fan("exchange fan", "exchange", "always", flow_m3_h=max(0.001, flow)), words


def circulating_fan(box: Box) -> tuple[Fan, str]:
    """The circulating fan that is tried, and where it comes from, likewise."""
    for fan in box.routine.fans:
        if fan.mode == "circulate":
            speed = as_typed("speed", "cm/s", fan.air_speed_cm_s, digits=2)
            return fan, f'the described "{fan.name}", {speed} at soil, leaves and panes'
    speed = 100.0 * materials.get("defaults", "circulating fan").typical("speed")
    words = f"an assumed one that moves the air at {quantity('cm/s', 'g', speed)} at soil, leaves and panes (none is described)"
    return Fan("circulating fan", "circulate", "always", air_speed_cm_s=speed), words


def assumed_fan(box: Box, mode: str) -> str:
    """The fan of a built-in schedule of this mode, in words that a shop understands; "" where the box has such a fan."""
    if mode not in ("exchange", "circulate") or any(fan.mode == mode for fan in box.routine.fans):
        return ""
    if mode == "exchange":
        return f"a fan that moves {as_typed('air flow', 'm3/h', exchange_fan(box)[0].flow_m3_h)} in the box"
    return f"a fan that moves the air at {as_typed('speed', 'cm/s', circulating_fan(box)[0].air_speed_cm_s)}"


def timings(box: Box) -> list[tuple[str, tuple[str, ...]]]:
    """(words, timer) of every schedule tried; those that need a light or a spray only where the box has one."""
    out = [(f"{m} min an hour", (f"{m} min every 1 h",)) for m in EVERY_HOUR]
    out.append(("hour on, hour off", ("1 h every 2 h",)))
    lit = [lamp for lamp in box.routine.lamps if lamp.timer.on_s > 0.0 and lamp.timer.on_s < DAY_S]
    if lit:
        longest = max(lit, key=lambda lamp: lamp.timer.on_s).timer
        out.append(("with the lights", longest.entries or (hours_text(longest.periods_s()),)))
    target, _ = target_of(box)
    start, end = ("08:00", "20:00") if target is None else (target.day_from, target.day_to)
    out.append(("at night", (f"{end}-{start}",)))
    wet = after_water(box)
    if wet:
        out.append(("after spraying", wet))
    out.append(("all day", ("always",)))
    return out


def with_timer(fan: Fan, timer: Timer) -> Fan:
    """The fan by this timer alone, in every season."""
    return replace(fan, timer=timer, timer_winter=None, timer_summer=None, control=None)


def after_water(box: Box) -> tuple[str, ...]:
    """The hour after each hand-spray, or after each run of a mister, as timer entries."""
    ends = [spray.time_s + 60.0 * spray.over_min for spray in box.routine.sprays]
    if not ends:
        ends = [off for mist in box.routine.mists for _, off in mist.timer.periods_s()]
    times = sorted({60.0 * round(end % DAY_S / 60.0) % DAY_S for end in ends})
    return tuple(f"{clock(t)}-{clock((t + AFTER_SPRAY_S) % DAY_S)}" for t in times[:48])


def schedules(box: Box, own: Mapping[str, Fan] | None = None) -> tuple[list[Schedule], str]:
    """Every schedule to compare, and a sentence on exchange where no air can pass (else empty).

    `own` adds the keeper's, a Fan by name. Raises TerralabError for anything else.
    """
    out = [Schedule(NO_FAN, "none", "", with_fans(box))]
    if box.routine.fans:
        modes = {fan.mode for fan in box.routine.fans}
        out.append(Schedule(AS_DESCRIBED, modes.pop() if len(modes) == 1 else "mixed", "", box))
    blower, _ = exchange_fan(box)
    stirrer, _ = circulating_fan(box)
    blocked = "" if fan_can_move(blower, box.enclosure) else _blocked(box, blower)
    for mode, fan in (("exchange", blower), ("circulate", stirrer)):
        if mode == "exchange" and blocked:
            continue
        for words, timer in timings(box):
            tried = with_timer(fan, Timer(timer))
            out.append(Schedule(f"{mode} {words}", mode, words, with_fans(box, tried)))
    out += _owned(box, {} if own is None else own, {NO_FAN, AS_DESCRIBED, *(one.name for one in out)})
    return out, blocked


def _blocked(box: Box, fan: Fan) -> str:
    place = (
        f'its opening "{fan.opening}" is covered' if fan.opening and box.enclosure.openings else "no opening is open"
    )
    return (
        f"An exchange fan moves nothing here, since {place}: no air can come in for what it would blow out. "
        "Exchange is left out of the comparison; open a vent or part of the lid first."
    )


def own_from_texts(box: Box, texts: Sequence[str]) -> dict[str, Fan]:
    """The keeper's schedules from texts such as "exchange 15 min every 1 h" or "circulate 07:00-09:00, 19:00-20:00".

    The first word says what the fan does, the rest is a timer as a box file has it, several parted by commas. The fan
    itself is the one that is tried anyway. Raises TerralabError for anything else.
    """
    fans = {"exchange": exchange_fan(box)[0], "circulate": circulating_fan(box)[0]}
    out = {}
    for text in texts:
        mode, _, hours = text.strip().partition(" ")
        if mode not in fans:
            raise TerralabError(
                f'Your schedule {quoted(text)} was given; it must begin with "exchange" or "circulate", as in '
                '"exchange 15 min every 1 h".'
            )
        timer = Timer.of([part.strip() for part in hours.split(",")], f"your schedule {quoted(text)}")
        out[f"yours: {text.strip()}"] = with_timer(fans[mode], timer)
    return out


def _owned(box: Box, own: Mapping[str, Fan], taken: set[str]) -> list[Schedule]:
    if not isinstance(own, Mapping) or len(own) > MOST_OWN:
        raise TerralabError(
            f'own must be up to {MOST_OWN} fans by name, such as {{"my plan": Fan(...)}}; {quoted(own)} was given.'
        )
    out = []
    for name, fan in own.items():
        if not isinstance(name, str) or not name.strip() or name in taken:
            raise TerralabError(f"own, the name must be a text not used yet; {quoted(name)} was given.")
        if not isinstance(fan, Fan):
            raise TerralabError(f"own, {quoted(name)} must be a Fan(name, mode, timer, ...); {quoted(fan)} was given.")
        known = [opening.name for opening in box.enclosure.openings]
        if fan.opening and fan.opening not in known:
            raise TerralabError(
                f"own, {quoted(name)}, the opening must be one of {known}; {quoted(fan.opening)} was given."
            )
        out.append(Schedule(name, fan.mode, str(fan.timer), with_fans(box, fan)))
    return out
