"""The air that a run shows, judged once: its humidity and its warmth over the same rows, so that neither stands alone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from terralab.answers.common.brief import air_lines
from terralab.answers.common.heat_words import first_lines, heat_fields
from terralab.answers.common.humidity_target import humidity, target_of
from terralab.answers.common.rounding import percent
from terralab.answers.common.temperature import Heat, heat_of, last_days
from terralab.describe.box import HumidityTarget
from terralab.simulation.record import Record


@dataclass(frozen=True)
class SeenAir:
    """Humidity [%] by "day" and "night" (mean, low, high), warmth, what humidity is wanted, and the warnings for the box."""

    rh: Mapping[str, Mapping[str, float]]
    heat: Heat
    target: HumidityTarget | None
    first: tuple[str, ...]

    def lines(self, when: str = "") -> list[str]:
        """The lines of the short screen: by day and by night, beside what is wanted."""
        return air_lines(self.rh, self.heat, self.target, when)

    def sentence(self, when: str = "") -> str:
        """The same humidity as one sentence of the long answer, which stands before that on the temperature."""
        parts = (
            f"{seen['mean']:.0f} % by {part} ({seen['low']:.0f} to {seen['high']:.0f})"
            for part, seen in self.rh.items()
        )
        return f"Humidity{when}: {' and '.join(parts)}."

    def fields(self) -> dict[str, Any]:
        """The fields of an `Answer` that say how humid and how warm it is."""
        whole = {part: {end: percent(value) for end, value in seen.items()} for part, seen in self.rh.items()}
        return {"rh_day": whole["day"], "rh_night": whole["night"], **heat_fields(self.heat, self.first)}


def seen_air(record: Record, rows: np.ndarray | None = None) -> SeenAir:
    """The air of `record` over `rows` (its last three days where none are given)."""
    rows = last_days(record) if rows is None else rows
    target, _ = target_of(record.box)
    heat = heat_of(record, rows)
    return SeenAir(humidity(record, rows, target), heat, target, first_lines(record.box, heat))
