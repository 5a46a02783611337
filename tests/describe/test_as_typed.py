"""What was typed in inches, fluid ounces or °F comes back so: in words, in files, after changes and after travel."""

import copy
import pickle
import re
from dataclasses import fields, is_dataclass, replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import terralab as tl
from terralab.describe.system import speaks_us
from terralab.measured import Measured, read, with_unit
from terralab.units import QUANTITIES, parse

US_BOX = """
name = "Stateside"
group = "mosses"
[enclosure]
width = "17.5 in"
front_to_back = "18 in"
height = "2 ft"
[[enclosure.layers]]
material = "fine coir mix"
depth = "3.25 in"
[enclosure.drainage]
material = "gravel 8-15 mm"
depth = "2 in"
level = "0.5 in"
[[enclosure.openings]]
name = "lid"
wall = "lid"
width = "10 in"
height = "4 in"
[enclosure.plants]
kind = "ferns"
leaf_area = "310 in2"
root_depth = "3 in"
[room]
temperature = { day = "70 F", night = "64 F" }
humidity = "45 %"
[room.winter]
temperature = { hours = [0, 12, 24], values = ["61 F", "66 F", "61 F"] }
humidity = "30 %"
[[routine.pours]]
time = "8:00 am"
amount = "4 fl oz"
[[routine.fans]]
name = "f"
mode = "exchange"
flow = "1.2 cfm"
timer = "5 min every 1 h"
[[routine.heaters]]
name = "h"
kind = "heat panel"
power = "20 W"
timer = "always"
control = { senses = "temperature", on = "below", set_point = "66 F", hysteresis = "2 F" }
"""
TYPED = ("17.5 in", "18 in", "2 ft", "3.25 in", "2 in", "0.5 in", "10 in", "4 in", "310 in2", "3 in", "70 F", "64 F", "61 F",
         "66 F", "4 fl oz", "1.2 cfm")  # fmt: skip


@pytest.fixture(scope="module")
def box() -> tl.Box:
    return tl.loads(US_BOX)


def test_a_file_holds_what_was_typed_after_every_way_a_box_goes(box):
    ways = {
        "read": box,
        "changed": box.change(**{"room.humidity": "50 %"}),
        "replaced": replace(box, note="moved"),
        "pickled": pickle.loads(pickle.dumps(box)),
        "copied": copy.deepcopy(box),
        "read again": tl.loads(tl.dumps(box)),
    }
    for way, one in ways.items():
        text = tl.dumps(one)
        for typed in TYPED:
            assert f'"{typed}"' in text, (way, typed)
        assert tl.loads(text) == one


def test_the_words_say_what_was_typed(box):
    text = " ".join(box.describe().split())
    for typed in TYPED:
        if typed not in ("61 F", "66 F"):
            assert typed.replace(" F", " °F").replace(" fl oz", " fl oz") in text, typed
    assert "61 to 66 °F as logged" in text
    assert "on at 65 °F, off at 67 °F" in text
    # what follows from it is told in the same units
    assert not re.search(r"\d (?:cm|ml|litres|°C)", text), text


def test_numbers_are_the_same_as_in_metric(box):
    """Only the words differ: the box of the same sizes in cm is equal and runs alike."""

    def plain(part):
        if isinstance(part, tuple):
            return tuple(plain(item) for item in part)
        if is_dataclass(part):
            return replace(part, **{f.name: plain(getattr(part, f.name)) for f in fields(part) if f.init})
        return float(part) if isinstance(part, Measured) else part

    metric = plain(box)
    assert metric == box
    assert hash(metric.enclosure.width_cm) == hash(box.enclosure.width_cm)
    assert not speaks_us(metric)
    assert speaks_us(box)
    one, two = (tl.simulate(b, 1, accuracy="preview") for b in (box, metric))
    assert (one.raw.water == two.raw.water).all()


@pytest.mark.parametrize("name", tl.demos())
def test_a_metric_box_stays_metric(name):
    assert not speaks_us(tl.load(name))


@settings(max_examples=200, deadline=None)
@given(
    st.data(),
    st.sampled_from(["length", "area", "volume", "temperature", "air flow", "water flow", "speed", "duration"]),
)
def test_any_measure_comes_back_as_typed_and_is_the_same_number(data, quantity):
    units = list(QUANTITIES[quantity])
    unit, base = data.draw(st.sampled_from(units)), data.draw(st.sampled_from(units))
    amount = data.draw(st.floats(0.01, 500.0).map(lambda x: float(f"{x:.4g}")))
    text = f"{amount} {unit}"
    value = read(text, quantity, base, "x", False)
    assert value == parse(text, quantity, base)
    again = value.text if isinstance(value, Measured) else text
    assert parse(again, quantity, base) == value
    assert type(value + 0.0) is float
    if unit != base:
        assert isinstance(value, Measured)
        assert with_unit(value, quantity, base).startswith(f"{amount:g}"[:3])
        # in another field, with another unit, it is but a number
        assert read(value, "power", "W", "x", True) == value


def test_answers_of_such_a_box_speak_its_units(box):
    answer = tl.first_soak(box, members=4)
    text = answer.text("all")
    assert not re.search(r"\d (?:cm|ml|litres|l|°C)\b", text), text
    assert answer.unit == "litres"
    assert "litres" in " ".join(answer.sentences[1:3])


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('height = "2 ft"', 'height = "11 ft"', "given 11 ft"),
        ('width = "10 in"', 'width = "20 in"', "given 20 in, wider than its wall"),
        ('level = "0.5 in"', 'level = "6.5 in"', "given 6.5 in, above the soil"),
    ],
)
def test_a_refusal_names_what_was_typed(old, new, said):
    with pytest.raises(tl.DescriptionError) as caught:
        tl.loads(US_BOX.replace(old, new))
    assert said in str(caught.value)
