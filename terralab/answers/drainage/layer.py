"""How deep a drainage layer, and when to siphon? Depth for this routine, the course of the gap, and other bottoms beside it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, replace

from terralab import materials
from terralab.answers.common.answer import Answer
from terralab.answers.common.balance import begun_as_kept
from terralab.answers.common.cautions import for_box
from terralab.answers.common.fair_rows import fair_rows_min
from terralab.answers.common.measure_next import measure_next
from terralab.answers.common.no_number import without_number
from terralab.answers.common.recommended import described_ml, recommended, with_recommended
from terralab.answers.common.room_log import in_typical_room
from terralab.answers.common.rounding import jug
from terralab.answers.common.seen_air import seen_air
from terralab.answers.common.statement import Kind, state
from terralab.answers.common.words import ml
from terralab.answers.drainage.bottoms import (
    DAYS,
    OVER_MM,
    compare,
    has_room,
    layer_of,
    over_ml,
    overwatered,
    with_bottom,
)
from terralab.answers.drainage.sizing import (
    SIZED_BY,
    course,
    fill_litres,
    mishaps,
    siphon_plan,
    siphon_rule,
    sized,
    wettest,
)
from terralab.answers.drainage.statements import (
    ASKED,
    DESCRIBED,
    RECOMMENDED,
    drainage_statements,
    pour_words,
    reason_words,
)
from terralab.answers.drainage.weight import weight
from terralab.describe.box import Box
from terralab.describe.needed import needs_box
from terralab.describe.seasons import SEASONS
from terralab.describe.system import speaks_us
from terralab.errors import UnknownName
from terralab.quantities import quantity
from terralab.simulation.simulate import Job, run_job
from terralab.uncertainty.sampling import MEMBERS, MOST_MEMBERS
from terralab.validate import whole


@in_typical_room
def drainage(box: Box, *, members: int = SIZED_BY, pour: str = RECOMMENDED, pour_members: int = MEMBERS) -> Answer:
    """Depth [cm] of the drainage layer that `box` needs for its routine, as an Answer; 0 where none is needed.

    The layer must hold what comes down in a month without siphoning, one over-watering in it, and keep clear of the
    mesh. value, low, high: middle and 80 % of the members, rounded up to half a centimetre. window: when to siphon, to
    what level, how many litres. details: the gap week by week by season, mishaps, litres that fit, weight. table: other
    bottoms for the same box (`bottoms.BottomRow`). `members` (2 to 8192): draws of everything uncertain behind the
    depth; half as many stand behind the course of the gap. `pour`: "recommended", what `daily_water` says for each room
    from `pour_members` draws, or "described", that of the routine. value is None where the box has no layer and none fits.
    """
    needs_box(box, "drainage")
    members = whole("members", members, 2, MOST_MEMBERS)
    pour_members = whole("pour_members", pour_members, 2, MOST_MEMBERS)
    poured = _poured(box, pour, pour_members)
    likely = recommended(box, "now", pour_members).sample.results if pour == RECOMMENDED else None
    box = poured["now"]
    if not has_room(box):
        return _no_room(box)
    season = wettest(poured)
    found = sized(poured[season], season, members)
    over_l = over_ml(box) / 1000.0
    hole = box.enclosure.drain_hole and box.enclosure.drainage is None
    needless = found.nothing or hole
    rule = siphon_rule(box, found)
    courses = {} if needless else {s: course(poured[s], s, rule, max(2, members // 2)) for s in ("winter", "summer")}
    rows, left_out = compare(box, short=needless)
    heavy = weight(box)
    details = {
        "wettest_season": season,
        "pour": pour,
        "pour_ml_per_day": {s: jug(described_ml(one)) for s, one in poured.items()},
        "comes_down_l": dict(zip(("low", "middle", "high"), (round(x, 2) for x in found.down_l), strict=True)),
        "keep_clear_cm": round(found.clear_cm, 2),
        "over_watering_l": round(over_l, 2),
        "gap_cm_by_week": {s: asdict(c) for s, c in courses.items()},
        "weight_kg": {name: round(v, 2) for name, v in asdict(heavy).items()},
    }
    plan: dict = {}
    if not needless:
        below, soil = fill_litres(box)
        details |= {"mishaps": mishaps(box), "fits_l": {"under the mesh": below, "then in the soil": soil}}
        plan = siphon_plan(rule, courses)
    low, middle, high = (0.0, 0.0, 0.0) if needless else found.depth_cm
    record = run_job(_shown(box, needless))
    seen = seen_air(record, likely=likely)
    answer = Answer(
        us=speaks_us(box),
        question="drainage layer",
        value=middle,
        low=low,
        high=high,
        unit="cm of drainage layer",
        reason=reason_words(box, found, season, over_l),
        window=plan,
        spread={
            **found.sample.spread(found.typical_cm),
            "members_of_the_gap": {season: c.members for season, c in courses.items()},
        },
        details=details,
        measure_next=() if needless else measure_next(found.sample, "down", "litres that come down in a month"),
        table=tuple(asdict(row) for row in rows),
        assumptions=_assumptions(box, details),
        sources=_sources(box),
        cautions=for_box(box, "drainage"),
        record=record,
        **seen.fields(),
    )
    verdict, statements = drainage_statements(answer, box, seen, courses, rows, left_out, heavy)
    return replace(answer, verdict=verdict, statements=statements)


def _shown(box: Box, needless: bool) -> Job:
    """The run behind the first row of the comparison, so that what is drawn is what is printed; or the box as it is."""
    shown = box if needless else overwatered(with_bottom(box, layer_of(box)))
    return Job(shown, DAYS, accuracy="preview", record_every_min=fair_rows_min(shown, 60.0))


def _no_room(box: Box) -> Answer:
    """The answer for a box without a layer, under whose soil none fits."""
    low = any(o.wall != "lid" for o in box.enclosure.openings)
    least = quantity("cm", "g", 2.0)
    reason = (
        f"The box has no drainage layer, and none of {least} or more fits: "
        + ("it would lift the soil over the lowest opening. " if low else "it would lift the soil too near the lid. ")
        + "Without one, what drains stays in the lowest soil"
        + (" or leaves by the drain hole." if box.enclosure.drain_hole else ", so water little and often.")
        + " Ask again with less soil if you want a layer."
    )
    then = "Keep the saucer empty" if box.enclosure.drain_hole else "Water little and often"
    heavy = weight(box)
    return without_number(
        box,
        "drainage",
        "drainage layer",
        "cm of drainage layer",
        ASKED,
        f"{then}: no drainage layer of {least} or more fits under the soil of this glass.",
        "No layer fits.",
        reason,
        run_job(Job(box, DAYS, accuracy="preview", record_every_min=fair_rows_min(box, 60.0))),
        more=tuple(state(Kind.WEIGHT, heavy.sentence())),
        details={"weight_kg": {name: round(v, 2) for name, v in asdict(heavy).items()}},
    )


def _poured(box: Box, pour: str, members: int) -> dict[str, Box]:
    """The box for each season, held at the moisture wanted, with the pour of that season."""
    if not isinstance(pour, str) or pour not in (RECOMMENDED, DESCRIBED):
        raise UnknownName.among("pour", pour, (RECOMMENDED, DESCRIBED))
    if pour == DESCRIBED:
        return dict.fromkeys(SEASONS, begun_as_kept(box))
    return {season: with_recommended(box, season, members) for season in SEASONS}


def _assumptions(box: Box, details: Mapping) -> tuple[str, ...]:
    out = [
        f"{pour_words(details, box)}. All else is as described. One over-watering is a week's water at once, at least "
        f"{quantity('mm', 'g', OVER_MM)} over the soil ({ml(1000.0 * details['over_watering_l'])} here). The layer should bear a month without siphoning. Both are choices.",
        "Ranges hold 80 % of the cases drawn from all uncertain numbers; the comparison has typical numbers in every row.",
        "The floor is level. Roots do not reach into the layer, and no soil has washed into it: either is a wick.",
    ]
    if box.enclosure.drainage is None:
        out.append(
            f"The description has no layer; {quantity('cm', 'g', layer_of(box).depth_cm)} of {layer_of(box).material} stand for one."
        )
    return tuple(out)


def _sources(box: Box) -> tuple[str, ...]:
    stones = materials.get("aggregates", layer_of(box).material)
    return (
        *(
            f"{stones.name}, {prop}: {stones[prop].source} (grade {stones[prop].grade})"
            for prop in ("void_fraction", "capillary_rise", "entry_suction")
        ),
        "coarse layers under pots: Rowe 2025, PLoS ONE 20:e0318716; depth and air: Bilderback & Fonteno 1987, J. Environ. "
        "Hort. 5:180-182; Owen & Altland 2008, HortScience 43:505-508",
    )
