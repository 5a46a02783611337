"""What no fan schedule should do to a box: the faults, each with its words and its letter in the margin of the table."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from terralab.answers.common.balance import TOP_CM
from terralab.answers.common.temperature import Heat
from terralab.quantities import quantity


class FaultKind(StrEnum):
    """The kinds of faults, in the order in which they are said."""

    TOO_HOT = "too hot"
    TOO_COLD = "too cold"
    TOP_DRIES = "top dries out"
    FRONT_ALL_DAY = "front pane wet all day"
    NEVER_DRY = "not dry before the next spray"
    DRY_LATE = "wet too long after a spray"

    @property
    def mark(self) -> str:
        """Its letter in the margin of the table."""
        return _MARKS[self]

    @property
    def legend(self) -> str:
        """What the letter means."""
        return _LEGENDS[self]


_MARKS = {
    FaultKind.TOO_HOT: "h",
    FaultKind.TOO_COLD: "c",
    FaultKind.TOP_DRIES: "t",
    FaultKind.FRONT_ALL_DAY: "g",
    FaultKind.NEVER_DRY: "n",
    FaultKind.DRY_LATE: "s",
}
_TOP_DRIES = f"the top {quantity('cm', 'g', TOP_CM)} dry out"
_LEGENDS = {
    FaultKind.TOO_HOT: "too hot",
    FaultKind.TOO_COLD: "too cold",
    FaultKind.TOP_DRIES: _TOP_DRIES,
    FaultKind.FRONT_ALL_DAY: "the front pane stays wet all day",
    FaultKind.NEVER_DRY: "leaves or front pane not dry before the next spray",
    FaultKind.DRY_LATE: "leaves or front pane wet too long after a spray",
}


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault of a schedule or lid in one room.

    `where`: "leaves" or "front", for those of a spray. `hours`: how long it stays wet there. `why`: what makes it too hot or
    too cold, half a sentence.
    """

    kind: FaultKind
    where: str = ""
    hours: float | None = None
    why: str = ""

    @property
    def same_as(self) -> tuple[FaultKind, str]:
        """What it has in common with the same fault of another schedule, whose degrees and hours differ."""
        return self.kind, self.where

    def words(self) -> str:
        """The fault as a clause, its measures as marks."""
        verb = "the front pane stays" if self.where == "front" else "the leaves stay"
        match self.kind:
            case FaultKind.TOO_HOT | FaultKind.TOO_COLD:
                return f"it is {self.kind} ({self.why})"
            case FaultKind.TOP_DRIES | FaultKind.FRONT_ALL_DAY:
                return self.kind.legend
            case FaultKind.NEVER_DRY:
                return f"{verb} wet until the next spray"
            case FaultKind.DRY_LATE:
                return f"{verb} wet for {self.hours:.0f} h after a spray"

    def to_dict(self) -> dict[str, Any]:
        """The same as plain data."""
        return {"kind": str(self.kind), "where": self.where, "hours": self.hours, "words": self.words()}


def faults_of(seen: Mapping[str, Any], dry_within_h: float) -> list[Fault]:
    """What a schedule does in one room that no schedule should; `seen` as `measured` gives it."""
    heat: Heat = seen["heat"]
    out = [Fault(FaultKind.TOO_HOT, why=heat.why_hot[0])] if heat.hot else []
    out += [Fault(FaultKind.TOO_COLD, why=heat.why_cold[0])] if heat.cold else []
    if seen["top_dries"]:
        out.append(Fault(FaultKind.TOP_DRIES))
    if seen["front_all_day"]:
        out.append(Fault(FaultKind.FRONT_ALL_DAY))
    for where in ("leaves", "front") if seen["sprays"] else ():
        taken = seen[f"dry_out_{where}_h"]
        if taken is None:
            out.append(Fault(FaultKind.NEVER_DRY, where))
        elif taken > dry_within_h:
            out.append(Fault(FaultKind.DRY_LATE, where, taken))
    return out


def kinds_of(faults: Iterable[Fault]) -> list[FaultKind]:
    """The kinds of some faults, each once, in their order."""
    found = {fault.kind for fault in faults}
    return [kind for kind in FaultKind if kind in found]
