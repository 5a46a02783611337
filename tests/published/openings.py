"""Cases: screens, windows, and the breath of a room."""

from __future__ import annotations

import math
from collections.abc import Iterator

from scipy.optimize import brentq

from terralab import materials
from terralab.physics import fan, gases, ventilation
from tests.published.cases import Point, Row, Said, reads

FILE = "ventilation.csv"
TOPIC = "Openings, fans and fresh air"


def discharge(threads: tuple[float, float], share: float) -> float:
    """Discharge coefficient of a screen at 0.25 m/s; its thread follows from the open share (1 - n1 d)(1 - n2 d)."""
    n1, n2 = (100.0 * n for n in threads)
    thread = brentq(lambda d: (1.0 - n1 * d) * (1.0 - n2 * d) - share, 0.0, 0.99 / max(n1, n2))
    return 1.0 / math.sqrt(fan.screen_loss(0.25, share, thread))


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
    flow = 3600.0 * ventilation.one_opening(10.0 / 293.0, 0.5, 1.0, 0.61)
    yield Point("window of half a square metre", row.take("212 m3/h")[0], flow, "m3/h", rel=1e-2)


@reads(FILE, TOPIC, "neutral_level_large_above")
def level(row: Row) -> Iterator[Point]:
    """Where no air moves between two vents: near the larger one."""
    yield Point("neutral level above the low vent", row.take(".413 m")[0], ventilation.neutral_level(0.006, 0.02, 0.45),
                "m", rel=1e-2)  # fmt: skip


@reads(FILE, TOPIC, "person_in_office")
def office(row: Row) -> Iterator[Point]:
    """Carbon dioxide of one person in the usual supply of outdoor air."""
    rise = 1e6 * gases.steady_excess(0.31 * 60.0, 1000.0, 7.5 * 3600.0 / 1000.0)
    yield Point("carbon dioxide over outdoor air", row.take("700 ppm")[0], rise, "ppm", rel=3e-2)


@reads(FILE, TOPIC, "tropical_floor")
def floor(row: Row) -> Iterator[Point | Said]:
    """What a wet tropical forest floor gives off, beside the range shipped for the soil of a box."""
    share, all_of_it = 0.41, row.take("9.4 umol/m2s")[0]
    yield Point("soil's part", row.take("3.85 umol/m2s")[0], share * all_of_it, "umol/m2s", rel=1e-2)
    ours = materials.get("defaults", "soil life")["carbon_dioxide"]
    yield Said("it lies in the range shipped", "3.85", f"{ours.low:g} to {ours.high:g}", ours.low < 3.85 < ours.high)
