"""Words of every face: lines end at blanks alone, days are counted, nothing has no minus, US units leave nothing over."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import terralab as tl
from terralab import __main__ as cli
from terralab.answers.common.measure_next import _to
from terralab.answers.drainage.words import days_words
from terralab.cli.words import wrapped
from terralab.describe.seasons import room_in_words
from terralab.quantities import quantity, said
from terralab.show.report.parts import page_said
from terralab.wording import cut, days, instead_of, lines

WORDS = st.sampled_from(
    ["pour", "low-voltage", "a", "4 fl oz", "16.5 °C", "1,234 ml", "24 in", "70 %", "0.2 m3/h", "90 minutes", "12 days",
     "siphon-and-wait", "x" * 50, "`terralab material fine coir mix`", "29 lb", "7.7 W", "re-wet."]
)  # fmt: skip
KEPT = re.compile(r"\d (?:fl oz|°C|ml|in|%|m3/h|minutes|days|lb|W)")


@settings(max_examples=200, deadline=None)
@given(st.lists(WORDS, min_size=1, max_size=30), st.integers(20, 100))
def test_a_line_never_ends_in_a_word_a_number_or_between_number_and_unit(words, columns):
    text = " ".join(words)
    broken = lines(text, columns)
    # what stands on the lines is the text, blank for blank: no word was cut, not even at its hyphen
    assert " ".join(broken) == text
    assert len(KEPT.findall(text)) == sum(len(KEPT.findall(line)) for line in broken)
    for line in broken:
        assert line.count("`") % 2 == 0
    assert wrapped(text, columns=columns).replace("\n  ", " ") == text


@pytest.mark.parametrize("command", ["water", "fans", "drainage", "report", "box", "material", "notebooks"])
def test_the_help_of_a_command_cuts_no_word(command, capsys, monkeypatch):
    for width in ("40", "60", "80"):
        monkeypatch.setenv("COLUMNS", width)
        assert cli.main([command, "--help"]) == 0
        out = capsys.readouterr().out
        assert not [line for line in out.splitlines() if re.search(r"\w-$", line.strip())], out
        assert not re.search(r"\d\n\s+(?:min|h|ml)\b", out)


def test_what_is_counted_agrees_with_its_number():
    assert [days(x) for x in (0.4, 0.6, 1.4, 1.6)] == ["0 days", "1 day", "1 day", "2 days"]
    assert days_words((1.0, 1.0, 1.0), "about every") == "about every day"
    assert days_words((1.0, 1.0, 3.0)) == "after 1 day (1 to 3)"
    assert days_words((1.0, None, None)).count("1 day ") == 1
    assert "1 day in the room" in str(tl.simulate(tl.load("moss-jar"), 1, accuracy="preview"))


@given(st.floats(-1e4, 1e4), st.integers(0, 3))
def test_nothing_has_no_minus(value, digits):
    text = said(quantity("cm", f".{digits}f", value, bare=True))
    assert float(text) == pytest.approx(value, abs=0.51 * 10**-digits)
    assert not re.fullmatch(r"-0(\.0*)?", text)


def test_what_reads_the_same_is_not_set_against_itself():
    assert said(instead_of("cm", ".1f", 0.04, 0.0)) == "0.0 cm as before"
    assert said(instead_of("cm", ".1f", 0.06, 0.0)) == "0.1 cm instead of 0.0"
    # 4 3/8 in both: a millimetre is not told where inches have no word for it
    assert said(instead_of("cm", ".1f", 11.2, 11.1), us=True) == "4 3/8 in as before"


@pytest.mark.parametrize(
    ("then", "unit", "words"),
    [
        ([0.0, 0.3], "ml a day", ""),
        ([0.1, 12.0], "ml a day", " to about 0 to 12 ml"),
        ([8.1, 8.2], "ml a day", " to about 8 ml"),
        ([11.6, 16.8], "hours a day inside", " to about 11.6 to 16.8 hours"),
        ([3.0, 3.2], "litres", " to about 3.0 to 3.2 litres"),
    ],
)
def test_a_range_that_reads_as_one_number_is_told_as_one_and_none_of_nothing(then, unit, words):
    assert said(_to(0.8, then, unit)) == words


@given(st.text("abc -0123456789ml", max_size=60), st.integers(8, 40))
def test_a_cut_text_fits_and_is_the_beginning_of_the_whole(text, most):
    short = cut(text, most)
    assert len(short) <= most
    assert text.startswith(short.removesuffix("..").rstrip())


def test_a_room_is_told_as_it_was_typed_and_never_to_four_places():
    box = tl.load("fern-hollow").change(**{"room.temperature": {"day": "70 F", "night": "64 F"}})
    assert said(room_in_words(box.room.now)) == "64 to 70 °F, 45 % humidity"
    box = box.change(**{"room.temperature": {"day": "70 F", "night": "18 C"}})
    assert said(room_in_words(box.room.now)) == "18 °C to 70 °F, 45 % humidity"
    box = box.change(**{"room.temperature": 16.1111})
    assert said(room_in_words(box.room.now)) == "16.1 °C, 45 % humidity"
    assert said(quantity("°C", ".1f", 17.7778, 21.1111), us=True) == "64.0 to 70.0 °F"


def test_a_page_in_us_units_turns_its_measures_and_leaves_tags_names_and_sources_alone():
    pour, warm = quantity("ml", ".0f", 125.0), quantity("°C", ".0f", 18.0, 21.0)
    page = (
        f'<p style="width:5 cm">My 60 cm box: {pour} a day at {warm}.</p><section id="used"><td>a core of 7.6 cm</td>'
    )
    turned = page_said(page, us=True).replace("\u00a0", " ")
    assert "My 60 cm box: 4 1/4 fl oz a day at 64 to 70 °F." in turned
    assert 'style="width:5 cm"' in turned
    assert "a core of 7.6 cm" in turned


@given(st.floats(-9.0, 90.0), st.integers(8, 40))
def test_a_cut_name_keeps_its_measures_whole_in_either_system(cm, most):
    name = f"layer {quantity('cm', '.1f', cm)} of expanded clay, water {quantity('mm', '.0f', 3.0)} down"
    short = cut(name, most)
    for us in (False, True):
        whole, part = said(name, us), said(short, us)
        assert len(part) <= most
        start = part.removesuffix("..").rstrip()
        assert whole.startswith(start)
        # no number without its unit at the end
        assert not re.search(r"\d$", start) or len(start) == len(whole)
