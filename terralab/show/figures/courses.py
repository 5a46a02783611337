"""Several runs side by side over some hours: humidity above, temperature below, a line for each."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from terralab.describe.system import speaks_us
from terralab.errors import TerralabError, quoted
from terralab.show.figures.scales import Scales
from terralab.show.figures.style import (
    BLACK,
    BLUE,
    GREEN,
    TEXT_PT,
    TITLE_PT,
    VERMILLION,
    Picture,
    add_panel,
    literal,
    plain_look,
    short,
    write,
)
from terralab.simulation.record import Record
from terralab.units import DAY_S
from terralab.validate import is_real

_LOOKS = (
    {"color": VERMILLION, "linestyle": "-"},
    {"color": BLUE, "linestyle": "--"},
    {"color": GREEN, "linestyle": "-."},
    {"color": BLACK, "linestyle": ":"},
)
_MANY_H = 9.0  # from here on an hour in three is named
_LEAST_RH, _LEAST_K = 10.0, 4.0  # of the scales, so that a small difference looks small


@plain_look
def courses(records: Mapping[str, Record], start_h: float = 0.0, end_h: float = 24.0) -> Picture:
    """Draw humidity and temperature of up to four runs over the last day, from `start_h` to `end_h` o'clock.

    `records`: a Record for each name. Bursts of a fan are seen where the runs were recorded often enough, such as every
    minute (`record_every_min=1`). Raises TerralabError for anything else.
    """
    if (
        not isinstance(records, Mapping)
        or not 1 <= len(records) <= len(_LOOKS)
        or not all(isinstance(name, str) and isinstance(one, Record) for name, one in records.items())
    ):
        raise TerralabError(
            f"records must be up to {len(_LOOKS)} runs by name, such as {{'no fan': record}}; {quoted(records)} was given."
        )
    if not (is_real(start_h) and is_real(end_h) and 0.0 <= start_h < end_h <= 24.0):
        raise TerralabError(
            f"start_h and end_h must be hours of the day, 0 to 24, the first one earlier; {quoted(start_h)} and {quoted(end_h)} were given."
        )
    scales = Scales(speaks_us(next(iter(records.values())).box))
    figure = Picture(4.5)
    write(figure, 0.15, 0.13, "The same hours under each", TITLE_PT, weight="bold")
    rh = add_panel(figure, 0.95, 1.5, "", "humidity, %")
    warm = add_panel(figure, 2.75, 0.95, "", f"air, {scales.word('°C')}")
    words = []
    for (name, record), looks in zip(records.items(), _LOOKS, strict=False):
        last = float(record.times_days[-1])
        rows = record.rows(last - 1.0, last)
        hour = (record.times_s[rows] - DAY_S * (last - 1.0)) / 3600.0
        seen = (hour >= start_h - 1e-6) & (hour <= end_h + 1e-6)
        damp, c = record.humidity_shown[rows][seen], record.air_c[rows][seen]
        rh.plot(hour[seen], damp, linewidth=1.6, label=literal(short(name, 34)), zorder=3, **looks)
        warm.plot(hour[seen], scales.of("°C", c), linewidth=1.6, zorder=3, **looks)
        mean = float(scales.of("°C", float(np.mean(c))))
        words.append(
            f"{name}: {damp.min():.0f} to {damp.max():.0f} %, {damp.mean():.0f} % on average at {mean:.1f} {scales.word('°C')}"
        )
    _at_least(rh, _LEAST_RH)
    _at_least(warm, scales.of("K", _LEAST_K))
    for axes in (rh, warm):
        axes.set_xlim(start_h, end_h)
        if end_h - start_h > _MANY_H:
            axes.set_xticks(range(3 * math.ceil(start_h / 3.0), math.floor(end_h) + 1, 3))
    rh.set_xticklabels([])
    warm.set_xlabel("hour of the day", fontsize=TEXT_PT)
    total = figure.get_figheight()
    handles, labels = rh.get_legend_handles_labels()
    figure.legend(handles, labels, loc="center left", bbox_to_anchor=(0.15 / 8.0, 1 - 0.7 / total), ncols=min(2, len(labels)),
                  frameon=False, fontsize=TEXT_PT, borderpad=0.0, borderaxespad=0.0, handlelength=3.0)  # fmt: skip
    figure.alt = f"Humidity and temperature from {start_h:g} to {end_h:g} o'clock. {'; '.join(words)}."
    return figure


def _at_least(axes, span: float) -> None:
    low, high = axes.get_ylim()
    middle, half = 0.5 * (low + high), 0.5 * max(span, high - low)
    axes.set_ylim(middle - half, middle + half)
