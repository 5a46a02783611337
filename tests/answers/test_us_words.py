"""The answers of a box typed in US units: no measure of theirs stays metric, and what was typed comes back as typed."""

import re

import pytest

import terralab as tl
from terralab.answers.common.heat_words import _when
from terralab.answers.common.measure_next import _ml_in_words, _to
from terralab.answers.common.words import likely
from terralab.answers.drainage.statements import pour_words
from terralab.quantities import said, template
from terralab.uncertainty.sensitivity import Reading
from tests.answers.us_box import BOX, QUESTIONS, answer_of

METRIC = re.compile(r"\d (?:cm2?|mm|ml|litres?|l|°C|C|K|kg|kg/m2|m3/h|cm/s|ml/min)\b")
GRAINS = re.compile(r"\d+-\d+ mm")  # in the names of materials
NUMBER = re.compile(r"(?<![\w.,:\-])\d+\.\d+(?![\w.]*\d)")
#: What a number that is the same in both systems is followed by, or stands after.
SAME_IN_BOTH = re.compile(
    r"(?: ?(?:to|and) [\d.]+)?\)? ?(?:%|h\b|hours|days|times|air changes|points|are missing|of (?:the|what|\d)|\(\d+ ppm)"
)
SAME_BEFORE = re.compile(
    r"(?:too (?:dry|damp)|stuffy, \d+ ppm;|air changes an hour \(|times an hour \(range [\d. to]*|would \(range [\d. to]*|"
    r"h a day inside \([\d. to]*|days? \([\d. to]*|Quicker still,) ?$"
)


@pytest.fixture(scope="module")
def box() -> tl.Box:
    return tl.loads(BOX)


@pytest.mark.parametrize("question", QUESTIONS)
def test_no_measure_of_an_answer_stays_metric(question):
    """A number without its unit would stay metric among US ones: "holds 24 fl oz, watered and drained 15.4"."""
    answer = answer_of(question)
    assert len(answer.statements) > 5
    for one in answer.statements:
        for line in one.lines(us=True):
            line = line.replace(answer.record.box.name, "this box")  # a name stays a name
            assert not METRIC.search(GRAINS.sub("", line)), line
        # what is no mark is the same in both systems, so nothing of it may be a measure
        same = template(one.text)
        for found in NUMBER.finditer(same):
            after, before = same[found.end() :], same[: found.start()]
            assert SAME_IN_BOTH.match(after) or SAME_BEFORE.search(before), same[max(0, found.start() - 40) :][:80]
    assert answer.us
    assert "66.0 to 78.0" not in answer.text("all")


def test_a_pour_of_the_routine_is_told_as_typed(box):
    """5 fl oz are 148 ml, which a jug shows as 150, and those would come back as 5 fl oz too, but 140 ml would not."""
    details = {"pour": "described", "pour_ml_per_day": {"now": 150.0}}
    assert said(pour_words(details, box), us=True) == "The pour is that of the routine, 5 fl oz a day"
    again = box.change(**{"routine.pours.1.amount": "148 ml"})
    assert "150 ml a day" in said(pour_words(details, again))


@pytest.mark.parametrize("size", [(8, 8), (14, 14), (16, 20), (18, 18), (25, 20), (40, 18)])
def test_one_over_watering_has_one_volume(size):
    """The reason, the assumption and the mishap say the same volume, whatever the floor."""
    wide, deep = size
    box = tl.loads(BOX).change(**{"enclosure.width": f"{wide} in", "enclosure.front_to_back": f"{deep} in",
                                  "enclosure.openings.top.width": "5 in", "enclosure.openings.top.height": "5 in"})  # fmt: skip
    answer = tl.drainage(box, members=2, pour="described")
    text = answer.text("all")
    volumes = re.findall(
        r"(?:with one over-watering of |even |One over-watering \(|over the floor \()([\d./]+(?: \d/\d)? (?:fl oz|gal))",
        text,
    )
    assert len(volumes) >= 2, text
    assert len(set(volumes)) == 1, volumes


def test_a_refusal_answers_in_the_unit_typed(box):
    with pytest.raises(tl.DescriptionError) as caught:
        box.change(**{"routine.pours.1.amount": "40 gal"})
    assert "given 40 gal" in str(caught.value)
    assert re.search(r"at most [\d.]+ gal", str(caught.value))
    with pytest.raises(tl.DescriptionError) as caught:
        box.change(**{"band.day_temp_low": "80 F"})
    assert "given 80 °F" in str(caught.value)
    assert "day_temp_high, 78 °F" in str(caught.value)
    assert " C" not in str(caught.value)


def test_a_warning_about_a_room_answers_in_the_unit_typed(box):
    with pytest.warns(tl.TerralabWarning, match="summer room is at 84 °F, and 82 °F is the very most"):
        box.change(**{"room.summer.temperature": "84 F", "room.summer.humidity": "50 %"})


def test_words_of_a_range_that_has_no_width():
    assert likely("0 ml", "0 ml") == "the same in nearly all such boxes"
    assert said(_to(0.9, [15.0, 16.0], "ml a day")) == ", about 15 to 16 ml"
    assert said(_to(0.5, [15.0, 16.0], "ml a day")) == " to about 15 to 16 ml"
    assert "1 to 1" not in _ml_in_words(Reading([0.0] * 20, [0.3, 0.7] * 10, False), "watering for two weeks")


def test_a_default_room_is_named_where_it_makes_the_first_line(box):
    assert "in a default room, as you described none (21.9 to 25.2 °C, 55 % humidity)" in said(_when(box, "summer"))
    own = box.change(**{"room.summer.temperature": "76 F", "room.summer.humidity": "50 %"})
    assert _when(own, "summer") == "in summer, "
