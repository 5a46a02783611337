"""Timers in the words of keepers, checked second by second against their meaning."""

import pickle
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from terralab.describe import Control, Timer
from terralab.errors import DescriptionError
from terralab.units import clock

H = 3600.0
DAY = 24 * H


@pytest.mark.parametrize(
    ("entries", "periods"),
    [
        ("08:00-20:00", ((8 * H, 20 * H),)),
        ("8 am - 8 pm", ((8 * H, 20 * H),)),
        ("08:00 to 20:00", ((8 * H, 20 * H),)),
        ("08:00–20:00", ((8 * H, 20 * H),)),
        ("22:00-06:00", ((0, 6 * H), (22 * H, DAY))),
        ("22:00-24:00", ((22 * H, DAY),)),
        ("22:00-00:00", ((22 * H, DAY),)),
        ("always", ((0, DAY),)),
        ("00:00-24:00", ((0, DAY),)),
        ("never", ()),
        ("6 h every 12 h", ((0, 6 * H), (12 * H, 18 * H))),
        ("10 h every 14 h", ((0, 10 * H), (14 * H, DAY))),
        ("5 min every 1 h from 08:00 to 10:00", ((8 * H, 8 * H + 300), (9 * H, 9 * H + 300))),
        ("40 min every 1 h from 08:00 to 09:30", ((8 * H, 8 * H + 2400), (9 * H, 9.5 * H))),
        (
            "1 h every 3 h from 20:30 to 04:00",
            ((2.5 * H, 3.5 * H), (20.5 * H, 21.5 * H), (23.5 * H, DAY), (0, 0.5 * H)),
        ),
        ("2 h every day from 06:00 to 12:00", ((6 * H, 8 * H),)),
        ("1 h every 1 h", ((0, DAY),)),
        (["08:00-12:00", "11:00-14:00", "14:00-15:00"], ((8 * H, 15 * H),)),
        (["08:00-20:00", "not 13:00-14:00"], ((8 * H, 13 * H), (14 * H, 20 * H))),
        (["not 23:00-01:00", "always"], ((H, 23 * H),)),
        (["08:00-20:00", "not 06:00-09:00", "not 19:00-21:00"], ((9 * H, 19 * H),)),
        (["08:00-09:00", "not 07:00-10:00"], ()),
        (["08:00-09:00", "never"], ((8 * H, 9 * H),)),
    ],
)
def test_what_a_timer_means(entries, periods):
    assert Timer(entries).periods_s() == tuple(sorted(periods))


@pytest.mark.parametrize(
    ("entries", "part"),
    [
        ("8-20", "not a time of day"),
        ("08:00-08:00", 'Write "always" or "never".'),
        ("08:00", "Write hours as start-end."),
        ("lots", "Write hours as start-end."),
        ("30 every 2 h", "without a unit"),
        ("30 min every 2 m", "no unit of a duration"),
        ("3 h every 2 h", "A run lasts 1 s to 120 min here."),
        ("0 min every 2 h", "A run lasts"),
        ("1 s every 30 s", "A cycle lasts 1 minute to 1 day."),
        ("1 h every 2 days", "A cycle lasts"),
        ("5 min every 1 h from 08:00", "from 08:00 to 20:00"),
        ("not 13:00-14:00", 'Add "always"'),
        ([], "at least one text"),
        ("", "Write hours as start-end."),
        (None, "at least one text"),
        ([800], "short text"),
        ("x" * 200, "short text"),
        (["08:00-09:00"] * 201, "at most 200"),
    ],
)
def test_what_is_no_timer_is_refused(entries, part):
    with pytest.raises(DescriptionError) as caught:
        Timer(entries)
    assert part in str(caught.value)
    assert caught.value.field == "timer"


times = st.integers(0, 1439).map(lambda minute: 60 * minute)
spans = st.tuples(times, times).filter(lambda span: span[0] != span[1])
cycles = st.tuples(st.integers(1, 120), st.integers(1, 300)).filter(lambda pair: pair[0] <= pair[1])


@st.composite
def entries_and_meaning(draw):
    """A list of entries, and a slow function that says for one second whether each of them is on."""
    texts, runs, pauses = [], [], []
    for _ in range(draw(st.integers(1, 4))):
        start, end = draw(spans)
        hours = f"{clock(start)}-{clock(end)}"
        length = (end - start) % DAY
        kind = draw(st.sampled_from(["span", "cycle", "pause"] if texts else ["span", "cycle"]))
        if kind == "cycle":
            on, gap = draw(cycles)
            texts.append(f"{on} min every {gap} min from {clock(start)} to {clock(end)}")
            runs.append(
                lambda t, s=start, n=length, on=on, gap=gap: (t - s) % DAY < n and (t - s) % DAY % (60 * gap) < 60 * on
            )
        else:
            texts.append(("not " if kind == "pause" else "") + hours)
            held = pauses if kind == "pause" else runs
            held.append(lambda t, s=start, n=length: (t - s) % DAY < n)
    return texts, lambda t: any(run(t) for run in runs) and not any(pause(t) for pause in pauses)


@given(entries_and_meaning())
def test_a_timer_agrees_with_its_meaning_at_every_minute(case):
    texts, is_on = case
    periods = Timer(texts).periods_s()
    assert all(0 <= on < off <= DAY for on, off in periods)
    assert all(before[1] < after[0] for before, after in pairwise(periods))
    for minute in range(0, 1440, 7):
        t = 60.0 * minute + 30
        assert any(on <= t < off for on, off in periods) == is_on(t)


def test_a_timer_is_equal_by_its_words_and_can_be_sent_to_another_process():
    timer = Timer(["08:00-20:00"])
    assert timer == Timer("08:00-20:00")
    assert pickle.loads(pickle.dumps(timer)).periods_s() == timer.periods_s()
    assert timer.on_s == 12 * H


def test_a_thermostat_starts_and_stops_half_a_hysteresis_from_its_set_point():
    heater = Control("temperature", "below", 18, 1)
    assert (heater.on_at, heater.off_at) == (17.5, 18.5)
    dryer = Control("humidity", "above", 80, 6, 10)
    assert (dryer.on_at, dryer.off_at) == (83, 77)


def test_a_control_is_read_in_the_unit_of_what_it_senses():
    raw = {
        "senses": "temperature",
        "on": "below",
        "set_point": "64.4 F",
        "hysteresis": "1.8 F",
        "minimum_on": "10 min",
    }
    control = Control.read(raw, "control")
    assert control.set_point == pytest.approx(18)
    assert control.hysteresis == pytest.approx(1)
    assert control.minimum_on_min == 10
    moist = Control.read({"senses": "humidity", "on": "below", "set_point": "70 %", "hysteresis": "4 %"}, "control")
    assert Control.read(moist.write(), "control") == moist
    assert moist.write()["hysteresis"] == "4 points"


@pytest.mark.parametrize(
    ("changes", "field", "part"),
    [
        ({"senses": "warmth"}, "control.senses", "Known: temperature, humidity."),
        ({"on": "under"}, "control.on", "Known: below, above."),
        ({"set_point": "70 %"}, "control.set_point", "no unit of a temperature"),
        ({"set_point": "80 C"}, "control.set_point", "-10 C to 60 C"),
        ({"set_point": 18}, "control.set_point", "without a unit"),
        ({"hysteresis": "0 K"}, "control.hysteresis", "0.1 K to 20 K"),
        ({"senses": "humidity", "set_point": 0.7}, "control.set_point", "looks like a fraction"),
        ({"senses": "humidity", "set_point": "18 C"}, "control.set_point", "no unit of a humidity"),
    ],
)
def test_a_wrong_control_is_refused(changes, field, part, refusal):
    good = {"senses": "temperature", "on": "below", "set_point": "18 C", "hysteresis": "1 K"}
    error = refusal(Control.read, good | changes, "control")
    assert field in [problem.field for problem in error.problems]
    assert part in str(error)
