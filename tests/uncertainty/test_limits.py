"""What `overrides` lets through: numbers that can be real, of things that exist; everything else is refused in words."""

import math

import pytest

import terralab as tl
from terralab import materials
from terralab.errors import DescriptionError, TerralabError, UnknownName
from terralab.materials.limits import TABLES, limits
from terralab.materials.schema import schema
from terralab.uncertainty import ensemble, uncertain_inputs
from terralab.uncertainty import overrides as chosen

BOX = tl.load("fern-hollow")


@pytest.mark.parametrize("table", TABLES)
def test_every_number_of_the_tables_keeps_to_what_can_be_real(table):
    """The ends of the table and the limits themselves pass; a step beyond, NaN and infinity do not."""
    for key, known in limits().items():
        if table != known.tables[0]:
            continue
        name, _, prop = key.rpartition(".")
        number = materials.get(table, name)[prop]
        # alone and in its own range no number contradicts the others of its entry
        for good in ("low", "typical", "high", number.low, number.typical, number.high):
            chosen.check({key: good})
        step = 1e-6 * max(1.0, abs(known.highest), abs(known.lowest))
        for bad in (
            known.lowest - step,
            known.highest + step,
            math.nan,
            math.inf,
            -math.inf,
            "most",
            None,
            True,
            [1.0],
        ):
            with pytest.raises(TerralabError, match="must be") as caught:
                chosen.check({key: bad})
            assert key in str(caught.value)


@pytest.mark.parametrize(
    "overrides",
    [
        {"mesh exchange.factor": 50},
        {"leakage.ach": -5},
        {"fine coir mix.theta_s": 2},
        {"glass pane.conductivity": 0},
        {"room.temperature": 500.0},
        {"room.humidity": math.nan},
        {"box.enclosure.plants.leaf_area_cm2": math.nan},
        {"box.enclosure.plants.leaf_area_cm2": -5.0},
        {"box.enclosure.layers.0.depth_cm": 3000.0},
        {"box.enclosure.openings.0.covered": 1.5},
    ],
)
def test_a_run_with_an_impossible_number_gives_no_numbers(overrides):
    with pytest.raises(TerralabError):
        tl.simulate(BOX, 1, overrides=overrides)


@pytest.mark.parametrize(
    ("overrides", "words"),
    [
        ({"fine coir mix.theta_s": 0.12, "fine coir mix.theta_r": 0.5}, "must be less"),
        ({"fine coir mix.theta_s": 0.11, "fine coir mix.theta_r": "high"}, "must be less"),
        ({"ceramic emitter.radiant": 1.0}, "more than the whole"),
        ({f"{materials.names('plants')[0]}.dry_limit_head": -0.1}, "must be less"),
    ],
)
def test_numbers_that_contradict_each_other_are_refused(overrides, words):
    with pytest.raises(TerralabError, match=words):
        tl.simulate(BOX, 1, overrides=overrides)


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("fine coir mix.thetas", '"fine coir mix.theta_s"'),
        ("leakage.acd", '"leakage.ach"'),
        ("room.temprature", '"room.temperature"'),
        ("box.enclosure.plants.leaf_area", '"leaf_area_cm2"'),
    ],
)
def test_an_unknown_key_is_named_with_the_nearest_and_without_a_long_list(key, said):
    with pytest.raises(UnknownName) as caught:
        tl.simulate(BOX, 1, overrides={key: 1.0})
    assert key in str(caught.value)
    assert said in str(caught.value)
    assert len(str(caught.value)) < 500


@pytest.mark.parametrize(
    "key",
    ["box", "box.", "box.name", "box.enclosure", "box.enclosure.mesh_barrier", "box.enclosure.layers.7.depth_cm",
     "box.enclosure.layers.0", "box.enclosure.height_cm.more", "mosses.day_rh_low", "fan and bag.hours", "x"],
)  # fmt: skip
def test_a_key_that_moves_no_number_of_a_run_is_refused(key):
    with pytest.raises(TerralabError):
        tl.simulate(BOX, 1, overrides={key: 1.0})


def test_a_described_number_that_was_left_to_the_default_can_be_chosen():
    assert chosen.changed(BOX, {"box.enclosure.runoff_to_soil": 0.3}).enclosure.runoff_to_soil == 0.3
    with pytest.raises(DescriptionError):
        chosen.changed(BOX, {"box.enclosure.runoff_to_soil": 1.3})


@pytest.mark.parametrize("name", tl.demos())
def test_no_member_of_an_ensemble_is_refused(name):
    """Members are drawn from the ranges of the tables, which lie inside the limits."""
    box = tl.load(name)
    assert {one.key for one in uncertain_inputs(box) if not one.key.startswith(("box.", "room."))} <= set(limits())
    for overrides in ensemble(box, 64).overrides:
        chosen.check(overrides)


def test_the_limits_are_those_of_the_tables():
    for table in TABLES:
        for name in materials.names(table):
            for prop in materials.get(table, name):
                known, spec = limits()[f"{name}.{prop}"], schema(table, name)[prop]
                assert spec.lowest <= known.lowest < known.highest <= spec.highest
