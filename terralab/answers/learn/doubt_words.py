"""How far log and model can be trusted, in words: sensors and clock that are off, where the course misses, what was foretold."""

from __future__ import annotations

from terralab.answers.learn.misfit import (
    BLOCK_H,
    UNIT_OF,
    by_clock,
    of_quantity,
    together,
    worst,
)
from terralab.learning.fit import Course, Fit
from terralab.learning.readings import HUMIDITY, TEMPERATURE
from terralab.quantities import column, quantity, unit_word

#: A sensor as it is called, by what it reads and where it hangs.
READS = {HUMIDITY: "hygrometer", TEMPERATURE: "thermometer"}
WHERE = {
    "box": "in the box",
    "box low": "low in the box",
    "box high": "high in the box",
    "hide": "in the hide",
    "room": "in the room",
}


def amount_words(name: str, value: float) -> str:
    """A difference of humidity or temperature as a mark: "1.8 points", "0.4 °C"."""
    return quantity(UNIT_OF[name], ".1f", abs(value))


# -- the sensors ------------------------------------------------------------------------------------------------------


def surely_off(course: Course) -> bool:
    """Whether all that is likely of a sensor's error lies on one side."""
    low, _, high = course.offset
    return low > 0.0 or high < 0.0


def offset_words(course: Course) -> str:
    """By how much a sensor reads too high or too low, with its range; "" where nothing is known of it."""
    low, middle, high = course.offset
    if not all(x == x for x in course.offset):
        return ""
    sensor = f"the {READS[course.quantity]} {WHERE[course.place]}"
    unit = UNIT_OF[course.quantity]
    if not surely_off(course):
        return f"{sensor} may be right (it reads {_signed(course.quantity, low)} to {_signed(course.quantity, high)} {unit_word(unit)} too high)"
    word = "high" if middle > 0.0 else "low"
    ends = sorted((abs(low), abs(high)))
    return (
        f"{sensor} reads {amount_words(course.quantity, middle)} too {word} ({quantity(unit, '.1f', *ends, bare=True)})"
    )


def offsets_words(fit: Fit, salted: bool) -> str:
    """How far each sensor is off; `salted`: one of them was tried over salt."""
    found = [text for one in fit.courses if (text := offset_words(one))]
    if not found:
        return ""
    text = "; ".join(found)
    damp = any(one.quantity == HUMIDITY for one in fit.courses)
    more = " A salt test narrows this (terralab sensor)." if damp and not salted else ""
    return f"{text[:1].upper()}{text[1:]}.{more}"


def clock_words(fit: Fit) -> str:
    """How far the logger's clock is off the routine's."""
    if fit.clock_shift_min is None:
        return "No lamp shows in the log, so the logger's clock could not be held against the routine's."
    if abs(fit.clock_shift_min) < 5.0:
        return "The logger's clock goes with the routine's."
    side = "ahead of" if fit.clock_shift_min > 0.0 else "behind"
    return f"The logger's clock is {abs(fit.clock_shift_min):.0f} minutes {side} the routine's, seen by the lamps."


# -- misfit and trust -------------------------------------------------------------------------------------------------


def misfit_words(fit: Fit) -> str:
    """How far the computed course misses the log, and at which hours most."""
    parts = []
    for name in UNIT_OF:
        before, after = together(fit, name, "before"), together(fit, name, "after")
        if after.hours:
            than = f" ({amount_words(name, before.rms)} before learning)" if fit.usable else ""
            parts.append(f"{amount_words(name, after.rms)}{than}")
    if not parts:
        return ""
    course = "The computed course" if fit.usable else "The course computed for the box as described"
    text = f"{course} typically misses the log by {' and '.join(parts)} (root mean square over the hours)."
    for name in UNIT_OF:
        found = worst(fit, of_quantity(fit, name))
        if found is not None:
            course, hour, one = found
            side = "above" if one.mean > 0.0 else "below"
            text += (
                f" Furthest off {WHERE[course.place]}, from {hour:02d}:00 to {(hour + BLOCK_H) % 24:02d}:00: read "
                f"{amount_words(name, one.mean)} {side} what is computed."
            )
    if fit.widened > 1.05:
        text += f" The errors had to be taken {fit.widened:.1f} times as large as usual to explain it, so the ranges are wider."
    return text


def held_out_words(fit: Fit) -> str:
    """How far tomorrow's reading can be trusted."""
    parts, inside = [], []
    for name in UNIT_OF:
        one = together(fit, name, "held_out")
        if one.hours:
            parts.append(amount_words(name, one.rms))
            inside.append(f"{100.0 * one.within:.0f}")
    if not parts:
        return (
            "The log is too short to hold a part of it back, so how far tomorrow's reading can be trusted is not known."
        )
    return (
        f"How far tomorrow's reading can be trusted: learned from the first part of the log alone, the rest was foretold within "
        f"{' and '.join(parts)}; {' and '.join(inside)} of 100 readings lay in the likely band."
    )


def clock_table(fit: Fit) -> list[str]:
    """Mean of read less computed, a row for each three hours and a column for each sensor."""
    courses = [one for one in fit.courses if _read_at_all(one)]
    if not courses:
        return []
    rows = {course: dict(by_clock(fit, course)) for course in courses}
    heads = [f"{one.place} {'RH' if one.quantity == HUMIDITY else 'temp.'}" for one in courses]
    units = ["points" if one.quantity == HUMIDITY else unit_word("K") for one in courses]
    cells = [column(f"{head}, {unit}", 24) for head, unit in zip(heads, units, strict=True)]
    out = ["hours   " + "".join(cells)]
    for hour in range(0, 24, BLOCK_H):
        cells = []
        for course in courses:
            one = rows[course][hour]
            cells.append(column(_signed(course.quantity, one.mean) if one.hours else "-", 24))
        out.append(f"{hour:02d} to {hour + BLOCK_H:02d}  " + "".join(cells))
    return out


def _signed(name: str, value: float) -> str:
    """A difference as a mark without its unit, with its sign."""
    sign = "+" if round(value, 1) > 0.0 else ""
    return f"{sign}{quantity(UNIT_OF[name], '.1f', value, bare=True)}"


def _read_at_all(course: Course) -> bool:
    """Whether the sensor read anything in the hours compared."""
    return bool((course.measured == course.measured).any())
