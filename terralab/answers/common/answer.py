"""What every question returns: a value with its range and reason, what it states, and all that stands behind it."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Any

from terralab.answers.common.ensemble import EnsembleResults
from terralab.answers.common.rich import answer_html
from terralab.answers.common.statement import Kind, Statement, Verdict, View
from terralab.errors import TerralabError, UnknownName, quoted
from terralab.quantities import finished
from terralab.simulation.record import Record
from terralab.validate import word

VIEWS = {"short": View.SHORT, "why": View.WHY, "all": View.ALL}
_NO_DATA = ("record", "sample", "statements", "box", "fit")  # said in another way, or too large


@dataclass(frozen=True, eq=False)
class Answer:
    """An answer in the keeper's units. Print it for the short screen, `text("all")` for every sentence, `json()` for data.
    As the last line of a notebook's cell it shows what to do first, and the rest folded.

    Printed, it follows the units of the description; as data, and in `sentences`, it is metric.

    value, low, high are in `unit`; value is None when there is no such number, and `reason` says why. value is the
    middle of the members (see `terralab.uncertainty`), low and high hold the central 80 % of them; `spread` says how many
    there were and what the box gives with every number at its typical value. `window` is the span of the routine that
    works, `seasons` the same question in the winter and summer room. `measure_next` ranks what would narrow the range.
    `temp_day` and `temp_night` are mean, lowest and highest temperature of the air [C]; `heat` has the verdict on it
    ("fine", "too hot", "too cold", "dangerous", "nothing wanted known"), its reasons, and °C of ground and glass.
    `verdict` is the one thing that is most wrong. `first` are the warnings that the answer begins with. `statements` are
    all it says, each with its kind, its quantities and where it is shown; `us` whether the box was described in US units; an answer without any is a draft, whose
    texts still hold marks (see `terralab.quantities`).
    """

    question: str
    value: float | None
    low: float | None
    high: float | None
    unit: str
    reason: str
    statements: tuple[Statement, ...] = ()
    verdict: Verdict = Verdict.UNKNOWN
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
    us: bool = False

    def __post_init__(self) -> None:
        if not self.statements:
            return
        object.__setattr__(self, "statements", tuple(one.finished() for one in self.statements))
        for one in fields(self):
            if one.name not in _NO_DATA:
                object.__setattr__(self, one.name, finished(getattr(self, one.name)))

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
        out = {one.name: _plain(getattr(self, one.name)) for one in fields(self) if one.name not in _NO_DATA}
        out["statements"] = [_plain(one.to_dict()) for one in self.statements]
        out["closure_water"], out["closure_energy"] = self.closure_water, self.closure_energy
        return out

    def json(self) -> str:
        """`to_dict` as JSON text."""
        return json.dumps(self.to_dict(), indent=2, ensure_ascii=False)

    @property
    def sentences(self) -> tuple[str, ...]:
        """Every line of the answer in metric units: the title, then each statement set in by two, what belongs below by four."""
        return tuple(self.lines("all", us=False))

    def lines(self, view: str = "all", us: bool | None = None) -> list[str]:
        """The lines of the answer that a `view` ("short", "why" or "all") shows; in the units of the box unless `us` says."""
        where = VIEWS[word("view", view, VIEWS)]
        if us is not None and not isinstance(us, bool):
            raise TerralabError(f"us must be True, False or None; {quoted(us)} was given.")
        return [
            line for one in self.statements if where in one.views for line in one.lines(self.us if us is None else us)
        ]

    def text(self, view: str = "short", us: bool | None = None) -> str:
        """The same as one text."""
        return "\n".join(self.lines(view, us))

    def of_kind(self, *kinds: Kind) -> tuple[Statement, ...]:
        """Return the statements of some kinds, such as `Kind.DO`, in their order."""
        for kind in kinds:
            if kind not in tuple(Kind):
                raise UnknownName.among("kind of statement", kind, Kind)
        return tuple(one for one in self.statements if one.kind in kinds)

    def __str__(self) -> str:
        return self.text()

    __repr__ = __str__

    def _repr_html_(self) -> str:
        """Return what a notebook shows: what to do first, the rest folded."""
        return answer_html(self)


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {str(k): _plain(v) for k, v in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(v) for v in value]
    if isinstance(value, str):
        return str(value)
    if hasattr(value, "item"):
        value = value.item()
    # what is no number is said to be missing: JSON knows no other word for it
    return None if isinstance(value, float) and not math.isfinite(value) else value
