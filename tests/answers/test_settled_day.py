"""The settled day that a watering answer keeps: hour by hour, sure so far, and the same as what the answer says."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import terralab as tl
from terralab.answers.common import ensemble as drawn
from terralab.answers.common.ensemble import sampled, sampled_pours, settled_rows
from terralab.answers.common.humidity_target import target_of
from terralab.answers.common.recommended import typical_ml
from terralab.answers.common.settled_day import HOURS, day_measures, hourly
from terralab.simulation.simulate import simulate
from tests.asked import asked


@pytest.fixture(scope="module", params=["fern-hollow", "dry-ledge", "moss-jar"])
def answer(request) -> tl.Answer:
    """Answers that other files look at too; the second is of a box that is kept dry."""
    if request.param == "moss-jar":
        return asked("all_answers", "moss-jar", members=4).water
    return asked("daily_water", request.param, members=8)


@pytest.fixture(scope="module")
def jar() -> tl.Record:
    return simulate(tl.load("moss-jar"), 2)


def part_of(box: tl.Box, part: str) -> np.ndarray:
    """Which of the 24 hours are of the day, or of the night."""
    target, _ = target_of(box)
    start, end = (8.0, 20.0) if target is None else (target.day_from_s / 3600.0, target.day_to_s / 3600.0)
    day = (np.array(HOURS) > start) & (np.array(HOURS) < end)
    return day if part == "day" else ~day


@pytest.mark.parametrize("part", ["day", "night"])
def test_its_mean_is_what_the_answer_says(answer, part) -> None:
    """One number in every face: humidity in whole per cent, temperature in tenths of a degree."""
    day, here = answer.details["settled_day"], part_of(answer.record.box, part)
    rh, c = (np.array(day[what]["middle"])[here].mean() for what in ("rh", "temperature_c"))
    assert rh == pytest.approx(getattr(answer, f"rh_{part}")["mean"], abs=0.55)
    assert c == pytest.approx(getattr(answer, f"temp_{part}")["mean"], abs=0.11)


def test_the_range_of_each_hour_holds_its_middle(answer) -> None:
    day = answer.details["settled_day"]
    assert day["hours"] == [k + 0.5 for k in range(24)]
    for what in ("rh", "temperature_c"):
        low, middle, high = (np.array(day[what][end]) for end in ("low", "middle", "high"))
        assert len(low) == len(middle) == len(high) == 24
        assert (low <= middle).all()
        assert (middle <= high).all()
        assert (high - low).max() > 0.1


@pytest.mark.parametrize("part", ["day", "night"])
def test_the_hours_of_a_draw_have_the_mean_of_that_draw(answer, part) -> None:
    """Each draw's hours and its mean by day and by night are of one run, also where it was run a second time."""
    results = answer.sample.results
    hours = results["rh by hour"][:, part_of(answer.record.box, part)]
    np.testing.assert_allclose(hours.mean(axis=1), results[part], atol=1e-9)
    hours = results["C by hour"][:, part_of(answer.record.box, part)]
    np.testing.assert_allclose(hours.mean(axis=1), results[f"C by {part}"], atol=0.35)  # of three days, this of one


def test_an_hour_is_the_mean_of_its_rows(jar) -> None:
    """Whatever hour a run begins at, and however many days are averaged."""
    rows = jar.rows(0, 2)
    found = hourly(jar, jar.humidity_shown, rows)
    by_hand = jar.humidity_shown[rows].reshape(2, 24, -1).mean(axis=(0, 2))
    np.testing.assert_allclose(found, by_hand)
    later = simulate(tl.load("moss-jar"), 2, start_at="14:00")
    clock = hourly(later, later.times_s % 86400.0 / 3600.0, settled_rows(later))
    np.testing.assert_array_less(np.abs(clock[1:23] - np.arange(1, 23) - 0.5), 0.51)
    going_on = simulate(tl.load("moss-jar"), 1, start=jar)
    assert hourly(going_on, going_on.air_c, settled_rows(going_on)).shape == (24,)


def test_a_draw_whose_second_run_fails_has_no_hours(monkeypatch) -> None:
    """Of runs that all failed nothing tells how long a course would have been; the others keep theirs."""
    box, ml = tl.load("moss-jar"), 4.0
    measures = day_measures(settled_rows)
    pours = sampled_pours(box, ml, {}, members=8).results["pour"]
    far = np.sort(np.abs(pours - ml))
    monkeypatch.setattr(drawn, "FAR", 0.5 * (far[-1] + far[-2]) / ml)
    real, times = drawn.measured, []

    def fails_later(boxes, days, wanted, season, found, *more, **named):
        times.append(found.size)
        if len(times) == 1:
            return real(boxes, days, wanted, season, found, *more, **named)
        nothing = {name: np.full(found.size, np.nan) for name in wanted}
        why = tuple(drawn.Failure(i, "made to fail", None) for i in range(found.size))
        return drawn.EnsembleResults(found, nothing, why, found.size)

    monkeypatch.setattr(drawn, "measured", fails_later)
    sample = sampled_pours(box, ml, measures, members=8)
    assert times == [8, 1]
    lost = np.isnan(sample.results["rh by hour"])
    assert lost.all(axis=1).sum() == 1
    assert lost.any(axis=1).sum() == 1


def test_courses_of_draws_are_kept_row_by_row() -> None:
    box = tl.load("moss-jar")
    sample = sampled(box, 1, {"one": lambda record: 1.0, **day_measures(settled_rows)}, members=2)
    assert sample.results["one"].shape == (2,)
    assert sample.results["rh by hour"].shape == (2, 24)


def test_a_pour_does_not_hang_on_the_day_on_which_the_sprays_fall() -> None:
    """The same water, sprayed daily or every few days, leaves about the same pour: a whole round of sprays is looked at."""
    jar = tl.load("moss-jar")

    def sprayed(every: int) -> tl.Box:
        spray = replace(jar.routine.sprays[0], amount_ml=10.0 * every, every_days=every)
        return replace(jar, routine=replace(jar.routine, sprays=(spray,)))

    daily, *rare = (typical_ml(sprayed(every)) for every in (1, 2, 3))
    assert daily > 5.0
    assert rare == pytest.approx([daily, daily], abs=0.4)
