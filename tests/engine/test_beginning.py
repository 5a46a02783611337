"""How a run begins: in balance with room, soil and routine, so that its first day is like the next ones."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import terralab as tl
from terralab.describe.routine import Lamp, Routine
from terralab.describe.seasons import room_of
from terralab.describe.timer import Timer
from terralab.engine.kinds import DISH
from terralab.engine.pack import pack
from terralab.engine.settle import settle, settling
from tests.engine.stores import same

A_DAY = 96


def steady(name: str, **changes: object) -> tl.Box:
    """A demo with the same lamps and fans every day, nothing poured or sprayed, no thermostat."""
    box = tl.load(name).change(**changes) if changes else tl.load(name)
    return replace(box, routine=replace(box.routine, pours=(), sprays=(), mists=(), siphons=(), heaters=()))


@pytest.mark.parametrize("wood", ["0 cm2", "8000 cm2"])
@pytest.mark.parametrize("lid", ["50 %", "97 %"])
def test_the_first_day_is_like_the_third(lid: str, wood: str) -> None:
    """A damp box whose days are alike, airy or close, with much wood and none: air, glass, wood and warmth, hour by hour.

    The soil itself loses a little water in the two days between, so they are not the same to the last bit.
    """
    box = steady("fern-hollow", **{"enclosure.openings.lid.covered": lid, "enclosure.wood_area": wood})
    record = tl.simulate(box, 3)
    first, third = slice(0, A_DAY), slice(2 * A_DAY, 3 * A_DAY)
    assert np.abs(record.relative_humidity[first] - record.relative_humidity[third]).max() < 1.0
    for name, course, most in (
        ("air", record.raw.zones["t"], 0.25),
        ("surfaces", record.raw.surfaces["t"], 0.25),
        ("wood", record.raw.zones["wood"], 0.01),
    ):
        assert np.abs(course[first] - course[third]).max() < most, name
    assert np.abs(record.raw.chain[first] - record.raw.chain[third]).max() < 0.25
    lost = record.raw.flow["vapour_openings"][1:].reshape(3, A_DAY).sum(axis=1)
    assert lost[0] == pytest.approx(lost[2], rel=0.02)


@pytest.mark.parametrize("soil", ["drained-moist", "dry"])
def test_a_box_in_which_nothing_changes_begins_at_rest(soil: str) -> None:
    """Steady room, no device: the first hours are those of the third day. Dry soil goes on drying, but nothing leaps."""
    box = replace(tl.load("fern-hollow").change(**{"start.soil": soil, "room.temperature": "20 C"}), routine=Routine())
    record = tl.simulate(box, 3)
    early = record.relative_humidity[: A_DAY // 4]
    assert np.abs(np.diff(early)).max() < 0.2
    for place, zone in enumerate(record.zone_names):
        assert np.abs(record.raw.zones["wood"][0, place] - record.zone_humidity(zone)[0] / 100.0) < 0.03
    if soil == "drained-moist":
        assert early[0] == pytest.approx(record.relative_humidity[2 * A_DAY], abs=0.3)
        assert record.air_c[0] == pytest.approx(record.air_c[2 * A_DAY], abs=0.05)


def test_what_a_description_states_stays_as_stated() -> None:
    """Water in soil, drainage layer and dish is not touched by looking for the balance; a dry box has dry leaves."""
    for name in tl.demos():
        box = tl.load(name)
        before, after = (pack(box, room_of(box, "now"), 2) for _ in range(2))
        assert settle(after, settling(), int(box.start.soil == "dry"), 0.0) == 0
        assert after.water[1:] == pytest.approx(before.water[1:], abs=0.0)
        assert after.head[1:] == pytest.approx(before.head[1:], abs=0.0)
        dish = before.air.surface["kind"] == DISH
        film = after.air.surfaces[0]["film"]
        assert np.array_equal(film[dish], before.air.surfaces[0]["film"][dish])
        if box.start.soil == "dry":
            assert not film[~dish].any()
            assert abs(after.water[0] - before.water[0]) < 2e-6  # m
        else:
            assert after.water[0] == before.water[0]


def test_a_box_that_would_cook_is_told_so_by_its_run() -> None:
    """Looking for the balance gives up quietly, and the run names the hour and the reason."""
    oven = tl.load("moss-jar").change(**{"routine.lamps.1.power": "2000 W", "routine.lamps.1.timer": ["always"]})
    work = pack(oven, room_of(oven, "now"), 1)
    before = work.air.state_v[0].copy(), work.chain[0].copy()
    assert settle(work, settling(), 0, 0.0) == 1
    assert np.array_equal(work.air.state_v[0], before[0])
    assert np.array_equal(work.chain[0], before[1])
    with pytest.raises(tl.RunError, match="80 C"):
        tl.simulate(oven, 1)


def lit(power_w: float, kind: str = "led bar outside lid") -> tl.Record:
    box = tl.load("fern-hollow").change(**{"enclosure.plants.kind": "foliage plants"})
    lamps = (Lamp("plant light", kind, power_w, Timer(("07:30-19:30",))),) if power_w >= 0.0 else ()
    return tl.simulate(replace(box, routine=replace(box.routine, lamps=lamps)), 3)


def test_a_lamp_of_no_power_is_no_lamp() -> None:
    """Every number of the record, to the last bit."""
    none, idle = lit(-1.0), lit(0.0)
    assert same(none, idle)


def test_leaves_open_in_step_with_the_light_that_is_there() -> None:
    """No leap from a lamp of no power to one of a millionth of a watt; then more light, more opening, and less with each step.

    The light alone is turned up, as a meter read it, and the lamp warms nothing to speak of: a hyperbola between shut and
    open. Air that grows damper holds leaves back, so the steps shrink a little faster than those of the pores.
    """
    box = tl.load("fern-hollow").change(**{"enclosure.plants.kind": "foliage plants"})

    def given(par: float, power: float = 1e-6) -> float:
        lamp = Lamp("plant light", "led bar outside lid", power, Timer(("07:30-19:30",)), par_at_plants=par)
        record = tl.simulate(replace(box, routine=replace(box.routine, lamps=(lamp,))), 3)
        return float(record.raw.flow["transpiration"].sum())

    water = [given(par) for par in (0.0, 1e-6, 10.0, 20.0, 30.0, 40.0, 2000.0)]
    assert water[1] == pytest.approx(water[0], rel=1e-4)
    assert float(lit(0.0).raw.flow["transpiration"].sum()) == pytest.approx(water[0], rel=1e-4)
    steps = np.diff([water[0], *water[2:6]])
    assert steps.min() > 0.0
    assert np.all(np.diff(steps) < 0.0)
    assert water[-1] > water[-2] + 2.0 * steps[-1]
