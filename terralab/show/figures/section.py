"""A cross-section of the box that anyone can read, alone or several side by side."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from terralab import wording
from terralab.answers.common.glass import fogged_panes, fogged_words
from terralab.answers.drainage.bottoms import thirds, wet_band_cm
from terralab.errors import TerralabError, UnknownName, quoted
from terralab.quantities import said
from terralab.show.figures import section_parts as parts
from terralab.show.figures.section_air import air_words, draw_air, draw_basking, draw_fog, draw_hide, humidity_scale
from terralab.show.figures.section_flows import Flows, amount, flows_of
from terralab.show.figures.style import LINE, TEXT_PT, TITLE_PT, WIDTH_IN, Picture, literal, plain_look, short, write
from terralab.simulation.record import Record, needs_record
from terralab.units import DAY_S
from terralab.validate import number
from terralab.wording import lines

MOST_SIDE_BY_SIDE = 6
_CHARACTERS = 118  # of small letters across the picture
_WORDS = {"water": "water, % of volume", "air": "air, % of volume"}


@plain_look
def section(record: Record, day: float | None = None, look: str = "water", mean_days: float = 7.0) -> Picture:
    """Draw a cross-section of the box at `day` of the record (None: its end) and give the picture, 1200 pixels wide.

    `look`: soil coloured by its "water" or by its "air". Soil and arrows are means of the `mean_days` (0.1 to 366) before.
    `picture.alt` says the same in words. Raises TerralabError for a day that the record does not have.
    """
    _check(look)
    needs_record(record, "A section")
    row = row_at(record, day)
    mean_days = number("mean_days", mean_days, 0.1, 366.0, "days")
    e = record.box.enclosure
    first = max(1, row - max(1, round(mean_days * DAY_S / record.step_s)) + 1)
    rows = np.arange(first, row + 1) if row > 0 else np.array([0])
    flows = flows_of(record, rows)
    fog = lines(said(fogged_words(fogged_panes(record, rows))), _CHARACTERS)
    head, foot = 0.62 + 0.17 * len(fog), 1.3
    height = float(np.clip(1.95 + 4.9 * (e.height_cm * 1.25) / (e.width_cm * 1.3), 4.6, 9.0)) - 1.6 + head + foot
    figure = Picture(height)
    axes = figure.add_axes((0.075, foot / height, 0.76, 1.0 - (head + foot) / height))
    mesh = draw_section(axes, record, row, look, flows, top_of([record], look), rows=rows)
    bar = figure.colorbar(
        mesh, cax=figure.add_axes((0.24, 0.5 / height, 0.42, 0.13 / height)), orientation="horizontal"
    )
    bar.ax.tick_params(labelsize=TEXT_PT, length=2)
    write(figure, 0.15, height - 0.56, _WORDS[look], TEXT_PT, middle=True)
    damp = figure.colorbar(
        humidity_scale(), cax=figure.add_axes((0.24, 0.9 / height, 0.42, 0.13 / height)), orientation="horizontal"
    )
    damp.ax.tick_params(labelsize=TEXT_PT, length=2)
    write(figure, 0.15, height - 0.96, "humidity of air, %", TEXT_PT, middle=True)
    write(figure, 0.72 * WIDTH_IN, height - 0.96, "drops: a pane is fogged", TEXT_PT, middle=True)
    write(
        figure, 0.72 * WIDTH_IN, height - 0.44, "white stripes:\nunder 10 % air", TEXT_PT, middle=True, linespacing=1.05
    )
    write(figure, 0.15, 0.12, short(record.box.name, 60), TITLE_PT, weight="bold")
    write(figure, 0.15, 0.4, f"{_when(record, row)}. Soil and arrows: means of the {_span(rows, record)} before. Computed, not measured.",
          TEXT_PT, color=LINE)  # fmt: skip
    write(figure, 0.15, 0.58, "\n".join(fog), TEXT_PT, color=LINE)
    figure.alt = f"{section_words(record, row, flows, rows=rows)} {' '.join(fog)}"
    return figure


@plain_look
def sections(
    records: Mapping[str, Record], look: str = "water", day: float | None = None, mean_days: float = 7.0
) -> Picture:
    """Draw up to six boxes side by side, on one scale of colours, each under its name; see `section`."""
    _check(look)
    if not isinstance(records, Mapping):
        raise TerralabError(f"sections must be records by name, {{name: record}}; {quoted(records)} was given.")
    for record in records.values():
        needs_record(record, "A section")
    if not 1 <= len(records) <= MOST_SIDE_BY_SIDE:
        raise TerralabError(f"sections must be 1 to {MOST_SIDE_BY_SIDE} records; {len(records)} were given.")
    mean_days = number("mean_days", mean_days, 0.1, 366.0, "days")
    across = min(3, len(records))
    down = -(-len(records) // across)
    each = 3.35
    height = 1.0 + down * each
    figure = Picture(height)
    top = top_of(list(records.values()), look)
    mesh, said = None, []
    for index, (name, record) in enumerate(records.items()):
        row = row_at(record, day)
        first = max(1, row - max(1, round(mean_days * DAY_S / record.step_s)) + 1)
        rows = np.arange(first, row + 1)
        flows = flows_of(record, rows)
        left = (index % across) / across
        floor = 1.0 - (0.45 + (index // across + 1) * each) / height
        axes = figure.add_axes((left + 0.012, floor + 0.02, 0.9 / across, (each - 0.55) / height))
        mesh = draw_section(axes, record, row, look, flows, top, small=True, rows=rows)
        figure.text(
            left + 0.014,
            floor + (each - 0.28) / height,
            literal(short(name, 104 // across)),
            fontsize=TEXT_PT + 1,
            weight="bold",
        )
        said.append(f"{name}: {section_words(record, row, flows, short_form=True, rows=rows)}")
    bar = figure.colorbar(mesh, cax=figure.add_axes((0.3, 0.36 / height, 0.4, 0.13 / height)), orientation="horizontal")
    bar.ax.tick_params(labelsize=TEXT_PT, length=2)
    write(figure, 0.15, height - 0.42, _WORDS[look], TEXT_PT, middle=True)
    write(figure, 0.73 * WIDTH_IN, height - 0.42, "white stripes: under 10 % air", TEXT_PT, middle=True)
    write(
        figure,
        0.15,
        0.1,
        f"Side by side, day {day if day is not None else _last(records):g}. Flows in ml a day. Computed, not measured.",
        TEXT_PT,
        color=LINE,
    )
    figure.alt = " ".join(said)
    return figure


def draw_section(
    axes: Axes, record: Record, row: int, look: str, flows: Flows, top: float, small: bool = False,
    rows: np.ndarray | None = None,
) -> object:  # fmt: skip
    """Draw one box onto axes and give the coloured soil, for a colour scale.

    Water below and air are those of the `row`, the soil is the mean of the `rows` (None: of that row alone).
    """
    e = record.box.enclosure
    rows = np.array([row]) if rows is None else rows
    w, h = e.width_cm, e.height_cm
    size = TEXT_PT - 1.5 if small else TEXT_PT
    draw_air(axes, record, row, size, small)
    draw_hide(axes, record, row)
    draw_fog(axes, record, row)
    parts.draw_layer(axes, record, row)
    mesh = parts.draw_soil(axes, record, rows, look, top)
    parts.draw_plants(axes, e)
    parts.draw_tube(axes, e)
    parts.draw_wick(axes, e)
    parts.draw_glass(axes, e)
    if small:
        _below_words(axes, record, row, rows, flows, size)
    else:
        parts.draw_arrows(axes, record, flows, size)
        parts.draw_names(axes, record, row, rows, size)
        draw_basking(axes, record, row, size)
    axes.set_aspect("equal", anchor="N" if small else "NW")
    side = 0.02 if small else 0.0
    axes.set_xlim(-0.02 * w, (1.02 + side) * w if small else 1.02 * w)
    reach = 0.085 * max(h, 0.6 * w)
    axes.set_ylim(
        -0.01 * h - (0.2 * max(h, w) if small else 0.11 * max(h, w)), h + (0.03 * h if small else 2.4 * reach)
    )
    for name in ("top", "right", "bottom", "left"):
        axes.spines[name].set_visible(False)
    axes.set_xticks([])
    if small:
        axes.set_yticks([])
    else:
        axes.yaxis.set_major_locator(MaxNLocator(6, steps=[1, 2, 5, 10]))
        axes.set_yticks([t for t in axes.get_yticks() if 0 <= t <= h])
        axes.tick_params(labelsize=size, length=3)
        axes.set_ylabel("cm above the floor", fontsize=size)
    return mesh


def _below_words(axes: Axes, record: Record, row: int, rows: np.ndarray, flows: Flows, size: float) -> None:
    """Under a small box: its wet band and what passes the mesh."""
    e = record.box.enclosure
    air = 100.0 * thirds(record, record.air_space[rows]).mean(axis=0)
    lines = [f"air {air[0]:.0f} % top, {air[2]:.0f} % bottom; wet band {wet_band_cm(record, rows):.1f} cm"]
    if e.drainage is not None:
        gap = float(record.gap_below_mesh_cm[row])
        lines.append(
            "water at mesh"
            if abs(gap) < 0.05
            else f"gap {gap:.1f} cm"
            if gap > 0.0
            else f"water {-gap:.1f} cm above mesh"
        )
        bare = lambda value: amount(value, flows.per).split()[0]  # noqa: E731
        lines[-1] += f"; drains {bare(flows.drained)}"
        lines.append(f"rises: {bare(flows.vapour_up)} as vapour, {bare(flows.contact_up)} by contact")
        if flows.wick_up:
            lines.append(f"by wick: {bare(flows.wick_up)} up")
    else:
        lines.append(
            f"runs out: {amount(flows.taken_out, flows.per).split()[0]}"
            if e.drain_hole
            else "sealed floor, nothing can leave below"
        )
    axes.text(0.0, -0.03 * e.height_cm, "\n".join(lines), fontsize=size, va="top", linespacing=1.15)


def section_words(
    record: Record, row: int, flows: Flows, short_form: bool = False, rows: np.ndarray | None = None
) -> str:
    """Say what a cross-section shows, with its main numbers; `rows` as in `draw_section`."""
    e = record.box.enclosure
    rows = np.array([row]) if rows is None else rows
    air = 100.0 * thirds(record, record.air_space[rows]).mean(axis=0)
    water = 100.0 * thirds(record, record.soil_water[rows]).mean(axis=0)
    target = wet_band_cm(record, rows)
    text = (
        f"the soil holds {water[0]:.0f} % water and {air[0]:.0f} % air in its top third, {water[2]:.0f} % water and "
        f"{air[2]:.0f} % air in its bottom third; {target:.1f} cm at its foot hold less than 10 % air."
    )
    if e.drainage is not None:
        gap = float(record.gap_below_mesh_cm[row])
        stands = said(wording.level(gap)).replace("over", "above")
        text += (
            f" Below, water stands {stands}; {amount(flows.drained, flows.per)} drain, "
            f"{amount(flows.vapour_up, flows.per)} rise as vapour, {amount(flows.contact_up, flows.per)} by contact"
            + (f", {amount(flows.wick_up, flows.per)} by wick." if flows.wick_up else ".")
        )
    elif e.drain_hole:
        text += f" {amount(flows.taken_out, flows.per)} run out of the drain hole."
    else:
        text += " The floor is sealed."
    text += f" {air_words(record, row)}"
    if short_form:
        return text
    return (
        f"Cross-section of {record.box.name}, {_when(record, row).lower()}: {text} {amount(flows.poured + flows.sprayed, flows.per)} "
        f"are poured and sprayed, {amount(flows.vapour_out, flows.per)} leave as vapour"
        + (f", {amount(flows.door, flows.per)} of it while the door is open." if flows.door >= 0.05 else ".")
    )


def row_at(record: Record, day: float | None) -> int:
    """The row of a day; the last one for None."""
    if day is None:
        return len(record.times_s) - 1
    last = record.days
    return int(np.argmin(np.abs(record.times_days - number("day", day, 0.0, last, "days"))))


def top_of(records: list[Record], look: str) -> float:
    """The upper end of the colour scale [%]: what the wettest mix can hold, or for air up to half of it, in steps of 10."""
    most = max(float(np.max(record.pore_space)) for record in records)
    return float(10.0 * np.ceil(10.0 * most * (1.0 if look == "water" else 0.5)))


def _check(look: str) -> None:
    if not isinstance(look, str) or look not in parts.LOOKS:
        raise UnknownName.among("look", look, parts.LOOKS)


def _last(records: Mapping[str, Record]) -> float:
    return max(float(record.times_s[-1]) for record in records.values()) / DAY_S


def _when(record: Record, row: int) -> str:
    day, hour = divmod(float(record.times_s[row]) / 3600.0, 24.0)
    when = (
        f"After {wording.days(day)}, midnight"
        if hour < 0.01
        else f"Day {day + 1:.0f}, {int(hour):02d}:{int(60 * (hour % 1)):02d}"
    )
    # a pour that does not come again within the run is a deed of the first day, not of the routine
    once = sum(p.amount_ml for p in record.box.routine.pours if p.every_days > record.days)
    return when + (f"; {once / 1000.0:.1f} l at once on day 1" if once > 0.0 else "")


def _span(rows: np.ndarray, record: Record) -> str:
    hours = len(rows) * record.step_s / 3600.0
    return f"{hours / 24.0:.0f} days" if hours >= 36 else f"{hours:.0f} hours"
