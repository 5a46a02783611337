"""The engine's own arrays of one run, as a record holds and saves them."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from itertools import pairwise

import numpy as np

from terralab.engine.carry import EndState
from terralab.engine.kinds import name_of


@dataclass(frozen=True, eq=False)
class Raw:
    """The engine's own arrays, SI, one row a saved time; flows and moved are amounts since the row before.

    `end` is where the run stood at its end (None: saved by an older terralab). A box that an event changed has tables of
    its own in each part, the `part_*`, and `part_row` is the first row of each.
    """

    t: np.ndarray
    zones: np.ndarray
    surfaces: np.ndarray
    chain: np.ndarray
    water: np.ndarray
    head: np.ndarray
    flow: np.ndarray
    moved: np.ndarray
    dz: np.ndarray
    place: np.ndarray
    theta_s: np.ndarray
    dry_heat: np.ndarray
    layer_start: np.ndarray
    constants: np.void
    zone: np.ndarray
    surface: np.ndarray
    end: EndState | None = None
    part_row: np.ndarray | None = None
    part_constants: np.ndarray | None = None
    part_zone: np.ndarray | None = None
    part_surface: np.ndarray | None = None

    def amount(self, name: str) -> np.ndarray:
        """Return what moved under this name of the table of flows [kg, J] since the row before, in every row."""
        return self.moved[name] if name in self.moved.dtype.names else self.flow[name]

    def of_kinds(self, kinds: tuple[float, ...]) -> np.ndarray:
        """Return which surfaces are of these kinds (`engine.kinds`), a flag each."""
        return np.isin(self.surface["kind"], kinds)

    def of_name(self, name: str) -> np.ndarray:
        """Return which surfaces have this name, in whatever zone: "front", "back", "leaves", "dish"."""
        return np.array([name_of(one["kind"], one["wall"]) == name for one in self.surface])

    def pieces(self) -> list[Raw]:
        """Return the parts of the run, each with its own tables; one where no event changed the box."""
        if self.part_surface is None:
            return [self]
        edges = [*self.part_row, len(self.t)]
        by_row = ("t", "zones", "surfaces", "chain", "water", "head", "flow", "moved")
        found = []
        for n, (first, last) in enumerate(pairwise(edges)):
            cut = {name: getattr(self, name)[first:last] for name in by_row}
            tables = {"constants": self.part_constants[n], "zone": self.part_zone[n], "surface": self.part_surface[n]}
            found.append(replace(self, **cut, **tables, part_surface=None))
        return found

    def __post_init__(self) -> None:
        for one in fields(self):
            held = getattr(self, one.name)
            if isinstance(held, np.ndarray):
                # every series, budget and answer reads these: what is changed here by a slip is changed everywhere
                held.flags.writeable = False

    def __reduce__(self) -> tuple:
        # Arrays come out of a pickle writeable, so they go through the door once more.
        return Raw, tuple(getattr(self, one.name) for one in fields(self))


#: The names of the arrays, in the order in which they are saved.
ARRAYS = tuple(one.name for one in fields(Raw) if one.name != "end" and not one.name.startswith("part_"))
PARTS = ("part_row", "part_constants", "part_zone", "part_surface")
