"""The learned part of a description: kept to the last digit, refused where it cannot be, left out where it no longer holds."""

from __future__ import annotations

import pickle
import warnings
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

import terralab as tl
from terralab.describe.learned import LOSS, learned_doubts, refused_words, result_span, standing
from terralab.describe.trial import Trial
from terralab.errors import DescriptionError, TerralabWarning
from terralab.quantities import said as words_of
from terralab.uncertainty import uncertain_inputs
from tests.keepers import keepers_box
from tests.learned_boxes import learned, part


@pytest.fixture(scope="module")
def box() -> tl.Box:
    """A box with fans, lamps, leaves and a mesh lid, of which everything was learned."""
    return learned(tl.load("fern-hollow"))


def test_a_file_gives_back_what_the_box_holds(box: tl.Box) -> None:
    """To the last digit, whatever digits the draws had: they are rounded when the part is built, not when it is written."""
    text = tl.dumps(box)
    again = tl.loads(text)
    assert again == box
    assert again.learned == box.learned
    assert hash(again) == hash(box)
    assert tl.dumps(again) == text
    assert pickle.loads(pickle.dumps(box)) == box
    name = next(iter(box.learned.draws))
    raw = np.random.default_rng(1).normal(1.0, 1e-3, 64)
    part_ = replace(box.learned, draws={**box.learned.draws, "air mixing.factor": raw})
    assert np.allclose(part_.draws["air mixing.factor"], raw, rtol=5e-5, atol=0.0)
    assert replace(part_, draws=dict(part_.draws)) == part_, name


def test_it_stands_last_under_words_that_tell_a_keeper_to_leave_it(box: tl.Box) -> None:
    text = tl.dumps(box)
    kept, _, rest = text.partition("# Computed from a log of this box")
    assert "learned" not in kept
    assert "take all of it out to forget it" in rest
    assert "[routine" not in rest
    assert "[enclosure" not in rest.replace('"box.enclosure', "")
    # so taking out all from that line on leaves the box as it was before any log
    assert tl.loads(kept) == replace(box, learned=None) == tl.load("fern-hollow")


def test_a_file_of_the_most_draws_is_still_read(box: tl.Box, tmp_path: object) -> None:
    many = replace(box.learned, draws={name: (values * 16)[:1024] for name, values in box.learned.draws.items()})
    path = tl.save(replace(box, learned=many), tmp_path / "my-box.toml")  # type: ignore[operator]
    assert path.stat().st_size < 950_000
    assert tl.load(path).learned.size == 1024


def test_a_change_elsewhere_keeps_it(box: tl.Box) -> None:
    warmer = box.change(**{"room.temperature": "23 C"})
    assert warmer.learned == box.learned
    assert standing(warmer) == standing(box)
    assert box.change(learned=None) == tl.load("fern-hollow")


def _renamed(raw: dict, old: str, new: str) -> None:
    for held in (raw["draws"], raw["typical"]):
        held[new] = held.pop(old)


@pytest.mark.parametrize(
    ("spoil", "place"),
    [
        (lambda raw: _renamed(raw, "air mixing.factor", "leakage.bogus"), "draws.leakage.bogus"),
        (lambda raw: _renamed(raw, "air mixing.factor", "nothing.bogus"), "draws.nothing.bogus"),
        (lambda raw: raw["draws"].pop("air mixing.factor"), "typical"),
        (lambda raw: raw["draws"].update({"air mixing.factor": [1.0] * 15}), "draws.air mixing.factor"),
        (lambda raw: raw["draws"].update({"air mixing.factor": [1.0] * 63}), "draws"),
        (lambda raw: raw["draws"].update({"air mixing.factor": [1.0] * 63 + [float("nan")]}), "draws.air mixing.factor"),
        (lambda raw: raw["draws"].update({"air mixing.factor": [1.0] * 63 + ["1"]}), "draws.air mixing.factor"),
        (lambda raw: raw["draws"].update({"air mixing.factor": [1.0] * 63 + [True]}), "draws.air mixing.factor"),
        (lambda raw: raw["draws"].update({"air mixing.factor": [1.0] * 63 + [1e9]}), "draws.air mixing.factor"),
        (lambda raw: raw["typical"].update({"air mixing.factor": -1.0}), "typical.air mixing.factor"),
        (lambda raw: raw["draws"].update({"room.humidity": [70.0] * 64}), "draws.room.humidity"),
        (lambda raw: raw["draws"].update({"box.enclosure.plants.leaf_area_cm2": [-5.0] * 64}), "leaf_area_cm2"),
        (lambda raw: raw["described"].pop("box.enclosure.plants.leaf_area_cm2"), "described"),
        (lambda raw: raw.update(draws={}), "draws"),
        (lambda raw: raw.update(draws="none"), "draws"),
        (lambda raw: raw.update(draws={"": [1.0] * 64}), "draws"),
        (lambda raw: raw.update(began="soon"), "began"),
        (lambda raw: raw.update(days=-3), "days"),
        (lambda raw: raw.update(results=[{"name": "loss", "before": [3, 2, 1], "after": [1, 2, 3]}]), "results"),
        (lambda raw: raw.update(results=[{"name": "gain", "before": [1, 2, 3], "after": [1, 2, 3]}]), "results"),
        (lambda raw: raw.update(sensors=[{"place": "moon", "quantity": "humidity", "offset": [1, 2, 3]}]), "sensors"),
        (lambda raw: raw.update(password="x"), "password"),
    ],
)  # fmt: skip
def test_rubbish_is_refused_by_name(box: tl.Box, spoil: Callable[[dict], object], place: str) -> None:
    raw = box.write()
    spoil(raw["learned"])  # type: ignore[arg-type]
    with pytest.raises(DescriptionError) as caught:
        tl.Box.read(raw)
    assert any(one.field.startswith("learned") and place in one.field for one in caught.value.problems), caught.value


def test_numbers_of_no_description_are_refused(box: tl.Box) -> None:
    raw = box.write()
    for name in ("draws", "typical", "described"):
        held = raw["learned"][name]  # type: ignore[index]
        held["box.enclosure.plants.password"] = held.pop("box.enclosure.plants.leaf_area_cm2")
    with pytest.raises(DescriptionError, match="no number of a description"):
        tl.Box.read(raw)


def test_draws_that_cannot_stand_together_are_refused(box: tl.Box) -> None:
    """Each number of a draw may be real and the draw still be none: what a soil holds when dry above what it holds when full."""
    name = next(one for one in box.learned.draws if one.endswith(".theta_s"))
    dry = name.replace("theta_s", "theta_r")
    draws = dict(box.learned.draws)
    draws[dry] = (*draws[dry][:-1], 0.3)
    draws[name] = (*draws[name][:-1], 0.29)
    with pytest.raises(DescriptionError, match="number 64"):
        replace(box.learned, draws=draws)


def test_a_device_taken_away_leaves_the_rest_with_one_caution(box: tl.Box) -> None:
    with pytest.warns(TerralabWarning) as told:
        without = box.change(**{"routine.fans": None})
    assert len([one for one in told if "log taught" in str(one.message)]) == 1
    gone = {"box.routine.fans.exchange fan.flow_m3_h"}
    assert set(standing(box)) - set(standing(without)) == gone
    assert without.learned == box.learned
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        Trial.of(without)  # what terralab tries is no keeper's description


def test_a_number_described_anew_is_no_longer_the_one_that_was_learned(box: tl.Box) -> None:
    """A lid covered otherwise, leaves traced: what the keeper says now stands, not what the log taught of before."""
    with pytest.warns(TerralabWarning, match="log taught"):
        covered = box.change(**{"enclosure.openings.lid.covered": 0.8})
    assert set(standing(box)) - set(standing(covered)) == {"box.enclosure.openings.lid.covered"}
    assert standing(covered.change(**{"enclosure.openings.lid.covered": 0.5})) == standing(box)


def test_items_are_found_by_name_when_others_come_or_go(box: tl.Box) -> None:
    """A lamp put before the one that was learned must not get its numbers."""
    lamps = [{"name": "new", "kind": "led bar outside lid", "power": "9 W", "timer": ["08:00-20:00"]}]
    more = box.change(**{"routine.lamps": [*lamps, *box.routine.lamps]})
    name = "box.routine.lamps.plant light.power_w"
    assert (standing(box)[name], standing(more)[name]) == ("box.routine.lamps.0.power_w", "box.routine.lamps.1.power_w")


def test_the_description_says_what_was_learned(box: tl.Box) -> None:
    words = box.describe()
    assert "From a log of 14 days from 1 March 2026" in words
    assert "80 to 130 ml a day, before the log 50 to 200 ml a day" in words
    assert "Not learned: exchange of air." in words
    assert "Weigh the bottle." in words
    assert "log of" not in tl.load("fern-hollow").describe()


def test_a_part_is_built_in_python_as_strictly() -> None:
    with pytest.raises(DescriptionError, match="draws"):
        replace(part(tl.load("moss-jar")), draws={"air mixing.factor": (1.0,)})


@pytest.mark.parametrize("seed", range(100, 108))
def test_whatever_a_keeper_describes_can_be_learned_and_kept(seed: int) -> None:
    """Hides, basking places, misters, own mixes, plants by cover: every uncertain number has a name that a file takes."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        bare = keepers_box(seed)
        box = learned(bare, 16)
        assert tl.loads(tl.dumps(box)) == box
    assert set(standing(box)) == set(box.learned.draws) == {one.name for one in uncertain_inputs(bare)}
    assert not list(learned_doubts(box))


def test_what_was_not_learned_is_said_in_words_and_not_by_its_key(box: tl.Box) -> None:
    """The page named "ferns.resistance_dark" and "Loss"."""
    refused = box.learned.refused[0]
    said = refused_words(
        box, replace(refused, what="loss, night-opening bromeliads.resistance_dark, air movement.speed")
    )
    assert said.startswith("water that leaves as vapour, ")
    assert said.endswith("in the dark (night-opening bromeliads), air speed inside")
    assert "_" not in said
    assert "." not in said


def test_a_shut_jar_loses_little_and_not_nothing() -> None:
    assert words_of(result_span(LOSS, (0.028, 0.03, 0.4))) == "0.03 to 0.40 ml a day"
    assert words_of(result_span(LOSS, (0.4, 3.0, 8.0))) == "0 to 8 ml a day"
