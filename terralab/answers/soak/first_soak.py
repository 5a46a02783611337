"""How much water on day one, and at what pace? From a box that stood dry to drained-moist soil."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from terralab import materials
from terralab.answers.common.answer import Answer
from terralab.answers.common.balance import begun_as_kept, kept_dry
from terralab.answers.common.cautions import for_box
from terralab.answers.common.draws import Failure
from terralab.answers.common.ensemble import SETTLE_DAYS, EnsembleResults, fair
from terralab.answers.common.heat_words import water_words
from terralab.answers.common.measure_next import measure_next
from terralab.answers.common.no_number import without_number
from terralab.answers.common.room_log import in_typical_room
from terralab.answers.common.seen_air import seen_air
from terralab.answers.common.temperature import heat_of
from terralab.answers.soak.checked import CHECKED_DAYS, CLOSE, SAFE_GAP_CM, checked, evaporates_l, room_below_l
from terralab.answers.soak.pace import AT_ONCE, Course, Pace, course, depth_for, pace_for
from terralab.answers.soak.parts import Soak
from terralab.answers.soak.words import ASKED, assumed, reason_words, soak_cautions, soak_statements
from terralab.describe.box import Box
from terralab.describe.needed import needs_box
from terralab.describe.system import speaks_us
from terralab.describe.trial import Trial
from terralab.describe.wanted import soil_reason
from terralab.errors import DescriptionError
from terralab.physics.wetting import SHUT, dryness
from terralab.simulation.before_a_run import at_start
from terralab.simulation.dry_soil import DrySoil, dry_soil, dry_soil_inputs
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_job
from terralab.uncertainty import ensemble
from terralab.uncertainty.learned import typical_learned
from terralab.uncertainty.overrides import changed
from terralab.uncertainty.sampling import MEMBERS, MOST_MEMBERS, drawn_beside
from terralab.units import HOUR_S
from terralab.validate import whole

READS_THE_SOIL = ("pot of the mix weighed", "jar of the aggregate")
LEAST_L = 0.005  # litres: less is no soak
PARTS = ("dry", "moist", "past")
SEASONS = ("now", "winter", "summer")


@in_typical_room
def first_soak(box: Box, *, members: int = MEMBERS) -> Answer:
    """Litres that bring `box`, stood dry, to drained-moist soil, and the portions and pauses; an Answer in litres.

    value: the middle of `members` (2 to 8192) draws of what is uncertain about the soil, low and high the central
    80 % of them. It is what the soil lacks, plus what runs past a dry mix that refuses water, plus what evaporates in the
    hours of the soak; `seasons` differ by the last alone. `window`: portions, their size, minutes from one to the next,
    hours in all, and after how many to siphon. What runs past may be siphoned and poured again. A run of three days with
    every number typical checks it: the soil must come within 10 % of drained-moist, evaporation aside, with the water
    below clear of the mesh (`reachable`). value is None for a box whose soil is to stay dry. The litres are for soil that
    stood dry, whatever `start` says; details["lacks_now_l"] is what it lacks as it is now. details: the parts of the value,
    litres.
    """
    needs_box(box, "first_soak")
    members = whole("members", members, 2, MOST_MEMBERS)
    if kept_dry(box):
        dry = f"The soil of this box is to stay dry, {soil_reason(box)}, so there is nothing to soak."
        return _none(box, None, f"Soak nothing: the soil of this box is to stay dry, {soil_reason(box)}.", dry)
    numbers = typical_learned(box)
    typical = wetting_of(changed(box, numbers), numbers)
    if 1000.0 * typical.floor * typical.lacks < LEAST_L:
        why = "The soil lacks nothing: water stands above the mesh and it draws that up by itself."
        return _none(box, 0.0, "Soak nothing: the soil draws up the water that stands above the mesh.", why)
    pace = pace_for(typical.soil, typical.dry_to, typical.room, typical.lacks)
    sample = _members(box, members, pace)
    one = _middle(sample)
    held, past = _by_portion(typical, pace, one)
    air = {season: evaporates_l(box, held, past, pace, season) for season in SEASONS}
    meanwhile = {season: 0.0 if math.isnan(lost) else lost for season, lost in air.items()}
    soak = replace(one, evaporates=meanwhile["now"])
    # what evaporates between portions goes with the later ones
    held = tuple(h + meanwhile["now"] * h / max(1e-30, sum(held)) for h in held)
    check = checked(box, typical.soak(pace), soak, held, past, pace)
    low, _, high = sample.range_of("litres")
    ends = {
        season: {
            "value": round(one.litres + lost, 2),
            "low": round(low + lost, 2),
            "high": round(high + lost, 2),
            "portions": pace.portions,
            "evaporates_l": round(lost, 3),
        }
        for season, lost in meanwhile.items()
    }
    lacks_now = _lacks_now(box, soak)
    near = check.gap_cm is not None and check.gap_cm < SAFE_GAP_CM
    seen = None if check.record is None else seen_air(check.record)
    warmth_first = ""
    if seen is not None and lacks_now > CLOSE * soak.lacking:  # else nothing is to be poured now
        warmth_first = water_words(seen.heat, heat_of(run_job(Job(box, CHECKED_DAYS, accuracy="preview"))))
    answer = Answer(
        us=speaks_us(box),
        question="first soak",
        value=ends["now"]["value"],
        low=ends["now"]["low"],
        high=ends["now"]["high"],
        unit="litres",
        reason="",
        seasons={season: ends[season] for season in ("winter", "summer")},
        spread=sample.spread(typical.soak(pace).litres + meanwhile["now"]),
        measure_next=measure_next(sample, "litres", "litres", READS_THE_SOIL),
        window={
            "portions": pace.portions,
            "portion_ml": round(1000.0 * soak.litres / pace.portions),
            "every_min": round(pace.every_s / 60.0),
            "pour_min": round(pace.over_s / 60.0, 1),
            "hours": round(pace.lasts_s / HOUR_S, 1),
            "gap_cm": check.gap_cm,
            "siphon_after": _siphon_after(box, past),
        },
        details={
            "dry_l": round(soak.dry, 3),
            "moist_l": round(soak.moist, 3),
            "lacking_l": round(soak.lacking, 3),
            "runs_past_l": round(soak.past, 3),
            "evaporates_l": round(soak.evaporates, 3),
            "fresh_l": round(soak.lacking + soak.evaporates, 3),
            **_wetted(typical, sample, pace, soak),
            "lacks_now_l": round(lacks_now, 3),
            "unchecked": check.unrun,
            "warmth_first": warmth_first,
        },
        assumptions=assumed(box, pace),
        record=check.record,
        **({} if seen is None else seen.fields()),
        sample=sample,
        reachable=None if check.record is None else check.moist and not near,
        sources=_sources(box),
    )
    answer = replace(
        answer, reason=reason_words(answer, box), cautions=(*soak_cautions(answer, box, seen), *for_box(box, "soak"))
    )
    verdict, statements = soak_statements(answer, box, seen)
    return replace(answer, verdict=verdict, statements=statements)


def _none(box: Box, litres: float | None, do: str, reason: str) -> Answer:
    """The answer for a box that is not to be soaked: None litres where it is to stay dry, 0 where nothing is lacking."""
    record: Record = run_job(Job(begun_as_kept(box), SETTLE_DAYS))
    return without_number(box, "soak", "first soak", "litres", ASKED, do, "None.", reason, record, value=litres)


@dataclass(frozen=True)
class Wetting:
    """A soil about to be soaked, as depth of water [m] over its `floor` [m2]: what it holds, what it holds when watered and
    drained, room in its pores.

    `keeps`: whether what runs past it comes back to it, since nothing lies below.
    """

    soil: DrySoil
    dry: float
    moist: float
    floor: float
    keeps: bool

    @property
    def lacks(self) -> float:
        """What it lacks [m]."""
        return max(0.0, self.moist - self.dry)

    @property
    def room(self) -> float:
        """Room in its pores [m]."""
        return max(self.lacks, self.soil.pores_m - self.dry)

    @property
    def dry_to(self) -> float:
        """How repellent it is [-], see `physics.wetting.dryness`: a box is soaked from air-dry."""
        return dryness(0.0, self.soil.easy)

    def run(self, pace: Pace) -> Course:
        """What it keeps and lets past, by portion, while it is given what it lacks."""
        return course(self.soil, self.dry_to, self.room, self.poured(pace), pace)

    def poured(self, pace: Pace) -> float:
        """Depth to pour [m]."""
        return depth_for(self.soil, self.dry_to, self.room, self.lacks, pace)

    def soak(self, pace: Pace) -> Soak:
        """The parts, litres, evaporation aside."""
        past = 0.0 if self.keeps else math.fsum(self.run(pace).past)
        litres = 1000.0 * self.floor
        return Soak(litres * self.dry, litres * self.moist, litres * past)


def wetting_of(box: Box, overrides: Mapping[str, float | str]) -> Wetting:
    """The soil of a box that stood dry, with some uncertain numbers chosen."""
    as_if = lambda soil: at_start(Trial.of(box, start=box.start.with_soil(soil)), overrides)  # noqa: E731
    dry, moist = as_if("dry"), as_if("drained-moist")
    keeps = box.enclosure.drainage is None and not box.enclosure.drain_hole
    return Wetting(dry_soil(box, overrides), dry.soil_water_m, moist.soil_water_m, moist.floor_m2, keeps)


def _members(box: Box, members: int, pace: Pace) -> EnsembleResults:
    """The parts of every member's soak at one pace, litres."""
    found = drawn_beside(ensemble(box, members), dry_soil_inputs(box))
    parts = np.full((len(PARTS), found.size), np.nan)
    hours = np.full(found.size, np.nan)
    failures = []
    for i, overrides in enumerate(found.overrides):
        try:
            member = wetting_of(changed(box, overrides), overrides)
        except DescriptionError as error:  # a member that is no possible box
            failures.append(Failure(i, " ".join(str(error).split())))
            continue
        soak = member.soak(pace)
        parts[:, i] = [getattr(soak, name) for name in PARTS]
        hours[i] = member.soil.wets_in_s(member.dry_to, SHUT) / HOUR_S
    dry, moist, past = parts
    results = {
        "litres": np.maximum(0.0, moist - dry) + past,
        "soil holds": moist,
        "hours to wet": hours,
        **dict(zip(PARTS, parts, strict=True)),
    }
    return fair(box, EnsembleResults(found, results, tuple(failures)))


def _middle(sample: EnsembleResults) -> Soak:
    """The parts behind the middle of the members: those of the two draws next to it (of one, where that is the middle).

    Middles of the parts would not add up to the middle of their sum; these do.
    """
    litres = sample.results["litres"]
    order = np.argsort(litres, kind="stable")[: int(np.isfinite(litres).sum())]
    n = len(order)
    middle = order[[(n - 1) // 2, n // 2]]
    return Soak(*(float(np.mean(sample.results[name][middle])) for name in PARTS))


def _by_portion(typical: Wetting, pace: Pace, soak: Soak) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Litres of each portion that the soil keeps, and that run past: as the typical soil shares them out."""
    seen = typical.run(pace)
    held, past = math.fsum(seen.held), math.fsum(seen.past)
    kept = tuple(soak.lacking * one / max(1e-30, held) for one in seen.held)
    return kept, tuple(soak.past * one / past if past > 0.0 else 0.0 for one in seen.past)


def _siphon_after(box: Box, past: tuple[float, ...]) -> int | None:
    """After how many portions the layer is as full as it may be; None where it takes all that runs past."""
    if box.enclosure.drainage is None:
        return None
    room = room_below_l(box)
    over = np.flatnonzero(np.cumsum(past) > room + 1e-9)
    return max(1, int(over[0])) if len(over) else None


def _wetted(typical: Wetting, sample: EnsembleResults, pace: Pace, soak: Soak) -> dict[str, float]:
    """How the mix takes it: shares of the first portion and of all at once, hours to wet with their range."""
    now = typical.run(pace)
    at_once = course(typical.soil, typical.dry_to, typical.room, typical.poured(pace), AT_ONCE)
    low, middle, high = sample.range_of("hours to wet")
    takes = (1.0 - typical.soil.refuses(typical.dry_to, 0.0)) * typical.soil.takes_m_s
    return {
        "first_held": round(now.first_held, 3),
        "at_once_held": round(at_once.first_held, 3),
        "at_once_past_l": round(soak.litres * (1.0 - at_once.first_held), 2),
        "hours_to_wet_low": round(low, 1),
        "hours_to_wet": round(middle, 1),
        "hours_to_wet_high": round(high, 1),
        "takes_mm_h": round(1000.0 * HOUR_S * takes, 1),
        "still_refuses": round(typical.soil.refuses(typical.dry_to, pace.lasts_s), 3),
    }


def _lacks_now(box: Box, soak: Soak) -> float:
    """What the soil lacks as the box is described [litres]."""
    now = at_start(box)
    return min(soak.lacking, max(0.0, soak.moist - 1000.0 * now.floor_m2 * now.soil_water_m))


def _sources(box: Box) -> tuple[str, ...]:
    found = []
    for name, _ in box.enclosure.porous_layers:
        entry = materials.get("substrates", name)
        found += [entry[prop].source for prop in ("theta_s", "refuses_dry", "wetting_hours") if prop in entry]
    return tuple(dict.fromkeys(found))
