"""Cases: air exchanged with the room, and the limits that a whole box comes to."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

import terralab as tl
from terralab.describe.routine import Routine
from terralab.describe.seasons import room_of
from terralab.describe.timer import Timer
from terralab.engine.pack import pack
from terralab.engine.schedule import room_course
from terralab.physics import moist_air
from tests.engine.holes import hole, opening, passes
from tests.engine.rates import PASSED, rates, start, zones_of
from tests.published.cases import Point, Row, reads
from tests.published.moist_air import w_of

FILE = "air.csv"
TOPIC = "Air exchange and whole boxes"


def rising() -> float:
    """How much lighter the inside air of the rows is: 26 C 85 % inside, 22 C 45 % in the room."""
    inside, room = moist_air.density(26.0, w_of(26.0, 85.0)), moist_air.density(22.0, w_of(22.0, 45.0))
    return moist_air.lightness(inside, room)


@reads(FILE, TOPIC, "two_openings")
def two_vents(row: Row) -> Iterator[Point]:
    """A low and a high vent."""
    flow = 3600.0 * passes(rising(), hole(0.0, 0.006, discharge=0.6), hole(0.45, 0.02, discharge=0.6))[0]
    yield Point("60 cm2 low, 200 cm2 high, 0.45 m apart", row.take("5.18 m3/h")[0], flow, "m3/h", rel=1e-2)


@reads(FILE, TOPIC, "one_opening")
def slot(row: Row) -> Iterator[Point]:
    """A single upright slot."""
    flow = 3600.0 * passes(rising(), opening(0.0, 0.05, 0.3 * 0.05, discharge=0.6))[0]
    yield Point("slot of 30 by 5 cm", row.take("1.06 m3/h")[0], flow, "m3/h", rel=1e-2)


@reads(FILE, TOPIC, "ashrae_stack")
def stack(row: Row) -> Iterator[Point]:
    """Q = C A sqrt(2 g dH dT/T): two openings of A sqrt 2 each have the effective area A."""
    (area,) = row.take("A .006 m2")[:1]
    each = area * math.sqrt(2)
    flow = 3600.0 * passes(4.0 / 299.15, hole(0.0, each, discharge=0.65), hole(0.41, each, discharge=0.65))[0]
    yield Point("60 cm2, 0.41 m, 4 K", row.take("4.60 m3/h")[0], flow, "m3/h", rel=1e-2)


@reads(FILE, TOPIC, "vapour_loss_per_ach")
def loss_by_exchange(row: Row) -> Iterator[Point]:
    """What one air change an hour carries off, by room."""
    w_in = w_of(24.0, 80.0)
    air = 0.12 * moist_air.density(24.0, w_in) / (1.0 + w_in) * 24.0
    for (t, rh), printed in zip(((24, 55), (21, 45), (21, 30), (21, 20)), row.take("16 27 35 40 ml/day"), strict=True):
        yield Point(f"0.12 m3 at 24 C 80 %, room {t} C {rh} %", printed, 1000.0 * air * (w_in - w_of(t, rh)), "ml/d",
                    rel=0.05)  # fmt: skip


@reads(FILE, TOPIC, "tracer_decay")
def decay(row: Row) -> Iterator[Point]:
    """A box that leaks as much as printed: how long the engine takes to lose three quarters of an excess of vapour."""
    (ach,) = row.take("4.159 air changes per hour")
    box = tl.load("moss-jar").change(
        **{"enclosure.openings": [], "enclosure.leakage": f"{ach} per hour", "room.temperature": "20 C"}
    )
    work = pack(replace(box, routine=Routine()), room_of(box, "now"), 1)
    y, lost = start(work), []
    for w in (0.010, 0.011):
        zones_of(work, y)["t"], zones_of(work, y)["w"] = 20.0, w
        dy = np.zeros_like(y)
        rates(0.0, y, work, 0, dy)
        lost.append(dy[len(y) - len(PASSED) + PASSED.index("vapour_to_room")])
    share_a_second = (lost[1] - lost[0]) / 0.001 / work.box[0]["air_mass"]
    before, after = row.take("excess 20 -> 5 g/m3")[:2]
    yield Point("from 20 to 5 g/m3 of excess at 4.159 air changes an hour", row.take("in 20 min")[0],
                math.log(before / after) / share_a_second / 60.0, "min", rel=0.01)  # fmt: skip


@reads(FILE, TOPIC, "sealed_limit")
def sealed(row: Row) -> Iterator[Point]:
    """A closed dark box of wet soil in a room at its own temperature, after seven days."""
    box = tl.load("moss-jar").change(
        **{
            "enclosure.openings": [],
            "enclosure.leakage": "0 per hour",
            "room.temperature": "20 C",
            "room.humidity": "50 %",
        }
    )
    record = tl.simulate(replace(box, routine=Routine()), 7)
    yield Point("humidity of a sealed, dark, wet box", row.take("100 %")[0], record.relative_humidity[-1], "%",
                rel=1e-3)  # fmt: skip


@reads(FILE, TOPIC, "dry_limit")
def without_sources(row: Row) -> Iterator[Point]:
    """Unplanted, unwatered, under lamps that never go off, once the sand has come to rest after 60 days: a day's mean.

    Over warm ground two airs turn over and over, by some hundredths of a kelvin, and the dry sand breathes with them.
    """
    box = tl.load("dry-ledge").change(
        **{
            "enclosure.dish": None,
            "enclosure.hide": None,
            "enclosure.wood_area": "0 cm2",
            "enclosure.background_area": "0 cm2",
            "room.temperature": "21 C",
            "room.humidity": "70 %",
            "enclosure.layers": [{"material": "washed sand", "depth": "1 cm"}],
        }
    )
    lamps = tuple(replace(lamp, timer=Timer(("always",)), control=None) for lamp in box.routine.lamps)
    lit = replace(box, routine=Routine(lamps=lamps))
    record = tl.simulate(lit, 60)
    outside = room_course(room_of(lit, "now"), 1)[0, 2]
    yield Point("humidity ratio inside over the room's", 1.0, record.humidity_ratio[-96:].mean() / outside, rel=1e-5)
