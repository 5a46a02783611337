"""How much water on day one? From a box that stood dry to drained-moist soil: what the soil lacks and what runs past it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from terralab import materials
from terralab.answers.common.answer import Answer
from terralab.answers.common.balance import begun_as_kept, kept_dry, needed_ml
from terralab.answers.common.cautions import for_box
from terralab.answers.common.draws import Failure
from terralab.answers.common.ensemble import SETTLE_DAYS, EnsembleResults, fair
from terralab.answers.common.measure_next import measure_next
from terralab.answers.common.no_number import without_number
from terralab.answers.common.room_log import in_typical_room
from terralab.answers.common.seen_air import seen_air
from terralab.answers.soak.parts import Soak
from terralab.answers.soak.words import ASKED, SAFE_GAP_CM, reason_words, shedding, soak_statements
from terralab.describe.box import Box
from terralab.describe.needed import needs_box
from terralab.describe.routine import Pour
from terralab.describe.system import speaks_us
from terralab.describe.trial import Trial
from terralab.describe.wanted import soil_reason
from terralab.errors import DescriptionError, RunError
from terralab.quantities import quantity
from terralab.simulation.before_a_run import at_start
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_job
from terralab.uncertainty import ensemble
from terralab.uncertainty.overrides import changed
from terralab.uncertainty.sampling import MEMBERS, MOST_MEMBERS
from terralab.units import DAY_S
from terralab.validate import whole

FIRST_S = 9 * 3600.0
EVERY_S = 3 * 3600.0
PORTION_MM = 4.0  # mm of water a portion: a jug or so, spread over the floor (a choice)
MOST_PORTIONS = 12
CHECKED_DAYS = 3
CLOSE = 0.1  # of what the soil lacked: as near as it must come to drained-moist, evaporation aside
READS_THE_SOIL = ("pot of the mix weighed", "jar of the aggregate")
LEAST_L = 0.005  # litres: less is no soak
PARTS = ("dry", "moist", "past")


@in_typical_room
def first_soak(box: Box, *, members: int = MEMBERS) -> Answer:
    """Litres that bring `box`, stood dry, to drained-moist soil, poured in portions; an Answer in litres.

    value: the middle of `members` (2 to 8192) draws of what is uncertain about the soil, low and high the central
    80 % of them. It is what the soil lacks, plus what runs past a dry mix into the layer below. What evaporates meanwhile
    is left to the daily pour, so seasons do not differ. A run of three days with every number typical checks it: the
    soil must come within 10 % of drained-moist, evaporation aside, with the water below clear of the mesh (`reachable`).
    value is None for a box whose soil is to stay dry. details: the parts of the value, litres.
    """
    needs_box(box, "first_soak")
    members = whole("members", members, 2, MOST_MEMBERS)
    if kept_dry(box):
        dry = f"The soil of this box is to stay dry, {soil_reason(box)}, so there is nothing to soak."
        return _none(box, None, f"Soak nothing: the soil of this box is to stay dry, {soil_reason(box)}.", dry)
    sample = _members(box, members)
    low, _, high = sample.range_of("litres")
    soak = _middle(sample)
    litres = soak.litres
    if litres < LEAST_L:
        why = "The soil lacks nothing: water stands above the mesh and it draws that up by itself."
        return _none(box, 0.0, "Soak nothing: the soil draws up the water that stands above the mesh.", why)
    portions = _portions(box, litres)
    typical = soak_of(box, {})
    check = _checked(box, typical, litres, portions)
    gap = check.gap_cm
    near = gap is not None and gap < SAFE_GAP_CM
    seen = None if check.record is None else seen_air(check.record)
    one = {"value": round(litres, 2), "low": round(low, 2), "high": round(high, 2), "portions": portions}
    answer = Answer(
        us=speaks_us(box),
        question="first soak",
        value=one["value"],
        low=one["low"],
        high=one["high"],
        unit="litres",
        reason=reason_words(soak),
        seasons={"winter": one, "summer": dict(one)},
        spread=sample.spread(typical.litres),
        measure_next=measure_next(sample, "litres", "litres", READS_THE_SOIL),
        window={
            "portions": portions,
            "portion_ml": round(1000 * litres / portions),
            "gap_cm": gap,
        },
        details={
            "dry_l": round(soak.dry, 3),
            "moist_l": round(soak.moist, 3),
            "lacking_l": round(soak.lacking, 3),
            "runs_past_l": round(soak.past, 3),
            "evaporates_meanwhile_ml_a_day": check.evaporates_ml,
            "unchecked": check.unrun,
        },
        assumptions=(
            "The soil stood dry for months (its pores at 70 % humidity)."
            + (
                ""
                if box.start.soil == "dry"
                else f" Your description starts it {box.start.soil}; the soak is for a dry one."
            ),
            "Watered and drained: wetted through, then drained to rest above the mesh.",
            f"How many portions is a choice: about {quantity('mm', 'g', PORTION_MM)} of water on the soil at a time, in at most "
            f"{MOST_PORTIONS} portions.",
            *(("The water below comes near the mesh: siphon between portions.",) if near else ()),
        ),
        cautions=(*shedding(box), *for_box(box, "soak")),
        record=check.record,
        **({} if seen is None else seen.fields()),
        sample=sample,
        reachable=None if check.record is None else check.moist and not near,
        sources=tuple(
            f"{name}: {materials.get('substrates', name)['theta_s'].source}" for name, _ in box.enclosure.porous_layers
        ),
    )
    verdict, statements = soak_statements(answer, box, seen)
    return replace(answer, verdict=verdict, statements=statements)


def _none(box: Box, litres: float | None, do: str, reason: str) -> Answer:
    """The answer for a box that is not to be soaked: None litres where it is to stay dry, 0 where nothing is lacking."""
    record = run_job(Job(begun_as_kept(box), SETTLE_DAYS))
    return without_number(box, "soak", "first soak", "litres", ASKED, do, "None.", reason, record, value=litres)


def soak_of(box: Box, overrides: Mapping[str, float | str]) -> Soak:
    """The parts of the soak of a box, with some uncertain numbers chosen."""
    as_if = lambda soil: at_start(Trial.of(box, start=replace(box.start, soil=soil)), overrides)  # noqa: E731
    dry, moist = as_if("dry"), as_if("drained-moist")
    past = 0.0
    if moist.has_reservoir:  # on a sealed floor it gathers at the foot of the soil, and so in it
        past = run_past_m(moist.sheds, moist.sheds_below, moist.deep_m, dry.soil_water_m, moist.soil_water_m)
    litres = 1000.0 * moist.floor_m2
    return Soak(litres * dry.soil_water_m, litres * moist.soil_water_m, litres * past)


def run_past_m(share: float, below: float, depth: float, dry: float, moist: float) -> float:
    """Water [m] that runs past a repellent mix while it is wetted from `dry` to `moist` [m of water in `depth` m].

    The run lets a share f = `share` (1 - x)^2 of each pour run past (`engine.ground.bypass`), x being the mean water
    content over `below` [m3/m3], and the mix keeps the rest. So past = depth below integral of f / (1 - f) dx, up to
    x = 1. No pace comes into it.
    """
    if share <= 0.0 or below <= 0.0:
        return 0.0
    root = math.sqrt(share)
    missing = lambda held: min(1.0 - 1e-9, max(0.0, 1.0 - held / depth / below))  # noqa: E731
    whole = lambda y: math.atanh(root * y) / root - y  # noqa: E731
    return depth * below * max(0.0, whole(missing(dry)) - whole(missing(moist)))


def _members(box: Box, members: int) -> EnsembleResults:
    """The parts of every member's soak, litres."""
    found = ensemble(box, members)
    parts = np.full((len(PARTS), found.size), np.nan)
    failures = []
    for i, overrides in enumerate(found.overrides):
        try:
            soak = soak_of(changed(box, overrides), overrides)
        except DescriptionError as error:  # a member that is no possible box
            failures.append(Failure(i, " ".join(str(error).split())))
            continue
        parts[:, i] = [getattr(soak, name) for name in PARTS]
    dry, moist, past = parts
    results = {
        "litres": np.maximum(0.0, moist - dry) + past,
        "soil holds": moist,
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


def _portions(box: Box, litres: float) -> int:
    return int(min(MOST_PORTIONS, max(1, np.ceil(litres / (PORTION_MM * box.enclosure.soil_area_m2)))))


@dataclass(frozen=True, eq=False)
class _Check:
    """What a run of the typical box with the soak shows: whether the soil is moist then, the smallest gap under the mesh
    [cm], what evaporates [ml a day]; or why it could not be run.
    """

    record: Record | None = None
    moist: bool = False
    gap_cm: float | None = None
    evaporates_ml: float | None = None
    unrun: str = ""


def _checked(box: Box, typical: Soak, litres: float, portions: int) -> _Check:
    try:
        record = _poured(box, litres, portions)
    except RunError as error:
        return _Check(unrun=error.why)  # the litres themselves need no run
    evaporated = max(0.0, CHECKED_DAYS * float(needed_ml(record, np.arange(1, len(record.times_s)))) / 1000.0)
    left = float(record.series["soil water ml"][-1]) / 1000.0
    short = typical.moist - left - evaporated - max(0.0, typical.litres - litres)
    gap = round(float(np.min(record.gap_below_mesh_cm)), 1) if record.has_reservoir else None
    return _Check(record, short <= CLOSE * typical.lacking, gap, round(1000.0 * evaporated / CHECKED_DAYS, 1))


def _poured(box: Box, litres: float, portions: int) -> Record:
    """A run of three days with the portions on the first."""
    each = 1000.0 * litres / portions
    every = float(int(min(EVERY_S, (DAY_S - FIRST_S) / portions)))
    pours = tuple(
        Pour(time_s=FIRST_S + i * every, amount_ml=each, over_min=max(5.0, each / 100.0), every_days=365)
        for i in range(portions)
    )
    routine = replace(box.routine, pours=pours, siphons=())
    return run_job(Job(Trial.of(box, start=replace(box.start, soil="dry"), routine=routine), CHECKED_DAYS))
