"""The airs of a box, one below and one above, and that of a hide: how far they differ, and which of them is outside what is wanted.

A band is judged by all air mixed, as a hygrometer half way up shows it. Where that is inside and the air below or above
is not, the answer warns: an animal at the ground lives in the air below.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from terralab.answers.common.brief import NEAR
from terralab.answers.common.humidity_target import is_day
from terralab.describe.box import HumidityTarget
from terralab.quantities import quantity
from terralab.simulation.record import Record

DIFFER_POINTS, DIFFER_K = 2.0, 0.5  # what a keeper's instruments can tell apart (a choice)
WHERE = {"below": "below", "above": "above", "hide": "in the hide", "whole": "in the box"}
Air = Mapping[str, Mapping[str, float]]


def airs_of(record: Record, rows: np.ndarray, target: HumidityTarget | None) -> dict[str, dict[str, dict[str, float]]]:
    """Humidity [%] and temperature [C] of each air by "day" and "night": `rh`, `rh_low`, `rh_high`, `c`, `c_low`, `c_high`."""
    day = is_day(record, rows, target)
    return {
        zone: by_part(record.zone_humidity(zone)[rows], record.zone_c(zone)[rows], day) for zone in record.zone_names
    }


def by_part(rh: np.ndarray, c: np.ndarray, day: np.ndarray) -> dict[str, dict[str, float]]:
    """Mean, lowest and highest humidity and temperature by day and by night."""
    out = {}
    for part, these in (("day", day), ("night", ~day)):
        these = these if these.any() else ~these
        out[part] = {
            "rh": float(rh[these].mean()), "rh_low": float(rh[these].min()), "rh_high": float(rh[these].max()),
            "c": float(c[these].mean()), "c_low": float(c[these].min()), "c_high": float(c[these].max()),
        }  # fmt: skip
    return out


def apart(airs: Mapping[str, Air]) -> dict[str, tuple[float, float]]:
    """How far the air below differs from that above: (points of humidity, degrees) by day and by night; {} with one air."""
    if "below" not in airs:
        return {}
    low, high = airs["below"], airs["above"]
    return {part: (low[part]["rh"] - high[part]["rh"], low[part]["c"] - high[part]["c"]) for part in ("day", "night")}


def differs(airs: Mapping[str, Air]) -> bool:
    """True where below and above differ by 2 points or half a degree, by day or by night."""
    return any(abs(points) >= DIFFER_POINTS or abs(k) >= DIFFER_K for points, k in apart(airs).values())


def air_words(seen: Mapping[str, float]) -> str:
    """One air at one part of the day: "82 % at 22.0 °C"."""
    return f"{seen['rh']:.0f} % at {quantity('°C', '.1f', seen['c'])}"


def airs_words(airs: Mapping[str, Air]) -> str:
    """The air below and above by day and by night in one sentence; "" where they hardly differ."""
    if not differs(airs):
        return ""
    parts = [
        f"by {part} below {air_words(airs['below'][part])}, above {air_words(airs['above'][part])}"
        for part in ("day", "night")
    ]
    return f"The air is not the same everywhere: {'; '.join(parts)}."


def hide_words(airs: Mapping[str, Air]) -> str:
    """The air in the hide by day and by night, with its range; "" where there is none."""
    if "hide" not in airs:
        return ""
    parts = [
        f"{air_words(seen)} by {part} ({seen['rh_low']:.0f} to {seen['rh_high']:.0f} %, "
        f"{quantity('°C', '.1f', seen['c_low'], seen['c_high'])})"
        for part, seen in airs["hide"].items()
    ]
    return f"In the hide: {' and '.join(parts)}."


def uneven_words(airs: Mapping[str, Air], rh: Mapping[str, Mapping[str, float]], target: HumidityTarget | None) -> str:
    """The warning that the humidity below or above lies outside what is wanted while all air mixed is inside; "" otherwise.

    `rh[part]["mean"]` is the humidity of the mixed air [%]. Of several the worst. The temperature there is judged by
    `heat_words.place_words`.
    """
    found: list[tuple[float, str]] = []
    for zone in ("below", "above") if "below" in airs and target is not None else ():
        for part in ("day", "night"):
            seen = airs[zone][part]
            ends = getattr(target, f"{part}_low"), getattr(target, f"{part}_high")
            out = _outside(seen["rh"], *ends)
            if part in rh and abs(out) > NEAR and abs(_outside(rh[part]["mean"], *ends)) <= NEAR:
                said = f"Mind: {WHERE[zone]}, it is {air_words(seen)} by {part}, too {'damp' if out > 0.0 else 'dry'}"
                found.append((abs(out), f"{said} (wanted {ends[0]:g} to {ends[1]:g} %)."))
    return max(found)[1] if found else ""


def _outside(value: float, low: float, high: float) -> float:
    """By how much a value lies outside its band, negative below it; 0 inside."""
    return min(0.0, value - low) + max(0.0, value - high)


def plain(airs: Mapping[str, Air]) -> dict[str, Any]:
    """The airs as plain data, to tenths."""
    return {
        zone: {part: {k: round(v, 1) for k, v in seen.items()} for part, seen in air.items()}
        for zone, air in airs.items()
    }
