"""Moist-air arithmetic for reports, edges and tests: the only file that touches psychrolib.

psychrolib follows the ASHRAE Handbook - Fundamentals 2017, chapter 1 (Hyland & Wexler vapour pressure, ideal
mixture of dry air and vapour). Against the real-gas mixture of CoolProp the humidity ratio differs by up to
0.5 %, dew point by 0.01 K and wet bulb by 0.02 K between 18 and 35 C.

All functions take and give plain floats. `t_c` is the air temperature in C (-40 to 80), `rh_percent` the
relative humidity in % (0 to 100), `p_pa` the air pressure in Pa (50000 to 110000). Anything else raises
`AirStateError`; no number is given for a wrong input.
"""

from __future__ import annotations

import builtins
from importlib.util import find_spec, module_from_spec
from math import isfinite
from types import ModuleType

from terralab.errors import TerralabError, quoted
from terralab.units import as_float, is_number

STANDARD_PRESSURE_PA = 101325.0
ROUNDING_PERCENT = 1e-6
ROUNDING_RATIO = 1e-9
_GAS_CONSTANT_VAPOUR = 461.524  # J/kgK: 8.314472 J/molK over 18.01528 g/mol (ASHRAE Fundamentals 2017 ch. 1)
_KELVIN = 273.15


class AirStateError(TerralabError):
    """A temperature, humidity or pressure that no enclosure can have. The message says what is allowed."""


def _private_psychrolib() -> ModuleType:
    # Where numba is installed psychrolib 2.5.0 recompiles its functions at import: that takes seconds, range errors
    # vanish and the unit system can no longer be read or set. A copy whose own import statement finds no numba stays
    # plain Python. Nothing that another thread could see is changed: the statement is the copy's alone. Being a copy,
    # it also leaves the unit system of a psychrolib the user imported alone.
    spec = find_spec("psychrolib")
    if spec is None or spec.loader is None:
        raise ImportError("terralab needs psychrolib. Install it with: pip install psychrolib")

    def without_numba(name: str, *rest: object, **more: object) -> ModuleType:
        if name.partition(".")[0] == "numba":
            raise ImportError(name)
        return builtins.__import__(name, *rest, **more)

    module = module_from_spec(spec)
    module.__dict__["__builtins__"] = {**vars(builtins), "__import__": without_numba}
    exec(spec.loader.get_code(spec.name), module.__dict__)
    module.SetUnitSystem(module.SI)
    return module


_psychrolib = _private_psychrolib()


def _checked(field: str, given: object, lowest: float, highest: float, unit: str, rounding: float = 0.0) -> float:
    if not is_number(given) or not isfinite(as_float(given)):
        raise AirStateError(f"{field} must be one plain number in {unit}, but it is {quoted(given)}.")
    if not lowest - rounding <= given <= highest + rounding:
        raise AirStateError(f"{field} is {given:.8g} {unit}. Allowed: {lowest:g} to {highest:g} {unit}.")
    # Sums of rounded numbers may overshoot a limit by a hair; that is not the keeper's mistake.
    return min(max(float(given), lowest), highest)


def _temperature(t_c: object) -> float:
    return _checked("t_c", t_c, -40.0, 80.0, "C")


def _pressure(p_pa: object) -> float:
    return _checked("p_pa", p_pa, 50_000.0, 110_000.0, "Pa")


def _fraction(rh_percent: object, lowest: float = 0.0) -> float:
    return _checked("rh_percent", rh_percent, lowest, 100.0, "%", ROUNDING_PERCENT) / 100.0


def saturation_pressure_pa(t_c: float) -> float:
    """Return the vapour pressure of saturated air in Pa, over water above 0.01 C and over ice below.

    ASHRAE Fundamentals 2017 ch. 1 eq. 5 and 6 (Hyland & Wexler 1983).

    >>> round(saturation_pressure_pa(25.0), 1)
    3169.2
    """
    return _psychrolib.GetSatVapPres(_temperature(t_c))


def vapour_pressure_pa(t_c: float, rh_percent: float) -> float:
    """Return the pressure of the vapour in the air in Pa (ASHRAE Fundamentals 2017 ch. 1 eq. 12 and 22)."""
    return _psychrolib.GetVapPresFromRelHum(_temperature(t_c), _fraction(rh_percent))


def humidity_ratio(t_c: float, rh_percent: float, p_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Return kg of vapour for each kg of dry air (ASHRAE Fundamentals 2017 ch. 1 eq. 20).

    >>> round(humidity_ratio(25.0, 100.0), 6)
    0.020081
    """
    t, fraction, p = _temperature(t_c), _fraction(rh_percent), _pressure(p_pa)
    # psychrolib never goes below 1e-7 kg/kg; perfectly dry air shall read as dry.
    return _psychrolib.GetHumRatioFromRelHum(t, fraction, p) if fraction else 0.0


def relative_humidity(t_c: float, ratio: float, p_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Return the relative humidity in % of air that holds `ratio` kg of vapour for each kg of dry air (0 to 1).

    Above 100 means fog: more vapour than the air can hold. Inverse of `humidity_ratio`.

    >>> round(relative_humidity(26.0, humidity_ratio(20.0, 50.0)), 2)
    34.77
    """
    t, p = _temperature(t_c), _pressure(p_pa)
    held = _checked("ratio", ratio, 0.0, 1.0, "kg/kg", ROUNDING_RATIO)
    return 100.0 * _psychrolib.GetRelHumFromHumRatio(t, held, p) if held else 0.0


def dew_point_c(t_c: float, rh_percent: float) -> float:
    """Return the temperature in C at which a cooling surface starts to wet (ASHRAE Fundamentals 2017 ch. 1).

    Air without any vapour has no dew point: below 0.1 % RH `AirStateError` is raised.

    >>> round(dew_point_c(25.0, 80.0), 4)
    21.3094
    """
    return _psychrolib.GetTDewPointFromRelHum(_temperature(t_c), _fraction(rh_percent, 0.1))


def wet_bulb_c(t_c: float, rh_percent: float, p_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Return the temperature in C of a wetted surface in a draught (ASHRAE 2017 ch. 1 eq. 33, 35)."""
    t, fraction, p = _temperature(t_c), _fraction(rh_percent), _pressure(p_pa)
    return _psychrolib.GetTWetBulbFromRelHum(t, fraction, p)


def density_kg_m3(t_c: float, rh_percent: float, p_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Return the density of moist air in kg/m3; humid air is lighter.

    ASHRAE Fundamentals 2017 ch. 1 eq. 11 and 26.
    """
    t, p = _temperature(t_c), _pressure(p_pa)
    return _psychrolib.GetMoistAirDensity(t, humidity_ratio(t, rh_percent, p), p)


def vapour_density_kg_m3(t_c: float, rh_percent: float) -> float:
    """Return kg of vapour in a cubic metre of air, by the ideal gas law e/(R_v T)."""
    return vapour_pressure_pa(t_c, rh_percent) / (_GAS_CONSTANT_VAPOUR * (t_c + _KELVIN))
