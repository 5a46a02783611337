"""Cross-sections of up to six boxes side by side, in one size and on one scale, each with its ground and the air in it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
from matplotlib.axes import Axes

from terralab.answers.drainage.bottoms import thirds, wet_band_cm
from terralab.describe.system import speaks_us
from terralab.errors import TerralabError, quoted
from terralab.quantities import quantity, said
from terralab.show.figures.labels import fitted
from terralab.show.figures.section_air import Airs
from terralab.show.figures.section_flows import Flows, amount, flows_of, volume
from terralab.show.figures.section_ground import (
    SHORT_AIR_AXIS,
    draw_column,
    draw_curve,
    draw_scale,
    frame_column,
    frame_curve,
    ground_top_cm,
    level_words,
    most_air,
)
from terralab.show.figures.section_inside import draw_inside
from terralab.show.figures.section_words import checked_look, row_at, rows_before, section_words
from terralab.show.figures.style import HEADING_PT, LINE, TEXT_PT, WIDTH_IN, Picture, plain_look, write
from terralab.simulation.record import Record, needs_record
from terralab.units import DAY_S

MOST_SIDE_BY_SIDE = 6
_TALLEST_IN, _GROUND_IN = 2.1, 1.2  # of a box, and of its enlarged ground
_HEAD_IN, _GAP_IN, _LINE_IN = 0.6, 0.22, 0.185


class _Shown(NamedTuple):
    name: str
    record: Record
    row: int
    rows: np.ndarray
    flows: Flows


@plain_look
def sections(
    records: Mapping[str, Record], look: str = "water", day: float | None = None, mean_days: float | None = None
) -> Picture:
    """Draw up to six boxes side by side, in one size and on one scale of colours, each under its name; see `section`."""
    checked_look(look)
    if not isinstance(records, Mapping):
        raise TerralabError(f"sections must be records by name, {{name: record}}; {quoted(records)} was given.")
    for record in records.values():
        needs_record(record, "A section")
    if not 1 <= len(records) <= MOST_SIDE_BY_SIDE:
        raise TerralabError(f"sections must be 1 to {MOST_SIDE_BY_SIDE} records; {len(records)} were given.")
    shown = []
    for name, record in records.items():
        row = row_at(record, day)
        rows = rows_before(record, row, mean_days)
        shown.append(_Shown(str(name), record, row, rows, flows_of(record, rows)))
    across = min(3, len(shown))
    each = (WIDTH_IN - 0.15) / across
    glass = [one.record.box.enclosure for one in shown]
    per_in = max(
        max(e.width_cm for e in glass) / min(each - 0.35, 1.6 * _TALLEST_IN),
        max(e.height_cm for e in glass) / _TALLEST_IN,
    )
    box_tall = max(e.height_cm for e in glass) / per_in
    row_tall = _HEAD_IN + box_tall + 2.0 * _GAP_IN + _GROUND_IN + 0.45 + 5 * _LINE_IN
    figure = Picture(0.5 + -(-len(shown) // across) * row_tall + 0.5)
    top = max(ground_top_cm(one.record, np.array([one.row])) for one in shown)
    most = most_air([one.record for one in shown], [one.rows for one in shown])
    for index, one in enumerate(shown):
        left, head = 0.1 + (index % across) * each, 0.4 + (index // across) * row_tall
        title = fitted(figure, one.name, each - 0.2, TEXT_PT + 1, 1)
        write(figure, left + 0.1, head, title, TEXT_PT + 1, weight="bold")
        _draw_one(figure, one, look, left, head + _HEAD_IN, each, per_in, box_tall, top, most)
    height = figure.get_figheight()
    draw_scale(figure, 0.15, height - 0.4, 3.6, look)
    write(figure, 4.2, height - 0.41, "striped, grey: under 10 % air. Computed, not measured.", TEXT_PT, color=LINE)
    last = day if day is not None else max(float(one.record.times_s[-1]) for one in shown) / DAY_S
    write(figure, 0.2, 0.1, f"Side by side, after day {last:g}", HEADING_PT, weight="bold")
    figure.alt = " ".join(
        f"{one.name}: {section_words(one.record, one.row, one.flows, short_form=True, rows=one.rows)}" for one in shown
    )
    return figure


def _draw_one(
    figure: Picture, one: _Shown, look: str, left: float, lid: float, each: float, per_in: float, box_tall: float,
    top: float, most: float,
) -> None:  # fmt: skip
    """One box under its lid [in from the top], its ground, the air in it, and what is said of it."""
    e, us = one.record.box.enclosure, speaks_us(one.record.box)
    floor = lid + box_tall
    wide, tall = e.width_cm / per_in, e.height_cm / per_in
    axes = _axes_at(figure, left + 0.1, floor - tall, wide, tall)
    draw_inside(axes, Airs.at(one.record, one.row), one.row, one.rows, look, per_in)
    head = floor + 2.0 * _GAP_IN
    column, curve = 0.52 * (each - 0.85), 0.48 * (each - 0.85)
    ground = _axes_at(figure, left + 0.5, head, column, _GROUND_IN)
    frame_column(ground, one.record, top, column, _GROUND_IN, us)
    draw_column(ground, one.record, one.rows, one.row, look)
    beside = left + 0.5 + column + 0.12
    air = _axes_at(figure, beside, head, curve, _GROUND_IN)
    frame_curve(air, top, most)
    draw_curve(air, one.record, one.rows)
    write(figure, beside, head + _GROUND_IN + 0.22, SHORT_AIR_AXIS, TEXT_PT)
    for k, text in enumerate(_under(one)):
        words = fitted(figure, said(text, us), each - 0.1, TEXT_PT, 1)
        write(figure, left + 0.1, head + _GROUND_IN + 0.44 + k * _LINE_IN, words, TEXT_PT)


def _axes_at(figure: Picture, left: float, top: float, wide: float, tall: float) -> Axes:
    height = figure.get_figheight()
    return figure.add_axes((left / WIDTH_IN, 1.0 - (top + tall) / height, wide / WIDTH_IN, tall / height))


def _under(one: _Shown) -> list[str]:
    """Under a small box, as marks: its air, its wet band, where its water stands, and what passes the foot of the soil."""
    record, flows, e = one.record, one.flows, one.record.box.enclosure
    air = 100.0 * thirds(record, record.air_space[one.rows]).mean(axis=0)
    out = [
        f"air: {air[0]:.0f} % top, {air[2]:.0f} % bottom",
        f"wet band, {quantity('cm', '.1f', wet_band_cm(record, one.rows))}",
    ]
    if e.drainage is None:
        leaves = f"runs out: {amount(flows.taken_out, flows.per)}" if e.drain_hole else "sealed: nothing leaves below"
        return [*out, leaves]
    out[-1] += f"; {level_words(record, one.row)}"
    out.append(f"drains {amount(flows.drained, flows.per)}")
    way = "sinks" if flows.vapour_up <= -0.05 else "rises"
    out.append(f"{way}: {volume(abs(flows.vapour_up))} as vapour")
    by_wick = f", {volume(flows.wick_up)} by wick" if flows.wick_up else ""
    return [*out, f"rises: {volume(flows.contact_up)} by contact{by_wick}"]
