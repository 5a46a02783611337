"""Bad input to every public function of the physics: NaN for what is not a number or lies outside the docstring's range.

Never a plausible number. One table holds, for each function, an input that is good and the values that are bad for
each of its arguments; NaN is tried for all of them. A function that is in neither table nor `physics.INSIDE` fails.
"""

from __future__ import annotations

import importlib
import inspect
import math
import pkgutil

import numpy as np
import pytest

from terralab import physics
from terralab.errors import DescriptionError
from terralab.physics.retention import ALPHA, ALPHA2, K_SCALE, N2, THETA_R, THETA_S, W2, L, N
from terralab.physics.salts import SALTS
from terralab.soil.hydraulics import Soil

NAN, INF = math.nan, math.inf
HOT_OR_COLD = [-300.0, -41.0, 201.0, INF, -INF]
BELOW_NOTHING = [-1e-3, -INF]
NOT_ABOVE_NOTHING = [0.0, *BELOW_NOTHING]
SHARE = [-1e-3, 1.001, INF]
ENDLESS = [*BELOW_NOTHING, INF]
LIGHT = [-2.1, 2.1, INF]
ANY: list[float] = []

#: module.function: a good value and the bad ones of each argument.
DOORS = {
    "moist_air.saturation_pressure": [(22.0, HOT_OR_COLD)],
    "moist_air.saturation_slope": [(22.0, HOT_OR_COLD), (2645.0, BELOW_NOTHING)],
    "moist_air.humidity_ratio": [(1500.0, [-1.0, 101325.0, 2e5, INF])],
    "moist_air.damp_ratio": [(0.8, BELOW_NOTHING), (0.015, BELOW_NOTHING)],
    "moist_air.vapour_pressure": [(0.01, BELOW_NOTHING)],
    "moist_air.relative_humidity": [(22.0, HOT_OR_COLD), (0.01, BELOW_NOTHING)],
    "moist_air.density": [(22.0, HOT_OR_COLD), (0.01, BELOW_NOTHING)],
    "moist_air.saturated_vapour_density": [(22.0, HOT_OR_COLD)],
    "moist_air.vapour_enthalpy": [(22.0, HOT_OR_COLD)],
    "moist_air.latent_heat": [(22.0, HOT_OR_COLD)],
    "moist_air.air_enthalpy": [(22.0, HOT_OR_COLD), (0.01, BELOW_NOTHING)],
    "convection.forced_plate": [(0.1, [*NOT_ABOVE_NOTHING, 1e5, INF]), (0.3, [*NOT_ABOVE_NOTHING, 1e6])],
    "convection.natural_horizontal": [(0.01, LIGHT), (0.3, NOT_ABOVE_NOTHING)],
    "convection.natural_vertical": [(0.01, LIGHT), (0.3, NOT_ABOVE_NOTHING)],
    "convection.combined": [(2.0, BELOW_NOTHING), (1.5, BELOW_NOTHING)],
    "convection.vapour_conductance": [(3.0, BELOW_NOTHING)],
    "convection.in_series": [(0.003, BELOW_NOTHING), (400.0, BELOW_NOTHING)],
    "convection.litter_resistance": [
        (0.03, BELOW_NOTHING),
        (0.8, [0.0, *SHARE]),
        (0.5, SHARE),
        (2.5e-5, NOT_ABOVE_NOTHING),
    ],
    "conductivity.pore_humidity": [(-10.0, ANY), (22.0, HOT_OR_COLD)],
    "conductivity.vapour_diffusivity": [(22.0, HOT_OR_COLD)],
    "conductivity.pore_diffusivity": [(0.3, [0.9, INF]), (0.8, [0.0, *SHARE]), (22.0, HOT_OR_COLD)],
    "fog.evaporation_rate": [
        (1e-5, NOT_ABOVE_NOTHING),
        (2.5e-5, NOT_ABOVE_NOTHING),
        (0.02, NOT_ABOVE_NOTHING),
        (0.25, SHARE),
    ],
    "fog.settling_speed": [(2e-5, [0.0, -1e-5, 9e-7, 3.1e-4, INF])],
    "fog.chill_factor": [(25.0, HOT_OR_COLD), (2.5e-5, NOT_ABOVE_NOTHING)],
    "fog.mist_haste": [(0.002, BELOW_NOTHING)],
    "fog.mist_left": [(0.002, BELOW_NOTHING), (3.0, BELOW_NOTHING), (1.0, BELOW_NOTHING)],
    "heat.soil_conductivity": [
        (0.3, BELOW_NOTHING),
        (0.9, [0.0, *SHARE]),
        (0.04, NOT_ABOVE_NOTHING),
        (0.5, NOT_ABOVE_NOTHING),
    ],
    "heat.soil_capacity": [(0.3, BELOW_NOTHING), (2.5e5, BELOW_NOTHING)],
    "heat.vapour_heat_conductivity": [
        (1e-6, BELOW_NOTHING),
        (0.99, BELOW_NOTHING),
        (0.02, BELOW_NOTHING),
        (22.0, HOT_OR_COLD),
    ],
    "roots.dry_target": [(-1.0, [INF, -INF]), (-5.0, [0.1, -80.0, -90.0]), (-80.0, [-5.0, -1.0, 0.0, -INF])],
    "roots.wet_target": [(0.07, [1.1, INF, -INF]), (0.1, SHARE), (0.5, SHARE)],
    "roots.follow": [(0.9, SHARE), (0.5, SHARE), (600.0, ENDLESS), (1e5, ENDLESS), (1e6, ENDLESS)],
    "wetting.dryness": [(0.1, [INF, -INF]), (0.2, [*NOT_ABOVE_NOTHING, INF])],
    "wetting.refusing": [(0.7, SHARE), (0.9, SHARE), (600.0, ENDLESS), (7200.0, [0.0, *ENDLESS])],
    "wetting.sheds": [(0.01, ENDLESS), (300.0, ENDLESS), (1e-4, ENDLESS), (0.005, ENDLESS), (0.5, SHARE)],
    "wetting.holds": [(0.01, ENDLESS), (0.5, SHARE), (0.1, ENDLESS), (0.02, ENDLESS)],
    "leaf.leaf_conductance": [
        (30.0, ENDLESS),
        (5000.0, [0.0, *ENDLESS]),
        (850.0, [0.0, *ENDLESS]),
        (38.0, [0.0, *ENDLESS]),
    ],
    "leaf.closing": [(1.2, [INF, -INF]), (0.24, SHARE)],
    "leaf.warming": [(24.0, HOT_OR_COLD), (0.026, [-1e-3, 0.3, INF])],
    "canopy.let_through": [(0.8, [0.0, *ENDLESS]), (2.0, ENDLESS)],
    "canopy.mean_light": [(40.0, ENDLESS), (0.8, [0.0, *ENDLESS]), (2.0, ENDLESS)],
    "canopy.sunlit_share": [(0.8, [0.0, *ENDLESS]), (2.0, ENDLESS)],
    "canopy.two_lights": [
        (500.0, ENDLESS),
        (40.0, ENDLESS),
        (0.7, [0.0, *ENDLESS]),
        (0.8, [0.0, *ENDLESS]),
        (2.0, ENDLESS),
    ],
    "canopy.sheltered": [(0.02, ENDLESS), (1.3, [0.9, 0.0, *ENDLESS])],
    "canopy.area_seen": [(0.2, ENDLESS), (0.15, [0.0, *ENDLESS]), (0.8, [0.0, *ENDLESS])],
    "light.lamp_photons": [(20.0, ENDLESS), (1.5, ENDLESS)],
    "light.direct_share": [(0.4, ENDLESS), (0.27, [0.0, *ENDLESS]), (120.0, [0.0, -5.0, 180.0, INF])],
    "light.shares_of_light": [
        (0.4, ENDLESS),
        (0.27, [0.0, *ENDLESS]),
        (0.84, ENDLESS),
        (0.1, SHARE),
        (0.07, SHARE),
        (120.0, [0.0, -5.0, 180.0, INF]),
    ],
    "light.lamp_light_at": [
        (30.0, ENDLESS),
        (0.4, ENDLESS),
        (0.27, [0.0, *ENDLESS]),
        (0.84, ENDLESS),
        (0.1, SHARE),
        (0.07, SHARE),
        (120.0, [0.0, -5.0, 180.0, INF]),
    ],
    "light.lid_passes": [
        (0.27, [0.0, 0.1, *ENDLESS]),
        (0.02, [0.3, *ENDLESS]),
        (0.1, [0.3, *ENDLESS]),
        (0.6, SHARE),
        (0.89, SHARE),
    ],
    "light.window_light": [(1.0, ENDLESS), (20.0, ENDLESS), (0.3, [0.0, 0.01, *SHARE]), (0.075, [0.0, 0.5, *SHARE])],
    "light.day_course": [(12.0, [-0.1, 24.1, INF]), (6.0, [-0.1, 19.0, INF]), (18.0, [5.0, 24.1, INF])],
    "light.light_of_lux": [(1000.0, ENDLESS), (54.0, [0.0, *ENDLESS])],
    "light.lux_of_light": [(20.0, ENDLESS), (54.0, [0.0, *ENDLESS])],
    "light.light_heat": [(200.0, ENDLESS), (4.57, [0.0, *ENDLESS]), (0.48, [0.0, *SHARE])],
    "openings.bare_loss": [(0.61, [0.0, *SHARE])],
    "mesh.mesh_friction": [(0.2, BELOW_NOTHING), (1.6, NOT_ABOVE_NOTHING)],
    "openings.speed": [(0.01, ANY), (0.002, BELOW_NOTHING), (1.6, BELOW_NOTHING)],
    "openings.speed_slope": [(0.01, ANY), (0.002, BELOW_NOTHING), (1.6, BELOW_NOTHING)],
    "openings.mean_speed": [(-0.01, ANY), (0.02, ANY), (0.002, NOT_ABOVE_NOTHING), (1.6, NOT_ABOVE_NOTHING)],
    "openings.lid_exchange": [
        (0.01, LIGHT),
        (0.001, ANY),
        (0.1, BELOW_NOTHING),
        (0.002, BELOW_NOTHING),
        (2.0, [1.5, *BELOW_NOTHING]),
        (1.6, [2.1, INF, *BELOW_NOTHING]),
        (0.05, NOT_ABOVE_NOTHING),
    ],
    "openings.still_exchange": [(0.1, BELOW_NOTHING), (2.5e-5, NOT_ABOVE_NOTHING)],
    "mesh.screen_loss": [(0.2, BELOW_NOTHING), (0.5, [0.0, *SHARE]), (2e-4, NOT_ABOVE_NOTHING)],
    "mesh.screen_pair": [(0.5, [0.0, *SHARE]), (2e-4, NOT_ABOVE_NOTHING)],
    "mesh.sheet_pair": [(0.35, [0.0, *SHARE]), (3e-3, NOT_ABOVE_NOTHING), (8e-4, BELOW_NOTHING)],
    "fan.blowing_loss": [(0.004, NOT_ABOVE_NOTHING), (12.0, BELOW_NOTHING), (0.0024, NOT_ABOVE_NOTHING)],
    "mixing.overturning": [(-0.01, LIGHT), (0.27, ENDLESS)],
    "mixing.pane_current": [(0.01, LIGHT), (0.4, [0.0, *ENDLESS]), (0.6, ENDLESS)],
    "mixing.passes": [(0.004, LIGHT), (0.002, LIGHT)],
    "mixing.plume": [(1e-4, ENDLESS), (0.2, ENDLESS)],
    "mixing.sinking": [(0.01, LIGHT), (0.001, ENDLESS), (0.2, ENDLESS)],
    "mixing.jet": [(0.001, ENDLESS), (0.05, [0.0, *ENDLESS]), (0.2, ENDLESS)],
    "mixing.outlet_speed": [(0.3, ENDLESS), (0.05, [0.0, *ENDLESS]), (0.3, ENDLESS)],
    "mixing.jet_work_limit": [
        (0.001, ENDLESS),
        (0.05, [0.0, *ENDLESS]),
        (0.005, LIGHT),
        (0.2, [0.0, *ENDLESS]),
        (0.2, SHARE),
    ],
    "mixing.stirred": [(0.001, ENDLESS), (0.002, BELOW_NOTHING)],
    "mixing.diffusion_exchange": [(0.27, ENDLESS), (0.2, [0.0, *ENDLESS]), (2.5e-5, [0.0, *ENDLESS])],
    "mixing.one_opening": [(0.002, LIGHT), (0.0036, ENDLESS), (0.06, [0.0, *ENDLESS]), (0.61, [0.0, *SHARE])],
    **{
        f"salts.{name}": [(SALTS["table salt"], ANY), (21.0, [-0.1, 50.1, INF, -INF])]
        for name in ("salt_humidity", "salt_slope", "salt_error")
    },
    "radiant.star": [([0.3, 0.2, 0.4], [[0.3, NAN], [0.3, -0.1, 0.4], [0.3, INF, 0.4]])],
    "basking.lit_area": [(0.3, [0.0, *ENDLESS]), (20.0, [0.0, -5.0, 90.0, INF])],
    "basking.share_on": [(0.02, ENDLESS), (0.3, [0.0, *ENDLESS]), (20.0, [0.0, -5.0, 90.0, INF])],
    "gases.litres_per_hour": [(3.0, BELOW_NOTHING), (0.27, BELOW_NOTHING)],
    "gases.exchange_for": [(0.2, BELOW_NOTHING), (120.0, NOT_ABOVE_NOTHING), (0.001, NOT_ABOVE_NOTHING)],
    "gases.relax": [(0.1, BELOW_NOTHING), (1.0, BELOW_NOTHING), (2.0, BELOW_NOTHING), (3.0, BELOW_NOTHING)],
    "gases.periodic": [
        ([1.0, 1.0], [[1.0, NAN], [-1.0, 1.0]]),
        ([2.0, 60.0], [[NAN, 2.0], [2.0, -1.0]]),
        ([0.5, 0.5], [[0.5, NAN], [0.5, -0.1], [0.0, 0.0]]),
    ],
    "gases.oxygen_lost": [(0.001, BELOW_NOTHING), (0.85, [0.0, -1.0, 0.5, 1.2])],
}


def find(name: str):
    module, function = name.split(".")
    return getattr(importlib.import_module(f"terralab.physics.{module}"), function)


def numbers_of(answer: object) -> list[float]:
    return list(np.atleast_1d(np.asarray(answer, dtype=float)))


def every_function() -> set[str]:
    names = set()
    for info in pkgutil.iter_modules(physics.__path__):
        module = importlib.import_module(f"terralab.physics.{info.name}")
        for name, thing in vars(module).items():
            plain = getattr(thing, "py_func", thing)
            if inspect.isfunction(plain) and plain.__module__ == module.__name__ and not name.startswith("_"):
                names.add(f"{info.name}.{name}")
    return names


def test_every_public_function_is_a_door_or_said_to_be_inside() -> None:
    assert every_function() == set(DOORS) | physics.INSIDE
    assert not set(DOORS) & physics.INSIDE


@pytest.mark.parametrize("name", DOORS)
def test_bad_input_gives_no_number(name: str) -> None:
    function = find(name)
    good = [value for value, _ in DOORS[name]]
    assert np.isfinite(numbers_of(function(*good))).all()
    for i, (value, bad) in enumerate(DOORS[name]):
        for wrong in [*bad, *([NAN] if isinstance(value, float) else [])]:
            answer = function(*good[:i], wrong, *good[i + 1 :])
            assert np.isnan(numbers_of(answer)).all(), f"argument {i + 1} = {wrong} gave {answer}"


@pytest.mark.parametrize("name", DOORS)
def test_the_docstring_says_where_the_answer_is_no_number(name: str) -> None:
    function = find(name)
    module = importlib.import_module(f"terralab.physics.{name.split('.')[0]}")
    assert "NaN" in (function.__doc__ or "") or "NaN" in (module.__doc__ or ""), name


DUAL = Soil(0.05, 0.9, 8.0, 1.7, ks_m_per_s=1e-4, second=(0.3, 1.5, 1.4), air_entry_m=0.01, dry_end=True).row()
INNER = {
    "conductivity.conductivity": [-2.0, DUAL],
    "conductivity.conductivity_at": [-2.0, 0.5, 0.1, math.log(0.5), 0.3, 0.1, DUAL],
    "conductivity.hydraulics": [-2.0, DUAL],
    "conductivity.mualem_bracket": [-2.0, 3.0, math.log(4 / 3), 0.63, 1.0, 1.5],
    "conductivity.pores": [-2.0, DUAL],
    "retention.log_of_one_and": [0.005],
    "retention.saturation": [-2.0, DUAL],
    "retention.saturation_and_slope": [-2.0, 3.0, math.log(4.0), 1.5],
    "retention.scaled_suction": [-2.0, 3.0, 1.5],
    "retention.water_at": [-2.0, 0.5, 0.1, DUAL],
    "retention.water_content": [-2.0, DUAL],
    "wick.wetness": [-0.2, 0.3],
    "wick.wick_flow": [-0.2, 0.01, -0.05, 0.06, 3e-5, 0.3],
}


#: Where an argument only chooses, or serves one branch of two; another computed from the same head carries the NaN.
CHOOSES = {
    ("conductivity.conductivity_at", 0),
    ("conductivity.conductivity_at", 3),
    ("conductivity.mualem_bracket", 2),
    ("wick.wick_flow", 3),
}


@pytest.mark.parametrize("name", INNER)
def test_inside_no_number_stays_none(name: str) -> None:
    """NaN in what a neighbour computed reaches the answer."""
    function, good = find(name), INNER[name]
    assert np.isfinite(numbers_of(function(*good))).all()
    for i, value in enumerate(good):
        if isinstance(value, float) and (name, i) not in CHOOSES:
            answer = numbers_of(function(*good[:i], NAN, *good[i + 1 :]))
            assert np.isnan(answer).any(), f"argument {i + 1}"


@pytest.mark.parametrize("place", [THETA_R, THETA_S, ALPHA, N, L, K_SCALE, W2, ALPHA2, N2])
def test_a_soil_row_without_a_number_conducts_none(place: int) -> None:
    """A NaN in a row of the soil table shows in water content or conductivity; the door, `Soil`, refuses it in words."""
    row = DUAL.copy()
    row[place] = NAN
    assert np.isnan([*find("retention.water_content")(-2.0, row), *find("conductivity.conductivity")(-2.0, row)]).any()


@pytest.mark.parametrize("field", ["theta_r", "theta_s", "alpha_per_m", "n", "ks_m_per_s", "l", "air_entry_m"])
@pytest.mark.parametrize("wrong", [NAN, -100.0, 1e9, INF])
def test_the_door_to_the_soil_refuses_in_words(field: str, wrong: float) -> None:
    good = {"theta_r": 0.05, "theta_s": 0.9, "alpha_per_m": 8.0, "n": 1.7, "ks_m_per_s": 1e-4}
    with pytest.raises(DescriptionError, match=field):
        Soil(**{**good, field: wrong})
