"""What every question returns: a value with its range and reason, and all that stands behind it."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Any

from terralab.answers.common.ensemble import EnsembleResults
from terralab.describe.system import speaks_us
from terralab.simulation.record import Record
from terralab.us_words import in_us


@dataclass(frozen=True, eq=False)
class Answer:
    """An answer in the keeper's units. Print it for sentences, `to_dict()` or `json()` for the same as data.

    Printed, it follows the units of the description; as data, and in `sentences`, it is metric.

    value, low, high are in `unit`; value is None when there is no such number, and `reason` says why. value is the
    middle of the members (see `terralab.uncertainty`), low and high hold the central 80 % of them; `spread` says how many
    there were and what the box gives with every number at its typical value. `window` is the span of the routine that
    works, `seasons` the same question in the winter and summer room. `measure_next` ranks what would narrow the range.
    `temp_day` and `temp_night` are mean, lowest and highest temperature of the air [C]; `heat` has the verdict on it
    ("fine", "too hot", "too cold", "dangerous", "nothing wanted known"), its reasons, and °C of ground and glass.
    `first` are the warnings that the sentences begin with.
    """

    question: str
    value: float | None
    low: float | None
    high: float | None
    unit: str
    reason: str
    sentences: tuple[str, ...] = ()
    window: Mapping[str, Any] = field(default_factory=dict)
    seasons: Mapping[str, Any] = field(default_factory=dict)
    rh_day: Mapping[str, float] = field(default_factory=dict)
    rh_night: Mapping[str, float] = field(default_factory=dict)
    temp_day: Mapping[str, float] = field(default_factory=dict)
    temp_night: Mapping[str, float] = field(default_factory=dict)
    heat: Mapping[str, Any] = field(default_factory=dict)
    first: tuple[str, ...] = ()
    hours_in_target: Mapping[str, float] = field(default_factory=dict)
    spread: Mapping[str, Any] = field(default_factory=dict)
    measure_next: tuple[Mapping[str, Any], ...] = ()
    reachable: bool | None = None
    alternative: str = ""
    budget_ml_per_day: Mapping[str, float] = field(default_factory=dict)
    details: Mapping[str, Any] = field(default_factory=dict)
    table: tuple[Mapping[str, Any], ...] = ()
    assumptions: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    record: Record | None = None
    sample: EnsembleResults | None = None

    @property
    def closure_water(self) -> float | None:
        """How well the record's water budget closes, as a share of all that moved and is stored."""
        return None if self.record is None else self.record.closure_water

    @property
    def closure_energy(self) -> float | None:
        """How well the record's energy budget closes, likewise."""
        return None if self.record is None else self.record.closure_energy

    def to_dict(self) -> dict[str, Any]:
        """Everything but the record and the sample, as plain numbers, words, lists and dicts."""
        kept = [f.name for f in fields(self) if f.name not in ("record", "sample", "sentences")]
        out = {name: _plain(getattr(self, name)) for name in kept}
        out["closure_water"], out["closure_energy"] = self.closure_water, self.closure_energy
        return out

    def json(self) -> str:
        """`to_dict` as JSON text."""
        return json.dumps(self.to_dict(), indent=2, ensure_ascii=False)

    @property
    def told(self) -> tuple[str, ...]:
        """The sentences in the units of the box: in US units where most of it was described so.

        Lines of a table, known by their columns, keep the units of their heading.
        """
        if self.record is None or not speaks_us(self.record.box):
            return self.sentences
        return tuple(line if "  " in line.strip() else in_us(line) for line in self.sentences)

    def __str__(self) -> str:
        return "\n".join(self.told)

    __repr__ = __str__


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {str(k): _plain(v) for k, v in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(v) for v in value]
    if hasattr(value, "item"):
        value = value.item()
    # what is no number is said to be missing: JSON knows no other word for it
    return None if isinstance(value, float) and not math.isfinite(value) else value
