"""Can watering reach the humidity wanted, and if not, what can: the lid, the fan, the room."""

from __future__ import annotations

import warnings
from dataclasses import replace

from terralab.answers.balance import with_pour
from terralab.answers.band import humidity, shortfall
from terralab.answers.fans_schedules import COVERED
from terralab.describe.box import Band, Box
from terralab.describe.routine import Spray
from terralab.errors import TerralabWarning
from terralab.simulate import Job, run_many

DAYS = 4
NEAR = 1.0  # RH points that count as reached
HOURLY = tuple(range(7, 22))
PLENTY_ML = 30.0


def soaked(box: Box, ml: float) -> Box:
    """The box watered as much as a hand can: a drained-moist start, the pour, and a spray every waking hour."""
    wet = with_pour(box, ml)
    sprays = tuple(Spray(time_s=3600.0 * hour, amount_ml=PLENTY_ML) for hour in HOURLY)
    return replace(wet, routine=replace(wet.routine, sprays=sprays))


def covered_to(box: Box, share: float) -> Box:
    """The box with its lid openings covered to `share`; the zone under a hot lamp must stay open in reality."""
    openings = tuple(replace(o, covered=share) if o.wall == "lid" else o for o in box.enclosure.openings)
    return replace(box, enclosure=replace(box.enclosure, openings=openings))


def without_fan(box: Box) -> Box:
    """The box with its exchange fans switched off."""
    fans = tuple(fan for fan in box.routine.fans if fan.mode != "exchange")
    return replace(box, routine=replace(box.routine, fans=fans))


def find_lever(box: Box, ml: float, band: Band, gap: float) -> tuple[bool, str]:
    """(reachable by watering alone, sentence on what else would reach the band).

    `gap` is how far the mean lies outside the band with the answer's own pour, negative when too dry.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        if abs(gap) <= NEAR:
            return True, "The pour itself keeps the mean humidity in the band."
        return _damper(box, ml, band) if gap < 0 else _drier(box, ml, band)


#: What could be done, in words; the box it makes; and how many points more humid the room then is.
Trial = tuple[str, Box, float]


def _tried(trials: list[Trial], band: Band) -> list[tuple[str, float, dict]]:
    records = run_many([Job(b, DAYS, choose={"room.humidity": p}, accuracy="preview") for _, b, p in trials])
    out = []
    for (words, *_), record in zip(trials, records, strict=True):
        seen = humidity(record, record.rows(DAYS - 1, DAYS), band)
        out.append((words, shortfall(seen, band), seen))
    return out


def _says(words: str, seen: dict) -> str:
    return f"{words}: about {seen['day']['mean']:.0f} % by day and {seen['night']['mean']:.0f} % by night"


def _damper(box: Box, ml: float, band: Band) -> tuple[bool, str]:
    poured = with_pour(box, ml)
    has_lid = any(o.wall == "lid" and o.covered < COVERED[-2] for o in box.enclosure.openings)
    has_fan = any(fan.mode == "exchange" for fan in box.routine.fans)
    trials = [("spraying every waking hour", soaked(box, ml), 0.0)]
    if has_fan:
        trials.append(("switching the exchange fan off", without_fan(poured), 0.0))
    if has_lid:
        for share in (share for share in COVERED if share >= 0.4):
            trials.append((f"covering {100 * share:.0f} % of the mesh lid", covered_to(poured, share), 0.0))
        if has_fan:
            trials.append(("covering the whole lid and no exchange fan", without_fan(covered_to(poured, 1.0)), 0.0))
    trials.append(("a room 15 points more humid", poured, 15.0))
    tried = _tried(trials, band)
    if tried[0][1] > -NEAR:
        wet = f"More watering can reach it ({_says(*tried[0][::2])}), at the price of wet surfaces all day."
        return True, f"{wet} Less wet and less work is {_best(tried[1:], band)}"
    return False, "Watering alone cannot reach it. The best of the other levers is " + _best(tried[1:], band)


def _best(tried: list[tuple[str, float, dict]], band: Band) -> str:
    """What the most helpful change would do, the first one that reaches the band or else the nearest to it."""
    reached = [trial for trial in tried if abs(trial[1]) <= NEAR]
    words, gap, seen = reached[0] if reached else min(tried, key=lambda trial: abs(trial[1]))
    told = _says(words, seen)
    hot = " Never cover the mesh under a hot lamp." if "covering" in words else ""
    if reached:
        return f"{told}.{hot}"
    return f"{told}, still {abs(gap):.0f} points too {'dry' if gap < 0 else 'damp'}.{hot}"


def _drier(box: Box, ml: float, band: Band) -> tuple[bool, str]:
    poured = with_pour(box, ml)
    none = with_pour(box, 0.0)
    none = replace(none, start=replace(none.start, soil="dry"), routine=replace(none.routine, sprays=(), mists=()))
    trials = [("no watering and dry soil", none, 0.0)]
    if any(o.wall == "lid" and o.covered > 0.05 for o in box.enclosure.openings):
        for share in (share for share in reversed(COVERED) if share <= 0.6):
            trials.append((f"covering only {100 * share:.0f} % of the mesh lid", covered_to(poured, share), 0.0))
    trials.append(("a room 15 points drier", poured, -15.0))
    tried = _tried(trials, band)
    if tried[0][1] <= NEAR:
        return True, "It is damper than the band at this moisture; letting the soil dry out further brings it down."
    return False, "It is damper than the band, and less watering does not change that. The best lever is " + _best(
        tried[1:], band
    )
