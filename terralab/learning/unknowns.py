"""What nobody knows about a logged box: the uncertain inputs of its description, and what only a log leaves open.

Each is an independent standard normal z, common causes included, mapped to its own range: whatever z is, the number
stays inside it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from terralab.learning.logged_box import LEVEL, POURED, SUCTION, SUNNED, WARMED, LoggedBox
from terralab.logs.diary_given import one_deviation
from terralab.uncertainty.inputs import UncertainInput, uncertain_inputs
from terralab.uncertainty.sampling import draws, values_at

CHOICE = "a choice of this project"
#: One that was looked at stood 2.1 K warm with its vapour right; most stand a little warm (grade G).
WARMED_K = (0.0, 0.5, 4.0)
#: One by a window stood 0.02 K warmer for each W/m2 of sun on it (grade G).
SUNNED_K = (0.0, 0.4, 5.0)
#: Where no diary tells it: the daily pour as typed is one by eye (grade G).
POURED_SHARE = (0.85, 1.0, 1.15)
#: "Watered and drained" said of soil that drained for an hour up to a week; "dry" of soil from pale to bone dry; "wet" of
#: soil just soaked or soaked yesterday (grade G).
SUCTION_M = {"drained-moist": (0.01, 0.15, 3.0), "dry": (3.0, 300.0, 5000.0), "wet": (0.001, 0.02, 0.5)}
LEVEL_CM = 1.0  # cm: how far a level of water told by eye is off (grade G)
TO_TRIANGLE = 6.0**0.5  # half the width of two right triangles over their standard deviation
LEAST_Z = 6.0  # sd: z beyond it are those of probabilities that doubles no longer tell from 1


@dataclass(frozen=True, eq=False)
class Unknowns:
    """The unknowns of a logged box: `inputs` in their order, and how z turns into their values."""

    inputs: tuple[UncertainInput, ...]

    @property
    def keys(self) -> tuple[str, ...]:
        """The key of each input."""
        return tuple(one.key for one in self.inputs)

    def first(self, members: int, seed: int) -> np.ndarray:
        """Return z (members x dimensions) of fresh members; those of few are the first of many."""
        from scipy.special import ndtri  # late: half a second to load

        return ndtri(draws(self.inputs, members, seed))

    def values(self, z: np.ndarray) -> np.ndarray:
        """Return the values (members x inputs) at z."""
        from scipy.special import ndtr  # late, as above

        return values_at(self.inputs, np.clip(ndtr(np.clip(z, -LEAST_Z, LEAST_Z)), 1e-9, 1.0 - 1e-9))


def unknowns_of(logged: LoggedBox, room_salt: tuple[float, float] | None = None) -> Unknowns:
    """Return the unknowns of a logged box.

    `room_salt`: by how much the room's sensor reads too high and that number's standard deviation [points], from a salt test.
    """
    box = logged.box
    found = {one.key: one for one in uncertain_inputs(box)}
    own = lambda key, ends, unit, source=CHOICE: UncertainInput(key, *ends, unit, "G", source, name=key)  # noqa: E731
    if room_salt is not None:
        # the room is as much damper as the sensor reads too low
        found["room.humidity"] = own("room.humidity", _about(-room_salt[0], room_salt[1]), "% RH", "a salt test")
    more = []
    if logged.room_c is not None:
        more.append(own(WARMED, WARMED_K, "K"))
        if box.room.window is not None or box.room.sun is not None:
            more.append(own(SUNNED, SUNNED_K, "K"))
    if logged.gives_water:
        jug = one_deviation("measuring jug")
        more.append(own(POURED, _about(1.0, jug) if logged.written else POURED_SHARE, "-"))
    if not any(one.of_water for one in box.start.readings) and box.enclosure.porous_layers:
        more.append(own(SUCTION, SUCTION_M[box.start.soil], "m"))
    drainage = box.enclosure.drainage
    if drainage is not None and LEVEL not in found:
        level = drainage.level_cm
        off = TO_TRIANGLE * logged.levels[0].error_cm if logged.level_read else LEVEL_CM
        # what stood above the mesh stays above it, what stood below stays below
        most = level + off if level > drainage.depth_cm else min(level + off, drainage.depth_cm)
        more.append(own(LEVEL, (max(0.0, level - off), level, max(level, most)), "cm"))
    found |= {one.key: one for one in more if one.low < one.high}
    return Unknowns(tuple(found[key] for key in sorted(found)))


def _about(middle: float, error: float) -> tuple[float, float, float]:
    """Low, typical and high of a number with this standard deviation."""
    return middle - TO_TRIANGLE * error, middle, middle + TO_TRIANGLE * error
