"""Schedules that come out alike: the rule, the groups, and that the choice among them is fair; all laws, over many boxes."""

from __future__ import annotations

import numpy as np
import pytest

import terralab as tl
from terralab.answers.common.fair_rows import fair_days, fair_rows_min
from terralab.answers.common.statement import Kind
from terralab.answers.common.temperature import judged, rank, worse_than
from terralab.answers.fans.alike import HOURS, MEASURES, SAME, alike, grouped, groups_of, told_apart
from terralab.answers.fans.alike_words import listed
from terralab.answers.fans.choice import SAME_HOURS, SAME_MEANS, first_of, inside, today
from terralab.answers.fans.faults import Fault, FaultKind
from terralab.answers.fans.knee import knee_of
from terralab.answers.fans.schedules import with_fans
from terralab.describe import Fan
from tests.keepers import keepers_box

DAY = np.arange(24) < 12
BURSTS = ("5 min every 1 h", "10 min every 1 h", "15 min every 1 h")

pytestmark = pytest.mark.filterwarnings("ignore::terralab.errors.TerralabWarning")


def made_up(name: str, rng: np.random.Generator, spread: float) -> dict:
    """A row of the comparison whose numbers are drawn near each other, or far apart."""
    around = lambda middle, by: float(max(0.0, middle + by * spread * rng.normal()))  # noqa: E731
    c = 22.0 + 0.3 * spread * rng.normal()
    rh_day, rh_night = around(70, 2), around(85, 2)
    seen = {
        "rh_day": {"mean": rh_day}, "rh_night": {"mean": rh_night}, "temperature_day_c": c, "temperature_night_c": c - 3,
        "heat": judged({part: np.full(24, c) for part in ("air", "ground", "glass")}, DAY, None), "basking": None,
        "hours": {"day inside": around(9, 1), "night inside": around(8, 1)}, "front_fogged_h": around(2, 0.5), "sprays": 1,
        "dry_out_h": None if rng.random() < 0.05 else around(3, 0.8), "water_ml": around(60, 6), "co2_ppm": around(900, 60),
        "faults": [Fault(FaultKind.FRONT_ALL_DAY)] if rng.random() < 0.1 * spread else [],
    }  # fmt: skip
    return {"name": name, "mode": "exchange", "minutes_a_day": float(60 * rng.integers(0, 24)), "now": seen}


def comparison(seed: int) -> tuple[list[dict], dict[str, dict[str, np.ndarray]]]:
    """A made-up comparison with the draws behind it; what is today's stands somewhere among the rows."""
    rng = np.random.default_rng(seed)
    spread = float(rng.choice([0.3, 1.0, 3.0]))
    rows = [made_up(f"plan {k}", rng, spread) for k in range(12)]
    rows[int(rng.integers(12))]["name"] = "as described"
    around = lambda row, name: MEASURES[name](row["now"]) + 0.3 * SAME[name] * rng.normal(size=8)  # noqa: E731
    return rows, {row["name"]: {name: around(row, name) for name in MEASURES} for row in rows}


@pytest.mark.parametrize("seed", range(40))
def test_the_choice_is_never_clearly_less_humid_than_what_is_as_safe(seed: int) -> None:
    """Nothing without more faults, and no worse in warmth, has an hour more inside what is wanted; today's least of all.

    But where the one with the most hours is as humid, to what a hygrometer shows: then the hours hang on a border. Else the
    recommended schedule has the fewest hours only where all that are as safe come within an hour of each other.
    """
    rows, drawn = comparison(seed)
    best = first_of(rows, None, alike=lambda a, b: alike(a, b, drawn))
    now = today(rows)
    assert not worse_than(best["now"]["heat"], now["now"]["heat"])
    as_safe = [row for row in rows if len(row["now"]["faults"]) <= len(best["now"]["faults"])]
    hours = [inside(row["now"]) for row in as_safe]
    top = max(as_safe, key=lambda row: inside(row["now"]))["now"]
    if all(abs(top[part]["mean"] - best["now"][part]["mean"]) <= SAME_MEANS for part in ("rh_day", "rh_night")):
        return
    assert max(hours) <= inside(best["now"]) + SAME_HOURS + 1e-6
    assert inside(best["now"]) > min(hours) or max(hours) - min(hours) <= SAME_HOURS + 1e-6
    # and of those alike to it that are as humid none is plainer
    near = [row for row in as_safe if alike(row, best, drawn) and inside(row["now"]) >= max(hours) - SAME_HOURS]
    assert best["minutes_a_day"] == min(row["minutes_a_day"] for row in near)


@pytest.mark.parametrize("seed", range(40))
def test_groups_hold_every_schedule_once_and_nothing_that_can_be_told_apart(seed: int) -> None:
    rows, drawn = comparison(seed)
    best, now = first_of(rows, None), today(rows)
    groups = grouped(rows, best, now, drawn)
    assert sorted(name for group in groups for name in group["names"]) == sorted(row["name"] for row in rows)
    assert [group["recommended"] for group in groups] == [True] + [False] * (len(groups) - 1)
    assert [group["today"] for group in groups].count(True) == 1
    by_name = {row["name"]: row for row in rows}
    for group in groups:
        lead = by_name[group["name"]]
        assert group["name"] in group["names"]
        for name in group["names"]:
            one = by_name[name]
            assert [fault.same_as for fault in one["now"]["faults"]] == [f.same_as for f in lead["now"]["faults"]]
            assert abs(one["now"]["rh_day"]["mean"] - lead["now"]["rh_day"]["mean"]) <= SAME["rh day"]
            assert abs(inside(one["now"]) - inside(lead["now"])) <= SAME[HOURS] + 1e-6
        for low, shown, high in group["than_today"].values():
            assert low <= shown <= high
        if group["name"] == now["name"]:
            assert not any(shown for _, shown, _ in group["than_today"].values())


def test_two_schedules_alike_in_the_run_but_not_in_the_draws_are_told_apart() -> None:
    """And a draw that could not be run counts for nothing, a danger always."""
    rows, _ = comparison(0)
    a, b = (rows[0] | {"name": name} for name in "ab")
    level = {name: np.full(8, read(a["now"])) for name, read in MEASURES.items()}
    drier = level | {"rh day": level["rh day"] - 3.0}
    assert alike(a, b, {"a": level, "b": level})
    assert not alike(a, b, {"a": level, "b": drier})
    lost = level | {name: np.r_[np.full(7, np.nan), x[:1]] for name, x in drier.items()}
    lost["rh day"] = np.r_[np.full(7, np.nan), level["rh day"][:1]]
    assert alike(a, b, {"a": level, "b": lost})
    wet = b | {"now": b["now"] | {"faults": [*b["now"]["faults"], Fault(FaultKind.TOP_DRIES)]}}
    stuffy = b | {"now": b["now"] | {"co2_ppm": 1500.0}}
    hot = {part: np.full(24, 40.0) for part in ("air", "ground", "glass")}
    bad = b | {"now": b["now"] | {"heat": judged(hot, DAY, None)}}
    assert not alike(a, wet, {})
    assert not alike(a | {"now": a["now"] | {"co2_ppm": 600.0}}, stuffy, {})
    assert alike(a, bad, {}) == (rank(a["now"]["heat"]) == rank(bad["now"]["heat"]))
    assert (
        told_apart({"water ml": 200.0}, {"water ml": 218.0}) < 1.0 < told_apart({"water ml": 20.0}, {"water ml": 26.0})
    )


def test_names_are_listed_by_the_kind_of_fan() -> None:
    names = [
        "no fan",
        "exchange 5 min an hour",
        "circulate 15 min an hour",
        "circulate at night",
        "as described",
        "my plan",
    ]
    assert listed(names) == (
        "no fan; exchange 5 min an hour; circulate 15 min an hour, and at night; your fans as described; my plan"
    )


@pytest.mark.parametrize("seed", [11, pytest.param(24, marks=pytest.mark.slow)])
def test_every_face_of_a_keepers_box_has_the_same_groups(seed: int) -> None:
    """Words, table and data; the choice is no worse than today's, and nothing dangerous hides in its group."""
    answer = tl.fan_schedules(keepers_box(seed), members=2, pour_members=2)
    pairs = groups_of(answer)
    assert sum(len(group["names"]) for _, group in pairs) == len(answer.table)
    best, group = pairs[0]
    assert (best["name"], group["recommended"]) == (answer.details["choice"], True)
    rows = {row["name"]: row["now"] for row in answer.table}
    now = today(list(answer.table))["now"]
    if len(now["faults"]) <= len(best["now"]["faults"]) and now["heat"]["verdict"] == best["now"]["heat"]["verdict"]:
        assert inside(best["now"]) >= inside(now) - SAME_HOURS - 1e-6
    for name in group["names"]:
        assert rows[name]["heat"]["verdict"] == best["now"]["heat"]["verdict"]
    table = answer.of_kind(Kind.TABLE)[0].lines()[2:]
    assert len(table) == len(pairs)
    for line, (row, group) in zip(table, pairs, strict=True):
        assert (f" +{len(group['names']) - 1} " in line) == (len(group["names"]) > 1), line
        assert f"{row['now']['rh_day']['mean']:.0f}" in line
    text = answer.text("all")
    for row, group in pairs:
        others = [name for name in group["names"] if name != row["name"]]
        said = f"Alike with {'it' if group['recommended'] else row['name']}: {listed(others)}."
        assert (said in text) == bool(others)
    assert ("you could not tell them apart" in text) == any(len(group["names"]) > 1 for _, group in pairs)


def test_a_fan_in_bursts_is_looked_at_as_often_as_it_takes() -> None:
    """Rows every quarter or half hour all fell into the pauses of a fan of ten minutes an hour: two points too damp."""
    box = tl.load("fern-hollow")
    timed = lambda text: with_fans(box, Fan("f", "exchange", text, flow_m3_h=2.0))  # noqa: E731
    assert [fair_rows_min(timed(text), 30.0) for text in (*BURSTS, "30 min every 1 h", "always", "19:01-20:01")] == [
        5.0, 5.0, 15.0, 30.0, 30.0, 30.0,
    ]  # fmt: skip
    assert fair_rows_min(with_fans(box)) == 15.0
    run = lambda text, every: tl.simulate(timed(text), 3, accuracy="preview", record_every_min=every)  # noqa: E731
    mean = lambda record: record.humidity_shown[record.rows(2, 3)].mean()  # noqa: E731
    for text in BURSTS:
        true = mean(run(text, 1))
        assert mean(run(text, fair_rows_min(timed(text), 30.0))) == pytest.approx(true, abs=0.4)
    assert mean(run("10 min every 1 h", 30)) > mean(run("10 min every 1 h", 1)) + 1.0


def test_the_knee_is_where_the_curve_of_the_lid_turns_up() -> None:
    """Of two straight lines it is their corner; a straight line has none, nor has one that flattens out."""
    shares = (0.0, 0.2, 0.4, 0.6, 0.8, 0.9, 1.0)

    def lids(rh: list[float]) -> list[dict]:
        return [
            {"fan": "no fan", "covered": share, "rh_day": {"mean": x}, "rh_night": {"mean": x}}
            for share, x in zip(shares, rh, strict=True)
        ]

    assert knee_of(lids([60, 61, 62, 63, 64, 74, 84])) == 0.8
    assert knee_of(lids([60 + 20 * share for share in shares])) is None
    assert knee_of(lids([60, 75, 84, 88, 90, 91, 92])) is None
    assert knee_of(lids([60, 61, 62, 63, 64, 74, 84])[:4]) is None


@pytest.mark.parametrize(
    ("sprays", "days"),
    [((), 7), ((1,), 7), ((2,), 6), ((3,), 6), ((2, 3), 6), ((4,), 4), ((7,), 7), ((10,), 10), ((2, 7), 7), ((30,), 7)],
)
def test_means_are_taken_over_whole_periods_of_the_sprays(sprays, days):
    """Three sprays of 30 ml in a week of every second day would be 13 ml a day, where 15 are given."""
    box = tl.load("moss-jar").change(
        **{"routine.sprays": [{"time": "19:00", "amount": "30 ml", "every": f"{every} d"} for every in sprays]}
    )
    assert fair_days(box) == days
