"""How far a described number may be off, where the keeper knows: `[[ranges]]` of the file."""

# entry() does nothing but call dataclasses.field(), which is the allowed call here.
from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import TYPE_CHECKING, ClassVar

from terralab.describe.fields import Words, entry
from terralab.describe.part import Described, cautions_untold
from terralab.errors import DescriptionError, Problem

if TYPE_CHECKING:
    from terralab.describe.box import Box

_MEASURE = Words(60, empty=False)


@dataclass(frozen=True, slots=True)
class Range(Described):
    """The least and the most that one described number may be.

    `of`: its dotted words as in `Box.change`, such as "enclosure.plants.leaf_area". `low` and `high`: measures as
    a file writes them, such as "2000 cm2"; the described value must lie between them.
    """

    word: ClassVar[str] = "range"

    of: str = entry(Words(200, empty=False))
    low: str = entry(_MEASURE)
    high: str = entry(_MEASURE)

    def numbers(self, box: Box) -> tuple[str, float, float, float]:
        """(place, low, typical, high): the place as "box." and field names joined by dots, list items from 0.

        Raises DescriptionError where the place leads to no single number, or an end is not allowed there.
        """
        bare = replace(box, ranges=(), learned=None)
        typical = flat(bare)
        ends = []
        for end in (self.low, self.high):
            moved = flat(bare.change(**{self.of: end}))
            if moved.keys() != typical.keys():
                raise DescriptionError.of(self.of, f"given the range {self.low} to {self.high}", _ALLOWED)
            ends.append(moved)
        places = [place for place in typical if any(moved[place] != typical[place] for moved in ends)]
        if len(places) != 1:
            raise DescriptionError.of(self.of, f"given the range {self.low} to {self.high}", _ALLOWED)
        (place,) = places
        return f"box.{place}", ends[0][place], typical[place], ends[1][place]


_ALLOWED = "an entry that is one number, such as enclosure.plants.leaf_area"


def flat(part: object, place: str = "") -> dict[str, float]:
    """Every number of a described part under its field names joined by dots, list items counted from 0."""
    out: dict[str, float] = {}
    if is_dataclass(part):
        items = [(f.name, getattr(part, f.name)) for f in fields(part)]
    elif isinstance(part, tuple):
        items = [(str(i), item) for i, item in enumerate(part)]
    elif isinstance(part, float):
        return {place: part}
    else:
        return out
    for name, item in items:
        out |= flat(item, f"{place}.{name}" if place else name)
    return out


def wrong_ranges(box: Box) -> Iterable[Problem]:
    """The problems of a box's ranges: a place that is no number, an end not allowed, ends on one side."""
    for number, own in enumerate(box.ranges, 1):
        try:
            with cautions_untold():
                _, low, typical, high = own.numbers(box)
        except DescriptionError as error:
            for problem in error.problems:
                yield Problem(f"ranges.{number}", problem.field, problem.given, problem.allowed, problem.hint)
            continue
        if not low <= typical <= high or low == high:
            yield Problem(
                f"ranges.{number}",
                "low",
                f"given {own.low} to {own.high}",
                "a low end below and a high end above the described value",
                f"Check the order, or what {own.of} itself says.",
            )
