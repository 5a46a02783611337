"""Which humidity the keeper wants, and how many hours of day and night the air gives it."""

from __future__ import annotations

import numpy as np

from terralab import materials
from terralab.describe.box import Box, HumidityTarget
from terralab.simulation.record import Record
from terralab.units import DAY_S

REACHES = 0.5  # points by which a mean may miss the band and still be shown, in whole per cent, as inside


def target_of(box: Box) -> tuple[HumidityTarget | None, str]:
    """The humidity band of a box and where it comes from; None where neither a band nor a group is given."""
    if box.humidity_target is not None:
        return box.humidity_target, "typed in the description"
    if not box.group:
        return None, "no animal group or band was given"
    g = materials.get("groups", box.group)
    target = HumidityTarget(
        day_low=g.typical("day_rh_low"),
        day_high=g.typical("day_rh_high"),
        night_low=g.typical("night_rh_low"),
        night_high=g.typical("night_rh_high"),
    )
    return target, f"{box.group} ({g['day_rh_low'].source})"


def is_day(record: Record, rows: np.ndarray, target: HumidityTarget | None) -> np.ndarray:
    """True for the rows that lie in the band's day (08:00 to 20:00 without a band)."""
    start, end = (target.day_from_s, target.day_to_s) if target is not None else (8 * 3600.0, 20 * 3600.0)
    clock = np.mod(record.times_s[rows] - 1.0, DAY_S)
    return (clock >= start) & (clock < end) if start < end else (clock >= start) | (clock < end)


def humidity(record: Record, rows: np.ndarray, target: HumidityTarget | None) -> dict[str, dict[str, float]]:
    """Mean, lowest and highest relative humidity [%] by day and by night."""
    rh = record.humidity_shown[rows]
    day = is_day(record, rows, target)
    return {
        name: {"mean": float(x.mean()), "low": float(x.min()), "high": float(x.max())}
        for name, x in (("day", rh[day]), ("night", rh[~day]))
    }


def hours(record: Record, rows: np.ndarray, target: HumidityTarget) -> dict[str, float]:
    """Hours a day inside, above and below the band, by day and by night (averaged over the rows' days)."""
    rh = record.humidity_shown[rows]
    day = is_day(record, rows, target)
    per_row = 24.0 / len(rows)
    low = np.where(day, target.day_low, target.night_low)
    high = np.where(day, target.day_high, target.night_high)
    out = {}
    for name, part in (("day", day), ("night", ~day)):
        out[f"{name} inside"] = float(np.sum(part & (rh >= low) & (rh <= high)) * per_row)
        out[f"{name} too dry"] = float(np.sum(part & (rh < low)) * per_row)
        out[f"{name} too damp"] = float(np.sum(part & (rh > high)) * per_row)
    return out


def shortfall(seen: dict[str, dict[str, float]], target: HumidityTarget) -> float:
    """How far the mean humidity lies outside the band, points, worse of day and night: negative when too dry."""
    gaps = []
    for name, low, high in (("day", target.day_low, target.day_high), ("night", target.night_low, target.night_high)):
        mean = seen[name]["mean"]
        gaps.append(mean - low if mean < low else mean - high if mean > high else 0.0)
    return min(gaps, key=lambda g: -abs(g))
