"""What passes the two ends of a soil column: its surface, and the mesh, hole or floor below it."""

from terralab.jit import inner, kernel
from terralab.physics.conductivity import conductivity
from terralab.physics.wick import wick_flow
from terralab.soil.arrays import FIXED_HEAD, FLUX, FREE, HEAD, RESERVOIR, SEALED
from terralab.soil.darcy import half_flow


@inner
def top_flow(top, h, k, dk, dz, soil):
    """Flow [m/s] into the top cell (`top` is a `Top`; head h [m], K [m/s], its slope, thickness [m]) and its slope by h."""
    if top.kind == FLUX:
        return top.flux, 0.0
    k_surface, dk_surface = conductivity(top.head, soil)
    through, _, q_h = half_flow(top.head, k_surface, dk_surface, h, k, dk, 0.5 * dz)
    if top.kind == HEAD or through > top.flux:
        return through, q_h
    return top.flux, 0.0


@kernel
def bottom_flow(h, k, dk, half, soil, level, bottom):
    """Flow out of the lowest cell [m/s] and its slopes by the cell's head h [m] and by the reservoir's level [m].

    k [m/s] and dk [1/s] are the cell's, half [m] is the way from its middle to the mesh; `bottom` is a `Bottom`. What
    runs in a wick goes along with what passes the mesh.
    """
    if bottom.kind == SEALED:
        q, q_h, q_level = 0.0, 0.0, 0.0
    elif bottom.kind == FREE:
        q, q_h, q_level = k, dk, 0.0
    elif bottom.kind == FIXED_HEAD:
        q, q_h = towards(bottom.head, h, k, dk, half, soil)
        q_level = 0.0
    else:
        q, q_h, q_level = mesh_flow(h, k, dk, half, soil, level, bottom)
    if bottom.wick_share > 0.0:
        wick, wick_h, wick_l = wick_flow(h, half, level, bottom.depth, bottom.wick_conducts, bottom.wick_rise)
        q += bottom.wick_share * wick
        q_h += bottom.wick_share * wick_h
        q_level += bottom.wick_share * wick_l
    return q, q_h, q_level


@inner
def towards(head, h, k, dk, half, soil):
    """Flow [m/s] down from the middle of the lowest cell to a mesh that stands at `head` [m], and its slope by h."""
    k_mesh, dk_mesh = conductivity(head, soil)
    q, q_h, _ = half_flow(h, k, dk, head, k_mesh, dk_mesh, half)
    return q, q_h


@inner
def mesh_flow(h, k, dk, half, soil, level, bottom):
    """`bottom_flow` of a SEEPAGE face, or of a RESERVOIR: that blends two regimes over the aggregate's capillary fringe.

    Far from the water a seepage face (water leaves once the suction at the mesh is below `entry`), near it contact with
    the standing water (flow both ways).
    """
    share, dshare = touching(level, bottom.fringe) if bottom.kind == RESERVOIR else (0.0, 0.0)
    q = 0.0
    q_h = 0.0
    if share < 1.0:
        seep, seep_h = towards(-bottom.entry, h, k, dk, half, soil)
        if seep > 0.0:
            q = seep
            q_h = seep_h
    if share == 0.0:
        return q, q_h, 0.0
    k_mesh, dk_mesh = conductivity(level, soil)
    touch, touch_h, touch_l = half_flow(h, k, dk, level, k_mesh, dk_mesh, half)
    q_level = dshare * (touch - q) + share * touch_l
    return (1.0 - share) * q + share * touch, (1.0 - share) * q_h + share * touch_h, q_level


@inner
def touching(level, fringe):
    """Share [-] of the mesh that standing water touches, and its slope [1/m]: smooth from 0 at `fringe` below it to 1."""
    if level <= -fringe:
        return 0.0, 0.0
    if level >= 0.0:
        return 1.0, 0.0
    s = (level + fringe) / fringe
    return s * s * (3.0 - 2.0 * s), 6.0 * s * (1.0 - s) / fringe
