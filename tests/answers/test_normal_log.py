"""Since when is a box unlike itself: sound logs raise no alarm, seeded changes are found on their day and with their cause."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.stats import chi2, f

import terralab as tl
from terralab.answers.common.statement import Verdict
from terralab.answers.normal.change import Search, change_of, design, limit_of, steps_of
from terralab.answers.normal.level import SELDOM, _limit, level_of
from terralab.answers.normal.log_causes import explained
from terralab.describe.files import demo_log
from terralab.logs.log import BOX, Log, SensorLog
from tests.answers.faces import check
from tests.benchmarks.false_alarms import Month
from tests.learning.invented import small_and_quick

BEGINS_D = 7.0


@cache
def month() -> Month:
    return Month(small_and_quick(), 3, days=12, members=12)


@cache
def lifted() -> Log:
    """The log of a box whose lid is off from day 7 on."""
    door = month().placed.routine.doors[0].name
    return month().log(1, (tl.Event(BEGINS_D, None, {"opened": door}),))


def test_months_in_which_nothing_changed_raise_no_alarm():
    """Of five, at one alarm a month allowed; the large count stands in tests/benchmarks/false_alarms.py."""
    assert not any(month().change(month().log(i))[1].is_one for i in range(1, 6))


def test_a_sensor_that_drifts_is_found_and_told_from_a_change_of_the_air():
    """Twelve points less at one blow, by day and by night alike."""
    log = month().log(2)
    late = np.arange(len(log.times)) > len(log.times) * BEGINS_D / 12.0
    sensor = log.sensors[BOX]
    top = None if sensor.at_least is None else sensor.at_least & ~late
    moved = SensorLog(sensor.temperature_c, np.clip(sensor.humidity - 12.0 * late, 0.0, 100.0), top)
    model, change = month().change(replace(log, sensors={**log.sensors, BOX: moved}))
    assert change.is_one
    assert change.size[2:] == pytest.approx([-12.0, -12.0], abs=3.0)
    assert "sensor humidity: box" in [one.cause.key for one in explained(model, change)[0][:2]]


def test_the_statistic_of_a_step_is_its_size_over_its_error():
    """Generalised least squares: for a residual that is a step the fall in misfit is its size, whitened by its covariance."""
    model = month().model
    steps = steps_of(model)
    search = Search(model, model.means, steps, np.array([design(model, one.begins_h, one.ends_h) for one in steps]))
    step, size = steps[len(steps) // 2], np.array([0.5, -0.4, 6.0, 9.0])
    residual = design(model, step.begins_h, step.ends_h) @ size
    found, error = search.size(step, residual)
    assert found == pytest.approx(size, abs=1e-6)
    statistics = search.statistics(residual)[:, 0]
    assert statistics[steps.index(step)] == pytest.approx(size @ np.linalg.solve(error, size), rel=1e-5)
    assert statistics.max() == pytest.approx(statistics[steps.index(step)], rel=1e-5)


def test_noise_of_the_stated_kind_passes_the_limit_as_seldom_as_stated():
    """Drawn from the covariance with another seed than the limit's own."""
    model = month().model
    steps = steps_of(model)
    search = Search(model, model.means, steps, np.array([design(model, one.begins_h, one.ends_h) for one in steps]))
    lower = np.linalg.cholesky(search.covariance)
    noise = np.random.default_rng(5).normal(size=(400, model.blocks.size)) @ lower.T
    assert np.mean(search.statistics(noise).max(axis=0) > limit_of(model, search)) <= 0.05


def test_a_change_smaller_than_anyone_cares_for_is_no_change():
    model = month().model
    silent = replace(
        model,
        errors=1e-4 * model.errors,
        means=1e-3 * (model.means - model.means.mean(axis=0)) + model.means.mean(axis=0),
    )
    step = steps_of(model)[20]
    y = silent.means.mean(axis=0) + design(model, step.begins_h, np.inf) @ np.array([0.1, 0.1, 0.5, 0.5])
    tiny = replace(silent, blocks=replace(model.blocks, y=y + model.middle))
    found = change_of(tiny)
    assert found.statistic > found.limit
    assert not found.is_one


def test_a_lid_that_comes_off_is_found_on_its_day_with_its_cause_and_said_in_both_systems():
    found = tl.normal_log(small_and_quick(), lifted(), members=12)
    assert found.verdict is Verdict.UNUSUAL
    assert found.details["began"].startswith("2026-08-")
    assert found.value == pytest.approx(BEGINS_D, abs=0.5)
    assert "lid off" in [row["cause"] for row in found.table[:2]]
    assert sum(row["share"] for row in found.table) == pytest.approx(1.0, abs=0.02)
    assert "drier" in found.text()
    assert not found.details["could_not_be_run"]
    check(found)
    json.loads(found.json(), parse_constant=pytest.fail)


def test_a_log_too_short_or_no_log_is_refused_in_words():
    log = month().log(1)
    first = log.times < log.times[0] + np.timedelta64(4, "D")
    cut = lambda one: SensorLog(one.temperature_c[first], one.humidity[first])  # noqa: E731
    short = Log(log.times[first], {place: cut(one) for place, one in log.sensors.items()})
    with pytest.raises(tl.TerralabError, match="6 to 100 days"):
        tl.normal_log(small_and_quick(), short)
    with pytest.raises(tl.TerralabError, match="read_log"):
        tl.normal_log(small_and_quick(), 3)
    with pytest.raises(tl.TerralabError, match="two-rooms"):
        tl.normal_log(small_and_quick(), "two-rooms.csv")
    with pytest.raises(tl.TerralabError, match="Keep one"):
        tl.normal_log(small_and_quick(), log, room=log)


# -- whether it goes with its description at all -----------------------------------------------------------------------


def off(log: Log, kelvin: float, points: float) -> Log:
    """The log with its sensor in the box at quite another level."""
    one = log.sensors[BOX]
    moved = SensorLog(one.temperature_c + kelvin, np.clip(one.humidity + points, 0.0, 100.0))
    return replace(log, sensors={**log.sensors, BOX: moved})


def test_sound_logs_go_with_their_description_changed_or_not():
    """Logs of true boxes, and each box drawn as if it were the true one; a lid that comes off later says nothing of the level."""
    for log in [*(month().log(i) for i in range(1, 6)), lifted()]:
        assert level_of(*month().change(log)).goes
    model, sound = month().change(month().log(1))
    assert all(
        level_of(replace(model, blocks=replace(model.blocks, y=own + model.middle)), sound).goes for own in model.means
    )


def test_so_few_levels_of_the_stated_kind_are_called_another_box_as_is_stated():
    """Drawn from the covariance of boxes and errors."""
    model, sound = month().change(month().log(1))
    cov = Search(model, model.means, (), np.zeros((0, 0, 0))).covariance
    noise = np.random.default_rng(6).normal(size=(1500, model.blocks.size)) @ np.linalg.cholesky(cov).T
    middle = model.means.mean(axis=0) + model.middle
    far = [not level_of(replace(model, blocks=replace(model.blocks, y=middle + one)), sound).goes for one in noise]
    assert np.mean(far) <= 3.0 * SELDOM


@pytest.mark.parametrize(("kelvin", "points"), [(0.0, -45.0), (9.0, 0.0), (-9.0, -30.0)])
def test_a_log_at_quite_another_level_does_not_go_with_the_description_by_so_much(kelvin, points):
    model, change = month().change(month().log(2))
    sound = level_of(model, change)
    moved = level_of(*month().change(off(month().log(2), kelvin, points)))
    assert sound.goes
    assert not moved.goes
    assert moved.gap - sound.gap == pytest.approx([kelvin, kelvin, points, points], abs=0.6)


def test_the_limit_of_a_level_is_that_of_t_square_and_of_chi_square_at_its_ends():
    """Boxes alone: p (n - 1) / (n - p) F(p, n - p); errors alone: chi-square with p degrees of freedom (Hotelling, 1931; scipy)."""
    boxes = np.random.default_rng(4).normal(size=(20, 3))
    assert _limit(boxes, np.zeros((3, 3))) == pytest.approx(3 * 19 / 17 * f.ppf(1.0 - SELDOM, 3, 17))
    assert _limit(1e-3 * boxes, np.eye(3)) == pytest.approx(chi2.ppf(1.0 - SELDOM, 3), rel=1e-3)


def test_the_log_of_another_box_is_called_that_before_any_change_and_no_cause_of_one_is_named():
    """The planted box's log with a step in it, given for one that is bare, dry and wide open."""
    box = small_and_quick()
    glass = box.enclosure
    bare = replace(
        box,
        enclosure=replace(glass, plants=replace(glass.plants, leaf_area_cm2=20.0)),
        start=replace(box.start, soil="dry"),
        routine=replace(box.routine, pours=(), sprays=()),
    )
    damp = off(month().log(2), -1.0, 35.0)
    found = tl.normal_log(bare, damp, members=8)
    assert found.details["goes_with_description"] is False
    assert found.verdict is Verdict.CONTRADICTED
    assert found.details["level_more_humidity_points"][BOX]["night"] > 25.0
    assert found.table == ()
    said = " ".join(found.text().split())
    assert "damper and" in said
    assert "drifted" not in said
    assert said.index("does not go with the description") < said.index("Look first: (1) is it this box's log")
    assert ("Only then look at its change" in said) == found.details["changed"]
    check(found)
    json.loads(found.json(), parse_constant=pytest.fail)


def test_a_log_and_a_diary_may_be_files(tmp_path):
    """Too short a one, so that the answer is the refusal of what was read in it."""
    files = demo_log()
    first = files["log"].read_text(encoding="utf-8").splitlines()[: 4 * 96]
    short = tmp_path / "four-days.csv"
    short.write_text("\n".join(first), encoding="utf-8")
    with pytest.raises(tl.TerralabError, match=r"6 to 100 days.*3\.\d days"):
        tl.normal_log(tl.load(files["box"]), str(short), diary=files["diary"])
