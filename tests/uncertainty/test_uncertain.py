"""Which numbers are uncertain, how they are drawn, and what a description may say about its own."""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import spearmanr, triang

import terralab as tl
from terralab import materials
from terralab.errors import DescriptionError, TerralabError
from terralab.simulation.simulate import Job, run_job, run_many
from terralab.uncertainty import ensemble, middle_range, quantile, uncertain_inputs
from terralab.uncertainty.inputs import AS_TYPED
from terralab.uncertainty.overrides import changed, check, shifted
from terralab.uncertainty.sampling import SEED, causes_of, draws, values_at


@pytest.fixture(scope="module")
def box() -> tl.Box:
    return tl.load("fern-hollow")


@pytest.mark.parametrize("ends", [(1.0, 2.0, 2.5), (0.1, 0.5, 2.0), (0.0, 0.0, 0.2), (0.0, 0.4, 0.4), (3.0, 3.0, 3.0)])
def test_a_draw_stays_within_its_ends_and_rises(ends):
    u = np.linspace(0.0, 1.0, 101)
    x = np.array([quantile(p, *ends) for p in u])
    assert x[0] == pytest.approx(ends[0])
    assert x[-1] == pytest.approx(ends[2])
    assert np.all(np.diff(x) >= -1e-12)
    if ends[0] < ends[1] < ends[2]:
        assert x[50] == pytest.approx(ends[1])


@pytest.mark.parametrize("high", [2.9, 2.999, 3.001, 3.1])
def test_beyond_three_times_the_low_end_the_logarithm_is_drawn(high):
    """Two triangles by scipy, each with half of the chance: on the number itself up to a ratio of three, else on its log."""
    low, typical = 1.0, 1.4
    turn, back = (np.log, np.exp) if high > 3.0 else (float, float)
    a, b, c = turn(low), turn(typical), turn(high)
    rising, falling = triang(c=1.0, loc=a, scale=b - a), triang(c=0.0, loc=b, scale=c - b)
    for u in (0.1, 0.25, 0.4, 0.6, 0.75, 0.9):
        x = rising.ppf(2.0 * u) if u < 0.5 else falling.ppf(2.0 * u - 1.0)
        assert quantile(u, low, typical, high) == pytest.approx(float(back(x)), rel=1e-9)


def test_wrong_ends_give_no_number():
    assert math.isnan(quantile(0.5, 2.0, 1.0, 3.0))
    assert math.isnan(quantile(1.5, 1.0, 2.0, 3.0))


def test_middle_and_range_of_an_even_sample():
    low, middle, high = middle_range(np.arange(1001.0))
    assert (low, middle, high) == pytest.approx((100.0, 500.0, 900.0), abs=0.6)
    assert all(math.isnan(x) for x in middle_range(np.array([math.nan])))


def test_weights_count_like_copies():
    x = np.array([1.0, 2.0, 3.0, 4.0])
    assert middle_range(x, weights=np.array([1.0, 1.0, 0.0, 0.0]))[1] == pytest.approx(1.5)


def test_every_ranged_number_that_a_run_uses_is_found(box):
    keys = {one.key for one in uncertain_inputs(box)}
    for key in ("mesh law.factor", "leakage.ach", "fine coir mix.ks", "room.humidity"):
        assert key in keys
    assert "box.enclosure.plants.leaf_area_cm2" in keys
    for entry in AS_TYPED.values():
        assert materials.get("defaults", entry).numbers


JAR, TALL = tl.load("moss-jar"), tl.load("fern-hollow")
OPENINGS = TALL.enclosure.openings
NAMED = [{"name": o.name, "wall": o.wall, "width": f"{o.width_cm} cm", "height": f"{o.height_cm} cm",
          "bottom": f"{o.bottom_cm} cm", "mesh": "window screen"} for o in OPENINGS]  # fmt: skip
UNNAMED = [one | {"mesh": True} for one in NAMED]
STIRRED = [{"name": "stirrer", "mode": "circulate", "air_speed": "30 cm/s", "timer": "always"}]
DOOR = [{"time": "12:00", "open": "30 min", "wall": "front"}]


@pytest.mark.filterwarnings("ignore::terralab.errors.TerralabWarning")
@pytest.mark.parametrize(
    ("key", "asks", "does_not"),
    [
        ("air mixing.factor", TALL, JAR),
        ("leaves below.share", TALL, JAR),
        ("lamp heat above.share", TALL, TALL.change(**{"routine.lamps": [], "routine.heaters": []})),
        ("stirring fan.efficiency", TALL.change(**{"routine.fans": STIRRED}), TALL),
        ("stirring fan.efficiency", TALL.change(**{"routine.fans": STIRRED}), JAR.change(**{"routine.fans": STIRRED})),
        ("fan face.diameter", TALL.change(**{"routine.fans": STIRRED}), JAR.change(**{"routine.fans": STIRRED})),
        (
            "mesh exchange.factor",
            TALL.change(**{"enclosure.openings": UNNAMED}),
            TALL.change(**{"enclosure.openings": NAMED}),
        ),
        (
            "mesh law.factor",
            TALL.change(**{"enclosure.openings": NAMED}),
            TALL.change(**{"enclosure.openings": UNNAMED}),
        ),
        ("lid column.length", TALL, JAR),
        ("usual room.draught", TALL, JAR),
        ("usual room.draught", JAR.change(**{"routine.doors": DOOR}), TALL.change(**{"room.draught": "3 cm/s"})),
        ("box.room.draught", TALL.change(**{"room.draught": "3 cm/s"}), TALL),
    ],
)
def test_a_number_is_drawn_where_it_moves_the_run_and_nowhere_else(key, asks, does_not):
    """One air has nothing to mix with, a bare lid has no mesh to drive air through, and a draught blows at no lid."""
    (drawn,) = [one for one in uncertain_inputs(asks) if one.key == key]
    runs = [tl.simulate(asks, 1, overrides={key: end}) for end in (drawn.low, drawn.high)]
    low, high = (float(run.moved_kg("vapour_openings", "vapour_leak", "vapour_fan").sum()) for run in runs)
    assert low != pytest.approx(high, rel=1e-9)
    assert key not in {one.key for one in uncertain_inputs(does_not)}


def test_what_the_keeper_typed_is_not_drawn_from_a_default(box):
    typed = box.change(**{"enclosure.leakage": 1.0})
    assert "leakage.ach" not in {one.key for one in uncertain_inputs(typed)}


def test_numbers_of_one_mix_move_together(box):
    e = ensemble(box, 512)
    column = {one.key: e.values[:, j] for j, one in enumerate(e.inputs)}
    assert spearmanr(column["fine coir mix.alpha"], column["fine coir mix.ks"])[0] == pytest.approx(0.8 * 0.7, abs=0.1)
    assert abs(spearmanr(column["fine coir mix.alpha"], column["leakage.ach"])[0]) < 0.1


def test_how_closely_numbers_follow_the_coarseness_of_their_mix(box):
    """As the table of reference/uncertainty.md says, for each of them and whatever its own range.

    Two normal numbers with correlation r have the rank correlation 6/pi asin(r/2) (Pearson 1907, from memory), and no
    mapping to a range changes ranks.
    """
    text = (Path(__file__).parents[2] / "reference" / "uncertainty.md").read_text(encoding="utf-8")
    (said,) = re.findall(
        r"^\| alpha, n, Ks \(up\) and theta_r, air entry \(down\) of one mix \| ([^|]*) with", text, re.M
    )
    strength = dict(zip(("alpha", "n", "ks", "theta_r", "air_entry"), map(float, said.split(", ")), strict=True))
    found = uncertain_inputs(box)
    u = draws(found, 4096, SEED)
    values = {one.key: column for one, column in zip(found, values_at(found, u).T, strict=True)}
    mix = box.enclosure.layers[0].material
    cause = u[:, len(found) + causes_of(found).index(f"coarseness of {mix}")]
    tied = [prop for prop in strength if f"{mix}.{prop}" in values]
    assert len(tied) >= 4
    for prop in tied:
        ranks = spearmanr(values[f"{mix}.{prop}"], cause)[0]
        assert ranks == pytest.approx(6.0 / np.pi * np.arcsin(strength[prop] / 2.0), abs=0.02), prop
    followers = {one.key.rpartition(".")[2] for one in found if one.follows}
    assert followers <= {*strength, "alpha2", "n2"}


def test_an_ensemble_is_the_same_every_time_and_starts_alike_when_doubled(box):
    one, again, double = ensemble(box, 16), ensemble(box, 16), ensemble(box, 32)
    np.testing.assert_array_equal(one.values, again.values)
    np.testing.assert_array_equal(one.values, double.values[:16])


CHANGES = {
    "no fan": {"routine.fans": None},
    "a fan more, before the others": {
        "routine.fans": [
            {"name": "another", "mode": "circulate", "air_speed": "20 cm/s", "timer": ["always"]},
            {"name": "exchange fan", "mode": "exchange", "flow": "1.5 m3/h", "timer": ["5 min every 1 h"]},
        ]
    },
    "leaves traced": {"ranges": [{"of": "enclosure.plants.leaf_area", "low": "3300 cm2", "high": "3700 cm2"}]},
    "gaps typed": {"enclosure.leakage": 1.0},
    "another soil": {"enclosure.layers": [{"material": "peat-based mix", "depth": "10 cm"}]},
    "no plants": {"enclosure.plants": None},
}  # fmt: skip


@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES)
@pytest.mark.parametrize("size", [16, 40])
def test_what_two_boxes_have_in_common_is_drawn_alike(box, change, size):
    """A change of the box redraws nothing but what is changed, so that compared answers are compared member by member.

    Told apart by name: a fan keeps its draws when another one stands before it in the list.
    """
    here, there = (
        {one.name: (one, e.values[:, j]) for j, one in enumerate(e.inputs)}
        for e in (ensemble(box, size), ensemble(box.change(**change), size))
    )
    common = [name for name in here if name in there and here[name][0].low == there[name][0].low]
    assert len(common) > 20
    for name in common:
        one, other = here[name], there[name]
        if (one[0].typical, one[0].high) == (other[0].typical, other[0].high):
            np.testing.assert_array_equal(one[1], other[1])


@pytest.mark.parametrize("size", [2, 8, 64, 128])
def test_each_number_is_drawn_evenly_over_its_range(box, size):
    """Of so many draws, one lies in each of as many equal parts of 0 to 1: a sum of one number's draws has no luck left."""
    found = uncertain_inputs(box)
    for column in draws(found, size, 3).T[:: 4 if size > 8 else 1]:
        np.testing.assert_array_equal(np.sort(np.floor(column * size)), np.arange(size))


def test_no_two_numbers_are_drawn_alike(box):
    """Among some 2,000 pairs of 128 draws chance alone gives a rank correlation of some 0.3 at the most."""
    u = draws(uncertain_inputs(box), 128, SEED)
    likeness = spearmanr(u)[0] - np.eye(u.shape[1])
    assert abs(likeness).max() < 0.45


def test_a_member_runs_as_it_runs_alone(box):
    e = ensemble(box, 4)
    jobs = [Job(box, 1, overrides=overrides, accuracy="preview") for overrides in e.overrides]
    for record, job in zip(run_many(jobs), jobs, strict=True):
        np.testing.assert_array_equal(record.raw.water, run_job(job).raw.water)
    assert record.closure_water < 1e-9


def test_a_described_range_stands_before_the_implied_one(box):
    own = {"of": "enclosure.plants.leaf_area", "low": "3000 cm2", "high": "6000 cm2"}
    ranged = box.change(ranges=[own])
    (one,) = [x for x in uncertain_inputs(ranged) if x.key == "box.enclosure.plants.leaf_area_cm2"]
    assert (one.low, one.typical, one.high) == (3000.0, 3500.0, 6000.0)
    assert tl.Box.read(ranged.write(), bare=True) == ranged


@pytest.mark.parametrize(
    ("own", "says"),
    [
        ({"of": "enclosure.plants.leaf_area", "low": "6000 cm2", "high": "3000 cm2"}, "order"),
        ({"of": "enclosure.plants.leaf_area", "low": "-3 cm2", "high": "4000 cm2"}, "leaf_area"),
        ({"of": "enclosure.plants.leaf_size", "low": "1 cm", "high": "2 cm"}, "leaf_size"),
        ({"of": "enclosure.plants.kind", "low": "ferns", "high": "mosses"}, "one number"),
        ({"of": "room.temperature", "low": "17 C", "high": "21 C"}, "one number"),
    ],
)
def test_a_range_that_cannot_be_is_refused(box, own, says):
    with pytest.raises(DescriptionError, match=says):
        box.change(ranges=[own])


@pytest.mark.parametrize(
    "overrides",
    [
        {"mesh exchange.facto": "high"},
        {"mesh exchange.factor": "highest"},
        {"room.humidity": "low"},
        {"room.humidity": math.nan},
        {"leakage.ach": True},
    ],
)
def test_a_choice_that_means_nothing_is_refused(overrides):
    with pytest.raises(TerralabError):
        check(overrides)


def test_a_place_that_is_not_there_is_refused(box):
    with pytest.raises(TerralabError, match="leaf_area_cm2"):
        changed(box, {"box.enclosure.plants.leaf_areas": 3.0})


def test_the_room_moves_and_stays_possible(box):
    moved = shifted(box.room.now, {"room.temperature": 1.0, "room.humidity": 60.0})
    assert moved.humidity.range()[1] <= 98.0
    assert moved.temperature.range()[0] == pytest.approx(box.room.now.temperature.range()[0] + 1.0)


@pytest.mark.parametrize("count", [1, 2.0, 10**9])
def test_a_silly_number_of_members_is_refused(box, count):
    with pytest.raises(TerralabError, match="members"):
        ensemble(box, count)
