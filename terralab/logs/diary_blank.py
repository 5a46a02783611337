"""An empty diary for one box, to be filled in by hand or in a spreadsheet."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from datetime import date

from terralab import materials
from terralab.describe.box import Box
from terralab.describe.needed import needs_box
from terralab.describe.system import speaks_us
from terralab.errors import TerralabError, quoted
from terralab.logs.diary_table import COLUMNS
from terralab.measured import with_unit
from terralab.unit_table import POUND_KG
from terralab.units import clock
from terralab.validate import is_real

LIFT = "Two people lift; lamps and heaters are unplugged; nothing with animals in it."


def blank_diary(box: Box, *, weighs_kg: float | None = None, day: date | None = None, separator: str = ",") -> str:
    """Return an empty diary for `box` as text: its columns, and examples of what is worth writing down for this very box.

    Every example begins with #, so that `read_diary` leaves it out until it is taken away. weighs_kg: what the box weighs, to
    tell which scale bears it (None: it is not to be weighed). day: the date of the examples (None: today). separator: "," or a
    tab. Raises TerralabError.
    """
    needs_box(box, "blank_diary")
    if weighs_kg is not None and (not is_real(weighs_kg) or not 0.0 < weighs_kg < 1e5):
        raise TerralabError(f"weighs_kg must be above 0 and below 100,000; {quoted(weighs_kg)} was given.")
    if separator not in (",", ";", "\t"):
        raise TerralabError(f'separator must be ",", ";" or a tab; {quoted(separator)} was given.')
    on = (day or date.today()).isoformat()
    out = io.StringIO()
    table = csv.writer(out, delimiter=separator, lineterminator="\n")
    for line in (
        f"# Diary of {' '.join(box.name.split())}: what was done to the box and weighed of it; one line each.",
        "# Lines that begin with # are examples and are left out. Take the # away from a line you use; copy it as often as you need.",
        "# Amounts have their unit: 120 ml; 17 fl oz; 3 cm; 1.2 in; 6.25 kg; 13 lb 4 oz; 60 %; 20 W. Dates: 2026-08-03; times: 08:00 or 8:30 pm.",
    ):
        table.writerow([line])
    table.writerow(COLUMNS)
    for hour, what, amount, note in _examples(box, weighs_kg):
        table.writerow([f"# {on}", hour, what, amount, note])
    return out.getvalue()


def _examples(box: Box, weighs_kg: float | None) -> Iterator[tuple[str, str, str, str]]:
    """Time, what, how much and note of each example."""
    us = speaks_us(box)
    ml = lambda value: with_unit(value, "volume", "ml", 3, us=us)  # noqa: E731
    cm = lambda value: with_unit(value, "length", "cm", 2, us=us)  # noqa: E731
    e, routine = box.enclosure, box.routine
    kg = lambda value: f"{value / POUND_KG:.1f} lb" if us else f"{value:.2f} kg"  # noqa: E731
    pour = routine.pours[0] if routine.pours else None
    spray = routine.sprays[0] if routine.sprays else None
    early = clock(pour.time_s) if pour else "08:00"
    late = clock(spray.time_s) if spray else "19:00"
    yield (
        early,
        "poured",
        ml(pour.amount_ml if pour else 100.0),
        "each pour; by jug, or the bottle weighed before and after:",
    )
    yield early, "bottle weighs", kg(1.2), "before"
    yield early, "bottle weighs", kg(1.08), "after; what is gone was poured"
    yield (
        late,
        "sprayed",
        ml(spray.amount_ml if spray else 30.0),
        "by hand; 0 ml if you never do. A sprayer on the scale: bottle: sprayer",
    )
    if any(one.control is not None for one in routine.mists):
        yield early, "bottle: tank", kg(5.0), "the mister's tank: first and last day, before and after you fill it"
    if e.plants is not None and e.plants.leaf_area_cm2:
        yield late, "leaves wet", "", "when you see them wet; any hour helps"
    if e.drainage is not None:
        yield (
            early,
            "gap below mesh",
            cm(max(0.5, e.drainage.depth_cm - e.drainage.level_cm)),
            "ruler: mesh down to the water; first and last day",
        )
        yield early, "siphoned", ml(200.0), "weigh or measure what comes out; 0 ml where nothing did"
    if e.dish is not None:
        yield early, "dish filled", ml(50.0), "what goes into the water dish; 0 ml where you never filled it"
    if e.hide is not None and e.hide.floor == "damp moss":
        yield early, "hide wetted", ml(20.0), "what the moss in the hide gets; 0 ml where you never wet it"
    yield from _scale(weighs_kg, early, kg)
    lids = [one.name for one in e.openings if one.wall == "lid"]
    for name in lids:
        covered = next(one.covered for one in e.openings if one.name == name)
        what = "lid covered" if len(lids) == 1 else f"lid covered: {name}"
        yield early, what, f"{100.0 * covered:.0f} %", "only when you change it; never cover a lid under a hot lamp"
    for lamp in routine.lamps:
        what = "lamp" if len(routine.lamps) == 1 else f"lamp: {lamp.name}"
        yield early, what, f"{lamp.power_w:g} W", "only when you change the bulb or its power"


def _scale(weighs_kg: float | None, hour: str, kg: object) -> Iterator[tuple[str, str, str, str]]:
    bears = lambda name: materials.get("defaults", name).typical("bears")  # noqa: E731
    if weighs_kg is None or weighs_kg > bears("bathroom scale"):
        return
    scale = (
        "kitchen or parcel scale" if weighs_kg <= bears("kitchen scale") else "bathroom scale, read to its last digit"
    )
    yield hour, "box weighs", kg(weighs_kg), f"{scale}; first and last day. {LIFT}"  # type: ignore[operator]
