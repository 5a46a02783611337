"""Moist air, convection, films and retention for the twin, written again from their formulas in plain numpy."""

from __future__ import annotations

import numpy as np

G, P, ZERO = 9.80665, 101325.0, 273.15
R_AIR, R_VAPOUR = 8.314462 / 0.028966, 8.314462 / 0.018015
C_AIR, C_VAPOUR, C_WATER, L0 = 1006.0, 1860.0, 4186.0, 2.501e6
SIGMA = 5.670374e-8
NU, PRANDTL, LAMBDA_AIR = 1.53e-5, 0.71, 0.0258
CHILTON = 0.85 ** (-2.0 / 3.0) / (C_AIR + 0.013 * C_VAPOUR)  # kg/m2s of vapour beside 1 W/m2K, per kg/kg
VAPOUR_PER_RATIO = 1.14  # kg/m3 of vapour per kg/kg, for resistances in s/m


def saturated(t):
    """Vapour pressure [Pa] over water at t [C]: Alduchov & Eskridge 1996 eq. 21."""
    return 610.94 * np.exp(17.625 * t / (243.04 + t))


def ratio(e):
    """Humidity ratio [kg/kg] at vapour pressure e [Pa]."""
    return R_AIR / R_VAPOUR * e / (P - e)


def pressure(w):
    """Vapour pressure [Pa] at humidity ratio w [kg/kg]."""
    return P * w / (R_AIR / R_VAPOUR + w)


def rho(t, w):
    """Density of moist air [kg/m3]: both gases by their own pressure."""
    e = pressure(w)
    return ((P - e) / R_AIR + e / R_VAPOUR) / (t + ZERO)


def buoyancy(rho_heavy, rho_light):
    """Difference of two densities as a share of their mean."""
    return 2.0 * (rho_heavy - rho_light) / (rho_heavy + rho_light)


def heat_coefficient(speed, length, light, level):
    """W/m2K along a plate of `length` [m]: blown (Pohlhausen) and rising (McAdams) air, cubes added (Churchill)."""
    blown = 0.664 * np.sqrt(speed * length / NU) * PRANDTL ** (1.0 / 3.0)
    rayleigh = G * abs(light) * length**3 * PRANDTL / NU**2
    if not level:
        risen = 0.59 * rayleigh**0.25
    elif light > 0.0:
        risen = max(0.54 * rayleigh**0.25, 0.14 * rayleigh ** (1.0 / 3.0))
    else:
        risen = 0.27 * rayleigh**0.25
    return (blown**3 + risen**3) ** (1.0 / 3.0) * LAMBDA_AIR / length


def retention(h, s):
    """Water content [m3/m3], its slope [1/m] and conductivity [m/s] at h [m]: van Genuchten 1980 with Mualem.

    `s` holds the numbers of a row of the substrates. Conductivity is Ks down to the air entry and meets it there.
    """
    m = 1.0 - 1.0 / s["n"]
    shape = lambda head: (1.0 + (s["alpha"] * np.abs(np.minimum(head, -1e-9))) ** s["n"]) ** -m  # noqa: E731
    bracket = lambda se: se ** s["l"] * (1.0 - (1.0 - se ** (1.0 / m)) ** m) ** 2  # noqa: E731
    se = shape(h)
    span = s["theta_s"] - s["theta_r"]
    x = (s["alpha"] * np.abs(h)) ** s["n"]
    slope = span * m * s["n"] * x / np.abs(h) * (1.0 + x) ** (-m - 1.0)
    k = s["ks"] * np.minimum(1.0, bracket(se) / bracket(shape(np.array(-s["air_entry"]))))
    return s["theta_r"] + span * se, slope, k


def film(kind, drip_s, area, water, g, w_surface, w):
    """Share that is wet, evaporation [kg/s] and dripping [kg/s] of `water` [kg] on `area` with conductance g."""
    water = max(water, 0.0)
    wet = water / (water + kind["half_wet"] * area) if w_surface > w else 1.0
    return wet, g * area * wet * (w_surface - w), max(0.0, water - kind["capacity"] * area) / drip_s


def seen(*areas):
    """Areas [m2] as a common radiant temperature sees them: A F with F = 1/(1 - A F / sum of A F) (Carroll 1980), by turns."""
    flat = np.array(areas)
    whole = flat.copy()
    for _ in range(2000):
        whole = 0.5 * (whole + flat / (1.0 - whole / whole.sum()))
    return whole
