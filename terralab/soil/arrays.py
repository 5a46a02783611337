"""The arrays and settings that one step of the soil clock works on, by name. All lengths in m, all flows in m/s.

A column has n cells, counted from the top. Arrays of heads, water and sources have n + 1 places: the last is the
drainage layer below the mesh, whose "head" is its water level counted from the mesh (negative below it).
"""

from typing import NamedTuple

import numpy as np

# what the top does
FLUX, HEAD, LIMITED = 0, 1, 2  # LIMITED: a demanded flux, at most what a surface at the top's head lets through
# what the bottom does
SEALED, RESERVOIR, SEEPAGE, FREE, FIXED_HEAD = 0, 1, 2, 3, 4


class Grid(NamedTuple):
    """The cells: thickness `dz` [m], the row of `soils` each is made of, and those rows (`retention.SOIL_COLUMNS`)."""

    dz: np.ndarray
    soil_of: np.ndarray
    soils: np.ndarray


class Drivers(NamedTuple):
    """What drives a step besides its ends.

    source: water [m] that enters each cell, and the drainage layer, during the step (negative where roots draw).
    temperature [C] and vapour_density [kg/m3, saturated] of each cell, and diffusion [m2/s] of vapour from each cell
    to the one below.
    """

    source: np.ndarray
    temperature: np.ndarray
    diffusion: np.ndarray
    vapour_density: np.ndarray


class Flows(NamedTuple):
    """Flows below each cell [m/s, downwards]: all water, and vapour alone; and the head [m] at each contact of soils."""

    total: np.ndarray
    vapour: np.ndarray
    contact: np.ndarray


class Top(NamedTuple):
    """The surface takes `flux` [m/s] (FLUX), stands at `head` [m] (HEAD), or gives the demand `flux` (negative), but no
    more than a surface at `head` can draw (LIMITED).
    """

    kind: int
    flux: float
    head: float


class Bottom(NamedTuple):
    """What lies below the lowest cell.

    head [m]: of a FIXED_HEAD. entry [m]: suction below which a SEEPAGE face, or the RESERVOIR's, lets water go. The
    rest is the RESERVOIR's: its depth [m], void fraction [-] and capillary fringe [m]; a wick of `wick_share` of the
    floor [-], and what `physics.wick` must know of it.
    """

    kind: int
    head: float
    entry: float
    depth: float
    void: float
    fringe: float
    wick_share: float
    wick_conducts: float
    wick_rise: float


class Method(NamedTuple):
    """How a step is computed.

    ponding: water may stand on the top cell. head_form: the older form of the equation, which loses water.
    residual_tolerance [m]: a last change of heads that leaves less than this in every balance is not checked by
    another iteration; 0 checks always.
    """

    ponding: bool
    head_form: bool
    residual_tolerance: float


class Newton(NamedTuple):
    """One row a cell, and one for the drainage layer.

    The linear equations: lower, diagonal, upper, residual [m of water], and the `change` [m] of head that solves them.
    Of each cell: conductivity k [m/s] and its slope dk [1/s], pore humidity [-] and its slope [1/m], slope of the water
    held, `storage` [-]. Heads [m] at the start of the step and before the last change.
    """

    lower: np.ndarray
    diagonal: np.ndarray
    upper: np.ndarray
    residual: np.ndarray
    change: np.ndarray
    k: np.ndarray
    dk: np.ndarray
    humidity: np.ndarray
    dhumidity: np.ndarray
    storage: np.ndarray
    start: np.ndarray
    before: np.ndarray


def newton_arrays(cells: int) -> Newton:
    """Return the scratch arrays for a column of `cells`."""
    return Newton(*np.zeros((len(Newton._fields), cells + 1)))
