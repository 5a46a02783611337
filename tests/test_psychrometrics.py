"""Moist air against a second library, printed values and laws. Sources stand beside each number."""

from __future__ import annotations

import subprocess
import sys
import textwrap

import pytest
from CoolProp import CoolProp as coolprop

from terralab import psychrometrics as air
from terralab.errors import TerralabError

P = air.STANDARD_PRESSURE_PA
STATES = [(t, rh) for t in (18.0, 22.0, 26.0, 30.0, 35.0) for rh in (30.0, 55.0, 80.0, 100.0)]


def real_gas(output: str, t_c: float, rh: float) -> float:
    return coolprop.HAPropsSI(output, "T", t_c + 273.15, "R", rh / 100.0, "P", P)


@pytest.mark.parametrize(("t_c", "expected"), [(20.0, 2338.8), (25.0, 3169.2), (30.0, 4246.0), (35.0, 5627.8)])
def test_saturation_pressure_repeats_the_ashrae_values(t_c, expected):
    """ASHRAE Fundamentals ch. 1 eq. 5-6 (Hyland & Wexler), printed to 0.1 Pa."""
    assert air.saturation_pressure_pa(t_c) == pytest.approx(expected, abs=0.05)


@pytest.mark.parametrize(("t_c", "expected"), [(20.0, 2339.2), (25.0, 3169.8), (30.0, 4246.7), (35.0, 5628.6)])
def test_saturation_pressure_agrees_with_the_steam_formulation(t_c, expected):
    """IAPWS-IF97; the two formulations differ by up to 2 parts in 10 000."""
    assert air.saturation_pressure_pa(t_c) == pytest.approx(expected, rel=2e-4)


@pytest.mark.parametrize(("t_c", "expected"), [(20.0, 0.014695), (25.0, 0.020081), (30.0, 0.027203)])
def test_saturated_humidity_ratio(t_c, expected):
    """Ideal mixture, ASHRAE Fundamentals ch. 1 eq. 20."""
    assert air.humidity_ratio(t_c, 100.0) == pytest.approx(expected, abs=6e-7)


def test_dew_point_of_the_published_example():
    """psychrolib's own docstring example: 25 C, 80 % gives 21.309397 C."""
    assert air.dew_point_c(25.0, 80.0) == pytest.approx(21.309397, abs=1e-5)


@pytest.mark.parametrize(("t_c", "rh", "expected"), [(25.0, 70.0, 1.1742), (26.0, 85.0, 1.1674), (22.0, 45.0, 1.1906)])
def test_density_of_moist_air(t_c, rh, expected):
    """CoolProp values, within 1 part in 1000."""
    assert air.density_kg_m3(t_c, rh) == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize(("t_c", "rh"), STATES)
def test_agreement_with_the_real_gas_library_over_an_enclosures_range(t_c, rh):
    """Stated agreement of psychrolib and CoolProp, 18-35 C and 30-100 %: W within 0.5 %, wet bulb 0.013 K,
    dew point 0.007 K, volume 0.04 %. Each difference is rounded to the digits of its statement."""
    ratio = air.humidity_ratio(t_c, rh)
    volume = (1.0 + ratio) / air.density_kg_m3(t_c, rh)
    assert round(100.0 * abs(ratio / real_gas("W", t_c, rh) - 1.0), 1) <= 0.5
    assert round(abs(air.wet_bulb_c(t_c, rh) + 273.15 - real_gas("B", t_c, rh)), 3) <= 0.013
    assert round(abs(air.dew_point_c(t_c, rh) + 273.15 - real_gas("D", t_c, rh)), 3) <= 0.007
    assert round(100.0 * abs(volume / real_gas("V", t_c, rh) - 1.0), 2) <= 0.04


def test_room_air_warmed_without_water_becomes_dry():
    """20 C, 50 % warmed to 26 C keeps its humidity ratio: 34.77 % (ASHRAE arithmetic)."""
    assert air.relative_humidity(26.0, air.humidity_ratio(20.0, 50.0)) == pytest.approx(34.77, rel=1e-3)


def test_the_night_fall_that_saturates():
    """26 C and 70 %: at 20 C the same vapour is just past saturation."""
    assert air.relative_humidity(20.0, air.humidity_ratio(26.0, 70.0)) == pytest.approx(100.0, abs=1.0)
    assert air.dew_point_c(26.0, 70.0) == pytest.approx(20.0, abs=0.15)


def test_humid_air_is_lighter_by_as_much_as_1_66_kelvin():
    """24 C from 45 to 95 %: 0.00662 kg/m3 lighter (moist-air density)."""
    assert air.density_kg_m3(24.0, 45.0) - air.density_kg_m3(24.0, 95.0) == pytest.approx(0.00662, rel=1e-2)


def test_a_whole_box_of_saturated_air_holds_2_6_g():
    """0.12 m3 at 24 C."""
    assert 0.12e3 * air.vapour_density_kg_m3(24.0, 100.0) == pytest.approx(2.6, abs=0.03)


@pytest.mark.parametrize(("t_c", "rh"), STATES)
def test_relative_humidity_is_the_inverse_of_humidity_ratio(t_c, rh):
    assert air.relative_humidity(t_c, air.humidity_ratio(t_c, rh)) == pytest.approx(rh, rel=1e-12)


def test_order_of_the_three_temperatures_and_their_meeting_at_saturation():
    assert air.dew_point_c(24.0, 60.0) < air.wet_bulb_c(24.0, 60.0) < 24.0
    assert air.dew_point_c(24.0, 100.0) == pytest.approx(24.0, abs=1e-3)
    assert air.wet_bulb_c(24.0, 100.0) == pytest.approx(24.0, abs=2e-3)


def test_fog_reads_above_100_and_rounding_dust_is_forgiven():
    assert air.relative_humidity(20.0, 1.1 * air.humidity_ratio(20.0, 100.0)) > 109.0
    assert air.relative_humidity(20.0, -1e-12) == 0.0
    assert air.humidity_ratio(20.0, 100.0 + 1e-9) == air.humidity_ratio(20.0, 100.0)
    assert air.humidity_ratio(20.0, -1e-9) == 0.0


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: air.humidity_ratio(25.0, 101.0), "rh_percent is 101 %. Allowed: 0 to 100 %"),
        (lambda: air.humidity_ratio(25.0, -1.0), "rh_percent is -1 %"),
        (lambda: air.humidity_ratio(25.0, "70"), "rh_percent must be one plain number in %"),
        (lambda: air.humidity_ratio(25.0, True), "must be one plain number"),
        (lambda: air.humidity_ratio(25.0, [70.0]), "must be one plain number"),
        (lambda: air.humidity_ratio(float("nan"), 70.0), "t_c must be one plain number in C"),
        (lambda: air.saturation_pressure_pa(float("inf")), "t_c must be one plain number in C"),
        (lambda: air.saturation_pressure_pa(99.0), "t_c is 99 C. Allowed: -40 to 80 C"),
        (lambda: air.saturation_pressure_pa(None), "t_c must be one plain number"),
        (lambda: air.density_kg_m3(25.0, 70.0, 1013.0), "p_pa is 1013 Pa"),
        (lambda: air.dew_point_c(25.0, 0.0), "rh_percent is 0 %. Allowed: 0.1 to 100 %"),
        (lambda: air.wet_bulb_c(25.0, 120.0), "rh_percent is 120 %"),
        (lambda: air.relative_humidity(25.0, -0.001), "ratio is -0.001 kg/kg"),
        (lambda: air.vapour_density_kg_m3(90.0, 50.0), "t_c is 90 C"),
    ],
)
def test_a_bad_input_never_yields_a_number(call, words):
    with pytest.raises(air.AirStateError) as caught:
        call()
    assert words in str(caught.value)
    assert isinstance(caught.value, TerralabError)


def run(code: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(code)], capture_output=True, text=True, check=True, timeout=120
    )
    return done.stdout.strip()


def test_a_users_own_psychrolib_and_numba_are_left_alone():
    """Loaded first or last, numba stays importable and the private copy is not the public module."""
    said = run(
        """
        import sys
        from terralab import psychrometrics as air
        assert "psychrolib" not in sys.modules
        import numba
        import psychrolib
        assert sys.modules["numba"] is numba
        assert psychrolib is not air._psychrolib
        assert air._psychrolib.has_numba is False
        air._psychrolib.GetUnitSystem() is air._psychrolib.SI or sys.exit("units")
        print(psychrolib.PSYCHROLIB_UNITS, round(air.saturation_pressure_pa(25.0), 1))
        """
    )
    assert said == "None 3169.2"


def test_numba_imported_before_is_put_back():
    said = run(
        """
        import sys
        import numba
        from terralab import psychrometrics as air
        print(sys.modules["numba"] is numba, air._psychrolib.has_numba)
        """
    )
    assert said == "True False"


def test_loading_takes_numba_from_no_other_thread():
    """While copies are loaded in some threads, others import numba all the time; each copy is plain and gives the same."""
    said = run(
        """
        import importlib, sys, threading
        import numba
        from terralab import psychrometrics as air
        sys.setswitchinterval(1e-6)
        done, missed, values = threading.Event(), [], set()

        def importing():
            while not done.is_set():
                try:
                    if importlib.import_module("numba") is not numba or sys.modules["numba"] is not numba:
                        missed.append("another numba")
                except ImportError as error:
                    missed.append(str(error))

        def loading():
            for _ in range(10):
                copy = air._private_psychrolib()
                values.add((copy.has_numba, copy.GetUnitSystem() is copy.SI, round(copy.GetSatVapPres(25.0), 1)))

        importers = [threading.Thread(target=importing) for _ in range(2)]
        loaders = [threading.Thread(target=loading) for _ in range(4)]
        for thread in importers + loaders:
            thread.start()
        for thread in loaders:
            thread.join()
        done.set()
        print(len(missed), missed[:1], values)
        """
    )
    assert said == "0 [] {(False, True, 3169.2)}"
