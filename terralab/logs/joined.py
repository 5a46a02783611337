"""Several logs as one: the files of two sensors on one time base, or a log and the one that goes on from it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from terralab.errors import TerralabError, quoted
from terralab.logs import tidy
from terralab.logs.log import ROOM, Log, SensorLog
from terralab.units import HOUR_S, as_float, is_number

_GAP_S = HOUR_S  # no reading is made up across a longer gap than that, or than three rows


def joined(*logs: Log) -> Log:
    """Return several logs as one `Log`.

    The rows are those of the log of the box with most rows, and those of the others before and after it. What the others read is taken
    at these times along straight lines, where their readings lie at most an hour or three rows apart; the load of a device holds until
    its next row. Two logs of one sensor may follow each other, but not overlap. Raises `TerralabError`.
    """
    for one in logs:
        if not isinstance(one, Log):
            raise TerralabError(f"Logs are joined that tl.read_log read; {quoted(one)} was given.")
    if not logs:
        raise TerralabError("Nothing was given to join. Give two or more logs that tl.read_log read.")
    parts = _chained(list(logs))
    if len(parts) == 1:
        return parts[0]
    base = max(parts, key=lambda one: (any(place != ROOM for place in one.sensors), len(one.times)))
    times = base.times
    for one in parts:
        if one is not base:
            outside = (one.times < times[0]) | (one.times > times[-1])
            times = np.union1d(times, one.times[outside])
    sensors: dict[str, SensorLog] = {}
    devices: dict[str, np.ndarray] = {}
    for one in parts:
        twice = next((name for name in one.devices if name in devices), None)
        if twice is not None:
            raise TerralabError(f"Two logs tell the load of {quoted(twice)}. Keep it in one of them.")
        sensors |= {place: _at(one.times, sensor, times) for place, sensor in one.sensors.items()}
        devices |= {name: _held(one.times, load, times) for name, load in one.devices.items()}
    apart = [
        one for one in parts if one is not base and (one.times[-1] < base.times[0] or one.times[0] > base.times[-1])
    ]
    words = [one.understood for one in parts if one.understood]
    if apart:
        words.append("These logs do not overlap in time.")
    return Log(times, sensors, devices, " ".join(words), tidy.missing_share(_seconds(times)))


def shifted(log: Log, minutes: float) -> Log:
    """Return the log with all its times moved by `minutes`, later where they are positive.

    Take `shifted(log, -shift.minutes)` to set a clock right that is ahead by `shift.minutes`. Raises `TerralabError` for anything but a
    Log and a number within 26 hours.
    """
    if not isinstance(log, Log):
        raise TerralabError(f"A log that tl.read_log read is needed; {quoted(log)} was given.")
    if not is_number(minutes) or not abs(as_float(minutes)) <= 26 * 60:
        raise TerralabError(f"minutes must be a number from -1560 to 1560; {quoted(minutes)} was given.")
    if minutes == 0:
        return log
    way = f"Its clock was set {abs(minutes):.0f} minutes {'forward' if minutes > 0 else 'back'}."
    moved = log.times + np.timedelta64(round(60.0 * float(minutes)), "s")
    return replace(log, times=moved, understood=f"{log.understood} {way}".strip())


def _seconds(times: np.ndarray) -> np.ndarray:
    return times.astype("datetime64[s]").astype(float)


def _chained(logs: list[Log]) -> list[Log]:
    """Logs of the same sensors, one after the other, made one."""
    left = sorted(logs, key=lambda one: one.times[0])
    out: list[Log] = []
    for one in left:
        before = next((k for k, other in enumerate(out) if set(other.sensors) & set(one.sensors)), None)
        if before is None:
            out.append(one)
            continue
        other = out[before]
        both = sorted(set(other.sensors) & set(one.sensors))
        if other.times[-1] >= one.times[0] or set(other.sensors) != set(one.sensors):
            raise TerralabError(
                f"Two logs tell of {quoted(both[0])}. Give each sensor a place of its own with place=... or sensors=..., or cut the logs so that one "
                "begins after the other ends."
            )
        out[before] = _after(other, one)
    return out


def _after(first: Log, second: Log) -> Log:
    times = np.concatenate([first.times, second.times])
    n, m = len(first.times), len(second.times)

    def both(a: np.ndarray | None, b: np.ndarray | None) -> np.ndarray | None:
        if a is None and b is None:
            return None
        return np.concatenate([np.full(n, np.nan) if a is None else a, np.full(m, np.nan) if b is None else b])

    sensors = {}
    for place, one in first.sensors.items():
        other = second.sensors[place]
        flags = both(one.at_least, other.at_least)
        sensors[place] = SensorLog(
            both(one.temperature_c, other.temperature_c),
            both(one.humidity, other.humidity),
            None if flags is None else np.nan_to_num(flags).astype(bool),
        )
    names = dict.fromkeys([*first.devices, *second.devices])
    devices = {name: both(first.devices.get(name), second.devices.get(name)) for name in names}
    words = " ".join(one.understood for one in (first, second) if one.understood)
    return Log(times, sensors, devices, words, tidy.missing_share(_seconds(times)))  # type: ignore[arg-type]


def _at(own: np.ndarray, sensor: SensorLog, times: np.ndarray) -> SensorLog:
    if len(own) == len(times) and np.array_equal(own, times):
        return sensor
    humidity = None if sensor.humidity is None else _lines(own, sensor.humidity, times)
    flags = None
    if sensor.at_least is not None:
        # between a reading and a lower bound all that is known is a lower bound
        near = _lines(own, sensor.at_least.astype(float), times)
        flags = np.nan_to_num(near) > 0.0
    temperature = None if sensor.temperature_c is None else _lines(own, sensor.temperature_c, times)
    return SensorLog(temperature, humidity, flags)


def _lines(own: np.ndarray, values: np.ndarray, times: np.ndarray) -> np.ndarray:
    t, s = _seconds(own), _seconds(times)
    held = np.isfinite(values)
    if not held.any():
        return np.full(len(times), np.nan)
    t, v = t[held], values[held]
    usual = tidy.usual_step(t) if len(t) > 1 else 0.0
    after = np.clip(np.searchsorted(t, s, "left"), 0, len(t) - 1)
    before = np.clip(np.searchsorted(t, s, "right") - 1, 0, len(t) - 1)
    out = np.interp(s, t, v, left=np.nan, right=np.nan)
    return np.where(t[after] - t[before] <= max(_GAP_S, 3.0 * usual), out, np.nan)


def _held(own: np.ndarray, load: np.ndarray, times: np.ndarray) -> np.ndarray:
    t, s = _seconds(own), _seconds(times)
    before = np.searchsorted(t, s, "right") - 1
    usual = tidy.usual_step(t) if len(t) > 1 else 0.0
    out = load[np.clip(before, 0, None)]
    return np.where((before >= 0) & (s <= t[-1] + usual), out, np.nan)
