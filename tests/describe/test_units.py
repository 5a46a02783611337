"""Measures in the words of keepers, metric and US."""

import datetime
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants as sc

from terralab.errors import DescriptionError
from terralab.units import QUANTITIES, clock, convert, parse, show


@pytest.mark.parametrize(
    ("text", "quantity", "unit", "value"),
    [
        ("60 cm", "length", "cm", 60),
        ("600mm", "length", "cm", 60),
        ("0.6 m", "length", "cm", 60),
        ("24 in", "length", "cm", 60.96),
        ('24"', "length", "cm", 60.96),
        ("2 ft", "length", "cm", 60.96),
        ("2'", "length", "cm", 60.96),
        ("24 Inches", "length", "cm", 60.96),
        ("1 m2", "area", "cm2", 10_000),
        ("1 m²", "area", "cm2", 10_000),
        ("100 sq in", "area", "cm2", 645.16),
        ("1 ft2", "area", "cm2", 929.0304),
        ("1 gal", "volume", "l", 3.785411784),
        ("1 fl oz", "volume", "ml", 29.5735295625),
        ("1 fl. oz.", "volume", "ml", 29.5735295625),
        ("0.001 m3", "volume", "ml", 1000),
        ("2,5 l", "volume", "ml", 2500),
        ("0,125 l", "volume", "ml", 125),
        ("72 F", "temperature", "C", 200 / 9),
        ("-4 °F", "temperature", "C", -20),
        ("22°C", "temperature", "C", 22),
        ("−5 C", "temperature", "C", -5),
        ("295.15 K", "temperature", "C", 22),
        ("1.8 F", "temperature difference", "K", 1),
        ("70 %", "humidity", "%", 70),
        ("70", "humidity", "%", 70),
        ("0.5 %", "humidity", "%", 0.5),
        ("1 cfm", "air flow", "m3/h", 60 * 0.3048**3),
        ("10 l/min", "air flow", "m3/h", 0.6),
        ("10 l/s", "air flow", "m3/h", 36),
        ("2 m3/min", "air flow", "m3/h", 120),
        ("4.8 l/h", "water flow", "ml/min", 80),
        ("0.05 l/min", "water flow", "ml/min", 50),
        ("1 gph", "water flow", "ml/min", 3785.411784 / 60),
        ("2 fl oz/min", "water flow", "ml/min", 2 * 29.5735295625),
        # conventional columns of water, Pa for each mm and inch (NIST SP 811, appendix B.8, from memory)
        ("1 mmH2O", "pressure", "Pa", 9.80665),
        ("1 inH2O", "pressure", "Pa", 249.08891),
        ("0.5 in wg", "pressure", "Pa", 0.5 * 249.08891),
        ("0.2 m/s", "speed", "cm/s", 20),
        ("100 ft/min", "speed", "cm/s", 50.8),
        ("2 h", "duration", "min", 120),
        ("1 week", "duration", "d", 7),
        ("0.06 kW", "power", "W", 60),
        ("0.5 ach", "air changes", "per hour", 0.5),
        ("40 %", "share", "share", 0.4),
        ("0.4", "share", "share", 0.4),
        (12, "length", "cm", 12),
        ("08:00", "time of day", "s", 28_800),
        ("8:30 pm", "time of day", "s", 73_800),
        ("12:15 am", "time of day", "s", 900),
        ("12 p.m.", "time of day", "s", 43_200),
        ("24:00", "time of day", "s", 86_400),
        ("07:00:30", "time of day", "s", 25_230),
        (datetime.time(7, 30), "time of day", "s", 27_000),
    ],
)
def test_measures_of_keepers_are_read(text, quantity, unit, value):
    # a pressure is held against a factor printed with eight figures, all others against exact ones
    assert parse(text, quantity, unit) == pytest.approx(value, rel=1e-8 if quantity == "pressure" else 1e-12)


@pytest.mark.parametrize(
    ("value", "quantity", "unit", "part"),
    [
        ("24 inchs", "length", "cm", 'Did you mean "in"?'),
        ("60 C", "length", "cm", "units: cm, mm, m, in, ft"),
        ("1,500 ml", "volume", "ml", "Write 1500 or 1.500."),
        ("1.500,0 ml", "volume", "ml", "is no unit"),
        ("about 60 cm", "length", "cm", "does not start with one plain number"),
        ("2 ft 6 in", "length", "cm", "is no unit"),
        ("", "length", "cm", "does not start with one plain number"),
        ("nan cm", "length", "cm", "does not start with one plain number"),
        ("1e999 cm", "length", "cm", "not a usable number"),
        (math.nan, "length", "cm", "not a usable number"),
        (math.inf, "length", "cm", "not a usable number"),
        (10**400, "length", "cm", "not a usable number"),
        (True, "length", "cm", "not a number or a text"),
        (None, "length", "cm", "not a number or a text"),
        ([60], "length", "cm", "not a number or a text"),
        ("6" * 1000, "length", "cm", "does not start with one plain number"),
        (0.7, "humidity", "%", 'Write "70 %".'),
        ("0.7", "humidity", "%", "looks like a fraction"),
        (1, "humidity", "%", "looks like a fraction"),
        (40, "share", "share", 'write "40 %"'),
        ("25:00", "time of day", "s", "not a time of day"),
        ("24:01", "time of day", "s", "not a time of day"),
        ("13:00 pm", "time of day", "s", "not a time of day"),
        ("8", "time of day", "s", "not a time of day"),
        ("8:60", "time of day", "s", "not a time of day"),
        ("08:00m", "time of day", "s", "not a time of day"),
        (-1, "time of day", "s", "not a time of day"),
        ("٦٠ cm", "length", "cm", "does not start with one plain number"),
    ],
)
def test_what_is_no_measure_is_refused(value, quantity, unit, part):
    with pytest.raises(DescriptionError) as caught:
        parse(value, quantity, unit, field="enclosure.width")
    assert part in str(caught.value)
    assert caught.value.field == "enclosure.width"


def test_a_length_without_unit_is_refused_where_files_are_read():
    with pytest.raises(DescriptionError, match="without a unit"):
        parse(24, "length", "cm", bare=False)
    with pytest.raises(DescriptionError, match='Write "70 C" if that is the unit you mean'):
        parse("70", "temperature", "C", bare=False)
    assert parse(0, "length", "cm", bare=False) == 0
    assert parse(45, "humidity", "%", bare=False) == 45


def test_an_unknown_quantity_or_unit_is_named():
    with pytest.raises(DescriptionError, match='Did you mean "length"'):
        parse("1 cm", "lenght", "cm")
    with pytest.raises(DescriptionError, match="furlong"):
        parse("1 cm", "length", "furlong")


#: One of each unit in SI by scipy's table of units (from CODATA and NIST), whose names are others than ours.
BY_SCIPY = {
    ("length", "m"): {"cm": sc.centi, "mm": sc.milli, "m": 1.0, "in": sc.inch, "ft": sc.foot},
    ("area", "m2"): {"cm2": sc.centi**2, "m2": 1.0, "in2": sc.inch**2, "ft2": sc.foot**2},
    ("volume", "m3"): {
        "ml": sc.milli * sc.liter, "l": sc.liter, "gal": sc.gallon_US, "fl oz": sc.fluid_ounce_US,
        "tsp": sc.fluid_ounce_US / 6, "tbsp": sc.fluid_ounce_US / 2, "m3": 1.0,
    },
    ("weight", "kg"): {"g": sc.gram, "kg": 1.0, "oz": sc.oz, "lb": sc.lb},
    ("temperature difference", "K"): {"K": 1.0, "F": sc.degree_Fahrenheit},
    ("power", "W"): {"W": 1.0, "kW": sc.kilo},
    ("air flow", "m3/h"): {
        "m3/h": 1.0, "l/min": 60 * sc.liter, "l/s": sc.hour * sc.liter, "cfm": 60 * sc.foot**3, "m3/min": 60.0,
    },
    ("plant light", "umol/m2/s"): {"umol/m2/s": 1.0},
    ("brightness", "lux"): {"lux": 1.0, "klux": sc.kilo},
    ("sun strength", "W/m2"): {"W/m2": 1.0},
    ("water film", "g/m2"): {"g/m2": 1.0},
    ("pressure", "Pa"): {"Pa": 1.0, "hPa": sc.hecto, "kPa": sc.kilo, "mmH2O": sc.g, "inH2O": sc.g * sc.inch / sc.milli},
    ("water flow", "ml/min"): {
        "ml/min": 1.0, "l/h": sc.kilo / 60, "l/min": sc.kilo, "gal/h": sc.gallon_US / sc.milli / sc.liter / 60,
        "fl oz/min": sc.fluid_ounce_US / sc.milli / sc.liter,
    },
    ("speed", "m/s"): {"cm/s": sc.centi, "m/s": 1.0, "ft/min": sc.foot / sc.minute},
    ("duration", "s"): {"min": sc.minute, "s": 1.0, "h": sc.hour, "d": sc.day, "weeks": sc.week},
    ("share", "share"): {"share": 1.0, "%": sc.centi},
}  # fmt: skip
#: One unit alone, or no factor but a shift, which `test_measures_of_keepers_are_read` has in both directions.
BY_HAND = {"temperature", "humidity", "humidity difference", "air changes", "time of day"}


def test_every_unit_is_that_of_another_library():
    assert {quantity for quantity, _ in BY_SCIPY} | BY_HAND == set(QUANTITIES)
    for (quantity, base), units in BY_SCIPY.items():
        assert set(units) == set(QUANTITIES[quantity]), quantity
        for unit, factor in units.items():
            assert parse(f"1 {unit}", quantity, base) == pytest.approx(factor, rel=1e-12), unit
    for c in (-40.0, 0.0, 37.0):
        assert convert(c, "temperature", "C", "F") == pytest.approx(sc.convert_temperature(c, "C", "F"))
        assert convert(c, "temperature", "C", "K") == pytest.approx(sc.convert_temperature(c, "C", "K"))


@given(st.sampled_from(sorted(set(QUANTITIES) - {"time of day"})), st.data())
def test_writing_and_reading_give_the_same_number(quantity, data):
    unit = data.draw(st.sampled_from(sorted(QUANTITIES[quantity])))
    highest = 1.0 if quantity == "share" else 1e9
    value = data.draw(st.floats(0, highest, allow_subnormal=False))
    unit = "share" if quantity == "share" else unit
    assert parse(show(value, quantity, unit), quantity, unit) == value


@given(st.integers(0, 86_400))
def test_every_second_of_the_day_is_written_and_read(second):
    assert parse(clock(second), "time of day", "s") == second


@given(st.sampled_from(sorted(set(QUANTITIES) - {"time of day"})), st.data())
def test_converting_there_and_back_changes_nothing(quantity, data):
    start, end = (data.draw(st.sampled_from(sorted(QUANTITIES[quantity]))) for _ in range(2))
    value = data.draw(st.floats(-1000, 1000))
    assert convert(convert(value, quantity, start, end), quantity, end, start) == pytest.approx(value, abs=1e-9)


@given(st.text(max_size=30), st.sampled_from(sorted(QUANTITIES)))
def test_no_text_breaks_the_parser(text, quantity):
    unit = next(iter(QUANTITIES[quantity]))
    try:
        value = parse(text, quantity, unit)
    except DescriptionError:
        return
    assert math.isfinite(value)


def test_shown_numbers_are_short_where_asked():
    assert show(60.0, "length", "cm") == "60 cm"
    assert show(200 / 9, "temperature", "C", 3) == "22.2 C"
    assert show(0.07, "share", "share") == "7 %"
