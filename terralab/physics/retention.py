"""How a substrate holds water: water content theta against pressure head h (negative when it sucks).

Forms (`form`): 0 van Genuchten (1980), 1 two van Genuchten domains (Durner 1994), 2 exponential (Gardner 1958).
A soil is a row of numbers in the order of `SOIL_COLUMNS`. The dry end (Fayer & Simmons 1995, from memory)
lets the residual water fall, linear in log suction, to nothing at 1e5 m: shipped mixes use it, published
functions are checked without it.
"""

import math

from terralab.jit import kernel

#: The numbers of one soil, in the order in which a row of the soil table holds them.
SOIL_COLUMNS = (
    "form",
    "theta_r",
    "theta_s",
    "alpha",
    "n",
    "l",
    "ks",
    "w2",
    "alpha2",
    "n2",
    "air_entry",
    "dry_end",
    "k_scale",
)
FORM, THETA_R, THETA_S, ALPHA, N, L, KS, W2, ALPHA2, N2, AIR_ENTRY, DRY_END, K_SCALE = range(13)

DRY_HEAD = -1.0e5  # m: no water is left at this head (Fayer & Simmons 1995, from memory)
DRY_FROM = -1.0  # m: the residual water is whole down to this suction


@kernel
def log_of_one_and(small):
    """ln(1 + small) for 0 <= small <= 0.01, all digits, without a logarithm: its series."""
    u = small
    return u * (1.0 - u * (1 / 2 - u * (1 / 3 - u * (1 / 4 - u * (1 / 5 - u * (1 / 6 - u * (1 / 7 - u / 8)))))))


@kernel
def scaled_suction(h, alpha, n):
    """x = (alpha |h|)^n [-] at head h < 0 [m], ln(1 + x) and ln(1 + 1/x): all that retention and conductivity need.

    The two logarithms keep their digits from very wet to very dry; either end takes a series, which is quicker too.
    """
    log_x = n * math.log(-alpha * h)
    x = math.exp(log_x)
    if x < 0.01:
        wet = log_of_one_and(x)
        return x, wet, wet - log_x
    if x > 100.0:
        dry = log_of_one_and(1.0 / x)
        return x, dry + log_x, dry
    wet = math.log(1.0 + x)
    return x, wet, wet - log_x


@kernel
def saturation_and_slope(h, x, wet, n):
    """van Genuchten saturation [-] and its slope dSe/dh [1/m] at head h < 0 [m], n > 1.

    Se = (1 + x)^-m, m = 1 - 1/n; x and wet = ln(1 + x) from `scaled_suction`.
    Source: van Genuchten 1980, Soil Sci. Soc. Am. J. 44:892, eq. 3.
    """
    m = 1.0 - 1.0 / n
    se = math.exp(-m * wet)
    return se, m * n * se * x / ((1.0 + x) * -h)


@kernel
def saturation(h, soil):
    """Saturation [-] and slope [1/m] of any form at head h [m]: one and zero for h >= 0."""
    if h >= 0.0:
        return 1.0, 0.0
    if soil[FORM] == 2.0:
        se = math.exp(soil[ALPHA] * h)
        return se, soil[ALPHA] * se
    x, wet, _ = scaled_suction(h, soil[ALPHA], soil[N])
    se, slope = saturation_and_slope(h, x, wet, soil[N])
    if soil[FORM] == 1.0:
        x, wet, _ = scaled_suction(h, soil[ALPHA2], soil[N2])
        se2, slope2 = saturation_and_slope(h, x, wet, soil[N2])
        se = (1.0 - soil[W2]) * se + soil[W2] * se2
        slope = (1.0 - soil[W2]) * slope + soil[W2] * slope2
    return se, slope


@kernel
def water_at(h, se, slope, soil):
    """Water content [m3/m3] and capacity [1/m] at head h [m] where the saturation is se with this slope [1/m]."""
    theta_r = soil[THETA_R]
    if soil[DRY_END] == 0.0 or h >= DRY_FROM or theta_r == 0.0:
        span = soil[THETA_S] - theta_r
        return theta_r + span * se, span * slope
    # theta = chi theta_r + (theta_s - chi theta_r) Se, chi falling in log suction from one to nothing
    reach = math.log(DRY_HEAD / DRY_FROM)
    chi = 1.0 - math.log(h / DRY_FROM) / reach
    dchi = -1.0 / (reach * h)
    if chi < 0.0:
        chi = 0.0
        dchi = 0.0
    top = soil[THETA_S] - chi * theta_r
    return chi * theta_r + top * se, dchi * theta_r * (1.0 - se) + top * slope


@kernel
def water_content(h, soil):
    """Water content theta [m3/m3] and capacity C = dtheta/dh [1/m] at head h [m]; soil is a row of the soil table.

    Exact for all h from -1e5 m to above zero (saturated: theta_s and 0). NaN head gives NaN.
    """
    se, slope = saturation(h, soil)
    return water_at(h, se, slope, soil)
