"""How the numbers of an answer are rounded: once, here, for words, data, pictures, plan and report alike."""

from __future__ import annotations

import math

LEAST_ML = 0.5  # less is called nothing
FINE_ML = 20.0  # a syringe or a small cup shows single millilitres up to here, a jug steps of five above (a choice)
NARROW_ML = 10.0  # a range that is narrower is said in single ml: steps of a jug would make it wider than it is
LITRE_ML = 1000.0


def jug(ml: float) -> float:
    """A volume [ml] rounded to what a kitchen jug can show; a negative one likewise.

    Single ml below 20, steps of 5 below a litre, tenths of a litre above. What is rounded already stays as it is.

    >>> [jug(x) for x in (0.4, 8.4, 122.9, 1340.0, -17.2)]
    [0.0, 8.0, 125.0, 1300.0, -17.0]
    """
    return 0.0 if abs(ml) < LEAST_ML else _step(ml) * round(ml / _step(ml))


def jug_up(ml: float) -> float:
    """The least volume a jug can show that is not below `ml` (0 or more)."""
    return _step(ml) * math.ceil(ml / _step(ml) - 1e-9)


def jug_down(ml: float) -> float:
    """The largest volume a jug can show that is not above `ml` (0 or more)."""
    return _step(ml) * math.floor(ml / _step(ml) + 1e-9)


def _step(ml: float) -> float:
    return 1.0 if abs(ml) < FINE_ML else 5.0 if abs(ml) < LITRE_ML else 100.0


def percent(share: float) -> float:
    """A humidity or another percentage rounded to whole points, as it is said."""
    return float(round(share))
