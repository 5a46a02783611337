"""What a cross-section shows, in words, and of which rows of a record it is."""

from __future__ import annotations

import numpy as np

from terralab import wording
from terralab.answers.common.fair_rows import fair_days
from terralab.answers.drainage.bottoms import thirds, wet_band_cm
from terralab.describe.system import speaks_us
from terralab.errors import UnknownName
from terralab.quantities import quantity, said
from terralab.show.figures.section_air import Airs
from terralab.show.figures.section_flows import Flows, amount, volume
from terralab.show.figures.section_soil import LOOKS, pond_cm
from terralab.simulation.record import Record
from terralab.units import DAY_S
from terralab.validate import number


def checked_look(look: object) -> None:
    """Raise `UnknownName` for what is no way to colour the soil."""
    if not isinstance(look, str) or look not in LOOKS:
        raise UnknownName.among("look", look, LOOKS)


def row_at(record: Record, day: float | None) -> int:
    """The row of a day; the last one for None."""
    if day is None:
        return len(record.times_s) - 1
    first, last = (float(end) for end in record.times_days[[0, -1]])
    return int(np.argmin(np.abs(record.times_days - number("day", day, first, last, "days"))))


def rows_before(record: Record, row: int, mean_days: float | None) -> np.ndarray:
    """The rows of so many days up to a row, or those that there are; the first row alone where it is the first.

    None: a week, or whole periods of what is done every few days (`fair_days`).
    """
    if mean_days is None:
        mean_days = fair_days(record.box)
    mean_days = number("mean_days", mean_days, 0.1, 366.0, "days")
    first = max(1, row - max(1, round(mean_days * DAY_S / record.step_s)) + 1)
    return np.arange(first, row + 1) if row > 0 else np.array([0])


def ground_words(record: Record, row: int, rows: np.ndarray) -> str:
    """Water and air in the soil (means of the rows) and what stands below or above it (at the row), as marks."""
    e = record.box.enclosure
    air = 100.0 * thirds(record, record.air_space[rows]).mean(axis=0)
    water = 100.0 * thirds(record, record.soil_water[rows]).mean(axis=0)
    band = wet_band_cm(record, rows)
    short = f"{quantity('cm', '.1f', band)} at its foot hold" if band >= 0.05 else "no part of it holds"
    text = (
        f"the soil holds {water[0]:.0f} % water and {air[0]:.0f} % air in its top third, {water[2]:.0f} % water and "
        f"{air[2]:.0f} % air in its bottom third; {short} "
        f"less than 10 % air."
    )
    if (deep := pond_cm(record, row)) > 0.02:
        text += f" Water stands {quantity('cm', '.1f', deep)} deep on the soil."
    if e.drainage is not None:
        text += f" Below, water stands {wording.level(float(record.gap_below_mesh_cm[row])).replace('over', 'above')}"
        return f"{text}."
    return f"{text} {'Below is a drain hole.' if e.drain_hole else 'The floor is sealed.'}"


def vapour_words(flows: Flows, per: str) -> str:
    """What passes the mesh as vapour, up or down, as a mark."""
    return f"{amount(abs(flows.vapour_up), per)} {'sink' if flows.vapour_up <= -0.05 else 'rise'} as vapour"


def section_words(
    record: Record,
    row: int,
    flows: Flows,
    short_form: bool = False,
    rows: np.ndarray | None = None,
    airs: Airs | None = None,
) -> str:
    """Say what a cross-section shows, with its main numbers, in the units of the box.

    Water below and air (without `airs`) are those of the `row`, the soil is the mean of the `rows` (None: of that row alone).
    """
    e, per = record.box.enclosure, flows.per
    rows = np.array([row]) if rows is None else rows
    text = ground_words(record, row, rows)
    if e.drainage is not None:
        text = (
            f"{text[:-1]}; {amount(flows.drained, per)} drain, {vapour_words(flows, per)}, "
            f"{amount(flows.contact_up, per)} by contact"
        )
        text += f", {amount(flows.wick_up, per)} by wick." if flows.wick_up else "."
    elif e.drain_hole:
        text += f" {amount(flows.taken_out, per)} run out of the drain hole."
    text += f" {(airs or Airs.at(record, row)).words()}"
    if not short_form:
        by_door = f", {amount(flows.door, per)} of it while the door is open" if flows.door >= 0.05 else ""
        text = (
            f"Cross-section of {record.box.name}, {when(record, row).lower()}: {text} "
            f"{amount(flows.poured + flows.sprayed, per)} are poured and sprayed, {amount(flows.vapour_out, per)} leave as "
            f"vapour{by_door}."
        )
    return said(text, speaks_us(record.box))


def moment(record: Record, row: int) -> str:
    """Day and time of a row: "day 2, 08:20"."""
    minutes = round(float(record.times_s[row]) / 60.0)
    day, minutes = divmod(minutes, 1440)
    return f"day {day + 1}, {minutes // 60:02d}:{minutes % 60:02d}"


def when(record: Record, row: int) -> str:
    """When a section is, and how much was poured at once where that comes only once."""
    days = float(record.times_s[row]) / DAY_S
    told = f"After {wording.days(days)}, midnight" if abs(days - round(days)) < 1e-4 else moment(record, row)
    # a pour that does not come again within the run is a deed of the first day, not of the routine
    once = sum(p.amount_ml for p in record.box.routine.pours if p.every_days > record.days)
    told += f"; {volume(once)} at once on day 1" if once > 0.0 else ""
    return told[0].upper() + told[1:]


def span(rows: np.ndarray, record: Record) -> str:
    """How long the rows last, in words."""
    hours = len(rows) * record.step_s / 3600.0
    return wording.days(hours / 24.0) if hours >= 36.0 else wording.days(hours, "hour")
