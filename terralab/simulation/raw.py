"""The engine's own arrays of one run, as a record holds and saves them."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from terralab.engine.kinds import name_of


@dataclass(frozen=True, eq=False)
class Raw:
    """The engine's own arrays, SI, one row a saved time; flows and moved are amounts since the row before."""

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

    def amount(self, name: str) -> np.ndarray:
        """Return what moved under this name of the table of flows [kg, J] since the row before, in every row."""
        return self.moved[name] if name in self.moved.dtype.names else self.flow[name]

    def of_kinds(self, kinds: tuple[float, ...]) -> np.ndarray:
        """Return which surfaces are of these kinds (`engine.kinds`), a flag each."""
        return np.isin(self.surface["kind"], kinds)

    def of_name(self, name: str) -> np.ndarray:
        """Return which surfaces have this name, in whatever zone: "front", "back", "leaves", "dish"."""
        return np.array([name_of(one["kind"], one["wall"]) == name for one in self.surface])

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
ARRAYS = tuple(one.name for one in fields(Raw))
