"""All single places that a run shows over the same rows: the airs, the panes, the surfaces where animals sit; and their statements."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from terralab.answers.common import airs, surfaces
from terralab.answers.common.beam import hottest_by_beam
from terralab.answers.common.glass import Fogged, fogged_panes, fogged_words
from terralab.answers.common.heat_words import chance_words, place_words
from terralab.answers.common.statement import Kind, Statement, state
from terralab.answers.common.temperature import Heat
from terralab.describe.box import HumidityTarget
from terralab.simulation.record import Record


@dataclass(frozen=True, eq=False)
class SeenPlaces:
    """Airs and surfaces by name, each by "day" and "night" (see `airs.by_part`), and the panes; `target`: what is wanted.

    `beam`: the most that the basking place reaches [C] with a wide and with a narrow beam (see `beam.hottest_by_beam`).
    """

    record: Record
    airs: Mapping[str, airs.Air]
    surfaces: Mapping[str, surfaces.Place]
    panes: Mapping[str, Fogged]
    target: HumidityTarget | None
    beam: tuple[float, float] | None = None

    def hot(self, heat: Heat) -> str:
        """The warning that the basking place is too hot; "" otherwise."""
        return surfaces.too_hot_words(self.record.box, self._hottest(), heat)

    def warm(self, heat: Heat) -> tuple[str, ...]:
        """The warnings that the air in one place is too hot or too cold, and that some boxes like this one are."""
        return tuple(text for text in (place_words(heat, self.airs), chance_words(heat)) if text)

    def uneven(self, rh: Mapping[str, Mapping[str, float]]) -> str:
        """The warning that the humidity below or above is outside while that of both mixed is not; "" otherwise."""
        return airs.uneven_words(self.airs, rh, self.target)

    def _hottest(self) -> dict[str, float] | None:
        place = self.surfaces.get("basking place")
        return None if place is None else surfaces.hottest_of(place)

    def statements(self) -> list[Statement]:
        """Air below and above, in the hide, the surfaces with their cautions, and the panes; for the longer views."""
        out = state(Kind.PLACES, airs.airs_words(self.airs), airs.hide_words(self.airs))
        out += state(
            Kind.PLACES, surfaces.lead(self.record), under=surfaces.surface_lines(self.record, self.surfaces, self.beam)
        )
        out += state(Kind.PLACES, surfaces.surface_cautions(self.record))
        return out + state(Kind.GLASS, fogged_words(self.panes))

    def to_dict(self) -> dict[str, Any]:
        """The same as plain data: "airs", "surfaces" and "panes"; "basking_hottest_c", its ends by the lamp's beam, or None."""
        return {
            "airs": airs.plain(self.airs),
            "surfaces": surfaces.plain(self.surfaces),
            "basking_hottest_c": None if self.beam is None else [round(end, 1) for end in self.beam],
            "panes": {name: one.to_dict() for name, one in self.panes.items()},
        }


def seen_places(record: Record, rows: np.ndarray, target: HumidityTarget | None) -> SeenPlaces:
    """The places of `record` over `rows`, which are whole days; day and night are those of `target`."""
    return SeenPlaces(
        record,
        airs.airs_of(record, rows, target),
        surfaces.surfaces_of(record, rows, target),
        fogged_panes(record, rows),
        target,
        hottest_by_beam(record),
    )
