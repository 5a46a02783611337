"""What a fan really moves: its curve of pressure against flow, met by the resistance of mesh and openings.

Plain Python: it is worked out once for each fan of a run, never inside the time loop. Pressures Pa, flows m3/s,
areas m2, speeds m/s. A number that cannot be (below 0, a share above 1, NaN) gives NaN.
"""

import math

from terralab.physics.constants import AIR_VISCOSITY

AIR_DENSITY = 1.19  # kg/m3, room air at about 22 C and half humid
_ROUNDS = 44  # halvings of an interval; leaves less than 1e-13 of it


def screen_loss(speed, porosity, thread):
    """Loss of a woven screen in velocity heads [-] at the `speed` [m/s] with which air comes up to it.

    K = (18/Re + 0.75/log10(Re + 1.25) + 0.055 log10 Re) (1 - p^2)/p^2, Re = speed thread/(p viscosity). `porosity` p
    is the open share (0 to 1), `thread` its thickness [m]. Re up to 1000. At the low end K goes as 1/speed: the
    screen is a viscous brake. Form of Bailey, Montero, Perez Parra, Robertson, Baeza & Kamaruddin 2003, Biosystems
    Engineering 86:217-229 (from memory). Held against the wind tunnel of Lopez and others 2016 in the tests: it is
    within 30 % of the measured discharge coefficients, which themselves differ 1.6-fold at the same porosity.
    """
    if not (speed >= 0.0 and 0.0 < porosity <= 1.0 and thread > 0.0):
        return math.nan
    reynolds = max(1e-6, speed * thread / (porosity * AIR_VISCOSITY))
    shape = (1.0 - porosity * porosity) / (porosity * porosity)
    viscous = 18.0 / reynolds + 0.75 / math.log10(reynolds + 1.25)
    return (viscous + 0.055 * math.log10(reynolds)) * shape


def pressure_needed(flow, area, discharge, porosity, thread):
    """Pressure [Pa] that drives `flow` [m3/s] through an opening of `area` [m2].

    The opening alone loses 1/discharge^2 velocity heads (0: no loss of its own, as behind a fan's frame, whose rating
    contains it); a screen of `porosity` below 1 adds its own loss. No area: infinite.
    """
    if not (flow >= 0.0 and area >= 0.0 and 0.0 <= discharge <= 1.0 and 0.0 < porosity <= 1.0 and thread >= 0.0):
        return math.nan
    if flow == 0.0:
        return 0.0
    if area == 0.0:
        return math.inf
    speed = flow / area
    loss = 1.0 / (discharge * discharge) if discharge > 0.0 else 0.0
    if porosity < 1.0:
        loss += screen_loss(speed, porosity, thread)
    return 0.5 * AIR_DENSITY * speed * speed * loss


def fan_pressure(flow, free_flow, shut_off, bend=1.0):
    """Pressure [Pa] a fan still gives at `flow` [m3/s]: shut_off (1 - (flow/free_flow)^bend).

    bend 1 is a straight line between the two ends, bend 2 a parabola. Real curves of small axial fans lie about
    there, with a dent in the middle that is left out (a simplification without source). NaN unless flow is 0 to
    free_flow, bend above 0 and shut_off not below 0.
    """
    if not (0.0 <= flow <= free_flow and free_flow > 0.0 and shut_off >= 0.0 and bend > 0.0):
        return math.nan
    return shut_off * (1.0 - (flow / free_flow) ** bend)


def side_by_side(pressure, holes):
    """Flow [m3/s] that `pressure` [Pa] drives through several openings together.

    `holes`: (area, discharge, porosity, thread) of each, as `pressure_needed` takes them; each has a loss.
    """
    if not pressure >= 0.0 or any(math.isnan(pressure_needed(1.0, *hole)) for hole in holes):
        return math.nan
    total = 0.0
    for area, discharge, porosity, thread in holes:
        low, high = 0.0, area * math.sqrt(2.0 * pressure / AIR_DENSITY)
        for _ in range(_ROUNDS):
            middle = 0.5 * (low + high)
            if pressure_needed(middle, area, discharge, porosity, thread) < pressure:
                low = middle
            else:
                high = middle
        total += 0.5 * (low + high)
    return total


def operating_point(free_flow, shut_off, before, holes, bend=1.0):
    """Flow [m3/s] of a fan that blows through the opening `before` it while its make-up air passes `holes`.

    `before` is one (area, discharge, porosity, thread), `holes` a sequence of them, each with a loss. The pressure
    across the box is sought at which the holes pass just what the fan still moves. No hole: no flow.
    """
    whole = [fan_pressure(0.0, free_flow, shut_off, bend), *(pressure_needed(1.0, *way) for way in (before, *holes))]
    if any(math.isnan(pressure) for pressure in whole):
        return math.nan
    low, high = 0.0, shut_off
    for _ in range(_ROUNDS):
        across = 0.5 * (low + high)
        flow = side_by_side(across, holes)
        left = fan_pressure(flow, free_flow, shut_off, bend) - pressure_needed(flow, *before) - across
        if flow < free_flow and left > 0.0:
            low = across
        else:
            high = across
    return side_by_side(0.5 * (low + high), holes)
