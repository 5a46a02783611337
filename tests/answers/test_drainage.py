"""The drainage answer: what it says agrees with itself, an arid box needs none, and bad bottoms are refused."""

from __future__ import annotations

import json
import warnings
from dataclasses import replace

import pytest

import terralab as tl
from terralab import show
from terralab.answers.common.statement import Kind, Verdict
from terralab.answers.drainage.bottoms import BottomKind, bottoms, compare, over_ml, row_of
from terralab.answers.drainage.bottoms_words import wick_words
from terralab.answers.drainage.sizing import mishaps
from terralab.answers.drainage.weight import weight
from terralab.quantities import said
from tests.asked import asked


@pytest.fixture(scope="module")
def humid() -> tl.Answer:
    """The answer for the default demo, computed once, from few draws: what is looked at holds for any number."""
    return asked("drainage", "fern-hollow", members=8, pour_members=8)  # as the notebook on its size asks


@pytest.fixture(scope="module")
def rows(humid: tl.Answer) -> dict[str, dict]:
    """The comparison of that answer, by name."""
    return {row["name"]: row for row in humid.table}


def test_the_air_that_is_told_has_seen_the_fan_run(humid: tl.Answer) -> None:
    """Rows an hour apart fell into the pauses of its fan: 85 % by day stood here beside the 83 % of the daily water."""
    assert humid.record.step_s <= 900.0
    assert humid.rh_day["mean"] == pytest.approx(83.0, abs=1.0)


def test_the_depth_holds_what_comes_down(humid: tl.Answer) -> None:
    """By hand: litres over void and floor, the free gap on top, rounded up to half a centimetre, two grains at least."""
    floor, void, two_grains = 60 * 45, 0.433, 3.2
    need = 1000 * humid.details["comes_down_l"]["middle"] / (void * floor) + humid.details["keep_clear_cm"]
    assert max(two_grains, need - 0.5) <= humid.value <= max(two_grains, need) + 0.5
    assert 0.0 < humid.low <= humid.value <= humid.high
    down = humid.details["comes_down_l"]
    assert down["low"] < down["middle"] < down["high"]


def test_a_layer_of_that_depth_bears_the_month(humid: tl.Answer) -> None:
    """Built as deep as the answer says, empty at the start, with the over-watering and no siphon, it stays clear."""
    box = humid.record.box.change(**{"enclosure.drainage.depth": humid.value, "enclosure.drainage.level": 0})
    record = tl.simulate(box, 30, humid.details["wettest_season"])
    assert record.gap_below_mesh_cm.min() >= humid.details["keep_clear_cm"] - 0.6  # the value is the middle of members


def test_json_and_closure(humid: tl.Answer) -> None:
    data = json.loads(humid.json())
    assert data["closure_water"] < 1e-9
    assert data["closure_energy"] < 1e-6
    assert len(data["table"]) >= 14
    assert {"gap_cm_by_week", "mishaps", "weight_kg", "fits_l"} <= data["details"].keys()
    assert set(data["details"]["gap_cm_by_week"]) == {"winter", "summer"}


def test_the_siphon_plan_is_arithmetic(humid: tl.Answer) -> None:
    plan = humid.window
    drawn = 6.0 - plan["when_gap_below_cm"] - plan["to_level_cm"]
    assert plan["litres"] == pytest.approx(drawn * 60 * 45 * 0.433 / 1000, abs=0.1)
    assert plan["days"].keys() == {"winter", "summer"}
    for days in (*plan["days"].values(), *plan["every_days"].values()):
        reached = [day for day in days if day is not None]
        assert reached == sorted(reached)
        assert list(days[: len(reached)]) == reached
        assert all(day <= 84.0 for day in reached)  # nothing is said of what lies beyond the weeks that were run


def test_the_gap_falls_faster_in_the_damp_season() -> None:
    """One pour all year, that of the routine: less of it leaves as vapour in summer. Each season's own pour evens that out."""
    weeks = tl.drainage(tl.load("fern-hollow"), members=2, pour="described").details["gap_cm_by_week"]
    assert weeks["summer"]["gap_cm"][-1] < weeks["winter"]["gap_cm"][-1]
    for course in weeks.values():
        assert all(
            low <= mid <= high
            for low, mid, high in zip(course["low_cm"], course["gap_cm"], course["high_cm"], strict=True)
        )


def test_words_name_what_a_keeper_asks(humid: tl.Answer) -> None:
    text = humid.text("all")
    for word in (
        "Siphon when",
        "forgotten month",
        "over-watering",
        "kg/m2",
        "drain hole",
        "vapour",
        "corner tube",
        "mesh",
    ):
        assert word in text
    (table,) = humid.of_kind(Kind.TABLE)
    assert len(table.under) > 15
    for us in (False, True):
        lines = table.lines(us)[1:]
        assert max(len(line) for line in lines) < 80, us  # the narrowest common terminal


def test_bottoms_are_in_order(rows: dict[str, dict]) -> None:
    """Sealed is wettest; a layer of any depth is a little drier than a drain hole; water at the mesh undoes it."""
    layer, sealed, hole = rows["layer 6 cm, as described"], rows["no layer, sealed floor"], rows["no layer, drain hole"]
    assert layer["wet_band_cm"] < hole["wet_band_cm"] < sealed["wet_band_cm"]
    apart = [row for name, row in rows.items() if name.startswith("layer") and row["contact_ml_per_day"] == 0.0]
    assert len(apart) >= 2
    for row in apart:  # printed to a tenth
        assert row["air_percent"] == pytest.approx(layer["air_percent"], abs=0.11)
    assert rows["water at the mesh"]["wet_band_cm"] > layer["wet_band_cm"] + 1.0
    assert layer["wet_band_cm"] > 1.0  # no layer takes the wet band away
    assert rows["coarse coir mix, no layer"]["air_percent"][0] > layer["air_percent"][0] + 10.0
    assert rows["6 cm more soil, no layer"]["air_percent"][0] > sealed["air_percent"][0] + 10.0


def test_what_the_reservoir_gives(rows: dict[str, dict]) -> None:
    """Vapour and an open tube give next to nothing; contact gives much."""
    apart, near = rows["layer 6 cm, as described"], rows["water 1 cm under the mesh"]
    assert apart["contact_ml_per_day"] == 0.0
    assert 0.0 < apart["vapour_ml_per_day"] < 5.0
    assert 0.0 < rows["open corner tube"]["tube_ml_per_day"] < 1.0
    assert near["contact_ml_per_day"] > 10.0 * apart["vapour_ml_per_day"]  # the over-watering lifted it to the mesh


def test_rows_are_known_by_kind_and_not_by_name(humid: tl.Answer) -> None:
    """A mix that is called like a wick or a tube is neither; each kind that is looked for stands in the table once."""
    kinds = [row["kind"] for row in humid.table]
    assert kinds[0] == BottomKind.LAYER
    for kind in (BottomKind.AT_MESH, BottomKind.WICK, BottomKind.TUBE):
        assert kinds.count(kind) == 1
    tube = next(row for row in humid.table if row["kind"] == BottomKind.TUBE)
    (line,) = humid.of_kind(Kind.WHERE)
    assert line.quantities[-1].value == tube["tube_ml_per_day"]


def test_a_box_under_whose_soil_no_layer_fits_is_told_so_with_its_air() -> None:
    """No number, and yet the screen says what to do and how humid and warm it is, in either system."""
    low = tl.load("dry-ledge").change(**{"enclosure.openings.side vent.bottom": "9 cm"})
    answer = tl.drainage(low, members=2, pour="described")
    assert answer.value is None
    assert "No layer fits." in answer.text("why")
    assert "no drainage layer of 2 cm or more fits" in str(answer)
    assert "3/4 in or more" in answer.text(us=True)
    assert f"{answer.rh_day['mean']:.0f} % at {answer.temp_day['mean']:.1f} °C" in str(answer)
    assert "kg/m2" in answer.text("all")
    assert "lb/ft2" in answer.text("all", us=True)


def test_an_arid_routine_needs_none() -> None:
    answer = asked("drainage", "dry-ledge", members=8, pour_members=8)
    assert answer.value == 0.0
    assert "None needed" in answer.text("all")
    assert "Leave the drainage layer" not in answer.text("all")  # the box has none
    assert "Build no drainage layer." in str(answer)
    assert "Nothing drains" in answer.reason
    assert {row["name"] for row in answer.table} >= {"no layer, sealed floor", "no layer, drain hole"}


def test_what_does_not_fit_is_left_out_with_its_reason() -> None:
    rows, left_out = compare(tl.load("dry-ledge").change(**{"start.soil": "drained-moist"}), days=1)
    assert any("layer 8 cm" in said(text) and "15 cm" in said(text) for text in left_out)
    assert any("layer 3 1/8 in" in said(text, us=True) and "5 7/8 in" in said(text, us=True) for text in left_out)
    assert "layer 8 cm" not in {said(row.name) for row in rows}


def test_a_stuck_mister_is_told_in_litres_and_hours() -> None:
    mist = [{"name": "fine mist", "flow": "60 ml/min", "timer": ["1 min every 6 h"]}]
    found = mishaps(tl.load("fern-hollow").change(**{"routine.mists": mist}))["fine mist stuck on"]
    assert found["litres_an_hour"] == pytest.approx(3.6)
    # 4.7 l fit under the mesh; the soil and the pour of the day take or give their share on the way
    assert 3.0 / 3.6 <= found["mesh_after_h"] <= 6.0 / 3.6
    assert found["mesh_after_h"] < found["top_airless_after_h"] < 9.5 / 3.6


def test_over_watering_is_a_week_or_five_millimetres() -> None:
    assert over_ml(tl.load("fern-hollow")) == 1350.0
    assert over_ml(tl.load("fern-hollow").change(**{"routine.pours.1.amount": "300 ml"})) == 7 * 340.0


def test_weight_by_hand() -> None:
    box = tl.load("fern-hollow")
    found = weight(box)
    panes = 2 * (0.6 + 0.45) * 0.6 + 2 * 0.27 - 0.5 * 0.35 - 0.4 * 0.02
    assert found.glass == pytest.approx(panes * 0.004 * 2500)
    assert found.soil_dry == pytest.approx(0.1 * 0.27 * 70)
    assert found.stones_dry == pytest.approx(0.06 * 0.27 * 340)
    assert found.stones_water == pytest.approx(0.19 * found.stones_dry + 2 * 2.7 * 0.433)
    assert found.total < found.full < found.total + 27 * 0.88 + 7.1
    assert "structural" not in found.sentence()
    assert "structural engineer" in weight(box.change(**{"enclosure.width": "250 cm"})).sentence()


@pytest.mark.parametrize(
    ("entry", "value", "says"),
    [
        ("enclosure.drainage.depth", "0.5 cm", "one grain"),
        ("enclosure.drainage.void_fraction", 0.15, "jar"),
        ("enclosure.drainage.void_fraction", "80 %", "20 % to 70 %"),
        ("routine.siphons.1.to_level", "-1 cm", "below the floor of the glass"),
        ("routine.siphons.1.to_level", "7 cm", "below the mesh"),
    ],
)
def test_bad_bottoms_are_refused_with_the_reason(entry: str, value: object, says: str) -> None:
    with pytest.raises(tl.DescriptionError) as refused:
        tl.load("fern-hollow").change(**{entry: value})
    assert says in str(refused.value)


def test_a_level_above_the_mesh_is_a_flooded_start_and_said_so() -> None:
    with pytest.warns(tl.TerralabWarning, match="starts flooded"):
        box = tl.load("fern-hollow").change(**{"enclosure.drainage.level": "8 cm"})
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        record = tl.simulate(box, 1)
    assert record.gap_below_mesh_cm[0] == pytest.approx(-2.0)
    assert record.air_space[0][-1] == pytest.approx(0.0, abs=1e-9)


def test_a_measured_void_fraction_is_used() -> None:
    box = tl.load("fern-hollow").change(**{"enclosure.drainage.void_fraction": 0.5})
    record = tl.simulate(box, 1)
    assert record.raw.water[0, -1] == pytest.approx(0.02 * 0.5)


def test_a_wick_is_compared_said_and_drawn() -> None:
    box = tl.load("fern-hollow").change(**{"enclosure.drainage.wick_area": "10 cm2", "routine.siphons": None})
    assert "a wick of 10 cm2" in box.describe()
    record = tl.simulate(box, 7, accuracy="preview", record_every_min=60)
    row = row_of("described", record)
    assert row.wick_ml_per_day > 1.0
    assert "by wick" in show.section_picture(record).alt
    assert BottomKind.WICK in [bottom.kind for bottom in bottoms(box)]
    bare = replace(row, name="layer", wet_band_cm=row.wet_band_cm + 1.0)
    text = said(wick_words([bare, replace(row, kind=BottomKind.WICK)], box))
    assert "lets the foot down" in text
    assert "A wick (8 cm2 of cord)" in text
    assert wick_words([bare], box) == ""


def test_the_pour_asked_for_is_the_pour_told() -> None:
    """The recommended pour of each room, or that of the routine where one asks for it; another word is refused."""
    box = tl.load("moss-jar")
    water = asked("daily_water", "moss-jar", members=8)
    found = asked("drainage", "moss-jar", members=8, pour_members=8)
    assert found.details["pour_ml_per_day"] == {
        "now": water.value, **{season: water.seasons[season]["value"] for season in ("winter", "summer")},
    }  # fmt: skip
    poured = box.change(**{"routine.pours": [{"time": "08:00", "amount": "5 ml"}]})
    own = tl.drainage(poured, members=2, pour="described")
    assert set(own.details["pour_ml_per_day"].values()) == {5.0}
    assert "that of the routine, 5 ml a day" in own.text("why")
    with pytest.raises(tl.UnknownName, match="recommended"):
        tl.drainage(box, pour="recomended")


def test_a_layer_too_thin_to_siphon_has_no_rhythm() -> None:
    """Half a centimetre of room is no siphoning: no "every day" beside water that never reaches the mesh."""
    found = asked("drainage", "moss-jar", members=8, pour_members=8)
    plan = found.window
    assert plan["too_thin"]
    assert not plan["fills_by_itself"]
    assert {days for spans in (plan["days"], plan["every_days"]) for span in spans.values() for days in span} == {None}
    assert "siphon after an over-watering" in str(found)
    assert "every thorough watering" not in found.text("all")
    assert found.verdict is Verdict.LAYER_TOO_THIN
