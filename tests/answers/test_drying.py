"""When a box dries out: the days by their limits, and laws that hold for any box.

The handbook sum "the top 2 cm hold so much, so they last so many days" is a lower bound and no more: water rises from below.
"""

from __future__ import annotations

import math
import warnings
from dataclasses import replace

import numpy as np
import pytest

import terralab as tl
from terralab.answers.common.balance import DRY_HEAD_M, TOP_CM, with_pour
from terralab.answers.common.drying import (
    MEASURES,
    days_in_store,
    days_span,
    easy_store_ml,
    empty_day,
    mix_dry_day,
    root_share,
    thirst_day,
    top_dry_day,
    wilting_day,
)
from terralab.answers.common.ensemble import sampled
from terralab.describe import Box, Start
from terralab.describe.trial import Trial
from terralab.errors import TerralabWarning
from terralab.simulation.before_a_run import held_at
from terralab.simulation.record import Record
from tests.answers.test_thresholds import written_over
from tests.keepers import keepers_box

UNWATERED = {"pours": (), "sprays": (), "mists": (), "siphons": ()}


def left_alone(box: Box, days: int) -> Record:
    """The box from drained soil, without any water given, a row an hour."""
    alone = Trial.of(with_pour(box, 0.0), routine=replace(box.routine, **UNWATERED), start=Start("drained-moist"))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        return tl.simulate(alone, days, accuracy="preview", record_every_min=60)


@pytest.fixture(scope="module")
def record() -> Record:
    """Two days of the default demo, a row an hour."""
    return tl.simulate(tl.load("fern-hollow"), 2, accuracy="preview", record_every_min=60)


def with_heads(record: Record, heads: dict[int, float]) -> Record:
    """The record at 0.3 m of suction, and from some rows on at another head [m] in all cells of soil."""
    head = record.raw.head.copy()
    head[:, :-1] = -0.3
    for row, one in heads.items():
        head[row:, :-1] = one
    return written_over(record, head=head)


# ---- the days by their limits


def test_the_top_is_dry_from_the_row_on_which_it_passes_one_metre(record: Record) -> None:
    dry = with_heads(record, {12: -0.99, 30: -1.0, 40: -0.3})
    assert top_dry_day(dry) == mix_dry_day(dry) == 30 / 24
    assert top_dry_day(with_heads(record, {12: -0.99})) == math.inf
    assert top_dry_day(with_heads(record, {0: -5.0})) == 0.0


def test_roots_are_judged_by_the_limits_of_their_kind(record: Record) -> None:
    start, stop = record.root_limits_m
    assert stop < start < 0.0
    at = lambda share: stop + share * (start - stop)  # noqa: E731
    dry = with_heads(record, {6: at(0.96), 12: at(0.94), 24: at(0.51), 36: at(0.49)})
    assert root_share(dry)[[0, 6, 12, 24, 36]] == pytest.approx([1.0, 0.96, 0.94, 0.51, 0.49])
    assert (thirst_day(dry), wilting_day(dry)) == (12 / 24, 36 / 24)
    hardy = written_over(dry, constants=_constants(dry, root_start=2.0 * start, root_stop=2.0 * stop))
    assert wilting_day(hardy) > wilting_day(dry)


def _constants(record: Record, **changed: float) -> np.void:
    held = record.raw.constants.copy()
    for name, value in changed.items():
        held[name] = value
    return held


def test_the_layer_runs_empty(record: Record) -> None:
    water = record.raw.water.copy()
    water[30:, -1] = 0.0
    seen = written_over(record, water=water)
    assert empty_day(record) == math.inf
    assert empty_day(seen) == 30 / 24


def test_what_a_box_does_not_have_has_no_day() -> None:
    bare = tl.load("dry-ledge").change(**{"enclosure.plants": None})
    record = tl.simulate(bare, 1, accuracy="preview", record_every_min=60)
    assert [math.isnan(day(record)) for day in MEASURES.values()] == [False, False, True, True, True]
    assert root_share(record) is record.root_limits_m is None


def test_under_a_moss_cover_the_mix_has_its_own_day() -> None:
    """2 cm of moss that are dry from the second hour on, over a mix that is dry from the eighth on at its top alone."""
    record = tl.simulate(tl.load("tall-glen"), 1, accuracy="preview", record_every_min=60)
    moss_cm = record.box.enclosure.cover.depth_cm
    assert moss_cm == TOP_CM
    head = np.full_like(record.raw.head, -0.3)
    head[2:, :-1][:, record.depth_cm < moss_cm] = -20.0
    head[8:, :-1][:, (record.depth_cm > moss_cm) & (record.depth_cm < moss_cm + TOP_CM)] = -2.0
    seen = written_over(record, head=head)
    assert (top_dry_day(seen), mix_dry_day(seen)) == (2 / 24, 8 / 24)


def test_the_measures_are_the_days(record: Record) -> None:
    dry = with_heads(record, {30: -50.0})
    assert [day(dry) for day in MEASURES.values()] == [30 / 24, 30 / 24, 30 / 24, 30 / 24, math.inf]


def test_members_give_a_span_in_which_never_is_late() -> None:
    assert days_span([math.nan, math.nan], 60) == (None, None, None)
    assert days_span([math.inf] * 5, 60) == (None, None, None)
    assert days_span([10.0] * 16, 60) == (10.0, 10.0, 10.0)
    soonest, middle, latest = days_span([10.0, 20.0, 30.0, math.inf, math.inf, math.nan], 60)
    assert 10.0 <= soonest < middle == 30.0
    assert latest is None
    assert days_span([0.0] * 4, 60) == (0.0, 0.0, 0.0)


def test_an_ensemble_takes_the_measures() -> None:
    box = tl.load("fern-hollow").change(**{"enclosure.layers": [{"material": "sandy mix", "depth": "4 cm"}]})
    sample = sampled(with_pour(box, 0.0), 12, dict(MEASURES), members=4)
    assert all(len(values) == 4 for values in sample.results.values())
    soonest, _, latest = days_span(sample.results["top"], 12)
    assert soonest is None or latest is None or soonest <= latest


# ---- laws


def shallow(**changed: object) -> Box:
    """A box of our own that dries within weeks: 4 cm of coir mix under a half open lid."""
    return tl.load("fern-hollow").change(
        **{"enclosure.layers": [{"material": "fine coir mix", "depth": "4 cm"}], "enclosure.cover": None, **changed}
    )


@pytest.mark.parametrize(
    ("path", "steps"),
    [("room.humidity", ["70 %", "50 %", "25 %"]), ("enclosure.plants.leaf_area", ["500 cm2", "2000 cm2", "6000 cm2"])],
)
def test_more_evaporation_never_dries_the_top_later(path: str, steps: list[str]) -> None:
    """In a drier room, or with more leaves: the same soil, the same start."""
    days = [top_dry_day(left_alone(shallow(**{path: one}), 60)) for one in steps]
    assert days == sorted(days, reverse=True)
    assert days[-1] < days[0]


@pytest.mark.filterwarnings("ignore::terralab.errors.TerralabWarning")
@pytest.mark.parametrize("seed", [5, 10, 15, 17, 24, 25])
def test_in_a_drier_room_no_keepers_box_dries_later(seed: int) -> None:
    """Boxes drawn at random that dry within three weeks."""
    box = keepers_box(seed, new_air=False)
    records = [left_alone(box.change(**{"room.humidity": one}), 20) for one in ("60 %", "30 %")]
    days = [[MEASURES[name](one) for name in ("top", "mix", "thirst", "wilting")] for one in records]
    assert days[1][0] < math.inf
    for late, soon in zip(*days, strict=True):
        assert math.isnan(soon) or soon <= late + 1.0 / 24.0


@pytest.mark.parametrize("mix", ["peat-based mix", "fine coir mix", "coarse coir mix", "bark-rich mix", "sandy mix"])
def test_the_day_lies_between_the_top_alone_and_the_whole_layer(mix: str) -> None:
    """Sooner than by the water of the top 2 cm alone it cannot dry, nor later than by all the easy water of the layer.

    Both by hand, from the loss on the scale: the water that has left the box by that day.
    """
    box = shallow(
        **{"enclosure.layers": [{"material": mix, "depth": "5 cm"}], "enclosure.plants": None, "room.humidity": "30 %"}
    )
    record = left_alone(box, 90)
    day = top_dry_day(record)
    assert day < math.inf
    row = round(24.0 * day)
    lost = 1e6 * record.floor_m2 * (record.cell_water_m[0] - record.cell_water_m[row]).sum()
    left = held_at(DRY_HEAD_M, record.box.enclosure)[record.layer_of_cell]
    top = record.depth_cm <= TOP_CM
    spare = np.clip(record.cell_water_m[0] / record.cell_m - left, 0.0, None) * record.cell_m
    assert lost > 1.2 * 1e6 * record.floor_m2 * spare[top].sum()
    assert lost < 1.1 * easy_store_ml(record)


def test_peat_and_coir_give_nearly_all_their_easy_water_before_the_top_is_dry() -> None:
    """So what is left at a day, over the loss a day, tells the day: the sum may be done for the whole layer."""
    for mix in ("peat-based mix", "fine coir mix"):
        box = shallow(**{"enclosure.layers": [{"material": mix, "depth": "6 cm"}], "room.humidity": "60 %"})
        early = left_alone(box, 10)
        late = left_alone(box, 90)
        assert top_dry_day(early) == math.inf
        assert 10.0 + days_in_store(early) == pytest.approx(top_dry_day(late), rel=0.2)
