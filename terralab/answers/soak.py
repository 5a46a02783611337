"""How much water on day one? From a box that stood dry to drained-moist soil, in portions, without flooding."""

from __future__ import annotations

import warnings
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from terralab import materials
from terralab.answers.answer import Answer
from terralab.answers.balance import kept_dry
from terralab.answers.cautions import for_box
from terralab.answers.heat_words import before_answer, first_lines, heat_fields, warmth_line
from terralab.answers.measure import measure_next, measure_sentence
from terralab.answers.sample import Sample
from terralab.answers.temperature import heat_of
from terralab.answers.words import ml as said
from terralab.describe.box import Box
from terralab.describe.routine import Pour
from terralab.describe.wanted import soil_reason
from terralab.engine.layout import layers_of
from terralab.engine.pack import pack
from terralab.errors import DescriptionError, TerralabWarning
from terralab.record import Record
from terralab.seasons import room_of
from terralab.simulate import Job, run_job
from terralab.uncertain import ensemble
from terralab.uncertain.chosen import changed
from terralab.uncertain.members import MEMBERS

FIRST_S = 9 * 3600.0
EVERY_S = 3 * 3600.0
PORTION_MM = 4.0  # mm of water a portion: a jug or so, spread over the floor (a choice)
MOST_PORTIONS = 12
SAFE_GAP_CM = 1.0
CLOSE = 0.1  # of what the soil lacked: as near as it must come to drained-moist
LEAST_LITRES = 0.05
KEPT_DRY = (
    "The soil of this box is to stay dry, {why}, so there is nothing to soak. The litres below are what it would take to "
    "make it moist once."
)
READS_THE_SOIL = ("pot of the mix weighed", "jar of the aggregate")


def first_soak(box: Box, *, members: int = MEMBERS) -> Answer:
    """Litres that bring `box`, stood dry, to drained-moist soil, poured in portions; an Answer in litres.

    value: the middle of `members` (2 to 8192) draws of what is uncertain about the soil, low and high the central
    80 % of them. It is what the soil lacks, plus what runs past a dry mix, checked by a run of three days with every
    number typical: the soil must end within 10 % of the water it holds when drained, with the reservoir below the mesh.
    """
    typical = _topped_up(box, "now")
    sample = _members(box, typical["litres"] / max(1e-9, typical["moist"] - typical["dry"]), members)
    low, litres, high = sample.range_of("litres")
    now = _checked(box, "now", litres)
    seasons = {}
    for season in ("winter", "summer"):
        found = _topped_up(box, season)
        share = found["litres"] / typical["litres"]
        seasons[season] = {
            "value": round(share * litres, 2),
            "low": round(share * low, 2),
            "high": round(share * high, 2),
            "portions": _portions(box, share * litres),
        }
    record: Record = now["record"]
    repellent = [
        name for name, _ in layers_of(box.enclosure) if materials.get("substrates", name)["bypass_share"].high > 0
    ]
    cautions = [*for_box(box, "soak")]
    if repellent:
        cautions.insert(
            0,
            f"Dry {' and '.join(repellent)} may shed water: it runs past the mix into the drainage layer. Pour slowly, wait, "
            "or use a fine spray first; stop and siphon if the water below rises fast.",
        )
    reason = (
        f"Dry, the soil holds {now['dry']:.1f} litres; watered and drained it holds {now['moist']:.1f} litres. "
        f"The difference is poured in {now['portions']} portions, {now['apart']} apart, so that each can soak in."
    )
    answer = Answer(
        question="first soak",
        value=round(litres, 2),
        low=round(low, 2),
        high=round(high, 2),
        unit="litres",
        reason=reason,
        seasons=seasons,
        spread=sample.spread(typical["litres"]),
        measure_next=measure_next(sample, "litres", "litres", READS_THE_SOIL),
        window={
            "portions": now["portions"],
            "portion_ml": round(1000 * litres / now["portions"]),
            "gap_cm": now["gap"],
        },
        assumptions=(
            "The soil stood dry for months (its pores at 70 % humidity).",
            "Watered and drained: wetted through, then drained to rest above the mesh.",
            "What runs past a dry mix is taken as typical; the range is that of what the soil can hold.",
            *now["note"],
        ),
        cautions=tuple(cautions),
        record=record,
        sample=sample,
        reachable=now["good"],
        sources=tuple(
            f"{name}: {materials.get('substrates', name)['theta_s'].source}" for name, _ in layers_of(box.enclosure)
        ),
    )
    heat = heat_of(record)
    first = first_lines(box, heat)
    if kept_dry(box):
        first = (*first, KEPT_DRY.format(why=soil_reason(box)))
    lines = (*_sentences(answer, box, now), f"  {warmth_line(heat)}")
    return replace(answer, sentences=before_answer(lines, first), **heat_fields(heat, first))


def _wet_and_dry(box: Box, choose: Mapping[str, float | str]) -> tuple[float, float]:
    """Litres the soil holds dry and drained-moist."""
    out = []
    room = room_of(box, "now")
    for state in ("dry", "drained-moist"):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", TerralabWarning)
            w = pack(replace(box, start=replace(box.start, soil=state)), room, 1, choose)
        out.append(float(w.water[:-1].sum() * w.box[0]["floor"] * 1000.0))
    return out[0], out[1]


def _members(box: Box, past: float, members: int) -> Sample:
    """What each member's soil lacks [litres], times `past` for what runs past it, and what it holds when drained."""
    found = ensemble(box, members)
    held = np.full((found.size, 2), np.nan)
    for i, choose in enumerate(found.choose):
        try:
            held[i] = _wet_and_dry(changed(box, choose), choose)
        except DescriptionError:
            continue  # a member that is no possible box
    lacking = np.maximum(0.0, held[:, 1] - held[:, 0])
    return Sample(found, {"litres": np.maximum(LEAST_LITRES, past * lacking), "soil holds": held[:, 1]})


def _topped_up(box: Box, season: str) -> dict:
    """What the typical soil lacks and holds, and the litres that bring it there when poured."""
    dry, moist = _wet_and_dry(box, {})
    litres = max(LEAST_LITRES, moist - dry)
    for _ in range(3):
        _, left, _ = _poured(box, season, litres, _portions(box, litres))
        missing = moist - left
        if missing <= CLOSE * (moist - dry):
            break
        litres += missing
    return {"litres": litres, "dry": dry, "moist": moist}


def _checked(box: Box, season: str, litres: float) -> dict:
    """The typical box with so many litres poured: is its soil moist then, and how near does the water come."""
    dry, moist = _wet_and_dry(box, {})
    portions = _portions(box, litres)
    record, left, gap = _poured(box, season, litres, portions)
    near = record.has_reservoir and gap < SAFE_GAP_CM
    return {
        "portions": portions,
        "record": record,
        "dry": dry,
        "moist": moist,
        "gap": None if gap is None else round(gap, 1),
        "apart": _hours_in_words(_spacing_s(portions)),
        "good": bool(moist - left <= CLOSE * (moist - dry) and not near),
        "note": (f"The water below comes within {gap:.1f} cm of the mesh: siphon between portions.",) if near else (),
    }


def _portions(box: Box, litres: float) -> int:
    return int(min(MOST_PORTIONS, max(1, np.ceil(litres / (PORTION_MM * box.enclosure.floor_area_m2)))))


def _poured(box: Box, season: str, litres: float, portions: int) -> tuple[Record, float, float]:
    """A run of three days with the portions on the first: the record, litres in the soil at its end, smallest gap [cm]."""
    each = 1000.0 * litres / portions
    every = _spacing_s(portions)
    pours = tuple(
        Pour(time_s=FIRST_S + i * every, amount_ml=each, over_min=max(5.0, each / 100.0), every_days=365)
        for i in range(portions)
    )
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        wet = replace(box, start=replace(box.start, soil="dry"), routine=replace(box.routine, pours=pours, siphons=()))
    record = run_job(Job(wet, 3, season))
    soil = record.series["soil water ml"][-1] / 1000.0
    gap = float(np.min(record.gap_below_mesh_cm)) if record.has_reservoir else None
    return record, float(soil), gap


def _hours_in_words(seconds: float) -> str:
    hours = seconds / 3600.0
    return f"{hours:.0f} hours" if hours >= 1.9 else f"{5 * round(seconds / 300.0):.0f} minutes"


def _spacing_s(portions: int) -> float:
    """Seconds between portions: three hours, or less so that all fall on the first day."""
    return float(int(min(EVERY_S, (86400.0 - FIRST_S) / portions)))


def _sentences(a: Answer, box: Box, now: dict) -> tuple[str, ...]:
    lines = [
        f"{box.name}: how much water on day one?",
        f"  {a.value:.1f} litres (likely between {a.low:.1f} and {a.high:.1f}), in {now['portions']} portions of about "
        f"{said(1000 * a.value / now['portions'])}, {now['apart']} apart or as slowly as they soak in.",
        f"  Why: {a.reason}",
    ]
    if a.measure_next:
        lines.append(f"  What to measure next: {measure_sentence(a.measure_next)}")
    if now["record"].has_reservoir:
        lines.append(
            f"  The water below the mesh comes no nearer than {now['gap']:.1f} cm."
            if now["gap"] >= SAFE_GAP_CM
            else f"  Watch the water below: it comes within {now['gap']:.1f} cm of the mesh. Siphon between portions."
        )
    else:
        lines.append(
            "  There is no reservoir: what the soil cannot hold stays in its bottom. Stop when the bottom is dark."
        )
    if len({tuple(s.values()) for s in a.seasons.values()}) == 1:
        lines.append("  Winter and summer make no difference.")
    else:
        lines.append(
            "  By season: "
            + "; ".join(
                f"{season} {s['value']:.1f} litres (likely {s['low']:.1f} to {s['high']:.1f})"
                for season, s in a.seasons.items()
            )
            + "."
        )
    lines.append("  Taken for granted: " + " ".join(a.assumptions))
    lines.append("  Take care: " + " ".join(a.cautions))
    return tuple(lines)
