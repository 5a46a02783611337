"""How much water on day one? From a box that stood dry to drained-moist soil: what the soil lacks and what runs past it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from terralab import materials, wording
from terralab.answers.common.answer import Answer
from terralab.answers.common.balance import begun_as_kept, kept_dry, needed_ml
from terralab.answers.common.cautions import for_box
from terralab.answers.common.draws import Failure, left_out_words
from terralab.answers.common.ensemble import SETTLE_DAYS, EnsembleResults, fair
from terralab.answers.common.heat_words import before_answer, first_lines, heat_fields, warmth_line
from terralab.answers.common.measure_next import measure_next, measure_sentence
from terralab.answers.common.optional import known
from terralab.answers.common.room_log import in_typical_room
from terralab.answers.common.temperature import heat_of
from terralab.answers.common.words import likely
from terralab.answers.common.words import ml as said
from terralab.describe.box import Box
from terralab.describe.needed import needs_box
from terralab.describe.routine import Pour
from terralab.describe.trial import Trial
from terralab.describe.wanted import soil_reason
from terralab.errors import DescriptionError, RunError
from terralab.simulation.before_a_run import at_start
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_job
from terralab.uncertainty import ensemble
from terralab.uncertainty.overrides import changed
from terralab.uncertainty.sampling import MEMBERS, MOST_MEMBERS
from terralab.validate import whole

FIRST_S = 9 * 3600.0
EVERY_S = 3 * 3600.0
PORTION_MM = 4.0  # mm of water a portion: a jug or so, spread over the floor (a choice)
MOST_PORTIONS = 12
CHECKED_DAYS = 3
SAFE_GAP_CM = 1.0
CLOSE = 0.1  # of what the soil lacked: as near as it must come to drained-moist, evaporation aside
READS_THE_SOIL = ("pot of the mix weighed", "jar of the aggregate")
LEAST_L = 0.005  # litres: less is no soak
FINE_BELOW_L = 2.0  # litres below which hundredths are said
PARTS = ("dry", "moist", "past")


@dataclass(frozen=True)
class Soak:
    """What a soak is made of [litres]: the soil's water when dry and when watered and drained, and what runs past it."""

    dry: float
    moist: float
    past: float

    @property
    def lacking(self) -> float:
        """What the dry soil lacks."""
        return max(0.0, self.moist - self.dry)

    @property
    def litres(self) -> float:
        """What is to be poured."""
        return self.lacking + self.past


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
        return _none(
            box, None, f"The soil of this box is to stay dry, {soil_reason(box)}, so there is nothing to soak."
        )
    sample = _members(box, members)
    low, _, high = sample.range_of("litres")
    soak = _middle(sample)
    litres = soak.litres
    if litres < LEAST_L:
        return _none(box, 0.0, "The soil lacks nothing: water stands above the mesh and it draws that up by itself.")
    portions = _portions(box, litres)
    typical = soak_of(box, {})
    check = _checked(box, typical, litres, portions)
    gap = check.gap_cm
    near = gap is not None and gap < SAFE_GAP_CM
    one = {"value": round(litres, 2), "low": round(low, 2), "high": round(high, 2), "portions": portions}
    answer = Answer(
        question="first soak",
        value=one["value"],
        low=one["low"],
        high=one["high"],
        unit="litres",
        reason=_reason(box, soak),
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
            "How many portions is a choice: a few millimetres of water on the soil at a time.",
            *(("The water below comes near the mesh: siphon between portions.",) if near else ()),
        ),
        cautions=(*_shedding(box), *for_box(box, "soak")),
        record=check.record,
        sample=sample,
        reachable=None if check.record is None else check.moist and not near,
        sources=tuple(
            f"{name}: {materials.get('substrates', name)['theta_s'].source}" for name, _ in box.enclosure.porous_layers
        ),
    )
    if check.record is None:
        return replace(answer, sentences=_sentences(answer, box))
    heat = heat_of(check.record)
    first = first_lines(box, heat)
    lines = (*_sentences(answer, box), f"  {warmth_line(heat)}")
    return replace(answer, sentences=before_answer(lines, first), **heat_fields(heat, first))


def _none(box: Box, litres: float | None, reason: str) -> Answer:
    """The answer for a box that is not to be soaked: None litres where it is to stay dry, 0 where nothing is lacking."""
    heat = heat_of(run_job(Job(begun_as_kept(box), SETTLE_DAYS)))
    first = first_lines(box, heat)
    lines = (f"{box.name}: how much water on day one?", f"  None. {reason}", f"  {warmth_line(heat)}")
    return Answer(
        question="first soak",
        value=litres,
        low=litres,
        high=litres,
        unit="litres",
        reason=reason,
        cautions=for_box(box, "soak"),
        sentences=before_answer(lines, first),
        **heat_fields(heat, first),
    )


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
    return int(min(MOST_PORTIONS, max(1, np.ceil(litres / (PORTION_MM * box.enclosure.floor_area_m2)))))


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
    every = float(int(min(EVERY_S, (86400.0 - FIRST_S) / portions)))
    pours = tuple(
        Pour(time_s=FIRST_S + i * every, amount_ml=each, over_min=max(5.0, each / 100.0), every_days=365)
        for i in range(portions)
    )
    routine = replace(box.routine, pours=pours, siphons=())
    return run_job(Job(Trial.of(box, start=replace(box.start, soil="dry"), routine=routine), CHECKED_DAYS))


def _shedding(box: Box) -> tuple[str, ...]:
    """The caution about mixes that may shed water when dry."""
    mixes = [name for name, _ in box.enclosure.porous_layers]
    repellent = [name for name in mixes if materials.get("substrates", name)["bypass_share"].high > 0]
    if not repellent:
        return ()
    layer = box.enclosure.drainage is not None
    where = "into the drainage layer" if layer else "to the bottom"
    then = "use a fine spray first, and siphon if the water below rises fast" if layer else "and use a fine spray first"
    return (
        f"Dry {' and '.join(dict.fromkeys(repellent))} may shed water: it runs past the mix {where}. Wait between portions, "
        f"{then} (common practice, no source; the pace is not computed, "
        "so the litres are the same however fast you pour).",
    )


def _amount(litres: float, of: float) -> str:
    """Litres as said beside an answer of so many: tenths, or hundredths where that is little."""
    return f"{litres:.{_digits(of)}f}"


def _digits(of: float) -> int:
    return 1 if of >= FINE_BELOW_L else 2


def _reason(box: Box, soak: Soak) -> str:
    """The parts in words, rounded so that what is read adds up."""
    digits = _digits(soak.litres)
    total, dry = round(soak.litres, digits), round(soak.dry, digits)
    past = min(round(soak.past, digits), total)
    lacking = total - past
    said = lambda litres: f"{litres:.{digits}f} litres"  # noqa: E731
    first = (
        f"Dry, the soil holds {said(dry)}; watered and drained it holds {said(dry + lacking)}. The difference, "
        f"{said(lacking)}, is what it lacks."
    )
    if past > 0.0:
        return f"{first} Another {said(past)} run past the dry mix into the layer below, which makes {said(total)} together."
    return first


def _sentences(a: Answer, box: Box) -> tuple[str, ...]:
    w = a.window
    low, middle, high = (_amount(x, a.value) for x in (a.low, a.value, a.high))
    portions = "at once" if w["portions"] == 1 else f"in {w['portions']} portions of about {said(w['portion_ml'])}"
    lines = [
        f"{box.name}: how much water on day one?",
        f"  {middle} litres ({likely(low, high)}), {portions}, all over the soil.",
        f"  Why: {a.reason}",
    ]
    if a.spread["failed"]:
        lines.append(f"  {left_out_words(a.spread)}")
    if a.measure_next:
        lines.append(f"  What to measure next: {measure_sentence(a.measure_next)}")
    if a.details["unchecked"]:
        layer = box.enclosure.drainage is not None
        watch = "Watch the water below as you pour." if layer else "Stop when the bottom is dark."
        lines.append(f"  A run could not check this, since {a.details['unchecked']}. {watch}")
    elif box.enclosure.drainage is None:
        does = "runs out of the drain hole" if box.enclosure.drain_hole else "stays in its bottom"
        lines.append(f"  There is no reservoir: what the soil cannot hold {does}. Stop when the bottom is dark.")
    elif w["gap_cm"] >= SAFE_GAP_CM:
        lines.append(f"  The water below the mesh comes no nearer than {w['gap_cm']:.1f} cm.")
    else:
        near = wording.gap(w["gap_cm"])
        comes = f"rises to {near.removeprefix('at ')}" if "mesh" in near else f"comes within {near} of the mesh"
        lines.append(f"  Watch the water below: it {comes}. Siphon between portions.")
    evaporates = a.details["evaporates_meanwhile_ml_a_day"]
    about = f", about {said(evaporates)} a day in the room as described," if known(evaporates) else ""
    lines.append(
        f"  Winter and summer make no difference: what evaporates meanwhile{about} is for the daily pour (terralab water)."
    )
    lines.append("  Taken for granted: " + " ".join(a.assumptions))
    lines.append("  Take care: " + " ".join(a.cautions))
    return tuple(lines)
