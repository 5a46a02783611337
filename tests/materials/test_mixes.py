"""Laws of mixtures and of weighed pots, over the tables and over random parts."""

import warnings
from contextlib import suppress
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import terralab as tl
from terralab import materials
from terralab.describe import Box, Layer, OwnMaterial, dumps, loads
from terralab.errors import DescriptionError, TerralabError, UnknownName
from terralab.materials.mixing import drained, row_of
from terralab.materials.recipe import recipe, written
from terralab.physics.retention import water_content

NAMES = materials.names("substrates")
SUCTIONS = (0.0, *np.geomspace(0.005, 1e4, 60))
PARTS = st.lists(st.tuples(st.integers(1, 9), st.sampled_from(NAMES)), min_size=1, max_size=4)
POT = {
    "name": "My Coir", "pot_volume": "1 l", "pot_height": "10 cm", "dry": "250 g", "soaked": "1050 g",
    "drained": "900 g", "pot": "50 g", "like": "fine coir mix",
}  # fmt: skip


def get(text):
    return materials.get("substrates", text)


def water(entry):
    row = row_of({prop: number.typical for prop, number in entry.numbers.items()})
    return np.array([water_content(-suction, row)[0] for suction in SUCTIONS])


def said(parts):
    return ", ".join(f"{count} parts {name}" for count, name in parts)


@pytest.mark.parametrize("name", NAMES)
def test_parts_of_one_material_are_that_material(name):
    assert get(f"1 part {name}") is get(name)
    assert get(f"2 parts {name}, 1 part {name}") is get(name)


@settings(max_examples=40, deadline=None)
@given(PARTS, st.integers(2, 5))
def test_neither_order_nor_the_size_of_the_scoop_matters(parts, factor):
    one = get(said(parts))
    assert get(said(parts[::-1])) == one
    assert get(said([(count * factor, name) for count, name in parts])) == one
    assert Layer(said(parts), 5) == Layer(said(parts[::-1]), 5)


@pytest.mark.parametrize(("first", "second"), tuple(combinations(NAMES, 2)))
def test_a_mixture_lies_between_its_two_parts_at_every_suction(first, second):
    """The dry end is not quite linear in what is mixed: 0.3 points of water are left to it."""
    mix, a, b = water(get(f"2 parts {first}, 1 part {second}")), water(get(first)), water(get(second))
    assert (mix >= np.minimum(a, b) - 0.003).all()
    assert (mix <= np.maximum(a, b) + 0.003).all()


@settings(max_examples=30, deadline=None)
@given(PARTS)
def test_a_mixture_of_many_comes_near_the_mean_of_its_parts(parts):
    """Two kinds of pores cannot follow four curves to the last digit: 2.5 points of water are left to the fit."""
    shares = recipe(said(parts))
    mean = sum(float(share) * water(get(name)) for name, share in shares.items())
    mix = get(said(parts))
    assert np.abs(water(mix) - mean).max() < 0.025
    pores = [get(name).typical("theta_s") for name in shares]
    assert min(pores) <= mix.typical("theta_s") <= max(pores)


@settings(max_examples=30, deadline=None)
@given(PARTS)
def test_the_ranges_of_a_mixture_are_no_narrower_than_the_mean_of_its_parts(parts):
    shares = recipe(said(parts))
    mix = get(said(parts))
    for prop in ("theta_s", "bulk_density", "heat_capacity_dry"):
        mean = sum(float(share) * (get(name)[prop].high - get(name)[prop].low) for name, share in shares.items())
        assert mix[prop].high - mix[prop].low >= 0.7 * mean  # what cannot be real is cut off
    if len(shares) > 1:
        assert mix["theta_s"].grade in ("D", "M", "CP", "G")
        assert "mean by volume of its parts" in mix["theta_s"].source


def test_a_recipe_is_read_back_as_it_is_written():
    assert (
        written(recipe("1 part washed sand and 2 parts fine coir mix")) == "2 parts fine coir mix, 1 part washed sand"
    )


def test_a_part_that_is_not_known_is_named_with_the_nearest():
    with pytest.raises(UnknownName, match="fine coir mix"):
        get("2 parts fine cor mix, 1 part washed sand")
    with pytest.raises(DescriptionError, match="fine coir mix"):
        Layer("2 parts fine cor mix, 1 part washed sand", 5)


@given(st.text("0123456789/.,%: partsndofie-\u00e9", max_size=40))
def test_no_text_of_parts_ends_in_a_traceback(text):
    with suppress(TerralabError):
        Layer(text, 5)


def box_of(material="my coir", **pot):
    table = tl.load("fern-hollow").write()
    table["materials"] = [POT | pot]
    table["enclosure"]["layers"][0]["material"] = material
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return Box.read(table)


def test_the_numbers_of_a_pot_are_what_the_scale_showed():
    """Pore space by hand: 800 g of water went into 1 l; a drained column of the height of the pot holds 650 g less what
    an air-dry pot still held (that of its likeness, which differs in the fourth digit)."""
    pot = box_of().materials[0].entry
    still = water_content(-5000.0, row_of({p: n.typical for p, n in pot.numbers.items()}))[0]
    assert pot.typical("theta_s") - still == pytest.approx(0.8, abs=1e-3)
    held = drained({p: n.typical for p, n in pot.numbers.items()}, 0.1, 24)
    assert held - still == pytest.approx(0.65, abs=1e-3)
    assert pot["theta_s"].source == "your weighed pot"
    assert pot["ks"].typical == get("fine coir mix")["ks"].typical
    assert pot["ks"].source.startswith("as fine coir mix")


def test_a_weighed_pot_of_a_table_mix_gives_that_mix_back():
    """Round about: weigh a pot that the curve of the table fills, and the curve comes back."""
    like = {p: n.typical for p, n in get("fine coir mix").numbers.items()}
    still = water_content(-5000.0, row_of(like))[0]
    soaked, rest = like["theta_s"] - still, drained(like, 0.12, 24) - still
    pot = OwnMaterial("mine", 1000, 12, 100, 100 + 1000 * soaked, 100 + 1000 * rest, "fine coir mix").entry
    for prop in ("theta_s", "alpha", "theta_r"):
        assert pot.typical(prop) == pytest.approx(like[prop], rel=1e-4)


def test_a_box_with_an_own_material_goes_through_its_file_and_runs():
    box = box_of("1 part washed sand and 2 parts my coir")
    assert box.enclosure.layers[0].material == "2 parts my coir, 1 part washed sand"
    assert loads(dumps(box)) == box
    assert "2 parts my coir and 1 part washed sand" in box.describe()
    key = "2 parts my coir, 1 part washed sand.theta_s"
    wide = tl.simulate(box, 1, overrides={key: "high"})
    assert wide.table().iloc[-1].tolist() != tl.simulate(box, 1).table().iloc[-1].tolist()
    with pytest.raises(TerralabError):
        tl.simulate(box, 1, overrides={key: 3.0})


def test_other_weights_are_other_numbers_under_the_same_name():
    """Two boxes may each have a "my coir"; neither may run with the numbers of the other."""
    first, second = box_of(), box_of(dry="200 g")
    of = lambda box: get(box.enclosure.layers[0].material).typical("theta_s")  # noqa: E731
    assert of(second) > of(first) + 0.04
    assert of(first.change(**{"materials.my coir.dry": "200 g"})) == of(second)


@pytest.mark.parametrize(
    ("pot", "says"),
    [
        ({"dry": "950 g"}, "more than dry"),
        ({"drained": "1100 g"}, "at most soaked"),
        ({"pot_volume": "500 ml"}, "pore space"),
        ({"drained": "300 g"}, "coarser like"),
        ({"pot": "300 g"}, "less than dry"),
        ({"name": "washed sand"}, "Rename it"),
        ({"name": "sand and clay"}, "told apart"),
        ({"like": "no such"}, "soil mix"),
    ],
)
def test_weights_that_cannot_be_real_are_refused_in_words(pot, says):
    with pytest.raises(DescriptionError, match=says):
        box_of(**pot)


def test_the_same_name_twice_is_refused():
    table = box_of().write()
    table["materials"] = table["materials"] * 2
    with pytest.raises(DescriptionError, match="twice"):
        Box.read(table)


def test_a_layer_built_in_python_needs_its_material_in_the_box():
    own = box_of().materials[0]
    box = tl.load("fern-hollow")
    layered = replace(box.enclosure, layers=(Layer(own, 10),))
    assert replace(box, enclosure=layered, materials=(own,)).enclosure.layers[0].material == "my coir"
    with pytest.raises(DescriptionError, match="does not hold"):
        replace(box, enclosure=layered)
