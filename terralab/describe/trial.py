"""A box that terralab itself makes up to try something: nobody described it, so it gives no cautions."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields, replace
from typing import Self

from terralab.describe.box import Box
from terralab.describe.opening import Opening
from terralab.describe.part import Described
from terralab.errors import DescriptionError, Problem

A_LITTLE = 0.9  # the share of a lid that stays covered where it is opened a little


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


def covered_lid(box: Box, share: float) -> Trial:
    """The box with every opening of its lid covered to `share` (0 to 1); only for a lid without a hot lamp or heater."""
    openings = tuple(replace(o, covered=share) if o.wall == "lid" else o for o in box.enclosure.openings)
    return Trial.of(box, enclosure=replace(box.enclosure, openings=openings))


def opened_a_little(box: Box) -> Trial:
    """The box with a tenth of its lid open: its covers there taken back so far, or an opening with mesh in a lid without."""
    e = box.enclosure
    lids = [o for o in e.openings if o.wall == "lid"]
    if lids:
        return covered_lid(box, min(A_LITTLE, *(o.covered for o in lids)))
    side = (1.0 - A_LITTLE) ** 0.5
    new = Opening("part of the lid", "lid", side * e.width_cm, side * e.front_to_back_cm, mesh=True)
    return Trial.of(box, enclosure=replace(e, openings=(*e.openings, new)))


def _stands(one: object, box: Box) -> bool:
    """Whether a range still belongs to an entry of the box, with the described value inside it."""
    try:
        _, low, typical, high = one.numbers(box)
    except DescriptionError:
        return False
    return low <= typical <= high
