"""Do learned ranges hold the truth as often as they say? Many invented truths of one quick box, learned from one bank.

The truths are runs of other members than the bank's. What sensors read of them is made here, with errors of the sizes that
`terralab.learning.errors` states, drawn by other code (`tests.learning.invented`). The hundred truths of boxes unlike each
other, whose logs lag, have gaps and clocks of their own, are `python -m tests.benchmarks.log_twins`.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from terralab.learning.bank import Runs
from terralab.learning.fit import EXCHANGE, LOSS
from terralab.learning.refusals import unlike_described
from terralab.learning.smoother import Datum, Smoother
from tests.learning.invented import BOXES, PERFECT, STATED, bottle, logged, readings, small_and_quick
from tests.learning.shared_bank import Shared

DAYS, BANK, TRUTHS = 12, 256, 150
BOTTLE = 0.05  # of the loss, as a kitchen scale tells it


@cache
def shared() -> Shared:
    """The quick box and its bank."""
    return Shared(small_and_quick(), DAYS, BANK)


@cache
def truths() -> Runs:
    """Other members of the same box: the truths."""
    return shared().run(np.random.default_rng(3).normal(size=(TRUTHS, shared().runs.z.shape[1])))


def smoother(weighed: bool, daily: float = 1.0, half: slice = slice(None)) -> Smoother:
    """The bank, or half of it, as a regression, yet without a log of its own; `daily`: factor on the error that repeats daily."""
    case, runs = shared().case, shared().runs
    results = {name: values[half] for name, values in runs.results.items()}
    more = (Datum("bottle", np.log(results[LOSS]), 0.0, BOTTLE),) if weighed else ()
    errors = replace(case.errors, daily=daily)
    return Smoother(errors, case.blocks.means(runs.read)[half], runs.z[half], results, more)


def learned(i: int, weighed: bool, like: Smoother) -> Smoother:
    """What the bank of a regression makes of the log of truth `i`."""
    case, chance = shared().case, np.random.default_rng([i, 5])
    hours = case.logged.window.hours.astype(float)
    shown = readings(hours, (truths().read[0][i], truths().read[1][i]), chance, STATED)
    read = [float(np.log(truths().results[LOSS][i]) + BOTTLE * chance.normal())] if weighed else []
    return like.given(case.blocks.means([rows[None] for rows in shown])[0], read)


@cache
def held(name: str, weighed: bool, daily: float = 1.0) -> np.ndarray:
    """Whether each truth lies in its stated range, and how wide that is against the tables' own."""
    before = np.quantile(shared().runs.results[name], [0.1, 0.9])
    like, rows = smoother(weighed, daily), []
    for i, true in enumerate(truths().results[name]):
        low, _, high = learned(i, weighed, like).after(name)
        rows.append((low <= true <= high, (high - low) / (before[1] - before[0])))
    return np.array(rows, float)


@pytest.mark.parametrize("weighed", [False, True])
@pytest.mark.parametrize("name", [LOSS, EXCHANGE])
def test_four_ranges_of_five_hold_the_truth(name: str, weighed: bool) -> None:
    """80 % of 150 truths, within three standard deviations of chance (3.3 % each): too few is a lie, too many tells too little."""
    assert 0.70 <= held(name, weighed)[:, 0].mean() <= 0.90


def test_an_error_that_repeats_daily_is_what_keeps_ranges_honest() -> None:
    """Who counts day after day as new evidence of the same wrong hour claims four fifths and holds far fewer."""
    assert held(EXCHANGE, False, 0.0)[:, 0].mean() < 0.6
    assert held(EXCHANGE, False)[:, 0].mean() > held(EXCHANGE, False, 0.0)[:, 0].mean() + 0.15


def test_a_weighed_loss_narrows_the_loss_by_half_or_more() -> None:
    log, both = (np.median(held(LOSS, weighed)[:, 1]) for weighed in (False, True))
    assert both < 0.5
    assert both < 0.6 * log


def test_with_a_bottle_unusual_boxes_are_held_too() -> None:
    """Of the truths in the outer tenths at least seven of ten, though a range that drew all to the middle would hold none."""
    loss = truths().results[LOSS]
    low, high = np.quantile(shared().runs.results[LOSS], [0.1, 0.9])
    outer = held(LOSS, True)[(loss < low) | (loss > high), 0]
    assert len(outer) >= 20
    assert outer.mean() >= 0.7


def test_another_bank_says_nearly_the_same() -> None:
    """Which members a bank happens to hold moves an end of a range by a small part of its width, even where they are 128."""
    halves = [smoother(True, half=half) for half in (slice(None, BANK // 2), slice(BANK // 2, None))]
    moved = []
    for i in range(0, TRUTHS, 8):
        one, other = (learned(i, True, like=half).after(LOSS) for half in halves)
        moved += [abs(one[k] - other[k]) / (one[2] - one[0]) for k in (0, 2)]
    assert np.median(moved) < 0.2


def test_sound_logs_are_seldom_called_strange() -> None:
    """One in twenty by intent; at most one in eight by chance."""
    like = smoother(False)
    assert np.mean([shared().flags(learned(i, False, like)) for i in range(TRUTHS)]) <= 0.125


def test_a_lid_that_is_not_as_described_is_mostly_called_strange() -> None:
    """A lid described as nine tenths covered that stood open all the time, which no range of a reading by eye holds."""
    box = small_and_quick()
    lid = replace(box.enclosure.openings[0], covered=0.9)
    wrong = Shared(replace(box, enclosure=replace(box.enclosure, openings=(lid,))), 6, 192)
    strange = []
    for i in range(10):
        true = wrong.truth([i, 7], fixed={"box.enclosure.openings.0.covered": 0.0})
        assert true is not None
        strange.append(wrong.quick(logged(true, wrong.room, np.random.default_rng([i, 8]), PERFECT)).flagged)
    assert sum(strange) >= 7


def test_a_loss_that_no_box_as_described_would_have_is_named_and_sound_logs_are_left_alone() -> None:
    like = smoother(True)
    sound = [unlike_described(learned(i, True, like)) for i in range(0, TRUTHS, 2)]
    assert np.mean([one is not None for one in sound]) <= 0.08  # three in a hundred by intent for each of two results
    most = int(np.argmax(truths().results[LOSS]))
    strange = unlike_described(replace(learned(most, True, like), more=[four_times(like)]))
    assert strange is not None
    assert strange.what == LOSS
    assert "more water" in strange.why


def four_times(like: Smoother) -> Datum:
    """A bottle that says four times the largest loss of the truths."""
    return replace(like.more[0], read=float(np.log(4.0 * truths().results[LOSS].max())))


@pytest.mark.parametrize("name", ["shut jar", "open and dry"])
def test_a_log_that_cannot_tell_the_loss_is_refused_and_a_bottle_is_not(name: str) -> None:
    """A jar that is wet all day and a box hardly damper than its room say nothing of ml a day, whatever they read."""
    box = Shared(BOXES[name](), 5, 96)
    true = next(one for one in (box.truth([i, 9]) for i in range(5)) if one is not None)
    chance = np.random.default_rng(4)
    log = logged(true, box.room, chance, STATED)
    assert LOSS in box.quick(log).refused
    with_bottle = box.quick(log, [bottle(true, chance)])
    assert LOSS not in with_bottle.refused
    assert with_bottle.left[LOSS] < 0.5


@pytest.mark.slow
def test_twenty_logs_learned_the_whole_way() -> None:
    """Members run again: at least twelve of twenty ranges of each result hold the truth (16 expected, 1.8 sd of chance each)."""
    count = dict.fromkeys((LOSS, EXCHANGE), 0)
    for i in range(20):
        true = shared().truth([i, 11])
        assert true is not None
        found = shared().fit(logged(true, shared().room, np.random.default_rng([i, 12]), STATED))
        for name in count:
            smoothed = found.results[name]
            low, _, high = smoothed.after
            count[name] += low <= true.results[name] <= high
    assert min(count.values()) >= 12, count
