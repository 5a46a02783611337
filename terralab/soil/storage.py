"""Water held by a cell of soil and by the drainage layer [m over the floor], and how it changes with the head."""

from terralab.jit import kernel
from terralab.physics.retention import water_content

SPECIFIC_STORAGE = 1.0e-6  # 1/m, keeps a saturated cell solvable; 1e-8 m of water in a 10 cm column
FLOODED_STORAGE = 1.0e-3  # m of water per m of head once the drainage layer is full


@kernel
def stored(h, dz, soil, is_top, ponding):
    """Water held by a cell [m] and its slope [-]: pores, a little compression, and the pond on the top cell."""
    theta, capacity = water_content(h, soil)
    return stored_with(h, dz, theta, capacity, is_top and ponding)


@kernel
def stored_with(h, dz, theta, capacity, pond):
    """`stored` where water content [m3/m3] and capacity [1/m] are known already."""
    v = theta * dz
    dv = capacity * dz
    if h >= 0.0:
        v += SPECIFIC_STORAGE * dz * h
        dv += SPECIFIC_STORAGE * dz
    if pond and h > 0.5 * dz:
        v += h - 0.5 * dz
        dv += 1.0
    return v, dv


@kernel
def reservoir_stored(level, depth, void):
    """Free water in the drainage layer [m over the floor] and slope [-] for a level [m] counted from the mesh."""
    if level <= 0.0:
        return void * (level + depth), void
    return void * depth + FLOODED_STORAGE * level, FLOODED_STORAGE


@kernel
def reservoir_level(water, depth, void):
    """Inverse of `reservoir_stored`: the level [m] from the mesh that `water` [m over the floor] stands at."""
    if water <= void * depth:
        return water / void - depth
    return (water - void * depth) / FLOODED_STORAGE
