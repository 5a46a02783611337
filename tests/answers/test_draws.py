"""Draws that cannot be run: told with their number and reason, never silently fewer, and given up early."""

from __future__ import annotations

import numpy as np
import pytest

import terralab as tl
from terralab.answers.common import ensemble as sampling
from terralab.answers.common.balance import with_pour
from terralab.answers.common.draws import Failure, by_reason, in_common, left_out_words, why_words
from terralab.answers.common.ensemble import measured, sampled
from terralab.answers.common.recommended import _drawn, _recommended
from terralab.answers.fans import ranges
from terralab.answers.fans.fan_schedules import fan_schedules
from terralab.errors import RunError
from terralab.simulation.simulate import TOO_MANY_STEPS
from terralab.uncertainty import ensemble
from tests.asked import asked

WHY = "the flow of water in the soil found no solution even in very short steps"
HOTTEST = lambda record: float(record.air_c.max())  # noqa: E731


def heated(watts: float) -> tl.Box:
    """The moss jar with a heater that is on all day; far too strong, so that draws leave 80 C."""
    heater = {"name": "heater", "kind": "ceramic emitter", "power": f"{watts} W", "timer": ["always"]}
    return tl.load("moss-jar").change(**{"routine.heaters": [heater]})


@pytest.fixture
def failing(monkeypatch):
    """Make the draws with some numbers fail in every ensemble."""

    # what another test has asked already would be remembered as it ran there
    _recommended.cache_clear()
    _drawn.cache_clear()

    def overrides(*numbers: int) -> None:
        run, whole = sampling.run_many, sampling.measured
        at = {"draw": 0, "box": None}

        def from_the_first(boxes, *args, **more):
            at.update(draw=0, box=boxes[0])
            return whole(boxes, *args, **more)

        def some_fail(jobs, *args, **more):
            out = []
            for job, one in zip(jobs, run(jobs, *args, **more), strict=True):
                if job.box is at["box"]:
                    one = RunError(f"stopped: {WHY}", WHY, 1.5) if at["draw"] in numbers else one
                    at["draw"] += 1
                out.append(one)
            return out

        monkeypatch.setattr(sampling, "measured", from_the_first)
        monkeypatch.setattr(ranges, "drawn_runs", from_the_first)
        monkeypatch.setattr(sampling, "run_many", some_fail)

    yield overrides
    _recommended.cache_clear()  # nor may another test remember what failed here
    _drawn.cache_clear()


def test_a_sample_that_cannot_be_fair_is_given_up_early_and_says_why(monkeypatch):
    box = with_pour(heated(100.0), 10.0)
    begun = []
    run = sampling.run_many
    monkeypatch.setattr(sampling, "run_many", lambda jobs, *a, **k: (begun.extend(jobs), run(jobs, *a, **k))[1])
    with pytest.raises(RunError) as refused:
        sampled(box, 6, {"hottest": HOTTEST}, members=128)
    assert len([job for job in begun if job.overrides]) <= 16
    text = str(refused.value)
    assert "of 128 draws" in text
    assert "could not be run" in text
    assert "80 C" in text
    assert "(draws " in text


@pytest.fixture
def jobs(monkeypatch):
    """All jobs that ensembles begin from here on."""
    begun, run = [], sampling.run_many
    monkeypatch.setattr(sampling, "run_many", lambda some, *a, **k: (begun.extend(some), run(some, *a, **k))[1])
    return begun


def test_a_draw_may_waste_few_steps(jobs):
    # one draw that never ends took hundreds of thousands of steps, and an ensemble minutes
    box = with_pour(tl.load("fern-hollow"), 100.0)
    sample = measured([box] * 4, 6, {"hottest": HOTTEST}, "now", ensemble(box, 4))
    assert sample.failed == 0
    assert sample.ran == 4
    assert len(jobs) == 4  # no other run was needed to know what a draw may take
    most = {job.most_steps for job in jobs}
    assert len(most) == 1
    assert most.pop() <= 40_000  # of 198,000 that a run of six days may take
    with pytest.raises(RunError, match="more steps") as refused:
        tl.run_many([tl.Job(box, 6, most_steps=20)])
    assert refused.value.day < 6.0
    assert "steps" in refused.value.why


def test_draws_that_need_more_may_take_four_times_what_the_typical_box_takes(jobs, monkeypatch):
    """The typical box is then run once, and the draws that ran out of steps again: each gives what it gives anyway."""
    box = with_pour(tl.load("fern-hollow"), 100.0)
    drawn = ensemble(box, 12)
    usual = measured([box] * 12, 2, {"hottest": HOTTEST}, "now", drawn)
    jobs.clear()
    monkeypatch.setattr(sampling, "LEAST_STEPS", 1)
    monkeypatch.setattr(sampling, "LEAST_STEPS_A_DAY", 1)
    longer = measured([box] * 12, 2, {"hottest": HOTTEST}, "now", drawn)
    assert longer.failed == 0
    assert np.array_equal(longer.results["hottest"], usual.results["hottest"])
    (typical,) = [job for job in jobs if job.most_steps is None]
    assert not typical.overrides
    record = tl.run_many([typical])[0]
    taken = record.settings["soil_steps"] + record.settings["repeated_steps"]
    assert [job.most_steps for job in jobs] == [3] * 8 + [None] + [4 * taken] * 12
    monkeypatch.setattr(sampling, "TIMES_TYPICAL", 0.5)
    refused = measured([box] * 12, 2, {"hottest": HOTTEST}, "now", drawn)
    assert refused.tried == refused.failed == 8
    assert {one.why for one in refused.failures} == {TOO_MANY_STEPS}


def test_each_draw_is_run_or_named(failing):
    box = tl.load("fern-hollow")
    failing(3, 9)
    drawn = ensemble(box, 16)
    sample = sampled(with_pour(box, 100.0), 2, {"hottest": HOTTEST}, found=drawn)
    assert [one.draw for one in sample.failures] == [3, 9]
    assert sample.ran == 14
    assert np.flatnonzero(np.isnan(sample.results["hottest"])).tolist() == [3, 9]
    assert sample.spread(1.0)["why_failed"] == [{"why": WHY, "draws": [3, 9], "days": [1.5, 1.5]}]


def test_every_answer_says_how_many_draws_stand_behind_it(failing):
    box = tl.load("moss-jar")
    failing(5)
    named = f"7 of the 8 draws ran; the others could not be run and are left out: {WHY} (draw 5)."
    water = tl.daily_water(box, members=8)
    assert named in water.text("all")
    assert (water.spread["members"], water.spread["ran"], water.spread["failed"]) == (8, 7, 1)
    fans = fan_schedules(box, members=8, pour_members=8)
    assert named in fans.text("all")
    assert "How sure, over 7 draws" in fans.text("all")
    alone = tl.away(box, 2, prepare=False, members=8)
    # it comes to rest in two parts, and a draw that fails in one is missing in the next
    assert alone.spread["ran"] == 8 - 2
    assert f"6 of the 8 draws ran; the others could not be run and are left out: {WHY} (draws" in alone.text("all")


def test_a_few_draws_are_said_to_be_few():
    # where nothing comes down typically four draws stood for the sixty-four that were told
    answer = asked("drainage", "dry-ledge", members=8, pour_members=8)
    assert f"The depth rests on {answer.spread['ran']} draws" in answer.text("why")
    assert answer.spread["members"] == answer.spread["ran"] + answer.spread["failed"]


def test_rescue_tells_what_it_left_out(failing):
    box = tl.load("moss-jar")
    failing(1)
    answer = tl.rescue(box, members=8)
    assert answer.text("all").count("7 of the 8 draws ran") == len(answer.table)
    assert all(row["draws"]["ran"] == 7 for row in answer.table)
    assert answer.spread["ran"] == 7


def test_reasons_are_counted_and_named_in_words():
    failures = [Failure(1, "too hot", 2.0), Failure(4, "too many steps"), Failure(7, "too hot", 3.0)]
    reasons = by_reason(failures)
    assert [one["why"] for one in reasons] == ["too hot", "too many steps"]
    assert why_words(reasons) == "too hot (draws 1, 7); too many steps (draw 4)"
    assert left_out_words({"members": 8, "ran": 8, "failed": 0}) == ""
    many = by_reason([Failure(i, "x") for i in range(20)])
    assert why_words(many) == "x (draws 0, 1, 2, 3, 4, 5 and 14 more)"


def test_what_failed_draws_have_in_common_is_found():
    box = tl.load("fern-hollow")
    drawn = ensemble(box, 32)
    column = next(j for j, one in enumerate(drawn.inputs) if one.key == "leakage.ach")
    high = np.argsort(drawn.values[:, column])[-6:]
    assert in_common(drawn, [Failure(int(i), "x") for i in high], 32) == 'a high "leakage.ach"'
    assert in_common(drawn, [Failure(0, "x")], 32) == ""
