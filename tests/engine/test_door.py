"""The door that a keeper opens: what it lets out is counted, and it acts like the hole it is.

Laws: the books close; an open door never lowers the exchange of air; a door that is open for no time, or on no day of the
run, is no door to the last bit; a longer or wider door lets out no less; a door that never shuts is an opening like any
other (the independent way to the same number).
"""

from __future__ import annotations

import re
import warnings

import numpy as np
import pytest

import terralab as tl
from terralab.answers.common.balance import budget_ml
from terralab.answers.common.rationale import reason_of
from terralab.describe.doubts import doubts
from terralab.errors import DescriptionError
from terralab.show.figures.section_flows import flows_of
from terralab.show.figures.section_words import section_words
from terralab.simulation.budget import gained
from terralab.simulation.where_it_goes import kind_of
from tests.engine.holes import columns_of, given, lid, opening, through
from tests.engine.holes import rows_of as built
from tests.engine.stores import same
from tests.engine.test_flows_table import holds
from tests.keepers import keepers_box

DEMOS = ("fern-hollow", "moss-jar", "dry-ledge", "tall-glen")
OPEN = "vapour lost while the door is open"
EVENING = {"time": "18:00", "open": "10 min"}


def with_door(box: tl.Box, *doors: dict) -> tl.Box:
    return box.change(**{"routine.doors": list(doors)})


def run(box: tl.Box, days: int = 4, **more) -> tl.Record:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        return tl.simulate(box, days, **more)


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("wall", ["front", "lid"])
def test_the_books_close_and_all_that_leaves_is_told(name, wall) -> None:
    record = run(with_door(tl.load(name), {**EVENING, "wall": wall}))
    assert record.closure_water < 1e-9
    assert record.closure_energy < 1e-6
    holds(record)
    goes = budget_ml(record, record.rows(1, 4))
    of = lambda kind: sum(amount for word, amount in goes.items() if kind_of(word) == kind)  # noqa: E731
    assert of("came in") == pytest.approx(of("left") + of("stored"), abs=1e-6)
    assert goes[OPEN] != 0.0
    assert record.series["heat lost while the door is open W"].any()
    assert goes[OPEN] * 3.0 == pytest.approx(record.series[f"{OPEN} ml/h"][record.rows(1, 4)].sum() * 0.25 + 1e3 * (
        record.moved_kg("fog_door")[record.rows(1, 4)].sum()), rel=1e-9)  # fmt: skip


@pytest.mark.parametrize("number", range(8))
def test_any_box_with_a_door_closes(number) -> None:
    box = keepers_box(100 + number)
    doors = [{"time": "07:30", "open": "20 min", "name": "a"}, {"time": "07:40", "open": "45 min", "every": "2 d", "name": "b", "wall": "lid"}]  # fmt: skip
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        record = run(with_door(box, *doors), 3, cells=20)
    assert record.closure_water < 1e-9
    assert record.closure_energy < 1e-6
    holds(record)


@pytest.mark.parametrize("name", ["fern-hollow", "tall-glen"])
def test_no_minutes_and_no_day_is_no_door(name) -> None:
    plain = run(tl.load(name), 2)
    assert same(plain, run(with_door(tl.load(name), {"time": "18:00", "open": "0 min"}), 2))
    assert OPEN not in budget_ml(plain, plain.rows(0, 2))
    assert f"{OPEN} ml/h" not in plain.series


def test_a_longer_and_a_wider_door_let_out_no_less() -> None:
    box = tl.load("fern-hollow")
    lost = []
    for minutes, width in ((1, 5), (5, 5), (5, 15), (20, 15), (20, 40), (60, 40)):
        record = run(with_door(box, {"time": "18:00", "open": f"{minutes} min", "width": f"{width} cm"}))
        lost.append(budget_ml(record, record.rows(1, 4))[OPEN])
    assert lost == sorted(lost)
    assert lost[0] > 0.0


def test_a_door_acts_while_it_is_open_and_on_its_days() -> None:
    record = run(with_door(tl.load("fern-hollow"), {"time": "18:00", "open": "30 min", "every": "2 d"}), 4)
    open_rows = np.flatnonzero(record.series[f"{OPEN} ml/h"])
    assert sorted({int(record.times_h[row] // 24) for row in open_rows}) == [0, 2]
    assert all(18.0 < record.times_h[row] % 24 <= 18.5 + 1e-9 for row in open_rows)
    ach = record.series["air changes per hour"]
    assert ach[open_rows].min() > 3.0 * np.median(ach)


@pytest.mark.parametrize("wall", ["front", "lid"])
def test_a_door_that_never_shuts_is_an_opening(wall) -> None:
    box = tl.load("fern-hollow").change(**{"routine.fans": None})
    lid = [o for o in box.write()["enclosure"]["openings"] if o["wall"] != "lid"]
    box = box.change(**{"enclosure.openings": lid, "enclosure.leakage": "0.2 /h"}) if wall == "lid" else box
    bottom = box.enclosure.surface_cm
    size = {"width": "20 cm", "height": "10 cm"} | ({} if wall == "lid" else {"bottom": f"{bottom + 2:g} cm"})
    door = run(with_door(box, {"time": "00:00", "open": "1440 min", "wall": wall, **size}), 3)
    openings = [*box.write()["enclosure"]["openings"], {"name": "hole", "wall": wall, "mesh": False, **size}]
    hole = run(box.change(**{"enclosure.openings": openings}), 3)
    # a hole in the lid also lets heat rays out and is no glass; of a door that is left out
    near = 0.02 if wall == "front" else 0.1
    total = lambda record: record.moved_kg("vapour_leak", "vapour_openings", "vapour_door").sum()  # noqa: E731
    assert total(door) == pytest.approx(total(hole), rel=near)
    assert door.air_exchanged_kg.sum() == pytest.approx(hole.air_exchanged_kg.sum(), rel=near)


def openings_of(rng: np.random.Generator, airs: int) -> list[tuple[float, ...]]:
    """Up to five openings at random, the last of which is the door; upper ones open to the upper of two airs."""
    out = []
    for _ in range(int(rng.integers(2, 6))):
        area, viscous, inertial = 10.0 ** rng.uniform(-5.0, -1.0), 10.0 ** rng.uniform(-3.0, 0.5), rng.uniform(0.8, 3.0)
        losses = {"viscous": viscous, "inertial": inertial}
        if rng.random() < 0.5:
            out.append(lid(0.6, area, zone=airs - 1, **losses))
        else:
            zone = int(rng.integers(airs))
            bottom = rng.uniform(0.3 * zone, 0.3 * zone + 0.15)
            out.append(opening(bottom, bottom + rng.uniform(0.01, 0.14), area, zone=zone, **losses))
    return out


@pytest.mark.parametrize("seed", range(60))
def test_opening_a_door_never_lowers_the_exchange(seed) -> None:
    """And what passes the door itself, out and in, is a part of all that passes."""
    rng = np.random.default_rng(seed)
    airs = 1 + seed % 2
    openings = openings_of(rng, airs)
    for lightness in (-0.05, -0.01, 0.0, 0.005, 0.03):
        columns = columns_of([lightness, lightness + 0.01][:airs], [0.3])
        blown = 0.0 if rng.random() < 0.5 else 10.0 ** rng.uniform(-5.0, -3.0)
        fans = [given(blown)] if blown else []
        before, _, _, _ = through(columns, built(*fans, *openings[:-1]), 2.5e-5)
        rows = built(*fans, *openings)
        after, _, _, _ = through(columns, rows, 2.5e-5)
        assert after >= before * (1.0 - 1e-8)
        assert rows["out"].sum() == pytest.approx(rows["into"].sum(), rel=1e-12)
        assert 0.0 <= 0.5 * (rows["out"][-1] + rows["into"][-1]) <= after * (1.0 + 1e-12)


def test_a_door_and_a_reason_are_told_by_the_answers() -> None:
    shut = tl.load("moss-jar").change(**{"enclosure.openings.lid slot.covered": "100 %"})
    box = with_door(shut, {"time": "18:00", "open": "60 min"})
    record = run(box, 4)
    rows = record.rows(1, 4)
    goes = budget_ml(record, rows)
    assert goes[OPEN] == max(amount for word, amount in goes.items() if kind_of(word) == "left")
    # most of it goes by the door, and the reason says so, with its share of all vapour
    assert "through the open door" in reason_of(box, goes, 5.0)
    flows = flows_of(record, rows)
    assert flows.door == pytest.approx(goes[OPEN], rel=1e-6)
    assert flows.vapour_out >= flows.door
    assert "while the door is open" in section_words(record, len(record.times_s) - 1, flows)
    assert gained(record.raw, "water")["air"].shape == record.times_s.shape


def test_a_door_is_described_written_and_read() -> None:
    box = with_door(tl.load("fern-hollow"), EVENING, {"time": "09:00", "open": "2 min", "name": "top", "wall": "lid"})
    assert tl.Box.read(box.write()) == box
    text = box.describe()
    assert 'The front is opened ("door") at 18:00 for 10 minutes every day' in text
    assert 'The lid is lifted ("top") at 09:00 for 2 minutes every day' in text
    width, height, bottom = box.routine.doors[0].opening_cm(box.enclosure)
    assert width == pytest.approx(0.5 * box.enclosure.width_cm)
    assert bottom + height == pytest.approx(box.enclosure.height_cm)
    in_inches = with_door(tl.load("fern-hollow"), {**EVENING, "width": "6 in", "height": "8 in"})
    assert in_inches.routine.doors[0].width_cm == pytest.approx(15.24)
    assert "6 in by 8 in" in in_inches.describe()
    assert "doors" not in tl.load("fern-hollow").write()["routine"]


@pytest.mark.parametrize(
    ("wrong", "field", "words"),
    [
        ({"width": "90 m"}, "width", "cm"),
        ({"width": "300 cm"}, "width", "wider than its wall"),
        ({"height": "290 cm"}, "height", "past the edge"),
        ({"bottom": "1 cm"}, "bottom", "surface of the soil"),
        ({"wall": "lid", "height": "290 cm"}, "height", "from front to back"),
        ({"wall": "lid", "bottom": "20 cm"}, "bottom", "lid"),
        ({"open": "-1 min"}, "open", "0 min"),
        ({"open": "30 h"}, "open", "1440 min"),
        ({"wall": "roof"}, "wall", "lid"),
    ],
)  # fmt: skip
def test_a_door_that_cannot_be_is_refused(wrong, field, words) -> None:
    with pytest.raises(DescriptionError) as refused:
        with_door(tl.load("fern-hollow"), {**EVENING, **wrong})
    assert re.search(rf"routine\.doors\.(1|door)\.{field}", str(refused.value))
    assert words in str(refused.value)


def test_what_is_odd_about_a_door_is_asked() -> None:
    said = lambda name, **door: " ".join(doubts(with_door(tl.load(name), {**EVENING, **door})))  # noqa: E731
    assert "routine.doors" not in said("fern-hollow")
    assert "thermostat then heats without pause" in said("tall-glen", open="2 h")
    assert "few minutes are usual" in said("moss-jar", open="2 h")
    assert "awake at night" in said("fern-hollow", time="02:00")
