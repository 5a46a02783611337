"""Flow between two heads: Darcy's law with the mean conductivity, and through the contact of two materials."""

import math

from terralab.jit import kernel
from terralab.physics.conductivity import conductivity

K_FLOOR = 1.0e-16  # m/s, keeps bone-dry cells connected


@kernel
def half_flow(h_from, k_from, dk_from, h_to, k_to, dk_to, distance):
    """Downward Darcy flow [m/s] over `distance` [m] with the mean K, and its slopes by both heads."""
    mean = 0.5 * (k_from + k_to) + K_FLOOR
    gradient = (h_from - h_to) / distance + 1.0
    return (
        mean * gradient,
        0.5 * dk_from * gradient + mean / distance,
        0.5 * dk_to * gradient - mean / distance,
    )


@kernel
def contact_flow(ha, ka, dka, da, soil_a, hb, kb, dkb, db, soil_b, guess):
    """Flow [m/s] through the contact of two materials, its slopes by both heads, and the head at the contact.

    Each half cell conducts with its own material's K, averaged between its centre and the contact; the contact
    head makes both flows agree. Bracketed Newton: a root always lies between the two hydrostatic bounds.
    """
    low = min(ha, hb - db)
    high = max(ha + da, hb)
    x = guess
    if not (low < x < high):
        x = 0.5 * (low + high)
    q = 0.0
    slope_a = 0.0
    slope_b = 0.0
    for _ in range(60):
        kxa, dkxa = conductivity(x, soil_a)
        kxb, dkxb = conductivity(x, soil_b)
        qa, qa_a, qa_x = half_flow(ha, ka, dka, x, kxa, dkxa, da)
        qb, qb_x, qb_b = half_flow(x, kxb, dkxb, hb, kb, dkb, db)
        f = qa - qb
        df = qa_x - qb_x
        q = qa
        if df < 0.0:
            slope_a = qa_a - qa_x * qa_a / df
            slope_b = qa_x * qb_b / df
        else:
            slope_a = qa_a
            slope_b = qb_b
        if abs(f) <= 1e-12 * (abs(qa) + abs(qb)) + 1e-18 or high - low < 1e-14 * (1.0 + abs(x)):
            break
        if f > 0.0:
            low = x
        else:
            high = x
        new = x - f / df if df < 0.0 else 0.5 * (low + high)
        if not (low < new < high):
            # halve the bracket, in log suction when it spans decades
            new = -math.sqrt(low * high) if high < 0.0 and low < 10.0 * high else 0.5 * (low + high)
        x = new
    return q, slope_a, slope_b, x
