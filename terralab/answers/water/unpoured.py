"""What becomes of a box into which nothing is poured for weeks: what its run shows, not what one expects."""

from __future__ import annotations

from collections.abc import Mapping

from terralab.answers.common.humidity_target import humidity, is_day, target_of
from terralab.answers.common.rounding import percent
from terralab.quantities import quantity
from terralab.simulation.record import Record

LOOKED_AT_DAYS = 3  # at the start, after the first day, and at the end
SAME_POINTS = 1.0  # a smaller change of humidity is none that a household hygrometer shows
SAME_LITRES = 0.05


def unpoured(record: Record) -> dict[str, float]:
    """Soil water [litres], humidity [%] and air temperature [deg C] at the start and at the end of a run.

    `rh_day`, `rh_night`, `air_day_c` and `air_night_c` are means of three days: the second to the fourth ("... start") and
    the last ("... end"). `litres`: at the very start and end. `days`: how long the run is.
    """
    days = record.days
    target, _ = target_of(record.box)
    out: dict[str, float] = {"days": days}
    spans = {"start": (1.0, 1.0 + LOOKED_AT_DAYS, 0), "end": (days - LOOKED_AT_DAYS, days, -1)}
    for when, (first, last, row) in spans.items():
        rows = record.rows(first, last)
        seen, day = humidity(record, rows, target), is_day(record, rows, target)
        air = record.series["air temperature C"][rows]
        out |= {
            f"rh_day {when}": percent(seen["day"]["mean"]),
            f"rh_night {when}": percent(seen["night"]["mean"]),
            f"air_day_c {when}": round(float(air[day].mean()), 1),
            f"air_night_c {when}": round(float(air[~day].mean()), 1),
            f"litres {when}": round(float(record.series["soil water ml"][row]) / 1000.0, 2),
        }
    return out


def unpoured_words(found: Mapping[str, float], sprayed: bool) -> str:
    """The same as sentences. `sprayed`: whether spraying and misting go on meanwhile."""
    meanwhile = ", while spraying and misting go on" if sprayed else ""
    parts = [f"Nothing poured for {found['days']:.0f} days{meanwhile}:"]
    litres = found["litres start"], found["litres end"]
    if abs(litres[1] - litres[0]) <= SAME_LITRES:
        parts.append(f"the soil keeps its {quantity('litres', '.1f', litres[0])} of water")
    else:
        parts.append(f"the soil's water goes from {quantity('litres', '.1f', *litres)}")
    ends = {part: (found[f"rh_{part} start"], found[f"rh_{part} end"]) for part in ("day", "night")}
    if all(abs(end - start) <= SAME_POINTS for start, end in ends.values()):
        parts.append(
            f"the humidity does not change, {ends['day'][1]:.0f} % by day and {ends['night'][1]:.0f} % by night"
        )
    else:
        moved = " and ".join(f"from {start:.0f} to {end:.0f} % by {part}" for part, (start, end) in ends.items())
        parts.append(f"the humidity goes {moved}")
    return (
        f"{parts[0]} {parts[1]}; {parts[2]}, at {quantity('°C', '.0f', found['air_day_c end'])} by day and "
        f"{quantity('°C', '.0f', found['air_night_c end'])} by night. It was seen for {found['days']:.0f} days, not longer."
    )
