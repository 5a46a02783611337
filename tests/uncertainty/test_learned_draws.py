"""Draws that a log taught: taken together by every run and ensemble, and left alone where they no longer hold."""

from __future__ import annotations

import warnings
from dataclasses import replace

import numpy as np
import pytest

import terralab as tl
from terralab.errors import TerralabError, TerralabWarning
from terralab.simulation.simulate import Job, run_job
from terralab.uncertainty import ensemble, uncertain_inputs
from terralab.uncertainty.learned import typical_learned
from tests.learned_boxes import learned

FEW = 16


@pytest.fixture(scope="module")
def bare() -> tl.Box:
    return tl.load("fern-hollow")


@pytest.fixture(scope="module")
def box(bare: tl.Box) -> tl.Box:
    return learned(bare, narrow=0.4)


def column(box: tl.Box, name: str, members: int = FEW, season: str = "now") -> np.ndarray:
    found = ensemble(box, members, season)
    return found.values[:, [one.name for one in found.inputs].index(name)]


def test_member_i_takes_draw_i_of_every_number(box: tl.Box) -> None:
    """What belongs together stays together, round and round; the first of many are those of few."""
    found = ensemble(box, 100)
    for j, one in enumerate(found.inputs):
        kept = np.array(box.learned.draws[one.name])
        assert np.array_equal(found.values[:, j], kept[np.arange(100) % 64]), one.name
    assert np.array_equal(ensemble(box, 8).values, found.values[:8])


def test_what_was_not_learned_is_drawn_as_ever(bare: tl.Box) -> None:
    some = learned(bare, only=lambda name: name.startswith("room."))
    found, before = ensemble(some, FEW), ensemble(bare, FEW)
    for j, one in enumerate(found.inputs):
        if not one.name.startswith("room."):
            assert np.array_equal(found.values[:, j], before.values[:, j])


def test_inputs_say_where_they_come_from(bare: tl.Box, box: tl.Box) -> None:
    before = {one.name: one for one in uncertain_inputs(bare)}
    for one in uncertain_inputs(box):
        kept = (*box.learned.draws[one.name], box.learned.typical[one.name])
        assert (one.low, one.high) == (min(kept), max(kept))
        assert one.low <= one.typical <= one.high
        assert one.grade in tl.materials.GRADES
        assert "learned from your log of 14 days from 1 March 2026" in one.source
        assert one.unit == before[one.name].unit
        assert "log" not in before[one.name].source


def test_a_run_takes_the_middle_for_all_that_is_left_open(bare: tl.Box) -> None:
    """As `overrides` of the bare box do; what a job itself chooses goes before."""
    jar = tl.load("moss-jar")
    taught = learned(jar, narrow=0.4)
    typical = {name: float(np.quantile(draws, 0.3)) for name, draws in taught.learned.draws.items()}
    taught = replace(taught, learned=replace(taught.learned, typical=typical))
    run = lambda one, **own: run_job(Job(one, 2, accuracy="preview", record_every_min=60.0, overrides=own))  # noqa: E731
    middle = typical_learned(taught)
    assert len(middle) == len(typical)
    record, same = run(taught), run(jar, **middle)
    assert np.array_equal(record.relative_humidity, same.relative_humidity)
    assert not np.array_equal(record.relative_humidity, run(jar).relative_humidity)
    own = {"room.humidity": 4.0}
    assert np.array_equal(run(taught, **own).relative_humidity, run(jar, **{**middle, **own}).relative_humidity)
    # a record says what was chosen for it, and its box runs again as it ran
    assert run(taught, **own).settings["overrides"] == own
    assert record.settings["overrides"] == {}
    assert np.array_equal(run(record.box).relative_humidity, record.relative_humidity)


def test_a_run_goes_on_as_the_uncut_one_and_only_with_the_same_teaching(bare: tl.Box, tmp_path: object) -> None:
    jar = tl.load("moss-jar")
    taught = learned(jar, narrow=0.4)
    taught = replace(
        taught, learned=replace(taught.learned, typical={n: d[3] for n, d in taught.learned.draws.items()})
    )
    whole = tl.simulate(taught, 2, accuracy="preview", record_every_min=60.0)
    first = tl.simulate(taught, 1, accuracy="preview", record_every_min=60.0)
    first.save(tmp_path / "first.npz")  # type: ignore[operator]
    for box in (taught, first.box):
        rest = tl.simulate(box, 1, accuracy="preview", record_every_min=60.0, start=tmp_path / "first.npz")  # type: ignore[operator]
        assert np.array_equal(rest.relative_humidity, whole.relative_humidity[24:])
    with pytest.raises(TerralabError, match="another box"):
        tl.simulate(jar, 1, accuracy="preview", record_every_min=60.0, start=first)


def test_a_fan_more_keeps_the_draws(box: tl.Box) -> None:
    fan = {"name": "another", "mode": "circulate", "air_speed": "20 cm/s", "timer": ["08:00-09:00"]}
    more = box.change(**{"routine.fans": [fan, *box.routine.fans]})
    before, after = ensemble(box, FEW), ensemble(more, FEW)
    names = [one.name for one in after.inputs]
    for j, one in enumerate(before.inputs):
        assert np.array_equal(after.values[:, names.index(one.name)], before.values[:, j]), one.name


def test_a_number_described_anew_is_drawn_around_what_is_described(bare: tl.Box, box: tl.Box) -> None:
    name = "box.enclosure.plants.leaf_area_cm2"
    with pytest.warns(TerralabWarning, match="log taught"):
        traced = box.change(**{"enclosure.plants.leaf_area": "5000 cm2"})
    assert np.array_equal(column(traced, name), column(bare.change(**{"enclosure.plants.leaf_area": "5000 cm2"}), name))
    assert name not in typical_learned(traced)
    assert np.array_equal(column(traced, "air mixing.factor"), column(box, "air mixing.factor"))


def test_winter_and_summer_use_it_too(bare: tl.Box, box: tl.Box) -> None:
    """But for the room's sensor where nobody read one: the shipped rooms of a season were not measured with it."""
    for season in ("winter", "summer"):
        assert np.array_equal(column(box, "air mixing.factor", season=season), column(box, "air mixing.factor"))
        assert np.array_equal(column(box, "room.humidity", season=season), column(box, "room.humidity"))
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", TerralabWarning)
            unknown, before = (one.change(**{f"room.{season}": None}) for one in (box, bare))
        assert np.array_equal(
            column(unknown, "room.humidity", season=season), column(before, "room.humidity", season=season)
        )
        assert np.array_equal(column(unknown, "air mixing.factor", season=season), column(box, "air mixing.factor"))


def test_a_bad_season_is_refused_as_ever(box: tl.Box) -> None:
    with pytest.raises(TerralabError, match="season"):
        tl.simulate(box, 1, "spring")
