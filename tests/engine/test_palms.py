"""Palms on scales, a day long, through the whole engine: their light, warmth and humidity in, ml of water a day out.

Young oil palms in a growth chamber, in sealed pots on scales: Perez and others 2025 (open data of 2021, doi
10.5281/zenodo.12704284), the mean day of three trials, `tests/published/data/palm_days.csv`, hour by hour. The box here is
airy enough to take on the chamber's air: its lid is open, it leaks a hundred times an hour and a fan blows, around a
handful of leaf. One lamp an hour gives the light that the chamber's sensor read, and as many watts as bring the leaf to the
warmth that the thermal camera saw: on the cold days it was 1.5 K above the air, which light alone does not do here. The
resistances of the table contain the film of air in the chamber, so the air here blows fast (2 m/s) and adds little.
"""

from __future__ import annotations

import csv
from functools import cache

import numpy as np
import pytest

import terralab as tl
from tests.published.published_rows import DATA, figures, rows

TRIALS = {"400ppm": "palm_day_400", "LowPAR": "palm_day_lowpar", "Cold": "palm_day_cold"}
UMOL_PER_JOULE = 4.6  # of white light (Thimijan & Heins 1983, as quoted)
WATTS_PER_K = 60.0  # a lamp that warms a leaf by one kelvin, for finding the right one by steps
LEAF_CM2 = 100.0


@cache
def hours(trial: str) -> tuple[dict[str, str], ...]:
    """The 24 hours of the mean day of a trial."""
    with open(DATA / "palm_days.csv", encoding="utf-8", newline="") as lines:
        return tuple(one for one in csv.DictReader(lines) if one["trial"] == trial)


def course(trial: str, name: str) -> dict[str, list[float]]:
    """A day that repeats itself: straight lines between the middles of the hours."""
    values = [float(one[name]) for one in hours(trial)]
    ends = 0.5 * (values[0] + values[-1])
    return {"hours": [0.0, *(h + 0.5 for h in range(24)), 24.0], "values": [ends, *values, ends]}


def chamber(trial: str, kind: str, watts: np.ndarray) -> tl.Box:
    """A handful of leaf in a metre of air that is the chamber's, under a lamp of so many `watts` in each hour."""
    lamps = [
        {
            "name": f"hour {hour}",
            "kind": "led bar inside",
            "power": f"{watts[hour]} W",
            "light": 1.0,
            "radiant": 0.0,
            "convective": 0.0,
            "par_at_plants": float(one["light_umol"]),
            "timer": [f"{hour:02d}:00-{hour + 1:02d}:00"],
        }
        for hour, one in enumerate(hours(trial))
        if watts[hour] > 0.0
    ]
    return tl.Box.read(
        {
            "name": "palms in a chamber",
            "enclosure": {
                "width": "100 cm",
                "front_to_back": "100 cm",
                "height": "120 cm",
                "layers": [{"material": "coarse coir mix", "depth": "15 cm"}],
                "ground": {"bare_floor": "90 %"},
                "openings": [{"name": "lid", "wall": "lid", "width": "99 cm", "height": "99 cm", "mesh": False}],
                "leakage": "100 per hour",
                "air_speed": "200 cm/s",
                "plants": {
                    "kind": kind,
                    "leaf_area": f"{LEAF_CM2} cm2",
                    "leaf_width": "3 cm",
                    "root_depth": "5 cm",
                    "raised_damp": False,
                },
            },
            "room": {"temperature": course(trial, "air_c"), "humidity": course(trial, "humidity")},
            "routine": {
                "lamps": lamps,
                "fans": [{"name": "fan", "mode": "exchange", "flow": "1000 m3/h", "timer": ["always"]}],
            },
        },
        bare=True,
    )


def by_hour(series: np.ndarray) -> np.ndarray:
    """The mean of each hour of the last day."""
    return series[-96:].reshape(24, 4).mean(axis=1)


def measured(trial: str, name: str) -> np.ndarray:
    """A column of the day."""
    return np.array([float(one[name]) for one in hours(trial)])


def run(trial: str, kind: str, watts: np.ndarray, **overrides: float | str) -> tuple[tl.Record, np.ndarray]:
    """Two days, and the mean warmth of the leaves in each hour of the second [C]."""
    record = tl.simulate(chamber(trial, kind, watts), 2, record_every_min=15, overrides=overrides)
    leaf = record.raw.of_name("leaves")
    warm = np.average(record.raw.surfaces["t"][:, leaf], axis=1, weights=record.raw.surface["area"][leaf])
    return record, by_hour(warm)


@cache
def day(trial: str, kind: str, end: str = "typical") -> tuple[float, float]:
    """Water breathed out on the second day, whole and in the dark hours [g/m2]; `end` of the range of light and dark."""
    light, warm = measured(trial, "light_umol"), measured(trial, "leaf_c")
    names = ("resistance_full", "resistance_dark", "light_half")
    overrides = {f"{kind}.{name}": {"low": "high", "high": "low"}.get(end, end) for name in names}
    watts = light / UMOL_PER_JOULE
    for _ in range(6):
        record, leaf = run(trial, kind, watts, **overrides)
        watts = np.where(light > 0.0, np.maximum(0.1, watts + WATTS_PER_K * (warm - leaf)), 0.0)
    assert np.abs(leaf - warm).max() < 0.7
    assert np.abs(by_hour(record.air_c) - measured(trial, "air_c")).max() < 0.7, "the air must be the chamber's"
    assert np.abs(by_hour(record.relative_humidity) - measured(trial, "humidity")).max() < 2.0
    water = 1e3 * record.raw.flow["transpiration"][-96:].reshape(24, 4).sum(axis=1) / (LEAF_CM2 / 1e4)
    return float(water.sum()), float(water[light < 0.5].sum())


@pytest.mark.parametrize("trial", TRIALS)
def test_a_day_of_palms(trial: str) -> None:
    """Within 15 % over the whole day; the dark, a thirtieth of it, to a factor of three.

    On the cold days the engine stays a fifth below: the leaf meets the light of a leaf at a slope (0.77 of the sensor's), the
    film of air still takes a twentieth, and warmth closes leaves more here than those days showed.
    """
    whole, dark = figures(rows("leaves.csv")[TRIALS[trial]]["expected"])[:2]
    ours = day(trial, "palms")
    assert ours[0] == pytest.approx(whole, rel=0.21 if trial == "Cold" else 0.15)
    assert dark / 3.0 < ours[1] < 3.0 * dark


@pytest.mark.parametrize("trial", TRIALS)
def test_a_day_of_foliage_plants_has_the_palms_within_its_range(trial: str) -> None:
    """Who names no kind gets a range wide enough for palms."""
    whole = figures(rows("leaves.csv")[TRIALS[trial]]["expected"])[0]
    assert day(trial, "foliage plants", "low")[0] < whole < day(trial, "foliage plants", "high")[0]
