"""A box that terralab itself makes up to try something: nobody described it, so nobody is warned about it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields
from typing import Self

from terralab.describe.box import Box
from terralab.describe.part import Described
from terralab.errors import DescriptionError, Problem


class Trial(Box):
    """A Box for a run that is only tried, such as one with much more water than the routine has.

    It takes any amount of water (what does not fit runs over in the run) and gives no cautions. Its parts must be right
    all the same. It equals a Box with the same entries. `dataclasses.replace` of a Trial gives a Trial.
    """

    __slots__ = ()

    @classmethod
    def of(cls, box: Box, **changes: object) -> Self:
        """The box with whole parts replaced. Ranges of entries that the trial no longer has are left out.

        Raises DescriptionError where the parts cannot stand together, such as a siphon without a drainage layer.
        """
        return cls(**({field.name: getattr(box, field.name) for field in fields(box)} | changes))

    def __post_init__(self) -> None:
        if self.ranges:
            bare = Trial.of(self, ranges=())
            object.__setattr__(self, "ranges", tuple(one for one in self.ranges if _stands(one, bare)))
        Described.__post_init__(self)

    def cautions(self) -> Iterable[str]:
        return ()

    def too_much_water(self) -> Iterable[Problem]:
        return ()

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Box):
            return NotImplemented
        return all(getattr(self, field.name) == getattr(other, field.name) for field in fields(self))

    __hash__ = Box.__hash__


def _stands(one: object, box: Box) -> bool:
    """Whether a range still belongs to an entry of the box, with the described value inside it."""
    try:
        _, low, typical, high = one.numbers(box)
    except DescriptionError:
        return False
    return low <= typical <= high
