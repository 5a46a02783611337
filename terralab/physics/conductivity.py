"""How fast a substrate lets water through: Mualem's conductivity (Mualem 1976, with van Genuchten 1980).

The exponent l is free (organic mixes need it anywhere from -4 to 5, above -2/m). The bracket
1 - (1 - Se^(1/m))^m is computed as 1 - (x/(1+x))^m with x = (alpha |h|)^n, through logarithms and series: the
textbook form loses its digits in dry soil. A small air-entry height (Vogel, van Genuchten & Cislerova 2001; Ippisch et
al. 2006, from memory) removes the infinite slope at saturation of fine mixes; it acts on conductivity only.
"""

import math

from terralab.jit import kernel
from terralab.physics.constants import GAS_VAPOUR, GRAVITY, ZERO_CELSIUS
from terralab.physics.moist_air import COLDEST, HOTTEST
from terralab.physics.retention import (
    AIR_ENTRY,
    ALPHA,
    ALPHA2,
    FORM,
    K_SCALE,
    KS,
    N2,
    THETA_S,
    W2,
    L,
    N,
    saturation,
    saturation_and_slope,
    scaled_suction,
    water_at,
)

ROUNDING = 1.0 + 1e-6  # a soil without a drop of water may hold more air than pores by round-off


@kernel
def mualem_bracket(h, x, dry, se, alpha, n):
    """1 - (1 - Se^(1/m))^m [-] and its slope [1/m] at h < 0 [m], without cancellation.

    x and dry = ln(1 + 1/x) from `scaled_suction`, se the saturation. Of (x/(1+x))^m = exp(-m dry) the power is known
    already, as x^m Se with x^m = x/(alpha |h|); where it is nearly one, a series gives what is missing to one.
    """
    m = 1.0 - 1.0 / n
    y = m * dry
    if y < 0.01:
        bracket = y * (1.0 - y * (1 / 2 - y * (1 / 6 - y * (1 / 24 - y * (1 / 120 - y / 720)))))
    else:
        bracket = 1.0 - x / (-alpha * h) * se
    return bracket, (1.0 - bracket) * m * n / ((1.0 + x) * -h)


@kernel
def pores(h, soil):
    """Saturation, its slope and logarithm, Mualem's integral as a share, and its slope, at h < 0 [m]; one or two domains."""
    x, wet, dry = scaled_suction(h, soil[ALPHA], soil[N])
    se, dse = saturation_and_slope(h, x, wet, soil[N])
    g, dg = mualem_bracket(h, x, dry, se, soil[ALPHA], soil[N])
    if soil[FORM] != 1.0:
        return se, dse, (1.0 / soil[N] - 1.0) * wet, g, dg
    w2 = soil[W2]
    x, wet, dry = scaled_suction(h, soil[ALPHA2], soil[N2])
    se2, dse2 = saturation_and_slope(h, x, wet, soil[N2])
    g2, dg2 = mualem_bracket(h, x, dry, se2, soil[ALPHA2], soil[N2])
    a1 = (1.0 - w2) * soil[ALPHA]
    a2 = w2 * soil[ALPHA2]
    g = (a1 * g + a2 * g2) / (a1 + a2)
    dg = (a1 * dg + a2 * dg2) / (a1 + a2)
    se = (1.0 - w2) * se + w2 * se2
    dse = (1.0 - w2) * dse + w2 * dse2
    return se, dse, math.log(se), g, dg


@kernel
def conductivity_at(h, se, dse, log_se, g, dg, soil):
    """K [m/s] and its slope [1/s] from what `pores` gives: scale Se^l g^2, and Ks above the air-entry head."""
    if h >= -soil[AIR_ENTRY]:
        return soil[KS], 0.0
    # a square root is quicker than an exponential, and most mixes have l = 1/2
    power = math.sqrt(se) if soil[L] == 0.5 else math.exp(soil[L] * log_se)
    k = soil[K_SCALE] * power * g * g
    return k, k * (soil[L] * dse / se + 2.0 * dg / g)


@kernel
def hydraulics(h, soil):
    """Water content [m3/m3], capacity [1/m], K [m/s] and dK/dh [1/s] at head h [m], the pores computed once."""
    if h >= 0.0:
        return soil[THETA_S], 0.0, soil[KS], 0.0
    if soil[FORM] == 2.0:
        se, slope = saturation(h, soil)
        theta, capacity = water_at(h, se, slope, soil)
        return theta, capacity, soil[KS] * se, soil[KS] * slope
    se, dse, log_se, g, dg = pores(h, soil)
    theta, capacity = water_at(h, se, dse, soil)
    k, dk = conductivity_at(h, se, dse, log_se, g, dg, soil)
    return theta, capacity, k, dk


@kernel
def conductivity(h, soil):
    """Hydraulic conductivity K [m/s] and its slope dK/dh [1/s] at head h [m]; soil is a row of the soil table.

    K = Ks Se^l [1 - (1 - Se^(1/m))^m]^2 (van Genuchten 1980 eq. 8 with Mualem's l free); two domains after
    Priesack & Durner 2006; exponential form K = Ks exp(alpha h) (Gardner 1958). Ks for h >= -air_entry.
    """
    _, _, k, dk = hydraulics(h, soil)
    return k, dk


@kernel
def conductivity_scale(soil):
    """The factor [m/s] before Se^l g^2 that makes K meet Ks at the air-entry head; Ks itself without one."""
    entry = soil[AIR_ENTRY]
    if soil[FORM] == 2.0 or entry <= 0.0:
        return soil[KS]
    _, _, log_se, g, _ = pores(-entry, soil)
    return soil[KS] / (math.exp(soil[L] * log_se) * g * g)


@kernel
def pore_humidity(h, t_c):
    """Relative humidity [-] of the air in pores at head h [m] and t_c [C], and its slope [1/m]: exp(g h / (R_v T)).

    1 for h >= 0; a short series near saturation saves the exponential. Source: Philip 1957; 0.9929 at 100 m of
    suction, 0.9312 at 1000 m (25 C). NaN outside -40 to 200 C.
    """
    if not COLDEST <= t_c <= HOTTEST:
        return math.nan, math.nan
    if h >= 0.0:
        return 1.0, 0.0
    c = GRAVITY / (GAS_VAPOUR * (t_c + ZERO_CELSIUS))
    x = c * h
    a = 1.0 + x * (1.0 + 0.5 * x) if x > -1e-4 else math.exp(x)
    return a, c * a


@kernel
def vapour_diffusivity(t_c):
    """Diffusivity of water vapour in free air [m2/s] at t_c [C]: 2.178e-5 (T/273.15)^1.81.

    Source: Massman 1998, Atmos. Environ. 32:1111; 2.55e-5 at 25 C. NaN outside -40 to 200 C.
    """
    if not COLDEST <= t_c <= HOTTEST:
        return math.nan
    return 2.178e-5 * math.exp(1.81 * math.log((t_c + ZERO_CELSIUS) / ZERO_CELSIUS))


@kernel
def pore_diffusivity(air_filled, porosity, t_c):
    """Diffusivity of vapour through air-filled pores [m2/s]: D_v eps^(10/3) / phi^2 (Millington & Quirk 1961).

    air_filled eps and porosity phi in m3/m3; the air content is already in it. Zero when eps <= 0, in
    soil that is full. NaN unless phi is above 0 and at most 1, eps at most phi, and t_c -40 to 200.
    """
    if not (0.0 < porosity <= 1.0 and air_filled <= porosity * ROUNDING and COLDEST <= t_c <= HOTTEST):
        return math.nan
    if air_filled <= 0.0:
        return 0.0
    return vapour_diffusivity(t_c) * math.exp(10.0 / 3.0 * math.log(air_filled)) / (porosity * porosity)
