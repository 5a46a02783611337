"""A hygrometer over wet salt: what it is off, how sure that is, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest

import terralab as tl
from terralab.cli.words import wrapped
from terralab.errors import TerralabError
from terralab.physics.salts import SALTS, salt_humidity


def true_at(name: str, t: float) -> float:
    return salt_humidity(SALTS[name], t)


def test_one_salt_gives_the_offset_and_is_less_sure_farther_off():
    found = tl.salt_test("table salt", "78 %", "21 C", 24)
    assert found.offset == pytest.approx(78.0 - true_at("table salt", 21.0), abs=0.01)
    sure, half, far = (found.offset_at(rh)[1] for rh in (found.humidity, 55.0, 30.0))
    assert 0.3 < sure < 1.0
    assert sure < half < far < 4.0
    assert found.slope == 0.0


def test_two_salts_make_a_line_and_are_sure_between_them():
    names = ["table salt", "magnesium chloride"]
    gain, at_50 = 0.95, 1.0
    reads = [round(50.0 + at_50 + gain * (true_at(n, 22.0) - 50.0), 2) for n in names]
    found = tl.salt_test(names, reads, 22.0, 48.0, resolution=0.1)
    assert found.slope == pytest.approx(gain - 1.0, abs=0.01)
    assert found.offset_at(50.0)[0] == pytest.approx(at_50, abs=0.15)
    assert (
        found.offset_at(50.0)[1] < tl.salt_test(names[0], reads[0], 22.0, 48.0, resolution=0.1).offset_at(50.0)[1] / 2.0
    )


def test_several_runs_of_one_salt_are_their_mean_and_surer():
    once = tl.salt_test("table salt", 78, 21, 24)
    thrice = tl.salt_test(["table salt"] * 3, [77, 78, 79], 21, 24)
    assert thrice.offset == pytest.approx(once.offset, abs=0.02)
    assert thrice.error < once.error


def test_offsets_lie_within_their_error_as_often_as_is_said():
    """Sensors drawn with a gain, an offset and a bag that was not evenly warm: two deviations hold nine in ten and more."""
    draw = np.random.default_rng(3)
    held = []
    for _ in range(400):
        offset, gain = draw.normal(0.0, 3.0), draw.normal(0.0, 0.05)
        names = ["table salt", "magnesium chloride"][: draw.integers(1, 3)]
        reads = []
        for name in names:
            true = true_at(name, 21.0) * (1.0 + 0.062 * draw.normal(0.0, 0.1))
            reads.append(float(np.clip(round(true + offset + gain * (true - 75.0)), 0, 98)))
        found = tl.salt_test(names, reads, 21.0, 24.0)
        at = draw.uniform(40.0, 90.0)
        middle, error = found.offset_at(at)
        held.append(abs(middle - (offset + gain * (at - 75.0))) < 2.0 * error)
    assert np.mean(held) > 0.92


def test_short_hours_make_it_unsure_and_that_is_said():
    short, long = (tl.salt_test("table salt", 78, 21, hours) for hours in (3, 48))
    assert short.error > 8.0 > 1.0 > long.error
    assert "overnight" in str(short)
    assert "overnight" not in str(long)


@pytest.mark.parametrize("salt", ["NaCl", "Table  Salt", "sodium chloride", "kitchen salt"])
def test_salts_go_by_the_names_on_their_packets(salt):
    assert tl.salt_test(salt, 75, 20, 12).points[0].salt == "table salt"


def test_fahrenheit_stays_fahrenheit_and_means_the_same():
    us, metric = tl.salt_test("table salt", 78, "70 F", 12), tl.salt_test("table salt", 78, (70 - 32) / 1.8, 12)
    assert us.offset == pytest.approx(metric.offset)
    assert "at 70 °F" in us.lines()[0]
    assert "°C" not in str(us)
    assert "°F" not in str(metric)


def test_the_cautions_stand_with_the_result():
    text = str(tl.salt_test("lithium chloride", 12, 21, 24))
    for word in ("animals", "gloves", "poisonous", "never inside"):
        assert word in text


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (("magnesum chloride", 34, 21, 12), 'no salt for this test.*"magnesium chloride"'),
        (("sea salt", 75, 21, 12), "plain table salt"),
        (("table salt", 0.78, 21, 12), "fraction"),
        (("table salt", "101 %", 21, 12), "0 to 100"),
        (("table salt", 99.9, 21, 12), "end of its range"),
        (("table salt", 40, 21, 12), "not the sensor's scale"),
        (("table salt", 78, 70, 12), "0 to 50"),
        (("potassium carbonate", 45, "35 C", 12), "0 to 30"),
        (("table salt", 78, 21, 1), "overnight"),
        (("table salt", 78, 21, "12 K"), "no unit of a duration"),
        (("table salt", None, 21, 12), "reads"),
        ((["table salt", "NaCl"], [1, 2, 3], 21, 12), "one for each of the 2"),
        (([], 78, 21, 12), "1 to 20"),
        ((None, 78, 21, 12), "name of a salt"),
    ],
)
def test_what_cannot_be_is_refused_in_words(given, words):
    with pytest.raises(TerralabError, match=words):
        tl.salt_test(*given)


def _screen(found: tl.SaltTest) -> list[str]:
    return "\n".join(wrapped(line) for line in found.lines()).splitlines()


def test_the_words_are_short_and_say_one_number_for_one_thing():
    """Two doubts of one error, 25.7 and 23.6 points, and seventeen lines, help nobody to read a sensor."""
    for reads in ("78 %", "70 %", "75.4 %", "92 %"):
        for hours in (2.0, 12.0, 24.0):
            found = tl.salt_test("table salt", reads, "70 F", hours)
            assert len(_screen(found)) <= 12
            text = " ".join(found.lines())
            near = [word for line in found.lines() if "95 of 100" in line for word in line.split("near")[:1]]
            assert len(near) == 1
            assert f"{2.0 * found.error:.1f}" in text
    both = tl.salt_test(["table salt", "magnesium chloride"], ["78 %", "34 %"], "70 F", 12.0)
    assert len(_screen(both)) <= 12
    brief = " ".join(tl.salt_test("table salt", "78 %", "21 C", 2.0).lines())
    assert brief.count("give or take") + brief.count("to within") == 1
    assert "overnight" in brief


@pytest.mark.parametrize(("reads", "broken"), [("92 %", True), ("58 %", True), ("84 %", False), ("68 %", False)])
def test_a_sensor_that_is_far_off_is_called_broken_and_not_corrected(reads, broken):
    text = " ".join(tl.salt_test("table salt", reads, "21 C", 24.0).lines())
    assert ("probably broken: replace it" in text) is broken
    assert ("from what it shows" in text or "to what it shows" in text) is not broken
