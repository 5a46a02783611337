"""Quantities inside sentences: said in metric or US units at the end, and never found by searching finished prose."""

from __future__ import annotations

import pickle
import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from terralab.measured import Measured
from terralab.quantities import (
    Text,
    as_typed,
    bracketed,
    column,
    finished,
    quantities,
    quantity,
    said,
    template,
    unit_word,
)
from terralab.units import convert

#: US units by definition: 1 in = 2.54 cm, 1 US fl oz = 29.5735 ml, 1 US gal = 3.785412 l, 1 lb = 0.45359237 kg
#: (NIST Special Publication 811, 2008, appendix B.8; from memory, grade M).
NIST = [
    ("cm", 2.54, "1 in"),
    ("ml", 29.5735, "1 fl oz"),
    ("l", 3.785412, "1 gal"),
    ("kg", 0.45359237, "1 lb"),
    ("m", 0.3048, "1 ft"),
    ("°C", 100.0, "212.0 °F"),
    ("K", 5.0, "9.0 °F"),
    ("m3/h", 1.699011, "1 cfm"),
    ("cm2", 6.4516, "1 in2"),
]


@pytest.mark.parametrize(("unit", "metric", "us"), NIST)
def test_us_units_are_those_of_the_handbook(unit: str, metric: float, us: str) -> None:
    form = ".1f" if unit in ("°C", "K") else ".6f"
    assert said(quantity(unit, form, metric), us=True) == us


def test_names_and_other_text_are_never_turned() -> None:
    text = f"My 60 cm box, clay 8-16 mm: {quantity('cm', '.0f', 10.0)} deep"
    assert said(text) == "My 60 cm box, clay 8-16 mm: 10 cm deep"
    assert said(text, us=True) == "My 60 cm box, clay 8-16 mm: 3 7/8 in deep"


def test_a_difference_of_temperature_is_told_in_degrees_not_in_kelvin() -> None:
    assert said(quantity("K", ".1f", 1.0)) == "1.0 °C"
    assert said(quantity("K", ".1f", 1.0), us=True) == "1.8 °F"


def test_what_was_typed_in_us_units_stays_as_typed_in_both_systems() -> None:
    typed = as_typed("length", "cm", Measured(24.0, "in", "cm", "length"))
    assert said(typed) == said(typed, us=True) == "24 in"
    both = as_typed("temperature", "C", 18.0, Measured(70.0, "F", "C", "temperature"))
    assert said(both) == "18 °C to 70 °F"
    assert said(both, us=True) == "64 °F to 70 °F"


def test_a_range_of_one_width_is_one_number() -> None:
    assert said(quantity("cm", ".1f", 2.01, 2.02)) == "2.0 cm"
    assert said(quantity("ml", ".0f", 80.0, 170.0, join=" and ")) == "80 and 170 ml"


def test_nothing_has_no_minus() -> None:
    assert said(quantity("°C", ".0f", -0.0)) == "0 °C"
    assert said(quantity("ml", ".0f", 0.0), us=True) == "0 fl oz"


@pytest.mark.parametrize(
    ("unit", "metric", "us"),
    [
        ("cm", (2.0,), "3/4 in"), ("cm", (0.6,), "1/4 in"), ("cm", (1.4, 3.2), "1/2 to 1 1/4 in"), ("mm", (0.3,), "0.01 in"),
        ("cm", (-5.0,), "-2 in"), ("cm", (50.0,), "19 1/2 in"), ("ml", (13.0,), "2 3/4 tsp"), ("ml", (1.0, 4.0), "1/4 to 3/4 tsp"),
        ("ml", (8.0, 60.0), "1/4 to 2 fl oz"), ("ml", (125.0,), "4 1/4 fl oz"), ("ml", (900.0,), "30 fl oz"),
    ],
)  # fmt: skip
def test_us_measures_are_those_of_a_ruler_a_jug_and_spoons(unit: str, metric: tuple[float, ...], us: str) -> None:
    assert said(quantity(unit, ".1f", *metric), us=True) == us


def test_a_column_keeps_the_unit_of_its_head() -> None:
    """A spoonful under "fl oz" is a fraction of an ounce: only a number that says its unit may choose one."""
    assert said(quantity("ml", ".0f", 15.0, bare=True) + " " + unit_word("ml"), us=True) == "1/2 fl oz"


def test_whole_degrees_are_not_rounded_twice() -> None:
    """22.9 °C are 73.2 °F; 23 °C, which they read as, would be 73.4."""
    for celsius, metric, us in ((22.6, "23 °C", "73 °F"), (23.1, "23 °C", "74 °F"), (-0.2, "0 °C", "32 °F")):
        assert said(quantity("°C", ".0f", celsius)) == metric
        assert said(quantity("°C", ".0f", celsius), us=True) == us
    assert said(quantity("°C", ".0f", 20.1, 20.4)) == "20 °C"


@given(st.floats(-30.0, 60.0))
def test_whole_degrees_are_the_nearest_in_either_system(celsius: float) -> None:
    """21.4 °C are 70.52 °F and so 71; over 70.5 to the tenth they became 70. Half a degree, and what a thousandth of a °C is."""
    mark = quantity("°C", ".0f", celsius)
    assert abs(float(said(mark).split()[0]) - celsius) <= 0.501
    assert abs(float(said(mark, us=True).split()[0]) - (1.8 * celsius + 32.0)) <= 0.501


def test_columns_are_set_once_they_are_said() -> None:
    head = column(unit_word("°C"), 6) + column("schedule", 10, "<")
    row = column(quantity("°C", ".0f", 21.0, bare=True), 6) + column("no fan", 10, "<")
    assert [said(line) for line in (head, row)] == ["    °Cschedule  ", "    21no fan    "]
    assert [said(line, us=True) for line in (head, row)] == ["    °Fschedule  ", "    70no fan    "]


def test_a_template_and_its_quantities_give_the_sentence_back() -> None:
    text = f"Pour {quantity('ml', '.0f', 125.0)} a day into {{braces}} at {quantity('°C', '.1f', 18.0, 21.5)}."
    shown = template(text).format(*(one.said() for one in quantities(text)))
    assert shown == said(text) == "Pour 125 ml a day into {braces} at 18.0 to 21.5 °C."
    assert [(one.kind, one.low, one.value, one.high) for one in quantities(text)] == [
        ("volume", 125.0, 125.0, 125.0),
        ("temperature", 18.0, 19.75, 21.5),
    ]


def test_a_finished_text_reads_metric_and_remembers() -> None:
    text = finished({"why": [f"{quantity('l', '.1f', 5.0)} fit"], "n": 3})["why"][0]
    assert isinstance(text, Text)
    assert text == "5.0 l fit"
    assert said(text, us=True) == "1.3 gal fit"
    again = pickle.loads(pickle.dumps(text))
    assert (again, said(again, us=True)) == ("5.0 l fit", "1.3 gal fit")


def test_a_note_of_a_table_has_its_measures_in_brackets() -> None:
    assert said(bracketed("Hang it [30 cm] away [sic].")) == "Hang it 30 cm away [sic]."
    assert said(bracketed("Hang it [30 cm] away."), us=True) == "Hang it 11 3/4 in away."


@given(st.floats(-1e5, 1e5), st.sampled_from(["ml", "l", "cm", "mm", "m", "cm/s", "m3/h"]))
def test_a_us_number_says_the_same_amount(value: float, unit: str) -> None:
    """Half a mark of the ruler or the jug, else two figures or whole units: turned back, it is within what it was rounded by."""
    mark = quantity(unit, ".2f", value)
    (held,) = quantities(mark)
    *number, us_unit = re.fullmatch(r"(-?)((?:\d+ )?\d+/\d+|[\d.e+-]+) (.+)", said(mark, us=True)).groups()
    number = (-1 if number[0] else 1) * float(sum(map(Fraction, number[1].split())))
    names = {"ml": "volume", "l": "volume", "cm/s": "speed", "m3/h": "air flow"}
    back = convert(number, names.get(unit, "length"), us_unit, unit)
    step = convert(1.0, names.get(unit, "length"), us_unit, unit)
    ends = {"in": ((12.0, 0.25), (0.5, 0.0626), (0.0, 0.0313)), "tsp": ((1.0, 0.126), (0.0, 0.0626)),
            "fl oz": ((16.0, 0.5), (8.0, 0.25), (1.0, 0.126), (0.0, 0.0626))}  # fmt: skip
    near = next((half for start, half in ends.get(us_unit, ()) if abs(number) >= 0.9 * start), 0.0)
    assert abs(back - held.value) <= max(
        near * step, (0.051 if not near else 0.0) * abs(held.value), 0.006 * step, 0.5 * step * (abs(number) >= 99.5)
    )


def test_marks_are_no_characters_that_anybody_types() -> None:
    assert re.fullmatch(r"[\ue000-\uf8ff].*[\ue000-\uf8ff]", quantity("ml", ".0f", 1.0), re.DOTALL)


@pytest.mark.parametrize(
    "name", ["\ue000", "\ue000ml\ue001", "\ue000ml\ue002x\ue002q\ue0021\ue001", "\ue003>9\ue002a", "\ue004\ue001"]
)
def test_signs_like_those_of_a_mark_in_a_name_stay_text(name: str) -> None:
    text = f"{name}: pour {quantity('ml', '.0f', 5.0)}"
    assert said(text) == f"{name}: pour 5 ml"
    assert len(quantities(text)) == 1


def test_a_text_that_is_finished_twice_keeps_its_quantities() -> None:
    """An answer is finished again wherever one of its fields is replaced, as in a room that was logged; its US words were
    lost by that.
    """
    once = Text(f"Pour {quantity('ml', '.0f', 125.0)} a day.")
    twice = Text(once)
    assert twice == once
    assert twice.marked == once.marked
    assert said(twice, us=True) == "Pour 4 1/4 fl oz a day."
