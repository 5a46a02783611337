"""What was found when fan schedules were compared: the one place from which the statements of the answer are made."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from terralab.answers.common.balance import kept_dry
from terralab.answers.common.temperature import Heat
from terralab.answers.fans.choice import first_lid
from terralab.answers.fans.schedules import NO_FAN
from terralab.describe.box import Box, HumidityTarget

ROOM_WORDS = {"now": "in the room as described", "winter": "in winter", "summer": "in summer"}
Row = Mapping[str, Any]


@dataclass(frozen=True)
class Compared:
    """The schedules side by side, with the warmth and the faults of each as they were judged.

    `rows`: a schedule each, in all rooms; `best`: the recommended one of them; `covers`: the lid more or less covered, in
    the room now. `details` are those of the answer, `source` what breathes (see `fresh_air.sources`). `assumed`: the fan of
    the recommended schedule in words, where the keeper has described none such.
    """

    box: Box
    target: HumidityTarget | None
    rows: Sequence[Row]
    best: Row
    covers: Sequence[Row]
    details: Mapping[str, Any]
    source: Mapping[str, Any]
    assumed: str = ""

    @property
    def now(self) -> Row:
        """The recommended schedule in the room as described."""
        return self.best["now"]

    @property
    def heat(self) -> Heat:
        """The warmth of that, judged."""
        return self.now["heat"]

    @property
    def none(self) -> Row:
        """The row without a fan."""
        return next(row for row in self.rows if row["name"] == NO_FAN)

    @property
    def gap(self) -> float:
        """Points by which the means of the recommended schedule lie outside what is wanted, negative when too dry."""
        return self.details["gap_points"]

    @property
    def first_lid(self) -> Row | None:
        """The least change of the lid that reaches the humidity wanted; None where none does or none is needed."""
        return first_lid(self.covers, self.gap)

    @property
    def water(self) -> str:
        """What stands after an amount of water: a box kept dry is not poured on, and its water is what is sprayed."""
        return given_by_hand(self.box) if kept_dry(self.box) else "of water"


def given_by_hand(box: Box) -> str:
    """How water comes into a box on whose soil nothing is poured."""
    ways = ["sprayed"] if box.routine.sprays else []
    ways += ["misted"] if box.routine.mists else []
    ways += ["put in the dish"] if box.enclosure.dish is not None else []
    return " and ".join(ways) if ways else "given"
