"""What to measure next: ranked, honest about what does not help, and in line with what a measurement really does."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

import terralab as tl
from terralab import materials, show
from terralab.answers.common.ensemble import EnsembleResults
from terralab.answers.common.measure_next import WAYS, effect, measure_next, measure_sentence
from terralab.errors import TerralabError
from terralab.show.figures.style import png
from terralab.uncertainty import Ensemble, UncertainInput, middle_range, quantile
from terralab.uncertainty.sampling import uniform
from tests.asked import asked
from tests.show.looking import needs_us_units, needs_words_inside_and_apart


@pytest.fixture(scope="module")
def humid() -> tl.Answer:
    """The answer for the default demo."""
    return asked("daily_water", "fern-hollow")


def invented(members: int = 256) -> EnsembleResults:
    """A made-up answer: 100 ml, give or take by the leaf area (much) and the fan (nothing)."""
    u = uniform(members, 2, 4)
    leaves, fan = 3000.0 + 2000.0 * u[:, 0], 1.0 + u[:, 1]
    keys = ("box.enclosure.plants.leaf_area_cm2", "box.routine.fans.0.flow_m3_h")
    uncertain_inputs = tuple(UncertainInput(key, 0.0, 1.0, 2.0, "-", "G", "invented") for key in keys)
    return EnsembleResults(
        Ensemble(uncertain_inputs, np.column_stack([leaves, fan])), {"pour": 100.0 + 0.02 * (leaves - 4000.0)}
    )


def test_every_way_stands_in_the_table_with_one_accuracy() -> None:
    assert {way.entry for way in WAYS} == set(materials.names("measurements"))
    for way in WAYS:
        entry = materials.get("measurements", way.entry)
        assert len([name for name in entry if name.endswith("_error")]) == 1
        assert entry.notes, way.entry


def test_the_invented_answer_asks_for_the_leaves_and_not_the_fan() -> None:
    ranked = measure_next(invented(), "pour", "ml a day")
    by = {one["what"]: one["narrows_by"] for one in ranked}
    # the leaves help, the fan does not; and nothing is claimed for weighing, since no box was run to say how well it does
    assert by["ten leaves traced"] > 0.3
    assert by["fan and bag"] == 0.0
    assert not any("watering" in name for name in by)
    sentence = measure_sentence(ranked)
    assert sentence.startswith("Tracing ten leaves would")
    assert sentence.endswith("timing how the exchange fan fills a bag would not.")


def with_air(result: str = "pour") -> EnsembleResults:
    """A made-up answer of a box that breathes through a mesh: the mesh decides, how the air mixes hardly."""
    u = uniform(256, 3, 4)
    keys = ("mesh exchange.factor", "air mixing.factor")
    ends = ((0.05, 0.2, 0.6), (0.3, 1.0, 3.0))
    found = tuple(UncertainInput(key, *three, "-", "G", "invented") for key, three in zip(keys, ends, strict=True))
    mesh, mixing = (np.array([quantile(float(x), *three) for x in u[:, j]]) for j, three in enumerate(ends))
    pour = 100.0 + 60.0 * np.log(mesh / 0.2) + 2.0 * np.log(mixing)
    # what else the air exchanged hangs on does not move this pour
    exchange = 20.0 * mesh * np.exp(2.0 * u[:, 2] - 1.0)
    return EnsembleResults(Ensemble(found, np.column_stack([mesh, mixing])), {result: pour, "exchange": exchange})


def test_naming_an_unnamed_mesh_is_the_first_advice_where_the_mesh_decides() -> None:
    ranked = measure_next(with_air(), "pour", "ml a day")
    by = {one["what"]: one for one in ranked}
    assert ranked[0]["what"] == "mesh named"
    assert 0.3 < by["mesh named"]["narrows_by"] < 0.8  # a named mesh still has its law and its threads in doubt
    assert measure_sentence(ranked).startswith("Naming the kind of your mesh would")
    assert by["low and high hygrometers"]["narrows_by"] < 0.05
    assert by["mesh named"]["hours"] == min(one["hours"] for one in ranked)


def test_a_box_that_nobody_lifts_is_not_weighed_a_day_apart() -> None:
    what = "weight lost in a day"
    assert what not in {one["what"] for one in measure_next(with_air(), "pour", "ml a day")}
    liftable = {"watering and box weighed": np.full(256, 5.0)}
    by = {one["what"]: one["narrows_by"] for one in measure_next(with_air(), "pour", "ml a day", weighed=liftable)}
    # it reads the exchange more closely than misted air that dries
    assert by[what] > by["humid air let out"] > 0.1


def test_a_mesh_that_has_a_name_needs_no_naming(humid: tl.Answer) -> None:
    assert "mesh named" not in {one["what"] for one in humid.measure_next}


def test_a_measurement_narrows_as_members_that_agree_with_it_show(humid: tl.Answer) -> None:
    """The long way for the drying of misted air: keep the members near a reading, weighted by how near, many times."""
    x, y = (humid.sample.results[name] for name in ("exchange", "pour"))
    low, _, high = middle_range(y)
    error = 0.5 * materials.get("measurements", "humid air let out").typical("relative_error")
    widths = []
    for i in np.argsort(x)[8:-8:4]:
        for offset in (-1.2, 0.0, 1.2):
            weights = np.exp(-0.5 * ((np.log(x[i] / x) + error * offset) / error) ** 2)
            a, _, b = middle_range(y, weights=weights)
            widths.append((b - a) * np.exp(-0.5 * offset**2))
    left = np.sum(widths) / (high - low) / (len(widths) / 3 * (1.0 + 2.0 * np.exp(-0.72)))
    (one,) = [one for one in humid.measure_next if one["what"] == "humid air let out"]
    # the curve takes every range to shrink like the standard deviation, hence the wide margin
    assert one["narrows_by"] == pytest.approx(1.0 - left, abs=0.12)


def test_the_daily_water_says_what_to_measure(humid: tl.Answer) -> None:
    ranked = json.loads(humid.json())["measure_next"]
    shares = [one["narrows_by"] for one in ranked]
    assert shares == sorted(shares, reverse=True)
    assert all(0.0 <= share <= 1.0 for share in shares)
    by = {one["what"]: one for one in ranked}
    # three days of weighing drown in what 19 litres of soil water gain or lose unfelt
    assert by["watering for two weeks"]["narrows_by"] > 0.3
    assert by["watering for three days"]["narrows_by"] < 0.3
    assert "a day here, since what the soil gains or loses is only felt" in by["watering for two weeks"]["accuracy"]
    assert "watering and box weighed" not in by  # nobody lifts this one onto a kitchen scale
    assert by["fan and bag"]["narrows_by"] < 0.1  # five minutes an hour are a small part of its exchange
    for one in ranked:
        low, high = one["range_then"]
        least, middle, most = humid.sample.range_of("pour")  # as drawn; low, value and high are rounded for a jug
        assert least - 1.0 <= low <= middle <= high <= most + 1.0
        assert one["how"]
        assert one["source"]
        assert one["grade"]
        assert "within" in one["accuracy"]
    assert "What to measure next: Weighing the watering bottle" in humid.text("all")
    assert "would not." in humid.text("all")


def test_the_picture_ranks_them(humid: tl.Answer) -> None:
    needs_us_units(show.measure_picture(replace(humid, us=True)))
    picture = show.measure_picture(humid)
    assert picture.alt.startswith("Ranked bars")
    for one in humid.measure_next:
        assert one["what"] in picture.alt
    assert len(png(picture)) > 10_000
    with pytest.raises(TerralabError, match="measure_next"):
        show.measure_picture("fern-hollow")


def test_the_picture_of_the_members_shows_each_of_them_and_the_range_that_is_told(humid: tl.Answer) -> None:
    picture = show.members_picture(humid)
    pours = humid.sample.results["pour"]
    upper, lower = picture.axes
    assert sum(len(one.get_paths()) for one in upper.collections) == np.isfinite(pours).sum()
    low, _, high = middle_range(pours)
    assert sorted(line.get_xdata()[0] for line in upper.lines) == pytest.approx([low, high])
    widths = [bar.get_width() for bar in lower.patches]
    assert widths[-1] == pytest.approx(high - low)
    assert f"of {len(pours)} boxes" in picture.alt
    needs_words_inside_and_apart(picture)
    assert len(png(picture)) > 10_000


def test_what_was_weighed_leaves_the_members_between_and_narrows_the_humidity(humid: tl.Answer) -> None:
    pours = humid.sample.results["pour"]
    low, high = (float(one) for one in np.quantile(pours, [0.4, 0.6]))
    stay = (pours >= low) & (pours <= high)
    picture = show.members_picture(humid, (low, high))
    for axes in picture.axes:
        kept, gone = (len(one.get_paths()) for one in axes.collections)
        assert (kept, gone) == (stay.sum(), (~stay).sum())
    needs_words_inside_and_apart(picture)
    after = middle_range(humid.sample.results["day"][stay])
    assert f"{after[0]:.0f} to {after[2]:.0f} % of those that stay" in picture.alt
    with pytest.raises(TerralabError, match="two or more have to be left"):
        show.members_picture(humid, (1e5, 2e5))


def test_the_picture_of_the_members_speaks_the_units_of_its_box(humid: tl.Answer) -> None:
    picture = show.members_picture(replace(humid, us=True))
    assert "fl oz" in picture.alt
    assert "ml" not in picture.alt
    assert picture.axes[0].get_xlabel() == "fl oz a day"


def test_the_first_soak_asks_for_a_pot_of_the_mix() -> None:
    answer = tl.first_soak(tl.load("fern-hollow"))
    assert answer.measure_next[0]["what"] == "pot of the mix weighed"
    assert answer.measure_next[0]["narrows_by"] > 0.3
    assert "pot of the mix" in str(answer)
    assert answer.low < answer.value < answer.high
    assert answer.spread["members"] == answer.sample.ensemble.size


def test_nothing_to_measure_where_nothing_is_uncertain() -> None:
    sample = invented()
    still = EnsembleResults(sample.ensemble, {"pour": np.zeros(sample.ensemble.size)})
    assert measure_next(still, "pour", "ml a day") == ()
    assert measure_sentence(()) == ""


@pytest.mark.parametrize(
    ("share", "words"),
    [(0.9, "little"), (0.7, "70 %"), (0.5, "halve"), (0.33, "third"), (0.42, "40 %"), (0.22, "quarter"), (0.01, "not")],
)
def test_words_fit_the_share(share: float, words: str) -> None:
    assert words in effect(share)


def test_sensitivities_find_the_mesh_and_put_the_rest_together() -> None:
    """16 samples of 3 blocks, so rough; of an unnamed mesh it decides (rank correlation 0.9 among 2,048 members)."""
    unnamed = {"enclosure.openings.lid.mesh": True, "enclosure.openings.front vent.mesh": True}
    found = tl.sensitivities(tl.load("fern-hollow").change(**unnamed), samples=16, most=2)
    assert found.runs == 16 * 5
    assert len(found.total) == 3
    assert max(found.total, key=found.total.get) == "mesh exchange.factor"
    assert "all others" in found.total


@pytest.mark.parametrize("bad", [{"question": "fire"}, {"samples": 10}, {"most": 0}])
def test_sensitivities_refuse_what_makes_no_sense(bad: dict) -> None:
    with pytest.raises(TerralabError):
        tl.sensitivities(tl.load("fern-hollow"), **bad)
