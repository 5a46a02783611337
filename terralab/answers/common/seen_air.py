"""The air that a run shows, judged once: its humidity and its warmth over the same rows, so that neither stands alone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from terralab.answers.common.airs import airs_of
from terralab.answers.common.brief import air_lines, outside_words
from terralab.answers.common.heat_words import chance_words, first_lines, heat_fields, place_words
from terralab.answers.common.humidity_target import humidity, shortfall, target_of
from terralab.answers.common.rounding import percent
from terralab.answers.common.surfaces import basking_of, too_hot_words
from terralab.answers.common.temperature import Heat, degrees, heat_of, last_days
from terralab.describe.box import Box, HumidityTarget
from terralab.simulation.record import Record


@dataclass(frozen=True)
class SeenAir:
    """Humidity [%] by "day" and "night" (mean, low, high), warmth, what humidity is wanted, and the warnings for the box.

    `hot`: the warning on the basking place, "" for none; `warm`: those on the temperature of single airs, and on what is
    likely; `outside`: how far the humidity lies outside what is wanted, "" inside.
    """

    rh: Mapping[str, Mapping[str, float]]
    heat: Heat
    target: HumidityTarget | None
    first: tuple[str, ...]
    hot: str = ""
    warm: tuple[str, ...] = ()

    @property
    def minds(self) -> tuple[str, ...]:
        """What the short screen must say of single places and of what is likely."""
        return tuple(text for text in (self.hot, *self.warm) if text)

    @property
    def outside(self) -> str:
        """How far the mean humidity lies outside what is wanted, as a clause; "" inside."""
        return outside_words(self.rh, self.target)

    @property
    def dry(self) -> bool:
        """Whether that is too dry where it is outside at all."""
        return self.target is not None and shortfall(dict(self.rh), self.target) < 0.0

    def lines(self, when: str = "") -> list[str]:
        """The lines of the short screen: by day and by night, beside what is wanted."""
        return air_lines(self.rh, self.heat, self.target, when)

    def sentence(self, when: str = "") -> str:
        """The same humidity as one sentence of the long answer, which stands before that on the temperature."""
        parts = (
            f"{seen['mean']:.0f} % at {degrees(self.heat.seen['air'][part]['mean'])} by {part} ({seen['low']:.0f} to "
            f"{seen['high']:.0f} %)"
            for part, seen in self.rh.items()
        )
        return f"Humidity{when}: {' and '.join(parts)}."

    def fields(self) -> dict[str, Any]:
        """The fields of an `Answer` that say how humid and how warm it is."""
        whole = {part: {end: percent(value) for end, value in seen.items()} for part, seen in self.rh.items()}
        return {"rh_day": whole["day"], "rh_night": whole["night"], **heat_fields(self.heat, self.first)}


def seen_air(
    record: Record,
    rows: np.ndarray | None = None,
    likely: Mapping[str, np.ndarray] | None = None,
    wanted_in: Box | None = None,
) -> SeenAir:
    """The air of `record` over `rows` (its last three days where none are given).

    `likely`: what draws of the same box gave (see `temperature.heat_measures`); `wanted_in`: the box whose wants count, where
    it is another (see `temperature.heat_of`).
    """
    rows = last_days(record) if rows is None else rows
    target, _ = target_of(record.box)
    heat = heat_of(record, rows, wanted_in).with_likely(likely)
    warm = (place_words(heat, airs_of(record, rows, target)), chance_words(heat))
    hot = too_hot_words(record.box, basking_of(record, rows, target), heat)
    return SeenAir(
        humidity(record, rows, target), heat, target, first_lines(record.box, heat, room=record.season), hot, warm
    )
