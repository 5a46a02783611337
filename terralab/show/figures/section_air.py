"""The air of a cross-section, at a moment or as means: tints by humidity, fog on the panes, what is said of warm and cool places."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colors import LinearSegmentedColormap, Normalize
from matplotlib.patches import Rectangle

from terralab.answers.common.airs import WHERE, air_words, by_part
from terralab.answers.common.humidity_target import is_day, target_of
from terralab.quantities import quantity
from terralab.show.figures.style import BLUE, LINE
from terralab.simulation.record import Record

_SOFT = 0.34  # of the map's strength, so that the soil's colours stand out before it


@dataclass(frozen=True)
class Airs:
    """What a cross-section says and shows of the airs of a record: at one of its rows, or by day and by night over whole days."""

    record: Record
    rows: np.ndarray
    means: bool

    @classmethod
    def at(cls, record: Record, row: int) -> Airs:
        """The airs as they are at a row."""
        return cls(record, np.array([row]), False)

    @classmethod
    def over(cls, record: Record, rows: np.ndarray) -> Airs:
        """The means by day and by night over rows that are whole days, as the answers take them."""
        return cls(record, rows, True)

    @property
    def names(self) -> list[str]:
        """The airs that stand on each other, from below."""
        return [zone for zone in self.record.zone_names if zone != "hide"]

    @cached_property
    def _day(self) -> np.ndarray:
        return is_day(self.record, self.rows, target_of(self.record.box)[0])

    def humidity(self, zone: str) -> float:
        """What its tint shows [%]: that of the moment, or the mean of day and night."""
        return float(self.record.zone_humidity(zone)[self.rows].mean())

    def fogged(self, pane: str, zone: str = "") -> bool:
        """Whether drops are drawn on a pane: it is fogged, or for half of the time at least."""
        return bool(self.record.fogged(pane, zone)[self.rows].mean() >= 0.5)

    def label(self, zone: str) -> str:
        """One air in words, as a mark: "air: 82 % at 22 °C"; of means "air: day 82 % at 22.1 °C, night ..."."""
        return self._label(air_name(zone), self.record.zone_humidity(zone), self.record.zone_c(zone))

    def basking(self) -> str:
        """The basking place in words, with the humidity right there."""
        c = self.record.basking_c
        return self._label("basking place", self.record.humidity_at(c, self.record.low_air), c)

    def _label(self, name: str, humidity: np.ndarray, c: np.ndarray) -> str:
        rh, warm = humidity[self.rows], c[self.rows]
        if not self.means:
            return f"{name}: {rh[0]:.0f} % at {quantity('°C', '.0f', float(warm[0]))}"
        seen = by_part(rh, warm, self._day)
        return f"{name}: {', '.join(f'{part} {air_words(one)}' for part, one in seen.items())}"

    def words(self) -> str:
        """The airs, the hide, the basking place and the fogged panes, as marks."""
        record = self.record
        told = [self.label(zone) for zone in record.zone_names]
        told += [self.basking()] if record.has_basking else []
        foggy = [pane for pane in record.pane_names if self.fogged(pane)]
        half = " for half of the time or more" if self.means else ""
        fog = f"fogged panes{half}: {', '.join(foggy)}" if foggy else f"no pane is fogged{half}"
        text = f"{'; '.join(told)}; {fog}."
        return text[0].upper() + text[1:]


def humidity_tints() -> ScalarMappable:
    """The tints of humidity [0 to 100 %], from white to a soft blue, which any eye orders."""
    soft = matplotlib.colormaps["Blues"](np.linspace(0.0, _SOFT, 256))
    return ScalarMappable(Normalize(0.0, 100.0), LinearSegmentedColormap.from_list("humidity", soft))


def air_name(zone: str) -> str:
    """An air in words: "air below", or "air" where there is but one."""
    return {"whole": "air", "hide": "hide"}.get(zone, f"air {WHERE.get(zone, zone)}")


def draw_air(axes: Axes, airs: Airs) -> dict[str, float]:
    """Tint the air below and above, or the one air, by its humidity; give the height of each one's middle [cm]."""
    e = airs.record.box.enclosure
    tints, tall = humidity_tints(), e.air_height_cm / len(airs.names)
    axes.add_patch(Rectangle((0.0, 0.0), e.width_cm, e.height_cm, facecolor="white", linewidth=0.0, zorder=-1))
    middles = {}
    for level, zone in enumerate(airs.names):
        # what is under the surface of the soil is air where the floor is bare
        foot = e.surface_cm + level * tall if level else 0.0
        top = e.surface_cm + (level + 1) * tall
        tint = tints.to_rgba(airs.humidity(zone))
        axes.add_patch(Rectangle((0.0, foot), e.width_cm, top - foot, facecolor=tint, linewidth=0.0, zorder=0))
        middles[zone] = e.surface_cm + (level + 0.5) * tall
    if len(airs.names) > 1:
        half = e.surface_cm + tall
        axes.plot([0.0, e.width_cm], [half, half], color=LINE, linewidth=0.7, linestyle=(0, (2, 3)), zorder=1)
    return middles


def draw_fog(axes: Axes, airs: Airs) -> None:
    """Drops along the side panes, and under the lid's glass, where they are fogged."""
    e = airs.record.box.enclosure
    w, h = e.width_cm, e.height_cm
    tall, wide = e.air_height_cm / len(airs.names), 0.022 * max(w, h)
    for level, zone in enumerate(airs.names):
        if airs.fogged("sides", zone):
            for left in (0.0, w - wide):
                _drops(axes, left, e.surface_cm + level * tall, wide, tall)
    if "lid" in airs.record.pane_names and airs.fogged("lid"):
        closed = w - min(w, sum(o.width_cm * (1.0 - o.covered) for o in e.openings if o.wall == "lid"))
        _drops(axes, 0.0, h - wide, max(closed, wide), wide)


def _drops(axes: Axes, left: float, foot: float, wide: float, tall: float) -> None:
    axes.add_patch(
        Rectangle((left, foot), wide, tall, facecolor="white", edgecolor=BLUE, hatch="ooo", linewidth=0.0, zorder=7)
    )
