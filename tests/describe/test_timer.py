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


LAMP = ((8 * H, 20 * H),)
NIGHT = ((0.0, 6 * H), (22 * H, DAY))
TWICE = ((6 * H, 8 * H), (18 * H, 21 * H))


@pytest.mark.parametrize(
    ("entries", "theirs", "periods"),
    [
        ('with "lamp"', LAMP, LAMP),
        ("with 'lamp'", NIGHT, NIGHT),
        ('from 1 h before "lamp" until 1 h after', LAMP, ((7 * H, 21 * H),)),
        ('1 h before "lamp" to 30 min after "lamp"', LAMP, ((7 * H, 20.5 * H),)),
        ('From 1 h before "lamp" - "lamp" on', LAMP, ((7 * H, 8 * H),)),
        ('"lamp" off to 2 h after "lamp" off', LAMP, ((20 * H, 22 * H),)),
        ('30 min after "lamp" on to 30 min before "lamp" off', LAMP, ((8.5 * H, 19.5 * H),)),
        ('from 1 h before "lamp" until 1 h after', NIGHT, ((0, 7 * H), (21 * H, DAY))),
        ('from 5 h before "lamp" until 5 h after', LAMP, ((0, H), (3 * H, DAY))),
        ('from 7 h before "lamp" until 7 h after', LAMP, ((0, DAY),)),
        ('from 1 h before "lamp" until 1 h after', TWICE, ((5 * H, 9 * H), (17 * H, 22 * H))),
        ('2 h after "lamp" on to 2 h before "lamp" off', TWICE, ()),
        ('with "lamp"', ((0.0, DAY),), ((0.0, DAY),)),
        ('"lamp" off to 2 h after "lamp" off', ((0.0, DAY),), ()),
        ('with "lamp"', (), ()),
        (["always", 'not with "lamp"'], LAMP, ((0, 8 * H), (20 * H, DAY))),
        (["10:00-11:00", '"lamp" off to 1 h after "lamp" off'], LAMP, ((10 * H, 11 * H), (20 * H, 21 * H))),
    ],
)
def test_what_a_timer_means_that_hangs_on_another(entries, theirs, periods):
    timer = Timer(entries)
    assert timer.hangs_on == ("lamp",)
    with pytest.raises(DescriptionError, match="hangs on a device"):
        timer.periods_s()
    hung = timer.hung_on(lambda name: theirs)
    assert hung == timer
    assert hung.periods_s() == periods
    assert pickle.loads(pickle.dumps(hung)).periods_s() == periods


@pytest.mark.parametrize(
    ("entries", "part"),
    [
        ('30 min after "lamp" to 2 h after', "Say of which switching"),
        ('1 h before "lamp" to 1 h before', "Say of which switching"),
        ('"lamp" off to "lamp" on', "Write two entries"),
        ('1 h before "lamp" to 1 h after "fan"', "an entry for each"),
        ('from 13 h before "lamp" until 1 h after', "at most 12 h"),
        ('from 1 x before "lamp" until 1 h after', "no unit of a duration"),
        ('around "lamp"', "Write it as"),
    ],
)
def test_what_hangs_on_nothing_clear_is_refused(entries, part):
    with pytest.raises(DescriptionError, match=part):
        Timer(entries)


def test_a_log_keeps_its_work_and_its_place_in_the_day():
    log = Timer.logged([0, 8, 20, 32, 44, 48], [0, 1, 0.25, 1, 0, 0], repeat=True)
    assert Timer.of(log.write(), "timer") == log
    assert log.on_s == pytest.approx(0.5 * (12 + 0.25 * 12 + 12) * H)
    assert log.periods_s() == ((8 * H, 20 * H),)
    assert str(log) == "by its log of 2 days, repeated"


@pytest.mark.parametrize(
    ("log", "part"),
    [
        ({"hours": [0, 1], "loads": [1]}, "2 hours and 1 loads"),
        ({"hours": [0], "loads": [1]}, "The last hour ends the log"),
        ({"hours": [0, 3, 2], "loads": [1, 0, 1]}, "2 after 3"),
        ({"hours": [-1, 3], "loads": [1, 0]}, "hour -1"),
        ({"hours": [0, 3], "loads": [1.5, 0]}, "load of 1.5"),
        ({"hours": [0, 3], "loads": [True, 0]}, "on is 1"),
        ({"hours": [0, 3], "loads": ["on", "off"]}, "on is 1"),
        ({"hours": [0, 3], "loads": [1, 0], "repeat": True}, "a day at least"),
        ({"hours": [0, 30], "loads": [1, 0], "repeat": "yes"}, "true or false"),
        ({"hours": [0, 30], "values": [1, 0]}, "loads"),
        ({}, "Write at least one text"),
    ],
)
def test_what_is_no_log_is_refused(log, part):
    with pytest.raises(DescriptionError, match=part):
        Timer.of(log, "timer")
