"""Answers that must move one way, the one that must not, and a clock that may start anywhere."""

from __future__ import annotations

import warnings
from dataclasses import replace

import numpy as np
import pytest

import terralab as tl
from terralab import materials
from terralab.describe import Lamp, Routine, Timer
from tests.engine.stores import same

EXCHANGES = (2.0, 5.0, 10.0, 20.0, 40.0, 70.0, 100.0)


def shut(lamps: tuple[Lamp, ...], room_c: float, room_rh: float, exchange: float) -> tl.Box:
    """Fern Hollow without vents and routine, soaked, with `exchange` air changes an hour through its gaps."""
    box = tl.load("fern-hollow")
    box = replace(box, routine=Routine()).change(
        **{
            "enclosure.openings": [],
            "enclosure.leakage": f"{exchange} per hour",
            "room.temperature": f"{room_c} C",
            "room.humidity": f"{room_rh} %",
            "start.soil": "wet",
        }
    )
    return replace(box, routine=Routine(lamps=lamps))


def lost_ml_a_day(record: tl.Record) -> float:
    """Vapour lost to the room, the mean of the run."""
    return (
        1000.0
        / record.settings["days"]
        * sum(float(record.raw.flow[f"vapour_{way}"].sum()) for way in ("leak", "openings", "fan"))
    )


def test_in_the_dark_more_exchange_takes_more_water() -> None:
    """Nothing warms the box: its air stays within 1.2 K and its surfaces within 3 K of the room's 21 C, and each more exchange takes more."""
    records = [tl.simulate(shut((), 21.0, 45.0, exchange), 3) for exchange in EXCHANGES]
    for record in records:
        assert np.abs(record.raw.zones["t"] - 21.0).max() < 1.2
        assert np.abs(record.raw.chain[:, 0] - 21.0).max() < 3.0
    lost = [lost_ml_a_day(record) for record in records]
    assert lost == sorted(lost)
    assert lost[-1] > 4.0 * lost[0]


@pytest.mark.filterwarnings("ignore:.*closed glass:terralab.TerralabWarning")
def test_under_a_lamp_there_is_an_exchange_that_takes_most() -> None:
    """A 100 W spot, a room of 15 C and 90 %: expected and found. Past the top, more exchange takes less water.

    Exchange carries vapour away and heat as well. At first the air, near saturation, is what holds evaporation back.
    In the end the air is the room's, whatever the exchange, and what more exchange still does is cool the soil and
    leaves under the lamp: their vapour pressure falls faster than the air dries. In a dry room the top lies beyond
    100 air changes. Measured: 58, 137, 246, 409, 498, 507, 496 ml a day.
    """
    spot = (Lamp("spot", "incandescent or halogen spot", 100.0, Timer(("always",))),)
    records = [tl.simulate(shut(spot, 15.0, 90.0, exchange), 3) for exchange in EXCHANGES]
    lost = [lost_ml_a_day(record) for record in records]
    top = int(np.argmax(lost))
    assert EXCHANGES[top] == 70.0
    assert lost[: top + 1] == sorted(lost[: top + 1])
    assert lost[top + 1] < 0.99 * lost[top]
    soil = [float(record.raw.chain[-1, 0]) for record in records]
    assert soil == sorted(soil, reverse=True), "the explanation: the soil cools all the way"
    ends = [record.humidity_ratio[-1] for record in records]
    assert ends == sorted(ends, reverse=True), "the air dries all the way"


def test_a_deeper_drainage_layer_floods_later() -> None:
    """A litre a day and no siphon: the day on which water first stands at the mesh."""
    days = []
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        for depth in (3, 5, 8):
            box = tl.load("fern-hollow").change(
                **{
                    "enclosure.drainage.depth": f"{depth} cm",
                    "enclosure.drainage.level": "1 cm",
                    "routine.pours.1.amount": "1 l",
                    "routine.siphons": [],
                }
            )
            record = tl.simulate(box, 25)
            reached = np.flatnonzero(record.gap_below_mesh_cm <= 0.0)
            assert reached.size, depth
            days.append(record.times_h[reached[0]] / 24.0)
    assert days == sorted(days)
    assert days[0] + 3.0 < days[-1]


def lamp_box(spans: tuple[str, ...], day: tuple[str, str]) -> tl.Box:
    """The moss jar with one lamp on `spans` in a room that is warm from `day[0]` to `day[1]`."""
    box = tl.load("moss-jar").change(
        **{"room.temperature": {"day": "22 C", "night": "18 C", "day_from": day[0], "day_to": day[1]}}
    )
    return replace(box, routine=Routine(lamps=(Lamp("lamp", "led bar inside", 12.0, Timer(spans)),)))


def test_a_day_cut_at_midnight_is_the_same_day_to_the_last_bit() -> None:
    whole = tl.simulate(lamp_box(("20:00-08:00",), ("08:00", "20:00")), 3)
    cut = tl.simulate(lamp_box(("20:00-24:00", "00:00-08:00"), ("08:00", "20:00")), 3)
    assert same(whole, cut)


def test_a_schedule_moved_past_midnight_gives_the_same_day_moved() -> None:
    """All clocks six hours later: after ten days the humidity of a day is that day's, six hours later.

    The first six hours differ, and the jar forgets them slowly: measured 0.05 points, of the 27 that a day covers.
    """
    early = tl.simulate(lamp_box(("10:00-22:00",), ("08:00", "20:00")), 12)
    late = tl.simulate(lamp_box(("16:00-04:00",), ("14:00", "02:00")), 12)
    steps = round(6.0 / (early.times_h[1] - early.times_h[0]))
    day = early.rows(10, 11)
    moved = np.arange(early.times_h.size)[day] + steps
    assert np.abs(late.relative_humidity[moved] - early.relative_humidity[day]).max() < 0.2
    assert np.ptp(early.relative_humidity[day]) > 20.0


HARD = {
    "no lamp": {"routine.lamps": []},
    "sealed": {"enclosure.openings": [], "enclosure.leakage": "0 per hour"},
    "50 mm at once on dry coir": {
        "start.soil": "dry",
        "enclosure.layers.1.material": "coarse coir mix",
        "enclosure.openings": [],
        "routine.pours.1.amount": "13.5 l",
        "routine.pours.1.every": "10 d",
    },
    "dry, and nothing below": {
        "enclosure.drainage": None,
        "enclosure.tube": None,
        "enclosure.mesh_barrier": False,
        "routine.siphons": [],
        "start.soil": "dry",
    },
}


@pytest.mark.parametrize("changes", HARD.values(), ids=HARD)
def test_more_hard_boxes_run_and_close(changes: dict[str, object]) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        record = tl.simulate(tl.load("fern-hollow").change(**changes), 5)
    assert record.closure_water <= 1e-9
    assert record.closure_energy <= 1e-6
    assert record.relative_humidity.max() <= 100.2


@pytest.mark.parametrize("demo", tl.demos())
@pytest.mark.parametrize("room_c", [5, 40])
def test_every_demo_stands_a_cold_and_a_hot_room(demo: str, room_c: int) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        record = tl.simulate(tl.load(demo).change(**{"room.temperature": f"{room_c} C"}), 5)
    assert record.closure_water <= 1e-9
    assert record.closure_energy <= 1e-6


#: What a keeper asks for by name, and the table it stands in.
PRESETS = {
    "peat-based mix": "substrates",
    "fine coir mix": "substrates",
    "coarse coir mix": "substrates",
    "bark-rich mix": "substrates",
    "sandy mix": "substrates",
    "loam topsoil": "substrates",
    "sphagnum moss": "covers",
    "sheet moss": "covers",
    "expanded clay 8-16 mm": "aggregates",
    "expanded clay 4-10 mm": "aggregates",
    "gravel 8-15 mm": "aggregates",
}


@pytest.mark.parametrize(("name", "table"), PRESETS.items())
def test_every_preset_has_a_range_for_what_matters(name: str, table: str) -> None:
    """Low, typical and high of each number, in order; and a real range wherever the material is not one thing."""
    numbers = materials.get(table, name).numbers
    for number in numbers.values():
        assert number.low <= number.typical <= number.high
    ranged = [prop for prop, number in numbers.items() if number.low < number.high]
    assert len(ranged) >= 4, ranged
    wanted = {"substrates": {"theta_s", "alpha", "n", "ks"}, "aggregates": {"void_fraction"}, "covers": {"porosity"}}
    assert wanted[table] <= set(ranged)
