"""What an answer states, one thing a statement: its kind, where it is shown, and its sentence with its quantities.

Faces choose statements by kind and view, never by the words they begin with, and say them in metric or US units.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Flag, StrEnum, auto
from typing import Any

from terralab.quantities import Quantity, Text, quantities, said, template


class View(Flag):
    """How much of an answer is shown: the short screen, with its reasons, or everything."""

    SHORT = auto()
    WHY = auto()
    ALL = auto()


EVERYWHERE = View.SHORT | View.WHY | View.ALL
LONG = View.WHY | View.ALL


class Kind(StrEnum):
    """What a statement is about."""

    TITLE = "title"
    HOT_PLACE = "a place that gets too hot or too cold, or may"
    WARNING = "warning"
    DO = "what to do"
    SURE = "how sure"
    AIR = "humidity and temperature"
    WRONG = "what is most wrong"
    MEASURE = "what to measure next"
    CAUTION = "caution"
    WHY = "why"
    EXPLAINED = "explained"
    DRAWS = "draws that could not be run"
    WINDOW = "what else works"
    WARMTH = "temperature"
    LIGHT = "light at the plants"
    GLASS = "which pane fogs and when"
    PLACES = "air below and above, and where animals sit"
    WANTED = "what is wanted"
    ALTERNATIVE = "what else would reach it"
    SEASONS = "by season"
    WHERE = "where the water goes"
    SIPHON = "when to siphon"
    LEVEL = "the water below"
    MISHAP = "a mishap"
    ALARM = "alarm limits"
    TABLE = "comparison"
    LEGEND = "what the columns mean"
    LEFT_OUT = "left out of the comparison"
    FRESH_AIR = "fresh air"
    WEIGHT = "weight"
    LEARNED = "what was learned"
    UNTOLD = "what was not learned, and why"
    SENSOR = "how far a sensor or a clock is off"
    MISFIT = "how far the computed course misses the log"
    UNDERSTOOD = "how a file was read"
    ASSUMED = "taken for granted"


class Verdict(StrEnum):
    """The one thing that is most wrong with a box, as far as a question looks at it."""

    FINE = "fine"
    DANGEROUS = "dangerous"
    TOO_HOT = "too hot"
    TOO_COLD = "too cold"
    WRONG_SOIL = "wrong soil"
    TOO_DRY = "too dry"
    TOO_DAMP = "too damp"
    NOTHING_WORKS = "nothing works"
    LAYER_TOO_THIN = "layer too thin"
    NO_AIR = "too little air in the soil"
    ONE_FAILURE = "one failure is dangerous"
    UNUSUAL = "not as usual"
    CONTRADICTED = "log and description contradict each other"
    UNTOLD = "the log does not tell"
    UNKNOWN = "nothing wanted known"


@dataclass(frozen=True, slots=True)
class Statement:
    """One thing that an answer states.

    `text`: the sentence, whose quantities are marks (see `terralab.quantities`). `under`: lines that belong below it, such
    as the rows of a table, whose columns stand as they are. `views`: where it is shown.
    """

    kind: Kind
    text: str
    under: tuple[str, ...] = ()
    views: View = LONG

    @property
    def quantities(self) -> tuple[Quantity, ...]:
        """The quantities of its sentence, in order."""
        return quantities(self.text)

    def said(self, us: bool = False) -> str:
        """Its sentence in metric or US units."""
        return said(self.text, us)

    def lines(self, us: bool = False) -> list[str]:
        """Its sentence and what stands under it, set in as in a printed answer."""
        inset = "" if self.kind is Kind.TITLE else "  "
        return [inset + self.said(us), *(f"    {said(line, us)}" for line in self.under)]

    def finished(self) -> Statement:
        """The same, whose text reads as metric words."""
        return Statement(self.kind, Text(self.text), tuple(Text(line) for line in self.under), self.views)

    def to_dict(self) -> dict[str, Any]:
        """The same as plain data: kind, views, template, quantities, and the metric words."""
        return {
            "kind": str(self.kind),
            "views": [view.name.lower() for view in View if view in self.views],
            "template": template(self.text),
            "quantities": [
                {"kind": q.kind, "unit": q.unit, "value": q.value, "low": q.low, "high": q.high}
                for q in self.quantities
                if q.numbers
            ],
            "text": self.said(),
            **({"under": [said(line) for line in self.under]} if self.under else {}),
        }


def state(kind: Kind, *texts: str, under: Iterable[str] = (), views: View = LONG) -> list[Statement]:
    """A statement for each text that is not empty; `under` belongs to the last."""
    found = [text for text in texts if text]
    return [
        Statement(kind, text, tuple(under) if number == len(found) else (), views)
        for number, text in enumerate(found, 1)
    ]


__all__ = ["EVERYWHERE", "LONG", "Kind", "Statement", "Verdict", "View", "state"]
