"""The comparison of bottoms as a text table, and what is to be seen in it, as sentences."""

from __future__ import annotations

from terralab import wording
from terralab.answers.common.rounding import jug
from terralab.answers.common.statement import Kind, Statement, View, state
from terralab.answers.common.words import ml
from terralab.answers.drainage.bottoms import BottomKind, BottomRow, wick_cm2
from terralab.describe.box import Box
from terralab.quantities import column, quantity, unit_word

MOST_OF_A_DAY_H = 12.0
ALL_DAY_H = 23.0
SAME_BAND_CM = 0.2  # wet bands that differ by less are said to be alike
_NAME = 28


def table(rows: list[BottomRow]) -> list[Statement]:
    """The comparison as lines of even width, and what its columns mean."""
    cm, water = unit_word("cm"), unit_word("ml")
    heading = (
        f"{'':<{_NAME}}   air %   wet  airless     room {column(f'rises {water}/d', 12)}",
        f"{'':<{_NAME}} top low {column(cm, 5)}  top low     left vapour cont.",
    )
    out = state(
        Kind.TABLE,
        "Bottoms compared, typical numbers: 4 weeks of the routine without siphoning, one over-watering on the first day.",
        under=(*heading, *(_line(row) for row in rows)),
        views=View.ALL,
    )
    return out + state(
        Kind.LEGEND,
        f"(air: % of volume in the top and the lowest third, last week. wet: the wet band ({cm}), soil under 10 % air. "
        "airless: hours a day in which that third has under 10 %. room left: what still fits under the mesh. contact, or by a "
        "wick: rises by night, most of it drained that day; where water stands over the mesh little moves, as the soil is "
        "full. Vapour below 0: the layer takes it up from the soil. --json has the middle third, and what drains, too.)",
        views=View.ALL,
    )


def _line(r: BottomRow) -> str:
    room, vapour, contact = "-", "-", "-"
    if r.reserve_l is not None:
        room = quantity("l", ".1f", r.reserve_l)
        vapour = quantity("ml", ".1f", r.vapour_ml_per_day, bare=True)
        contact = quantity("ml", ".0f", jug(r.contact_ml_per_day + r.wick_ml_per_day), bare=True)
    band = quantity("cm", ".1f", r.wet_band_cm, bare=True)
    return (
        f"{column(wording.cut(r.name, _NAME), _NAME, '<')} {r.air_percent[0]:3.0f} {r.air_percent[2]:3.0f} {column(band, 5)} "
        f"{r.airless_hours[0]:4.0f} {r.airless_hours[2]:3.0f} {column(room, 8)} {column(vapour, 6)} {column(contact, 5)}"
    )


def touch_words(rows: list[BottomRow]) -> str:
    """What happens once water touches the mesh, from the rows of the comparison; "" where they are missing."""
    touching = _of_kind(rows, BottomKind.AT_MESH)
    if touching is None:
        return ""
    apart = rows[0]
    band = wording.instead_of("cm", ".1f", touching.wet_band_cm, apart.wet_band_cm)
    air = wording.instead_of("%", ".0f", touching.air_percent[2], apart.air_percent[2], " air")
    return (
        "Once water touches the mesh it is a step, not a slope: it feeds the soil day and night, and the next over-watering has "
        f"no room below: four weeks after one the wet band is {band}, the bottom third has {air}."
    )


def foot_words(rows: list[BottomRow]) -> str:
    """That the lowest third lacks air, and what changes that, where it does for most of the day; else ""."""
    if not lacks_air(rows):
        return ""
    r = rows[0]
    hours = r.airless_hours[2]
    span = "all day" if hours > ALL_DAY_H else f"for {wording.days(hours, 'hour')} a day"
    return (
        f"The lowest third of the soil holds {r.air_percent[2]:.0f} % air, and {span} it is under 10 %, because the lowest "
        f"{quantity('cm', '.1f', r.wet_band_cm)} stay wet. Most roots and diggers keep above that. A wick lets it down (see the "
        "table), and a coarser mix over the layer holds more air; a deeper layer of stones changes nothing. A sour smell is the "
        "sign that it matters."
    )


def lacks_air(rows: list[BottomRow]) -> bool:
    """Whether the lowest third of the soil is without air for most of the day."""
    return rows[0].airless_hours[2] >= MOST_OF_A_DAY_H


def wick_words(rows: list[BottomRow], box: Box) -> str:
    """What a wick does to the foot of the soil, from the rows of the comparison; "" where they are missing."""
    wick = _of_kind(rows, BottomKind.WICK)
    if wick is None:
        return ""
    apart = rows[0]
    change = wick.wet_band_cm - apart.wet_band_cm
    does = (
        "lets the foot down"
        if change < -SAME_BAND_CM
        else "keeps the foot wetter"
        if change > SAME_BAND_CM
        else "changes the foot little"
    )
    return (
        f"A wick ({quantity('cm2', 'g', wick_cm2(box))} of cord) joins the foot of the soil to the water below, and water goes "
        f"both ways: here it {does} (wet band {wording.instead_of('cm', '.1f', wick.wet_band_cm, apart.wet_band_cm)}) and leads "
        f"{ml(wick.wick_ml_per_day)} a day up. In an unwatered box it empties the layer into the soil. How well a cord leads "
        "water is a guess (terralab material wick)."
    )


def below_words(rows: list[BottomRow]) -> str:
    """What the water below gives to roots and air; "" where not one of the bottoms has a layer."""
    if all(row.reserve_l is None for row in rows):
        return ""
    r, tube = rows[0], _of_kind(rows, BottomKind.TUBE)
    wick = f", {ml(r.wick_ml_per_day)} by wick" if r.wick_ml_per_day else ""
    gives = 0.0 if tube is None else round(tube.tube_ml_per_day, 2)
    open_tube = quantity("ml", ".2f", gives) if gives > 0.0 else "nothing"
    return (
        f"From the water below to the roots, a day, {r.name}: {_vapour_words(r)}, {ml(r.contact_ml_per_day)} by contact{wick}; "
        f"to the air by an open corner tube {open_tube}."
    )


def _vapour_words(r: BottomRow) -> str:
    amount = quantity("ml", ".1f", abs(r.vapour_ml_per_day))
    if r.vapour_ml_per_day < 0.0:
        return f"no vapour (the layer takes up {amount} of vapour from the soil)"
    return f"{amount} as vapour"


def _of_kind(rows: list[BottomRow], kind: BottomKind) -> BottomRow | None:
    return next((row for row in rows if row.kind is kind), None)
