"""Every series of a record, held against the raw stores and flows by name and unit, or against another library."""

from __future__ import annotations

import warnings

import numpy as np
import pytest

import terralab as tl
from terralab.engine.kinds import BACK, COVER, DISH, FRONT, LEAF, LID, PANE, SIDES
from terralab.psychrometrics import density_kg_m3, humidity_ratio, relative_humidity
from terralab.simulation.record import Record

#: A lamp and a heater whose powers are the only heat; the mat warms the floor, so that each layer has its own warmth.
HEATED = {
    "routine.lamps": None,
    "routine.fans": None,
    "routine.heaters": [
        {"name": "emitter", "kind": "ceramic emitter", "power": "6 W", "timer": ["06:00-18:00"]},
        {"name": "mat", "kind": "heat mat under floor", "power": "9 W", "timer": ["always"]},
    ],
    "routine.mists": [{"name": "mist", "flow": "30 ml/min", "timer": ["1 min every 6 h"]}],
    "enclosure.layers": [{"material": "fine coir mix", "depth": "5 cm"}, {"material": "sandy mix", "depth": "5 cm"}],
    "enclosure.dish": {"area": "60 cm2", "depth": "2 cm"},
    "routine.pours": [{"time": "08:00", "amount": "400 ml"}],
}


@pytest.fixture(scope="module")
def record() -> Record:
    return run(3)


def run(days: int, **more: object) -> Record:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)  # a hot lamp at a covered lid: nobody lives here
        box = tl.load("fern-hollow").change(**HEATED, **more)
    return tl.simulate(box, days, accuracy="preview", record_every_min=30)


#: What a series in ml/h sums up, kg over the interval before its row.
FLOWS = {
    "poured ml/h": ("poured",),
    "sprayed and misted ml/h": ("spray_leaf", "spray_glass", "spray_ground", "fog_in"),
    "soil evaporation ml/h": ("soil_evaporation",),
    "cover evaporation ml/h": ("cover_evaporation",),
    "transpiration ml/h": ("transpiration",),
    "leaf film evaporation ml/h": ("leaf_film",),
    "glass film evaporation ml/h": ("glass_film",),
    "dish evaporation ml/h": ("dish_evaporation",),
    "condensation ml/h": ("condensation",),
    "vapour lost through gaps ml/h": ("vapour_leak",),
    "vapour lost through vents ml/h": ("vapour_openings",),
    "vapour lost by fan ml/h": ("vapour_fan",),
    "drained into the reservoir ml/h": ("drained", "bypassed"),
    "refilled ml/h": ("refilled",),
    "contact rise ml/h": ("contact_rise",),
    "reservoir vapour ml/h": ("reservoir_vapour",),
    "wick rise ml/h": ("wick_rise",),
    "tube evaporation ml/h": ("tube_evaporation",),
    "siphoned ml/h": ("siphoned",),
    "spilled ml/h": ("spilled",),
    "drained away ml/h": ("drained_away",),
    "cover drip ml/h": ("cover_drip",),
    "glass drip ml/h": ("glass_drip",),
    "leaf drip ml/h": ("leaf_drip",),
    "fog evaporation ml/h": ("fog_evaporation",),
    "fog lost ml/h": ("fog_lost",),
    "fog settled ml/h": ("fog_settled",),
    "wood release ml/h": ("wood_release",),
}
#: What a series in W sums up, J over the interval.
HEATS = {
    "heat lost through the glass W": "heat_glass",
    "heat rays lost through the lid W": "heat_lid",
    "heat lost with exchanged air W": "heat_vent",
    "heat lost through the sides of the soil W": "heat_side",
    "heat lost through the floor W": "heat_base",
}
#: What a series shows of surfaces: their kinds; temperatures are the mean over the area, water is added up.
SURFACES = {
    "glass temperature C": (PANE, LID),
    "leaf temperature C": (LEAF,),
    "cover temperature C": (COVER,),
    "dish temperature C": (DISH,),
    "water on glass g": (PANE, LID),
    "water on leaves g": (LEAF,),
    "water in cover g": (COVER,),
}
#: What a series shows of one of the airs: its place from the ground up.
AIRS = {"below": 0, "above": 1}
#: What a series in g/m2 shows of a pane: its wall, or the lid; the same in both systems of words.
PANES = {
    "water on front pane g/m2": (PANE, FRONT),
    "water on side panes g/m2": (PANE, SIDES),
    "water on back pane g/m2": (PANE, BACK),
    "water on lid glass g/m2": (LID, 0.0),
}
OF_AIRS = {
    f"{what} {air} {unit}" for air in AIRS for what, unit in (("air temperature", "C"), ("relative humidity", "%"))
}
BY_OTHER_MEANS = {
    "air temperature C",
    "relative humidity %",
    "dew point C",
    "vapour g/m3",
    "soil surface temperature C",
    "soil bottom temperature C",
    "reservoir temperature C",
    "reservoir level cm",
    "gap below mesh cm",
    "soil water ml",
    "air changes per hour",
    "heat from devices W",
}


def test_every_series_is_held_against_something(record: Record) -> None:
    assert set(record.series) == {*FLOWS, *HEATS, *SURFACES, *OF_AIRS, *PANES, *BY_OTHER_MEANS}


@pytest.mark.parametrize("name", FLOWS)
def test_a_flow_is_its_amount_over_the_half_hour_before(record: Record, name: str) -> None:
    raw = record.raw
    amount = sum(np.array(raw.moved[f] if f in raw.moved.dtype.names else raw.flow[f]) for f in FLOWS[name])
    np.testing.assert_allclose(record.series[name][1:], 1000.0 * amount[1:] / 0.5, rtol=1e-12)
    others = (record.series[other] for other in FLOWS if other != name)
    if np.any(amount):
        assert not any(np.array_equal(record.series[name], other) for other in others)


@pytest.mark.parametrize("name", HEATS)
def test_a_heat_is_its_amount_over_the_half_hour_before(record: Record, name: str) -> None:
    amount = record.raw.flow[HEATS[name]]
    assert np.any(amount)
    np.testing.assert_allclose(record.series[name][1:], amount[1:] / 1800.0, rtol=1e-12)


@pytest.mark.parametrize("name", SURFACES)
def test_a_series_of_surfaces_is_of_those_it_is_named_after(record: Record, name: str) -> None:
    """Read surface by surface, in both airs; none of the other kinds has a part in it."""
    raw = record.raw
    these = [j for j in range(raw.surface.size) if raw.surface["kind"][j] in SURFACES[name]]
    assert these
    if name.startswith("water"):
        wanted = sum(1000.0 * raw.surfaces["film"][:, j] for j in these)
    else:
        areas = [raw.surface["area"][j] for j in these]
        wanted = sum(area * raw.surfaces["t"][:, j] for area, j in zip(areas, these, strict=True)) / sum(areas)
    np.testing.assert_allclose(record.series[name], wanted, rtol=1e-12)


def test_the_glass_is_all_that_is_glass_above_the_soil(record: Record) -> None:
    """Four walls from the soil to the rim and the lid but for what of it is open, by rule and pencil."""
    e, raw = record.box.enclosure, record.raw
    walls = 2.0 * (e.width_cm + e.front_to_back_cm) * e.air_height_cm
    lid = e.width_cm * e.front_to_back_cm - sum(o.area_cm2 * (1.0 - o.covered) for o in e.openings if o.wall == "lid")
    glass = raw.of_kinds((PANE, LID))
    assert raw.surface["area"][glass].sum() == pytest.approx((walls + lid) / 1e4, rel=1e-9)


@pytest.mark.parametrize("name", PANES)
def test_water_on_a_pane_is_what_lies_on_its_pieces_over_their_area(record: Record, name: str) -> None:
    kind, wall = PANES[name]
    raw, e = record.raw, record.box.enclosure
    these = (raw.surface["kind"] == kind) & (raw.surface["wall"] == wall)
    across = {FRONT: e.width_cm, SIDES: 2.0 * e.front_to_back_cm, BACK: e.width_cm}[wall]
    area = across * e.air_height_cm / 1e4 if kind == PANE else float(raw.surface["area"][these].sum())
    assert these.sum() == (2 if kind == PANE else 1)
    assert np.any(raw.surfaces["film"][:, these])
    np.testing.assert_allclose(
        record.series[name], 1000.0 * raw.surfaces["film"][:, these].sum(axis=1) / area, rtol=1e-9
    )


@pytest.mark.parametrize("air", AIRS)
def test_the_air_below_and_above_by_psychrolib(record: Record, air: str) -> None:
    """Temperature as it stands, and humidity from it and the vapour by another library; above is another air than below."""
    state = record.raw.zones[:, AIRS[air]]
    np.testing.assert_array_equal(record.series[f"air temperature {air} C"], state["t"])
    shown = record.series[f"relative humidity {air} %"]
    for row in range(0, len(record.raw.t), 7):
        by_library = min(100.0, relative_humidity(float(state["t"][row]), float(state["w"][row])))
        assert by_library == pytest.approx(shown[row], rel=1e-3)
    other = record.series[f"relative humidity {'above' if air == 'below' else 'below'} %"]
    assert np.abs(shown - other).max() > 0.5


def test_the_air_of_the_box_lies_between_below_and_above(record: Record) -> None:
    """Two airs of equal height: the box's own temperature is half way between them, and so is its vapour."""
    below, above = (record.series[f"air temperature {air} C"] for air in AIRS)
    np.testing.assert_allclose(record.series["air temperature C"], 0.5 * (below + above), rtol=1e-12)
    np.testing.assert_allclose(record.humidity_ratio, record.raw.zones["w"].mean(axis=1), rtol=1e-12)


def test_a_jar_has_one_air_and_no_series_of_two() -> None:
    jar = tl.simulate(tl.load("moss-jar"), 1, accuracy="preview", record_every_min=60)
    assert jar.zone_names == ("whole",)
    assert not OF_AIRS & set(jar.series)
    np.testing.assert_array_equal(jar.series["air temperature C"], jar.zone_c("whole"))


def test_the_air_by_psychrolib(record: Record) -> None:
    """Relative humidity, dew point and the mass of vapour in a cubic metre, from temperature and humidity ratio alone."""
    series, zones = record.series, record.raw.zones
    for row in range(0, len(record.raw.t), 7):
        t, w = float(zones["t"][row].mean()), float(zones["w"][row].mean())
        rh = series["relative humidity %"][row]
        assert relative_humidity(t, w) == pytest.approx(rh, rel=1e-3)
        assert humidity_ratio(float(series["dew point C"][row]), 100.0) == pytest.approx(w, rel=1e-3)
        share = w / (1.0 + w)  # of the moist air's mass
        assert series["vapour g/m3"][row] == pytest.approx(
            1000.0 * share * density_kg_m3(t, min(100.0, float(rh))), rel=1e-3
        )


def test_the_ground_from_top_to_bottom(record: Record) -> None:
    """A heated floor: the water below is the warmest, then the bottom of the soil, then its top, all night long."""
    series = record.series
    night = (record.times_h % 24 < 5) & (record.times_h > 24)
    below, bottom, top = (
        series[name][night]
        for name in ("reservoir temperature C", "soil bottom temperature C", "soil surface temperature C")
    )
    assert np.all(below > bottom + 0.02)
    assert np.all(bottom > top + 0.02)
    # the chain runs from the top of the soil to the water below
    for place, name in ((0, "soil surface"), (-2, "soil bottom"), (-1, "reservoir")):
        np.testing.assert_array_equal(series[f"{name} temperature C"], record.raw.chain[:, place])


def test_without_a_layer_below_the_bottom_is_the_last_of_the_soil() -> None:
    gone = dict.fromkeys(("enclosure.drainage", "enclosure.tube", "routine.siphons"))
    bare = run(1, **gone)
    np.testing.assert_array_equal(bare.series["soil bottom temperature C"], bare.raw.chain[:, -1])
    assert bare.series["soil bottom temperature C"][-1] > bare.series["soil surface temperature C"][-1] + 0.05
    assert "reservoir temperature C" not in bare.series


def test_the_water_below_stands_above_the_floor_and_under_the_mesh(record: Record) -> None:
    depth = record.box.enclosure.drainage.depth_cm
    level, gap = record.series["reservoir level cm"], record.series["gap below mesh cm"]
    np.testing.assert_allclose(level + gap, depth)
    assert level[0] == pytest.approx(record.box.enclosure.drainage.level_cm, abs=0.01)


def test_the_water_of_the_soil_is_that_of_its_cells(record: Record) -> None:
    """Litres by hand: share of water times depth times floor, pond aside."""
    floor_cm2 = record.box.enclosure.width_cm * record.box.enclosure.front_to_back_cm
    by_cells = (record.soil_water * 100.0 * record.raw.dz).sum(axis=1) * floor_cm2
    np.testing.assert_allclose(record.series["soil water ml"], by_cells, rtol=1e-9)


def test_heat_from_devices_is_the_power_of_those_that_run(record: Record) -> None:
    """Six watts inside by day and nine under the floor all the time, each by its shares that enter the box."""
    heat = record.series["heat from devices W"]
    hour = (record.times_h - 0.25) % 24
    day, night = heat[(hour > 6) & (hour < 18)], heat[(hour < 6) | (hour > 18)][1:]

    def enters(kind: str) -> float:
        return sum(tl.materials.get("heaters", kind).typical(part) for part in ("radiant", "convective", "floor"))

    assert night == pytest.approx(9.0 * enters("heat mat under floor"), rel=1e-6)
    assert day.mean() - night.mean() == pytest.approx(6.0 * enters("ceramic emitter"), rel=1e-6)
    raw = record.raw.flow
    np.testing.assert_allclose(heat[1:], (raw["heat_devices"] + raw["heat_floor"])[1:] / 1800.0)


def test_air_changes_are_air_entered_over_air_held(record: Record) -> None:
    volume = record.box.enclosure.air_volume_m3
    held = volume * 1.2  # kg of dry air; its density at 20 C is 1.204 kg/m3 (any table of air)
    entered = record.raw.flow["air_exchanged"][1:] / 0.5
    assert record.series["air changes per hour"][1:] == pytest.approx(entered / held, rel=0.04)
