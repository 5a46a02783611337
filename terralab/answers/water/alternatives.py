"""Can watering reach the humidity wanted, and if not, what can: the lid, the fan, moss, the room.

Only what keeps air, ground and glass inside the temperatures wanted is named, what is no worse for them in winter
and summer, and what leaves animals their fresh air. The lid's mesh is never to be covered where a hot lamp or heater stands over or under it, nor is water
sprayed while that is on. What is said to reach the band is shown inside it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from terralab import wording
from terralab.answers.common.at_the_lid import hours_for_spraying, lid_words
from terralab.answers.common.balance import kept_dry, with_pour
from terralab.answers.common.humidity_target import REACHES, humidity, shortfall
from terralab.answers.common.temperature import Heat, degrees, heat_of, why_refused, worse_than
from terralab.answers.fans.choice import SAME_MEANS
from terralab.answers.fans.fresh_air import TOO_LITTLE, grows_stuffy
from terralab.answers.fans.schedules import COVERED
from terralab.describe.box import Box, HumidityTarget
from terralab.describe.enclosure import LEAST_AIR_CM, Cover
from terralab.describe.hot import hot_at_lid, hot_words
from terralab.describe.part import cautions_untold
from terralab.describe.routine import Spray
from terralab.describe.seasons import SEASONS
from terralab.describe.trial import covered_lid, opened_a_little
from terralab.errors import TerralabError
from terralab.quantities import quantity
from terralab.simulation.simulate import Job, run_many

DAYS = 4
NEAR = 1.0  # RH points that count as reached
HELPS = SAME_MEANS  # RH points that a lever must bring the air nearer to the band: less shows on no hygrometer
HALF = 0.5  # a part of the day with less than this share of its hours inside is told
HOURLY = tuple(range(7, 22))
EVERY_SECOND = HOURLY[::2]
FOUR_TIMES = (8, 12, 16, 20)
PLENTY_ML = 30.0
POURED_ML = 0.5  # less is told as nothing poured
NOTHING_GIVEN = "no pouring and no spraying"
BY_ITSELF = "The humidity keeps to the band by itself"
MOSS_CM = 2.0


def sprayed_at(box: Box, hours: tuple[int, ...]) -> Box:
    """The box with a hand-spray at each of the hours in place of its own."""
    sprays = tuple(Spray(time_s=3600.0 * hour, amount_ml=PLENTY_ML) for hour in hours)
    return replace(box, routine=replace(box.routine, sprays=sprays))


def without_fan(box: Box) -> Box:
    """The box with its exchange fans switched off."""
    fans = tuple(fan for fan in box.routine.fans if fan.mode != "exchange")
    return replace(box, routine=replace(box.routine, fans=fans))


def mossed(box: Box) -> Box | None:
    """The box with moss on its soil; None where something lies there already or the glass is too low for it."""
    e = box.enclosure
    if e.cover is not None or e.air_height_cm < MOSS_CM + LEAST_AIR_CM or kept_dry(box):
        return None
    try:
        return replace(box, enclosure=replace(e, cover=Cover(material="sheet moss", depth_cm=MOSS_CM)))
    except TerralabError:
        return None  # an opening lies too low for it


def find_alternative(
    box: Box, ml: float, target: HumidityTarget, gap: float, heat: Heat, hours: Mapping[str, float] | None = None
) -> tuple[bool, str]:
    """(reachable by watering alone, sentence on what else would reach the band).

    `gap` is how far the mean lies outside the band with the answer's own pour, negative when too dry; `heat` how warm it
    is then; `hours` how many hours a day are inside and outside the band, as `terralab.answers.common.humidity_target.hours` gives them.
    """
    with cautions_untold():
        if abs(gap) <= NEAR:
            outside = _mostly_outside(hours or {})
            if ml >= POURED_ML:
                where = "in the band" if abs(gap) <= REACHES else "within a point of the band"
                return True, f"The pour itself keeps the mean humidity {where}{outside}."
            return True, f"{BY_ITSELF}{' on average' if outside else ''}{outside}."
        return (_damper if gap < 0 else _drier)(box, ml, target, _Tried(Way.NOTHING, "", gap, {}, heat, True))


def _halved(box: Box) -> Box | None:
    """The box with half of all that is poured on the soil, sprayed and misted; None where nothing is given."""
    r = box.routine
    if not (r.pours or r.sprays or r.mists):
        return None
    try:
        halved = {
            "pours": tuple(
                replace(one, amount_ml=one.amount_ml / 2.0) if one.into == "soil" else one for one in r.pours
            ),
            "sprays": tuple(replace(one, amount_ml=one.amount_ml / 2.0) for one in r.sprays),
            "mists": tuple(replace(one, flow_ml_min=one.flow_ml_min / 2.0) for one in r.mists),
        }
        return replace(box, routine=replace(r, **halved))
    except TerralabError:
        return None  # less than a sprayer or mister can give


def _mostly_outside(hours: Mapping[str, float]) -> str:
    """What a mean hides: a part of the day most of whose hours lie outside the band."""
    out = []
    for part in ("day", "night"):
        inside, dry, damp = (hours.get(f"{part} {where}", 0.0) for where in ("inside", "too dry", "too damp"))
        if inside < HALF * (inside + dry + damp):
            side = "dry" if dry >= damp else "damp"
            out.append(
                f"by {part} only {inside:.1f} of {inside + dry + damp:.0f} hours are inside, most are too {side}"
            )
    return f", but {' and '.join(out)}" if out else ""


class Way(StrEnum):
    """What a trial does to the box, as far as it matters how it is named."""

    NOTHING = "as it is"
    WATER = "more or less water"
    COVER = "a lid covered to some share"
    NO_FAN = "an exchange fan at rest"
    OTHER = "something else"


LESS_AIR = (Way.COVER, Way.NO_FAN)


@dataclass(frozen=True)
class Trial:
    """What could be done: its way, its words, the box it makes, and how many points more humid the room then is."""

    way: Way
    words: str
    box: Box
    points: float = 0.0


@dataclass(frozen=True)
class _Tried:
    """A trial run: what it is, points outside the band (negative: too dry), the humidity, the warmth, and if it may be."""

    way: Way
    words: str
    gap: float
    seen: dict
    heat: Heat
    allowed: bool
    trial: Trial | None = None
    refused: str = ""

    def said(self) -> str:
        return (
            f"{self.words}: about {self.seen['day']['mean']:.0f} % at {degrees(self.heat.day['mean'])} by day and "
            f"{self.seen['night']['mean']:.0f} % at {degrees(self.heat.night['mean'])} by night"
        )


def _tried(trials: list[Trial], target: HumidityTarget, before: Heat, described: Box) -> list[_Tried]:
    jobs = [Job(one.box, DAYS, overrides={"room.humidity": one.points}, accuracy="preview") for one in trials]
    out, ran = [], []
    for trial, record in zip(trials, run_many(jobs, failed="none"), strict=True):
        if record is None:  # what cannot be run, such as a box that heats past all bounds, is nothing to recommend
            continue
        seen = humidity(record, record.rows(DAYS - 1, DAYS), target)
        heat = heat_of(record, record.rows(1, DAYS), described)
        out.append(_Tried(trial.way, trial.words, shortfall(seen, target), seen, heat, True, trial))
        ran.append(record)
    # held against the box as it is in a run of the same kind, where there is one
    as_it_is = next((n for n, one in enumerate(out) if one.way is Way.NOTHING), None)
    alike = before if as_it_is is None else out[as_it_is].heat
    judged = []
    for one, record in zip(out, ran, strict=True):
        why = why_refused(one.heat, alike)
        if not why and as_it_is is not None and one.way in LESS_AIR and grows_stuffy(record, ran[as_it_is]):
            why = TOO_LITTLE
        judged.append(replace(one, allowed=not why, refused=why))
    return judged


def _with_and_without(
    poured: Box, trials: list[Trial], target: HumidityTarget, now: _Tried
) -> tuple[_Tried, list[_Tried]]:
    """The box without a lever, run as short and as roughly as the levers are (else as it is known, `now`), and the levers."""
    ran = _tried([Trial(Way.NOTHING, "", poured), *trials], target, now.heat, poured)
    as_it_is = next((one for one in ran if one.way is Way.NOTHING), now)
    return as_it_is, [one for one in ran if one.way is not Way.NOTHING]


def _damper(box: Box, ml: float, target: HumidityTarget, now: _Tried) -> tuple[bool, str]:
    poured = with_pour(box, ml)
    hot = bool(hot_at_lid(box))
    # in the sun nothing is to be closed further: its heat then stays inside
    has_lid = (
        not hot
        and box.room.sun is None
        and any(o.wall == "lid" and o.covered < COVERED[-2] for o in box.enclosure.openings)
    )
    has_fan = any(fan.mode == "exchange" for fan in box.routine.fans)
    trials = _sprayings(box, poured)
    if has_fan:
        trials.append(Trial(Way.NO_FAN, "switching the exchange fan off", without_fan(poured)))
    if has_lid:
        for share in (share for share in COVERED if share >= 0.4):
            words = f"covering {100 * share:.0f} % of {lid_words(box)}"
            trials.append(Trial(Way.COVER, words, covered_lid(poured, share)))
        if has_fan:
            shut = without_fan(covered_lid(poured, 1.0))
            trials.append(Trial(Way.COVER, "covering the whole lid and no exchange fan", shut))
    else:
        moss = mossed(poured)
        if moss is not None:
            trials.append(Trial(Way.OTHER, f"{quantity('cm', 'g', MOSS_CM)} of moss on the soil, kept damp", moss))
            if sprays := _sprayings(box, moss):
                trials.append(Trial(Way.OTHER, f"moss on the soil and {sprays[0].words}", sprays[0].box))
    trials.append(Trial(Way.OTHER, "a room 15 points more humid", poured, 15.0))
    before, tried = _with_and_without(poured, trials, target, now)
    stays = _stays(box) if hot else ""
    water = [one for one in tried if one.way is Way.WATER]
    others = [one for one in tried if one.way is not Way.WATER]
    enough, _ = _first_for_all_seasons([one for one in water if abs(one.gap) <= REACHES and one.allowed], before)
    if enough is not None:
        wet = f"More watering can reach it ({enough.said()}), at the price of wet surfaces."
        drier = [one for one in others if abs(one.gap) <= REACHES]
        less = f" {_best('Less wet and less work is', drier, before, box)}" if any(one.allowed for one in drier) else ""
        return True, f"{wet}{less}{stays}"
    lead = "Watering alone cannot reach it."
    if any(one.gap > 0.0 for one in water):
        lead = "No spraying that was tried reaches it: what is enough by day or by night is too much at the other time."
    # the mildest spraying may still be the most helpful of all; more of it is no advice
    return False, f"{lead} {_best('The best of the levers tried is', [*others, *water[:1]], before, box)}{stays}"


def _sprayings(box: Box, poured: Box) -> list[Trial]:
    """More and more spraying by hand, in the hours in which no hot glass is near; none where there are no such hours."""
    free = hours_for_spraying(box, HOURLY)
    if not free:
        return []
    if free == HOURLY:
        plans = {"spraying four times a day": FOUR_TIMES, "spraying every second waking hour": EVERY_SECOND,
                 "spraying every waking hour": HOURLY}  # fmt: skip
    else:
        off = "while the hot lamp or heater is off and its glass cold"
        plans = {f"spraying once a day {off}": free[-1:], f"spraying every waking hour {off}": free}
    return [Trial(Way.WATER, words, sprayed_at(poured, hours)) for words, hours in plans.items()]


def _stays(box: Box) -> str:
    """That no lid is covered where heat is; "" where the lid has no opening."""
    lids = [o for o in box.enclosure.openings if o.wall == "lid"]
    if not lids:
        return ""
    part = "The mesh of the lid" if any(o.mesh for o in lids) else "The opening in the lid"
    return f" {part} stays open, since {hot_words(box)} is there."


def _best(lead: str, tried: list[_Tried], before: _Tried, box: Box) -> str:
    """What the most helpful change would do: the first that reaches the band, or else the nearest to it.

    `before`: the box with its pour and no lever, run as the levers are, so that what hardly changes it is no lever.
    """
    allowed = [one for one in tried if one.allowed]
    if not tried:
        return "No other lever could be run."
    if not allowed:
        if before.heat.hot:
            return "No other lever is named, as it is too hot with each of them: bring the heat down first, then ask again."
        nearest = min(tried, key=lambda one: abs(one.gap))
        if any(one.refused == TOO_LITTLE for one in tried):
            return f"No other lever is named: with {nearest.words}, {nearest.refused}."
        why = why_refused(nearest.heat, before.heat)
        return (
            f"No other lever is named, since each of them leaves the temperatures wanted: with {nearest.words}, {why}."
        )
    reaches = lambda one: abs(one.gap) <= REACHES < abs(before.gap)  # noqa: E731
    allowed = [one for one in allowed if reaches(one) or abs(one.gap) <= abs(before.gap) - HELPS]
    if not allowed:
        return "None of the levers tried helps."
    reached = [one for one in allowed if abs(one.gap) <= REACHES]
    others = sorted((one for one in allowed if one not in reached), key=lambda one: abs(one.gap))
    best, refused = _first_for_all_seasons([*reached, *others], before)
    if best is None:
        return f"No lever is named: {refused}."
    never = " Never cover a lid under a hot lamp." if best.way is Way.COVER else ""
    if abs(best.gap) <= REACHES:
        return f"{lead} {best.said()}.{never}"
    return f"{lead} {best.said()}, still {wording.points(best.gap)} too {'dry' if best.gap < 0 else 'damp'}.{never}"


def _first_for_all_seasons(levers: list[_Tried], before: _Tried) -> tuple[_Tried | None, str]:
    """The first lever with which the box is no worse off in warmth in winter and summer; else None, and why the first is refused."""
    refused = ""
    for lever in levers:
        why = "" if lever.trial is None or before.trial is None else _refused(lever.trial, before.trial)
        if not why:
            return lever, ""
        refused = refused or f"with {lever.words}, {why}"
    return None, refused


def _refused(trial: Trial, now: Trial) -> str:
    """In which season a lever makes the box worse off in warmth, and how, as a clause; "" where in none."""
    for season in SEASONS[1:]:
        jobs = [
            Job(one.box, DAYS, season, overrides={"room.humidity": one.points}, accuracy="preview")
            for one in (trial, now)
        ]
        after, before = run_many(jobs, failed="none")
        if before is None:
            continue
        if after is None:
            return f"in {season} it could not be run"
        rows = after.rows(1, DAYS)
        if why := worse_than(heat_of(after, rows, now.box), heat_of(before, rows)):
            return f"in {season} {why}"
    return ""


def _drier(box: Box, ml: float, target: HumidityTarget, now: _Tried) -> tuple[bool, str]:
    poured = with_pour(box, ml)
    none = with_pour(box, 0.0)
    none = replace(none, routine=replace(none.routine, sprays=(), mists=()))
    trials = [Trial(Way.WATER, NOTHING_GIVEN, none)]
    if (half := _halved(poured)) is not None:
        trials.insert(0, Trial(Way.WATER, "half the pouring and spraying", half))
    covered = [o for o in box.enclosure.openings if o.wall == "lid" and o.covered > 0.05]
    if covered and hot_at_lid(box):
        trials.append(Trial(Way.OTHER, "the whole lid open, its cover taken off", covered_lid(poured, 0.0)))
    elif covered:
        most = max(o.covered for o in covered)
        for share in (share for share in reversed(COVERED) if share <= 0.6 and share < most):
            less = covered_lid(poured, share)
            if share:
                trials.append(Trial(Way.COVER, f"covering only {100 * share:.0f} % of {lid_words(box)}", less))
            else:
                trials.append(Trial(Way.OTHER, "taking the cover off the lid", less))
    if not box.enclosure.openings and not hot_at_lid(box):
        trials.append(Trial(Way.OTHER, "a tenth of the lid open, with mesh over it", opened_a_little(poured)))
    trials.append(Trial(Way.OTHER, "a room 15 points drier", poured, -15.0))
    before, tried = _with_and_without(poured, trials, target, now)
    water = [one for one in tried if one.way is Way.WATER]
    damper = "It is damper than the band with this watering;"
    enough, _ = _first_for_all_seasons([one for one in water if abs(one.gap) <= REACHES and one.allowed], before)
    if enough is not None:
        return True, f"{damper} less spraying and pouring brings it down ({enough.said()})."
    if over := next((one for one in water if one.gap < 0.0 and one.allowed), None):
        return True, f"{damper} less spraying and pouring brings it down, but go slowly: {over.said()} is too dry."
    lead = "It is damper than the band, and less watering does not change that."
    return (
        False,
        f"{lead} {_best('The best lever is', [one for one in tried if one.way is not Way.WATER], before, box)}",
    )
