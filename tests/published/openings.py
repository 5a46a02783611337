"""Cases: openings under one pressure, lids, screens, fans, windows, and the breath of a room."""

from __future__ import annotations

import math
from collections.abc import Iterator

from scipy.optimize import brentq

import terralab as tl
from terralab import materials
from terralab.engine.fans import opening_rows
from terralab.engine.layout import Overrides
from terralab.physics import fan, gases, mesh, openings
from terralab.physics.constants import GRAVITY
from tests.engine.holes import fan as blower
from tests.engine.holes import hole, lid, opening, passes
from tests.published.cases import Point, Row, Said, reads

FILE = "ventilation.csv"
HOLES = "openings.csv"
TOPIC = "Openings, fans and fresh air"


def discharge(threads: tuple[float, float], share: float) -> float:
    """Discharge coefficient of a screen at 0.25 m/s; its thread follows from the open share (1 - n1 d)(1 - n2 d)."""
    n1, n2 = (100.0 * n for n in threads)
    thread = brentq(lambda d: (1.0 - n1 * d) * (1.0 - n2 * d) - share, 0.0, 0.99 / max(n1, n2))
    return 1.0 / math.sqrt(mesh.screen_loss(0.25, share, thread))


def height_of_rest(pressure: float, lightness: float) -> float:
    """Height [m] at which box and room have the same pressure."""
    return -pressure / (openings.AIR_DENSITY * GRAVITY * lightness)


@reads(HOLES, TOPIC, "one_tall_opening", "heavy_box_mirror")
def door(row: Row) -> Iterator[Point]:
    """A single upright opening, box lighter or heavier than the room."""
    light = -0.01 if row.id == "heavy_box_mirror" else 0.01
    yield Point(f"door 50 by 30 cm, lightness {light:g}", row.take("0.005231435 m3/s")[0],
                passes(light, opening(0.1, 0.4, 0.15))[0], "m3/s", rel=1e-6)  # fmt: skip


@reads(HOLES, TOPIC, "two_holes", "neutral_level")
def two_holes(row: Row) -> Iterator[Point]:
    """A low and a high hole."""
    flow, _, pressure = passes(0.01, hole(0.0, 0.001), hole(0.4, 0.002))
    if row.id == "two_holes":
        yield Point("holes of 10 and 20 cm2, 0.4 m apart", row.take("1.528200e-4 m3/s")[0], flow, "m3/s", rel=1e-6)
    else:
        yield Point("height between them where no air moves", row.take("0.3200 m")[0], height_of_rest(pressure, 0.01),
                    "m", abs=1e-5)  # fmt: skip


@reads(HOLES, TOPIC, "three_equal_holes")
def three_holes(row: Row) -> Iterator[Point]:
    """The middle one of three has nothing to do."""
    flow = passes(0.01, hole(0.0, 0.001), hole(0.2, 0.001), hole(0.4, 0.001))[0]
    yield Point("three holes of 10 cm2, 0.2 m apart", row.take("1.208148e-4 m3/s")[0], flow, "m3/s", rel=1e-3)


@reads(HOLES, TOPIC, "lid_bare", "lid_stable", "lid_cooper_maximum")
def still_lid(row: Row) -> Iterator[Point]:
    """A level opening by itself."""
    if row.id == "lid_bare":
        yield Point("lid opening of 0.2 m2, lightness 0.01", row.take("0.003115646 m3/s")[0],
                    passes(0.01, lid(0.6, 0.2))[0], "m3/s", rel=1e-5)  # fmt: skip
    elif row.id == "lid_stable":
        yield Point("the same under lighter air", row.take("0 m3/s")[0], passes(-0.01, lid(0.6, 0.2))[0], "m3/s",
                    abs=1e-14)  # fmt: skip
    else:
        yield Point("lid opening of 0.0875 m2, lightness 0.01", row.take("1.490289e-03 m3/s")[0],
                    passes(0.01, lid(0.6, 0.0875))[0], "m3/s", rel=1e-5, at_most=0.26,
                    misfit="the greatest flow Cooper allows; Epstein's coefficient is used, a third below it")  # fmt: skip


@reads(HOLES, TOPIC, "lid_flooding_pressure")
def flooding(row: Row) -> Iterator[Point]:
    """The push at which nothing comes back down through a round hole: found from where the two-way part ends."""
    area, light = math.pi * 0.15**2, 0.01
    a, b = 1e-9, openings.bare_loss(0.61)
    ends = brentq(lambda x: openings.lid_exchange(light, x, area, a, b, b, 0.05) - 1e-9, 0.0, 0.02)
    yield Point("pressure that floods a round hole of 0.3 m", row.take("0.016133 Pa")[0], ends, "Pa", rel=2e-5)


@reads(HOLES, TOPIC, "lid_flooded_0", "lid_flooded_0.5", "lid_flooded_1", "lid_flooded_1.5")
def flooded_lid(row: Row) -> Iterator[Point]:
    """A fan blows into a box whose only opening is a round hole in its lid."""
    share = float(row.id.rpartition("_")[2])
    pushed = share * row.take("7.100103e-03 m3/s")[0]
    printed = row.take(row.expected)[0]
    flow = passes(0.01, lid(0.6, math.pi * 0.15**2), into=pushed)[0]
    yield Point(f"round hole of 0.3 m, fan at {share:g} of the flooding flow", printed, flow, "m3/s", rel=1e-6)


@reads(HOLES, TOPIC, "screen_pressure", "screen_two_term_fit")
def mesh_pair(row: Row) -> Iterator[Point]:
    """A screen as two losses, beside the form they are fitted to."""
    a, b = mesh.screen_pair(0.55, 0.00025)
    if row.id == "screen_pressure":
        drop = 0.5 * openings.AIR_DENSITY * 0.01 * mesh.screen_loss(0.1, 0.55, 0.00025)
        yield Point("pressure across a screen at 0.1 m/s", row.take("0.09993 Pa")[0], drop, "Pa", rel=0.005)
    else:
        yield Point("its viscous loss", row.take("a 0.8921 Pa s/m")[0], a, "Pa s/m", rel=0.005)
        yield Point("its inertial loss", row.take("b 0.8712 Pa s2/m2")[0], b, "Pa s2/m2", rel=0.005)
        usual = mesh.mesh_friction(0.2, openings.bare_loss(0.61))
        yield Point("viscous loss of a mesh of the shipped factor 0.2", a, usual, "Pa s/m", rel=0.05)


@reads(HOLES, TOPIC, "stack_with_small_fan", "stack_with_strong_fan")
def stack_and_fan(row: Row) -> Iterator[Point]:
    """A fan helps the draught, or overrules it."""
    small = row.id == "stack_with_small_fan"
    moved = row.take("fan moves 5e-5 m3/s out" if small else "fan 2e-4 m3/s out")[0]
    printed = row.take("1.431999e-4 m3/s" if small else "2.000000e-4 m3/s")[0]
    yield Point(f"two holes of 10 cm2, fan {moved:g} m3/s", printed,
                passes(0.01, hole(0.0, 0.001), hole(0.4, 0.001), out=moved)[0], "m3/s", rel=1e-6)  # fmt: skip


@reads(HOLES, TOPIC, "fan_as_opening_row")
def fan_row(row: Row) -> Iterator[Point]:
    """A fan on its curve is an opening behind a push."""
    face = 0.0024
    row_of_fan = blower(0.5, face, fan.blowing_loss(0.004, 8.0, face), 8.0)
    yield Point("fan of 0.004 m3/s and 8 Pa against 120 cm2", row.take("0.003914904 m3/s")[0],
                passes(0.0, hole(0.1, 0.012), row_of_fan)[1], "m3/s", rel=1e-6)  # fmt: skip


@reads(HOLES, TOPIC, "tall_opening_with_fan", "tall_opening_one_way")
def door_and_fan(row: Row) -> Iterator[Point]:
    """A fan blows out of a box with a door."""
    slot = opening(0.0, 0.3, 0.15)
    if row.id == "tall_opening_with_fan":
        flow, _, pressure = passes(0.01, slot, out=0.003)
        yield Point("door 50 by 30 cm, fan 3 l/s", row.take("0.006803504 m3/s in")[0], flow, "m3/s", rel=1e-6)
        yield Point("height above the sill where no air moves", row.take("0.178717 m")[0],
                    height_of_rest(pressure, 0.01), "m", rel=1e-5)  # fmt: skip
    else:
        both_ways = lambda q: passes(0.01, slot, out=q)[0] - q  # noqa: E731  # air that leaves by the door itself
        ends = brentq(lambda q: both_ways(q) - 1e-9, 0.005, 0.0149)
        yield Point("fan from which on the door lets air in alone", row.take("0.01479673 m3/s")[0], ends, "m3/s",
                    rel=1e-4)  # fmt: skip


@reads(HOLES, TOPIC, "small_hole_never_harms")
def door_and_hole(row: Row) -> Iterator[Point]:
    """The engine's own rim, not the bare law: a hole of 1 cm2 above a door."""
    rim = openings.EDGE
    changes = lambda *rows: 3600.0 / 0.1134 * passes(0.01, *rows)[0]  # noqa: E731
    slot = opening(0.1, 0.4, 0.15, viscous=rim)
    alone, both = row.take("164.60 to 164.85 air changes an hour")
    yield Point("door alone", alone, changes(slot), "1/h", rel=1e-4)
    yield Point("with a hole of 1 cm2 in the lid", both, changes(slot, lid(0.6, 1e-4, viscous=rim)), "1/h", rel=1e-4)


@reads(HOLES, TOPIC, "continuity_at_rest")
def at_rest(row: Row) -> Iterator[Point]:
    """Meshed vent and lid while box and room are all but equal: the air goes as the difference, either way."""
    rows = [tuple(r.item()) for r in opening_rows(tl.load("fern-hollow").enclosure, Overrides())]
    at = lambda light: passes(light, *rows)[0]  # noqa: E731
    yield Point("no difference", 0.0, at(0.0), "m3/s", abs=1e-12)
    yield Point("100 times the difference, times the air", 100.0, at(1e-6) / at(1e-8), rel=0.01)
    yield Point("lighter over heavier", 1.0, at(1e-8) / at(-1e-8), rel=0.01)


@reads(FILE, TOPIC, "insect_screens")
def screens(row: Row) -> Iterator[Point]:
    """Woven screens in a wind tunnel."""
    for threads, share, printed in zip(((10, 20), (13, 30)), (0.350, 0.263), row.take(".207 .151"), strict=True):
        yield Point(f"{threads[0]} by {threads[1]} threads on a cm, {100 * share:g} % open", printed,
                    discharge(threads, share), rel=0.3)  # fmt: skip


@reads(FILE, TOPIC, "insect_screen_loose")
def loose_screen(row: Row) -> Iterator[Point]:
    """A screen of almost the same open share whose threads lie otherwise: 1.6 times the flow of its twin."""
    yield Point("10 by 20 threads on a cm, 36 % open", row.take(".325")[0], discharge((10, 20), 0.36), rel=0.3)


@reads(FILE, TOPIC, "window_one_side")
def window(row: Row) -> Iterator[Point]:
    """A window in one wall, no wind."""
    flow = 3600.0 * passes(10.0 / 293.0, opening(0.0, 1.0, 0.5))[0]
    yield Point("window of half a square metre", row.take("212 m3/h")[0], flow, "m3/h", rel=1e-2)


@reads(FILE, TOPIC, "neutral_level_large_above")
def level(row: Row) -> Iterator[Point]:
    """Where no air moves between two vents: near the larger one."""
    _, _, pressure = passes(0.01, hole(0.0, 0.006), hole(0.45, 0.02))
    yield Point(
        "neutral level above the low vent", row.take(".413 m")[0], height_of_rest(pressure, 0.01), "m", rel=1e-2
    )


@reads(FILE, TOPIC, "person_in_office")
def office(row: Row) -> Iterator[Point]:
    """Carbon dioxide of one person in the usual supply of outdoor air."""
    (printed,) = row.take("700 ppm")
    outdoor = gases.exchange_for(0.31 * 60.0, 1000.0, printed * 1e-6) * 1000.0 / 3600.0
    yield Point("outdoor air that keeps one person at 700 ppm", row.take("7.5 l/s")[0], outdoor, "l/s", rel=3e-2)


@reads(FILE, TOPIC, "tropical_floor")
def floor(row: Row) -> Iterator[Point | Said]:
    """What a wet tropical forest floor gives off, beside the range shipped for the soil of a box."""
    share, all_of_it = 0.41, row.take("9.4 umol/m2s")[0]
    yield Point("soil's part", row.take("3.85 umol/m2s")[0], share * all_of_it, "umol/m2s", rel=1e-2)
    ours = materials.get("defaults", "soil life")["carbon_dioxide"]
    yield Said("it lies in the range shipped", "3.85", f"{ours.low:g} to {ours.high:g}", ours.low < 3.85 < ours.high)
