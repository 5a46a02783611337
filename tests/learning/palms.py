"""Palms on scales in a chamber: learn from the first part of a stay what a plant loses, and foretell the rest.

Young oil palms, one at a time for some days in a growth chamber, their pots sealed and on a scale: Perez and others 2025,
open data of 2021, doi 10.5281/zenodo.12704284, whose repository states no licence for the data. So what is carried here is
derived from its ten-minute table: `tests/published/data/palm_hours.csv` holds means of each hour of light, warmth and
humidity of the chamber's air and of the weight lost. These are the stays in the chamber's plain climate (23 to 33 C, full
light, weak light, then half as much carbon dioxide again) whose first three fifths last two days.
"""

from __future__ import annotations

import csv
import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

import terralab as tl
from terralab.errors import TerralabWarning
from terralab.learning.fit import Fit
from terralab.learning.from_log import fit
from terralab.logs.diary import Weighed
from terralab.logs.log import BOX, ROOM, Log, SensorLog
from terralab.physics.moist_air import saturation_pressure
from terralab.simulation.simulate import Job, run_many
from tests.published.published_rows import DATA

FLOOR_M2 = 1.14 * 1.13  # of the chamber (README of the data)
UMOL_PER_JOULE = 4.6  # of white light (Thimijan & Heins 1983, as quoted)
LEARNED = 0.6  # share of the weighed hours that is learned from
WEIGHED_H = 6  # h: losses are weighed in so long parts
WEIGHED_ERROR = 0.2  # of a loss in six hours: leaves pass more in the morning than in like air and light after noon, which no law here knows
LEAST_G_H = 0.5  # g an hour: the error of a loss at least


@dataclass(frozen=True, eq=False)
class Stay:
    """A plant's stay in the chamber, hour by hour: `hour` since the midnight of the first day, `lost` [g an hour], NaN unweighed."""

    number: int
    first: np.datetime64
    leaf_area_index: float
    hour: np.ndarray
    light: np.ndarray
    air_c: np.ndarray
    humidity: np.ndarray
    lost: np.ndarray

    @property
    def missing_kpa(self) -> np.ndarray:
        """What the air lacks of saturation [kPa]."""
        full = np.array([saturation_pressure(float(t)) for t in self.air_c])
        return full / 1e3 * (1.0 - self.humidity / 100.0)

    @property
    def parts(self) -> tuple[np.ndarray, np.ndarray]:
        """Places of the weighed hours that are learned from, and of those that are foretold."""
        weighed = np.flatnonzero(np.isfinite(self.lost))
        cut = int(LEARNED * len(weighed))
        return weighed[:cut], weighed[cut:]


@cache
def stays() -> dict[int, Stay]:
    """Every stay, by its number in the data."""
    with open(DATA / "palm_hours.csv", encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    found = {}
    for number in dict.fromkeys(int(row["stay"]) for row in rows):
        mine = [row for row in rows if int(row["stay"]) == number]
        column = lambda name, mine=mine: np.array([float(row[name] or "nan") for row in mine])  # noqa: E731
        first = np.datetime64(mine[0]["begins"], "s")
        found[number] = Stay(
            number, first, float(mine[0]["leaf_area_index"]), column("hour"), column("light_umol"), column("air_c"),
            column("humidity"), column("g_per_h"),
        )  # fmt: skip
    return found


def chamber(stay: Stay) -> tl.Box:
    """The chamber as a keeper would describe it: open to an air that is held for it, one palm, soil that loses next to nothing.

    Its pot is sealed, which no box knows: rock and 30 cm of bark lie over the soil here, so that 1 to 2 g an hour are lost
    by it, a tenth of what the palm loses.
    """
    last = 24.0 * np.ceil((stay.hour[-1] + 1.0) / 24.0)
    at = [0.0, *(float(h) + 0.5 for h in stay.hour), float(last)]
    course = lambda x: {"hours": at, "values": [float(x[0]), *map(float, x), float(x[-1])]}  # noqa: E731
    most = float(stay.light.max())
    loads = [0.0, *(float(x) / most for x in stay.light), 0.0, 0.0]
    lamp = {
        "name": "lamps",
        "kind": "led bar inside",
        "power": f"{most / UMOL_PER_JOULE * FLOOR_M2:.0f} W",
        "light": 1.0,
        "radiant": 0.0,
        "convective": 0.0,
        "par_at_plants": f"{most:.0f} umol",
        "timer": {"hours": [0.0, *map(float, stay.hour), float(stay.hour[-1] + 1.0), float(last)], "loads": loads},
    }
    table = {
        "name": "palm in a chamber",
        "enclosure": {
            "width": "114 cm",
            "front_to_back": "113 cm",
            "height": "152 cm",
            "layers": [{"material": "coarse coir mix", "depth": "20 cm"}],
            "cover": {"material": "bark pieces", "depth": "30 cm"},
            "ground": {"rock": "60 %"},
            "openings": [{"name": "lid", "wall": "lid", "width": "110 cm", "height": "110 cm", "mesh": False}],
            "leakage": "100 per hour",
            "air_speed": "100 cm/s",
            "plants": {
                "kind": "palms",
                "leaf_area": f"{stay.leaf_area_index * FLOOR_M2 * 1e4:.0f} cm2",
                "leaf_width": "3 cm",
                "root_depth": "48 cm",
                "raised_damp": False,
            },
        },
        "room": {"temperature": course(stay.air_c), "humidity": course(stay.humidity)},
        "routine": {
            "lamps": [lamp],
            "fans": [{"name": "fan", "mode": "exchange", "flow": "1000 m3/h", "timer": ["always"]}],
        },
    }
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        return tl.Box.read(table, bare=True)


def log_of(stay: Stay) -> Log:
    """The chamber's own sensor as the log of a box that has the air of its room."""
    times = stay.first + (3600.0 * (stay.hour + 0.5)).astype("timedelta64[s]")
    sensor = SensorLog(stay.air_c, stay.humidity)
    return Log(times, {BOX: sensor, ROOM: sensor})


def weighed(stay: Stay) -> list[Weighed]:
    """What the scale told in the part that is learned from, in parts of six hours."""
    learned = stay.parts[0]
    found = []
    for block in np.unique(stay.hour[learned] // WEIGHED_H):
        these = learned[stay.hour[learned] // WEIGHED_H == block]
        if len(these) < WEIGHED_H or not np.isfinite(stay.lost[these]).all():
            continue
        begins = stay.first + np.timedelta64(round(3600 * stay.hour[these[0]]), "s")
        lost = float(stay.lost[these].mean())
        error = float(np.hypot(WEIGHED_ERROR * lost, LEAST_G_H))
        found.append(
            Weighed(begins, begins + np.timedelta64(WEIGHED_H, "h"), 24.0 * lost, 24.0 * error, "box on a scale")
        )
    return found


def learned(stay: Stay, bank: int, members: int) -> Fit:
    """Learn from the first part of a stay."""
    until = stay.first + np.timedelta64(round(3600 * (stay.hour[stay.parts[0][-1]] + 1.0)), "s")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        return fit(chamber(stay), log_of(stay), weighed=weighed(stay), until=until, bank=bank, members=members)


def foretold(stay: Stay, draws: Sequence[dict[str, float]]) -> np.ndarray:
    """What the palm of each draw breathes out in each hour of the stay [g], draws by hours: its pot on the scale is sealed."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        box = chamber(stay)
        days = float(np.ceil((stay.hour[-1] + 1.0) / 24.0))
        records = run_many([Job(box, days, "now", one, "preview", record_every_min=15.0) for one in draws])
    hours = stay.hour.astype(int)
    return np.array([1e3 * one.moved_kg("transpiration")[1:].reshape(-1, 4).sum(axis=1)[hours] for one in records])


def draws_of(found: Fit, members: int) -> list[dict[str, float]]:
    """The first draws of a fit, each as the overrides of a run."""
    return [{key: held[i] for key, held in found.draws.items()} for i in range(members)]


def by_regression(stay: Stay) -> np.ndarray:
    """What a straight-line regression on light and on what the air lacks of saturation, fitted to the first part, foretells [g an hour]."""
    about = np.column_stack([np.ones(len(stay.hour)), stay.light, stay.missing_kpa])
    first = stay.parts[0]
    slopes = np.linalg.lstsq(about[first], stay.lost[first], rcond=None)[0]
    return about @ slopes
