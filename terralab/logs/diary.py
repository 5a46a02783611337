"""A diary: what a keeper did to a box and weighed of it, entry by entry."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from terralab.folded import fold, page, paragraph, table

#: What an entry may tell, and the unit its amount has once read ("" for none).
WHATS = {
    "poured": "ml",
    "sprayed": "ml",
    "siphoned": "ml",
    "siphoned to": "cm",  # down to this much water above the floor of the glass
    "dish filled": "ml",
    "hide wetted": "ml",  # the moss in a damp hide
    "gap below mesh": "cm",
    "water depth": "cm",  # of the water below the mesh, above the floor of the glass
    "lid covered": "share",
    "lamp": "W",
    "box weighs": "g",
    "bottle weighs": "g",
    "leaves wet": "",
}


def minute(when: np.datetime64) -> str:
    """Return a time of a diary as it is read out, to the minute.

    >>> minute(np.datetime64("2026-08-03T08:05:30"))
    '2026-08-03 08:05'
    """
    return str(when).replace("T", " ")[:16]


@dataclass(frozen=True)
class Entry:
    """One line of a diary: `when` (datetime64[s], wall clock), `what` of `WHATS`, its `amount` (None where it has none), a `note`.

    `name`: the lamp or opening meant, "" where none was named. `step`: one of the last digit that was written, in the unit of
    the amount (None: not known), so that a weight written as "6 kg" does not count as one to the gram.
    """

    when: np.datetime64
    what: str
    amount: float | None = None
    note: str = ""
    name: str = ""
    step: float | None = None


@dataclass(frozen=True)
class Weighed:
    """Water that left the box as vapour between two times, as weighing tells it: `ml_per_day` and its standard deviation `error`.

    `begins`, `ends`: datetime64[s]. `how`: "box on a scale", "bottle", ... in words for a keeper. `soil_unseen`: True where
    the scale did not see what the soil gained or lost meanwhile; `error` then counts a soil as moist at the end as at the
    start, to within what fingers feel.
    """

    begins: np.datetime64
    ends: np.datetime64
    ml_per_day: float
    error: float
    how: str
    soil_unseen: bool = False


@dataclass(frozen=True)
class Diary:
    """The entries in their order of time, and `understood`, one paragraph on how the file was read."""

    entries: tuple[Entry, ...]
    understood: str = ""

    def of(self, *whats: str) -> tuple[Entry, ...]:
        """Return the entries that tell of some of `WHATS`."""
        return tuple(one for one in self.entries if one.what in whats)

    def _repr_html_(self) -> str:
        """Return what a notebook shows: how the file was read, and its entries, folded."""
        rows = [
            (minute(one.when), one.what, "" if one.amount is None else f"{one.amount:g} {WHATS[one.what]}", one.note)
            for one in self.entries
        ]
        lead = f"A diary of {len(self.entries)} entries."
        entries = table(("when", "what", "how much", "note"), rows)
        return page(paragraph(lead, large=True), paragraph(self.understood), fold("The entries", entries))
