"""From a fit to a description: what was learned, in an order in which the first few draws stand for all."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import terralab as tl
from terralab.describe.learned import LOSS
from terralab.errors import TerralabError
from terralab.learning.learned_box import KEPT, learned_box, spread_first
from terralab.uncertainty import ensemble
from tests.learned_boxes import fitted


@pytest.fixture(scope="module")
def box() -> tl.Box:
    return learned_box(fitted(tl.load("moss-jar")), measure_next="Weigh the box.")


def test_it_holds_what_the_fit_says(box: tl.Box) -> None:
    fit, held = fitted(tl.load("moss-jar")), box.learned
    assert tl.loads(tl.dumps(box)) == box
    assert box.name == "Moss Jar"
    assert (held.began, held.weighed, held.clock_shift_min, held.measure_next) == (
        "2026-03-01",
        1,
        3.0,
        "Weigh the box.",
    )
    assert {one.name: one.after for one in held.results}[LOSS] == (80.0, 100.0, 130.0)
    assert (held.sensors[0].place, held.sensors[0].offset, held.sensors[0].missed) == ("box", (-1.0, 0.5, 2.0), 1.0)
    told = {one.what: (one.why, one.ask) for one in held.refused}
    assert told["pour"] == ("The log cannot tell the pour.", "Weigh the bottle for two weeks.")
    assert told["exchange"][0] == "Only the ratio is known."
    assert told["air movement.speed"][0] == "Nothing was learned of it."
    assert held.size == 64
    assert len(held.draws) == len(fit.draws)


def test_draws_stay_together_whatever_their_order(box: tl.Box) -> None:
    fit = fitted(tl.load("moss-jar"))
    keys = list(fit.draws)
    five = lambda row: tuple(float(f"{x:.5g}") for x in row)  # noqa: E731
    before = {five(row) for row in zip(*fit.draws.values(), strict=True)}
    found = ensemble(box, 64)
    at = [[one.key for one in found.inputs].index(key) for key in keys]
    assert {tuple(row) for row in found.values[:, at]} == before


def test_the_room_now_is_the_mean_day_of_the_logged_one(box: tl.Box) -> None:
    """What was learned of the room's sensor belongs to that log; the other rooms stay as described."""
    jar = tl.load("moss-jar")
    assert (
        box.room.now.temperature.logged_h is None
        or box.room.now.temperature.hours[-1] - box.room.now.temperature.hours[0] == 24
    )
    hours = 3600.0 * np.arange(0.5, 24.0, 1.0)
    assert np.asarray(box.room.now.temperature.at(hours)).mean() == pytest.approx(20.0, abs=0.05)
    assert np.ptp(np.asarray(box.room.now.temperature.at(hours))) == pytest.approx(4.0, abs=0.1)
    assert (box.room.winter, box.room.summer) == (jar.room.winter, jar.room.summer)
    kept = learned_box(fitted(jar), replace(jar, note="mine"))
    assert kept.note == "mine"
    assert kept.routine == jar.routine
    assert kept.room == box.room


def test_a_fit_that_taught_nothing_makes_no_box() -> None:
    fit = fitted(tl.load("moss-jar"))
    for useless in (replace(fit, usable=False, draws={}), replace(fit, draws={k: v[:8] for k, v in fit.draws.items()})):
        with pytest.raises(TerralabError, match="taught nothing"):
            learned_box(useless)
    with pytest.raises(TerralabError, match="needs a Fit"):
        learned_box("fit")  # type: ignore[arg-type]


def test_long_texts_of_a_fit_still_make_a_file() -> None:
    fit = fitted(tl.load("moss-jar"))
    wordy = replace(fit.refusals[0], why="Because. " * 300, what="pour, " * 80, ask="\n")
    box = learned_box(replace(fit, refusals=(wordy,)))
    assert tl.loads(tl.dumps(box)) == box


def test_the_first_few_stand_for_all() -> None:
    """Means and upper ends of the numbers that decide most: off by far less than in as many draws taken by chance."""
    rng = np.random.default_rng(3)
    names = ("mesh law.factor", "leakage.ach", "room.humidity", "x.resistance_full", *(f"n.{i}" for i in range(30)))
    values = rng.normal(size=(128, len(names))) @ (np.eye(len(names)) + 0.3 * rng.normal(size=(len(names), len(names))))
    order = spread_first(values, names, 128)
    assert sorted(order) == list(range(128))
    ranks = np.argsort(np.argsort(values[:, :4], axis=0), axis=0) / 127.0

    def off(rows: np.ndarray) -> float:
        ends = np.abs(np.quantile(ranks[rows], [0.1, 0.9], axis=0) - np.array([[0.1], [0.9]])).mean()
        return float(np.abs(ranks[rows].mean(axis=0) - 0.5).mean() + ends)

    for few in (8, 16, 32):
        by_chance = np.mean([off(rng.permutation(128)[:few]) for _ in range(200)])
        assert off(order[:few]) < 0.7 * by_chance, few


def test_very_many_draws_are_thinned_to_what_a_file_should_hold() -> None:
    values = np.random.default_rng(4).normal(size=(1000, 3))
    rows = spread_first(values, ("a.b", "leakage.ach", "c.d"), KEPT)
    assert len(set(rows)) == KEPT
    for q in (0.1, 0.5, 0.9):
        assert np.abs(np.quantile(values[rows], q, axis=0) - np.quantile(values, q, axis=0)).max() < 0.1


def test_one_value_for_all_draws_is_no_trouble() -> None:
    assert len(spread_first(np.ones((20, 2)), ("a.b", "c.d"), 20)) == 20
