"""What a diary does to a run, and what weighing tells: held against runs of the engine itself."""

from __future__ import annotations

import warnings
from datetime import date

import numpy as np
import pytest

import terralab as tl
from terralab.describe.part import cautions_untold
from terralab.errors import TerralabError
from terralab.logs.diary_given import given
from terralab.logs.diary_run import diary_events, levels
from terralab.logs.diary_weighed import BOTTLE, BOX_ON_SCALE, on_scales, weighed
from tests.keepers import keepers_box

HEAD = "date,time,what,how much,note\n"
FIRST = date(2026, 8, 1)
PLAIN = tl.load("fern-hollow").change(**{"routine.siphons": [], "routine.fans": []})


def diary(*lines: str) -> tl.Diary:
    return tl.read_diary(HEAD + "\n".join(f"2026-08-{line}" for line in lines) + "\n")


def run(book: tl.Diary, box: tl.Box = PLAIN, days: float = 4, first: date = FIRST) -> tuple[tl.Record, tuple[str, ...]]:
    told = diary_events(book, box, first)
    return tl.simulate(told.box, days, events=told.events, accuracy="preview", record_every_min=60), told.words


def test_a_run_is_given_what_the_diary_gave_and_the_books_close():
    book = diary(
        "01,08:00,poured,150 ml,", "02,08:30,poured,0.2 l,", "03,19:00,sprayed,35 ml,", "03,10:00,siphoned,120 ml,",
        "02,12:00,lid covered,80 %,", "03,12:00,lamp,12 W,", "04,09:00,siphoned to,1 cm,", "02,20:00,leaves wet,,",
    )  # fmt: skip
    record, words = run(book)
    assert record.closure_water < 1e-9
    assert record.closure_energy < 1e-6
    assert record.moved_kg("poured").sum() == pytest.approx(0.350)
    assert record.arrow_kg("sprayed").sum() == pytest.approx(0.035)
    siphoned = record.moved_kg("siphoned")
    assert siphoned[: 3 * 24].sum() == pytest.approx(0.120)
    assert (
        record.stored_kg["reservoir"][-12] <= 1.001 * 1e-2 * 1000.0 * record.floor_m2 * PLAIN.enclosure.drainage.voids
    )
    changed = [dict(one.change) for one in diary_events(book, PLAIN, FIRST).events if not one.word]
    assert changed == [{"enclosure.openings.lid.covered": 0.8}, {"routine.lamps.plant light.power": 12.0}]
    untouched, _ = run(diary("01,08:00,poured,150 ml,", "02,08:30,poured,0.2 l,", "03,19:00,sprayed,35 ml,"))
    dry = untouched.relative_humidity[40:72].mean()
    assert record.relative_humidity[40:72].mean() > dry + 1.0  # the lid that was covered on the second day is felt
    assert any("pours of the diary take the place" in one for one in words)
    assert any("covered to 80 %" in one for one in words)


def test_what_the_diary_never_tells_goes_on_and_is_said():
    record, words = run(diary("01,08:00,poured,150 ml,"), days=2)
    assert record.arrow_kg("sprayed").sum() == pytest.approx(2 * 0.040)
    assert any("no sprays" in one for one in words)


def test_before_the_first_day_of_the_diary_the_routine_holds():
    record, words = run(diary("03,09:00,poured,50 ml,"), days=4)
    poured = record.moved_kg("poured")
    assert poured[: 2 * 24 + 1].sum() == pytest.approx(2 * 0.120)
    assert poured[2 * 24 + 1 :].sum() == pytest.approx(0.050)
    assert any("from 2026-08-03 on" in one for one in words)


@pytest.mark.parametrize("first", ["01", "02"])
def test_what_the_routine_pours_through_the_tube_goes_on(first):
    below = [{"time": "08:00", "amount": "50 ml", "into": "drainage"}, {"time": "09:00", "amount": "70 ml"}]
    box = PLAIN.change(**{"routine.pours": below})
    book = diary(f"{first},10:00,poured,30 ml,")
    record, words = run(book, box, days=3)
    assert 1000.0 * record.moved_kg("poured").sum() == pytest.approx(3 * 50.0 + 30.0)
    assert any("drainage layer goes on" in one for one in words)
    assert "drainage layer" in " ".join(
        on_scales(diary("01,08:00,box weighs,9 kg,", "04,08:00,box weighs,9 kg,"), box).words
    )


def test_what_lies_before_the_run_is_said_and_a_change_of_the_lid_then_is_one_of_the_box():
    told = diary_events(diary("01,08:00,poured,150 ml,", "01,09:00,lid covered,70 %,"), PLAIN, date(2026, 8, 2))
    assert told.events == ()
    assert told.box.enclosure.openings[0].covered == pytest.approx(0.7)
    assert any("before the run" in one for one in told.words)


def test_what_a_bottle_lost_is_poured_at_the_usual_hour_of_each_day():
    book = diary("01,07:00,bottle weighs,1500 g,", "04,20:00,bottle weighs,1020 g,")
    record, _ = run(book)
    poured = record.moved_kg("poured")
    assert poured.sum() == pytest.approx(0.480)
    hours = np.flatnonzero(poured > 1e-6)
    assert len(hours) == 4
    assert {int(record.times_h[h]) % 24 for h in hours} <= {9}


def test_where_bottle_and_jug_differ_the_bottle_counts_and_that_is_said():
    book = diary("01,07:00,bottle weighs,1500 g,", "01,08:00,poured,100 ml,", "01,20:00,bottle weighs,1350 g,")
    every, words = given(book)
    assert [(one.ml, one.weighed) for one in every] == [(150.0, True)]
    assert every[0].error < 3.0
    assert "The bottle counts" in words[0]
    filled, _ = given(diary("01,07:00,bottle weighs,500 g,", "01,20:00,bottle weighs,1350 g,"))
    assert filled == ()


@pytest.mark.parametrize(
    ("line", "box", "words"),
    [
        ("01,08:00,siphoned,100 ml,", "moss-jar", "no drainage layer"),
        ("01,08:00,gap,2 cm,", "moss-jar", "no drainage layer"),
        ("01,08:00,dish filled,20 ml,", "fern-hollow", "has none"),
        ("01,08:00,lamp: spt,20 W,", "dry-ledge", "There is no lamp"),
        ("01,08:00,lamp,20 W,", "dry-ledge", "basking lamp.*Name the one"),
        ("01,08:00,gap,9 cm,", "fern-hollow", "water depth"),
    ],
)
def test_what_the_box_does_not_have_is_refused_in_words(line, box, words):
    box = tl.load(box)
    if "jar" in box.name.lower() and box.enclosure.drainage is not None:
        box = box.change(**{"enclosure.drainage": None, "routine.siphons": []})
    book = diary(line)
    ask = levels if ",gap," in line else lambda book, box: diary_events(book, box, FIRST)
    with pytest.raises(TerralabError, match=words):
        ask(book, box)


def test_a_lamp_named_in_the_note_is_the_one_that_changes():
    told = diary_events(diary("02,08:00,lamp,50 W,the basking lamp, a weaker bulb"), tl.load("dry-ledge"), FIRST)
    assert told.events[0].change == {"routine.lamps.basking lamp.power": 50.0}


def test_a_depth_of_water_is_a_gap_below_the_mesh():
    found = levels(diary("01,08:00,gap,4 cm,", "05,08:00,water depth,2.5 cm,"), PLAIN)
    assert [one.gap_cm for one in found] == [4.0, 3.5]
    assert found[0].error_cm == pytest.approx(0.1)


def twin(box: tl.Box, lines: list[str], days: int, seed: int, step_g: float) -> tuple[tl.Diary, float, float]:
    """A diary with the weights that a run of the box gives, and the ml a day that left as vapour between them in truth."""
    draw = np.random.default_rng(seed)
    record, _ = run(diary(*lines), box, days)
    grams = 1000.0 * sum(np.asarray(stored) for stored in record.stored_kg.values())
    first, last = 12, 24 * (days - 1) + 6
    sigma = 5.0
    reads = [step_g * round((9000.0 + grams[k] - grams[0] + draw.normal(0.0, sigma)) / step_g) for k in (first, last)]
    weights = [
        f"{1 + k // 24:02d},{k % 24:02d}:00,box weighs,{w:.0f} g," for k, w in zip((first, last), reads, strict=True)
    ]
    return (
        diary(*lines, *weights),
        float(record.vapour_out_ml_a_day(np.arange(first + 1, last + 1))),
        grams[last] - grams[first],
    )


def test_weighing_the_box_tells_what_left_it_within_its_stated_error():
    """In units of the stated error the misses of many weighings are about one: neither boast nor excuse."""
    lines = [f"{d:02d},{7 + d % 3:02d}:00,poured,{60 + 20 * (d % 4)} ml," for d in range(1, 6)]
    lines += [f"{d:02d},19:00,sprayed,40 ml," for d in range(1, 6)] + ["03,10:00,siphoned,150 ml,"]
    missed = []
    for seed in range(12):
        book, true, _ = twin(PLAIN, lines, 5, seed, 10.0)
        (found,) = [one for one in weighed(book, PLAIN) if one.how == BOX_ON_SCALE]
        assert 1.0 < found.error < 15.0
        missed.append((found.ml_per_day - true) / found.error)
    # the jug of this diary is exact, so the misses are those of the scale alone
    assert 0.1 < float(np.sqrt(np.mean(np.square(missed)))) < 1.3


def test_a_box_that_gained_more_than_it_was_given_is_refused():
    with pytest.raises(TerralabError, match=r"gained 500 ml.*only 100 ml"):
        weighed(
            diary(
                "01,07:00,sprayed,0 ml,",
                "01,08:00,box weighs,9.00 kg,",
                "02,08:00,poured,100 ml,",
                "03,08:00,box weighs,9.50 kg,",
            ),
            PLAIN,
        )


@pytest.mark.parametrize(
    ("changes", "lines", "words"),
    [
        ({"enclosure.drain_hole": True, "enclosure.drainage": None, "enclosure.tube": None}, [], "hole in the floor"),
        ({"enclosure.dish": {"area": "60 cm2", "depth": "2 cm"}}, [], "dish filled"),
        ({}, ["02,10:00,siphoned to,1 cm,"], "down to which level"),
    ],
)
def test_where_water_came_or_went_unseen_the_scale_is_not_believed(changes, lines, words):
    book = diary(
        "01,07:00,sprayed,0 ml,",
        "01,08:00,box weighs,9.00 kg,",
        "02,08:00,poured,100 ml,",
        *lines,
        "06,08:00,box weighs,8.90 kg,",
    )
    found = on_scales(book, PLAIN.change(**changes))
    assert found.weighed == ()
    assert words in " ".join(found.words)


def test_a_routine_that_siphons_unwritten_hides_what_left():
    book = diary(
        "01,07:00,sprayed,0 ml,",
        "01,08:00,box weighs,9.00 kg,",
        "02,08:00,poured,100 ml,",
        "06,08:00,box weighs,8.90 kg,",
    )
    found = on_scales(book, tl.load("fern-hollow"))
    assert not [one for one in found.weighed if one.how == BOX_ON_SCALE]
    assert "siphons" in " ".join(found.words)


def test_what_was_given_tells_less_where_the_soil_may_hold_it():
    """The error of a bottle falls with the days and with two readings of the water below, and grows with the soil."""
    pours = [f"{d:02d},08:00,poured,320 ml," for d in range(1, 15)]
    pours.append("01,08:00,sprayed,0 ml,")
    gaps = ["01,07:00,gap,4 cm,", "14,09:00,gap,4.1 cm,"]
    alone, with_gaps = (
        next(one for one in weighed(diary(*lines), PLAIN) if one.how == BOTTLE) for lines in (pours, [*pours, *gaps])
    )
    short = next(
        one
        for one in weighed(diary(*pours[:6], pours[-1], *gaps[:1], "06,09:00,gap,4 cm,"), PLAIN)
        if one.how == BOTTLE
    )
    wet = next(one for one in weighed(diary(*pours, *gaps), PLAIN, soil_water_ml=60_000.0) if one.how == BOTTLE)
    assert alone.soil_unseen
    assert alone.ml_per_day == pytest.approx(320.0)
    assert with_gaps.error < 0.7 * alone.error
    assert short.error > 2.0 * with_gaps.error
    assert wet.error > 1.5 * with_gaps.error
    # the water below fell by 0.1 cm over 13 days: that left too
    below = 0.1 * 1e4 * PLAIN.enclosure.soil_area_m2 * PLAIN.enclosure.drainage.voids
    assert with_gaps.ml_per_day == pytest.approx(320.0 + below / (13.0), rel=1e-6)


@pytest.mark.parametrize("bad", ["fern-hollow", None, 3])
def test_only_a_box_and_a_diary_are_taken(bad):
    book = diary("01,08:00,poured,100 ml,")
    for ask in (
        lambda: diary_events(book, bad, FIRST),
        lambda: weighed(book, bad),
        lambda: diary_events(bad, PLAIN, FIRST),
    ):
        with pytest.raises(TerralabError, match="needs a"):
            ask()


def test_a_lid_covered_under_a_hot_lamp_is_warned_of():
    box = tl.load("dry-ledge")
    told = diary_events(diary("02,08:00,lid covered,60 %,"), box, FIRST)
    assert any("cover" in one and "heat" in one for one in told.words), told.words


def test_what_tells_nothing_is_left_out_and_said():
    """Two days of pours onto 20 litres of wet soil say nothing of what left."""
    book = diary("01,07:00,sprayed,0 ml,", "01,08:00,poured,120 ml,", "03,08:00,poured,120 ml,")
    found = on_scales(book, PLAIN)
    assert found.weighed == ()
    assert "does not tell what left" in found.words[0]


def test_sprays_that_the_diary_keeps_quiet_about_spoil_the_weights():
    book = diary("01,08:00,box weighs,9.00 kg,", "02,08:00,poured,100 ml,", "06,08:00,box weighs,8.90 kg,")
    found = on_scales(book, PLAIN)
    assert found.weighed == ()
    assert "sprays" in found.words[0]
    told = diary_events(diary("01,07:00,sprayed,0 ml,"), PLAIN, FIRST)
    assert told.box.routine.sprays == ()
    assert told.events == ()


def hour_of(row: int) -> str:
    return f"{1 + row // 24:02d},{row % 24:02d}:00"


@pytest.mark.parametrize("seed", [0, 1, 3, 5, 8, 15, 20, 29])
def test_any_keepers_box_that_writes_all_its_water_down_tells_its_loss_by_weight(seed):
    """Boxes drawn at random, run with their own routine as a diary: the scale finds what the run lost, to within its error."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        box, days = keepers_box(seed), 4
    with cautions_untold():
        box = box.change(**{"routine.siphons": []}) if box.routine.siphons else box
    lines = ["01,00:00,poured,0 ml,", "01,00:00,sprayed,0 ml,", "01,00:00,siphoned,0 ml,", "01,00:00,hide wetted,0 ml,"]
    lines = lines if box.enclosure.drainage else [one for one in lines if "siphoned" not in one]
    if box.enclosure.dish is not None:
        lines.append("01,00:00,dish filled,0 ml,")
    for day in range(1, days + 1):
        lines += [f"{day:02d},08:10,poured,{40 + 10 * day} ml,", f"{day:02d},19:10,sprayed,{20 + 5 * seed} ml,"]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        record, _ = run(diary(*lines), box, days)
    wetted = 1000.0 * record.moved_kg("hide_wetted")
    lines += [f"{hour_of(row)},hide wetted,{wetted[row]:.3f} ml," for row in np.flatnonzero(wetted > 0.001)]
    grams = 14_000.0 + 1000.0 * sum(np.asarray(stored) for stored in record.stored_kg.values())
    grams -= grams[6] - 14_000.0
    first, last = 6, 24 * days - 6
    book = diary(*lines, *(f"{hour_of(row)},box weighs,{grams[row]:.0f} g," for row in (first, last)))
    (found,) = [one for one in weighed(book, box) if one.how == BOX_ON_SCALE]
    assert record.moved_kg("spilled").sum() == 0.0
    assert found.ml_per_day == pytest.approx(record.vapour_out_ml_a_day(np.arange(first + 1, last + 1)), abs=0.5)


SWITCHED = PLAIN.change(
    **{
        "routine.sprays": [],
        "routine.mists": [
            {
                "name": "fogger",
                "flow": "50 ml/min",
                "timer": ["08:00-08:10"],
                "control": {"senses": "humidity", "on": "below", "set_point": "70 %", "hysteresis": "5 %"},
            }
        ],
    }
)
EVERY_DAY = [f"{d:02},08:00,bottle weighs,{1.9 - 0.1 * d:.2f} kg," for d in range(1, 14)]


def test_what_a_switched_mister_gave_is_asked_for_and_counts_once_its_tank_is_weighed():
    """The bottle alone says nothing there; bottle and tank say all that was given, and a run is not misted twice."""
    found = on_scales(diary(*EVERY_DAY), SWITCHED)
    assert found.weighed == ()
    assert "fogger" in found.unseen
    assert "bottle: tank" in found.unseen
    tank = [
        "01,08:00,bottle: tank,5.00 kg,",
        "06,08:00,bottle: tank,3.00 kg,",
        "06,08:20,bottle: tank,5.00 kg,",
        "13,08:00,bottle: tank,4.00 kg,",
    ]
    book = diary(*sorted([*EVERY_DAY, *tank]))
    found = on_scales(book, SWITCHED)
    assert found.unseen == ""
    (one,) = found.weighed
    assert one.ml_per_day == pytest.approx((1200.0 + 3000.0) / 12.0, rel=0.01)
    told = diary_events(book, SWITCHED, FIRST)
    assert told.events == diary_events(diary(*EVERY_DAY), SWITCHED, FIRST).events


@pytest.mark.parametrize(
    ("tank", "words"),
    [
        (["03,08:00,bottle: tank,5.00 kg,", "13,08:00,bottle: tank,3.00 kg,"], "first and the last day"),
        (
            ["01,08:00,bottle: tank,5.00 kg,", "06,08:00,bottle: tank,5.50 kg,", "13,08:00,bottle: tank,3.00 kg,"],
            "right before",
        ),
    ],
)
def test_a_tank_that_was_not_watched_all_the_time_does_not_count(tank, words):
    found = on_scales(diary(*sorted([*EVERY_DAY, *tank])), SWITCHED)
    assert found.weighed == ()
    assert words in found.unseen
