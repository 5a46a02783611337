"""A hygrometer tried in a closed bag over wet salt: how far it is off, and how well that is known."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from terralab import materials
from terralab.errors import DescriptionError, TerralabError, UnknownName, quoted
from terralab.folded import fold, page, paragraph
from terralab.measured import Measured, with_unit
from terralab.measured import read as measured_read
from terralab.physics.moist_air import saturation_pressure, saturation_slope
from terralab.physics.salts import SALTS, Salt, salt_error, salt_humidity, salt_slope
from terralab.units import parse
from terralab.validate import is_real

SHORTEST_H, LONGEST_H = 2.0, 2000.0
STUCK = 99.0  # % RH: from here on a sensor may stand at the end of its range
SPOILT = 15.0  # points: a choice; a sound household sensor is off by less than half of that
BROKEN = 25.0  # points: a choice; nobody corrects a sensor that is so far off
MOST = 20  # salts in one test
_WIDE = 30.0  # points: one standard deviation of an offset that nobody has measured; a choice, so wide that the salt decides
_REACH = 20.0  # points over which a sensor leaves a straight line in the same direction; a guess (G)
#: As salts are sold and called -> their name in `SALTS`.
NAMES = {
    **{name: name for name in SALTS},
    **{salt.formula.lower(): name for name, salt in SALTS.items()},
    **dict.fromkeys(
        ("salt", "kitchen salt", "cooking salt", "sodium chloride", "common salt", "rock salt"), "table salt"
    ),
    **dict.fromkeys(("potash", "pearl ash", "potassium carbonate"), "potassium carbonate"),
    "potassium sulphate": "potassium sulfate",
    "saltpetre": "potassium nitrate",
    "saltpeter": "potassium nitrate",
}
CAUTIONS = (
    "Plain table salt for food will do. Keep other salts from animals, children and food; wear gloves and wash your hands; lithium "
    "chloride is poisonous, nitrates feed a fire.",
    "Test in a bag, never inside the box; let no salt water touch the sensor.",
)


@dataclass(frozen=True)
class SaltPoint:
    """One salt: the sensor read `reads` where `true` was right [% RH], at `temperature_c` after `hours` in the bag.

    `error`: one standard deviation of reads less true. `shares`: its parts by what they come from.
    """

    salt: str
    reads: float
    true: float
    error: float
    temperature_c: float
    hours: float
    shares: dict[str, float]

    @property
    def offset(self) -> float:
        """By how many points it reads too high."""
        return self.reads - self.true


@dataclass(frozen=True)
class SaltTest:
    """How far a hygrometer is off, from one salt or several; `salt_test` makes it.

    What a fit needs is `offset_at`: the sensor reads the true humidity plus that. `points`: salt by salt.
    """

    points: tuple[SaltPoint, ...]

    def offset_at(self, humidity: float) -> tuple[float, float]:
        """Return by how many points it reads too high at a true `humidity` [% RH], 0 to 100, and one standard deviation of that.

        With one salt that is what was found, less sure the farther off that salt. Two and more make a straight line.
        """
        if not is_real(humidity) or not 0.0 <= float(humidity) <= 100.0:
            raise TerralabError(f"humidity must be 0 to 100 (% RH); {quoted(humidity)} was given.")
        true = np.array([one.true for one in self.points])
        middle = float(true.mean())
        noise = np.diag([one.error**2 for one in self.points])
        # a line of unknown height, with the gain and the bend that household sensors may have
        both = _alike(true, true, middle) + noise
        here = np.array([float(humidity)])
        cross = _alike(here, true, middle)[0]
        weights = np.linalg.solve(both, cross)
        found = float(weights @ np.array([one.offset for one in self.points]))
        left = float(_alike(here, here, middle)[0, 0] - weights @ cross)
        return found, float(np.sqrt(max(left, 0.0)))

    @property
    def humidity(self) -> float:
        """The true humidity [% RH] in the middle of the salts."""
        return float(np.mean([one.true for one in self.points]))

    @property
    def offset(self) -> float:
        """By how many points it reads too high at `humidity`."""
        return self.offset_at(self.humidity)[0]

    @property
    def error(self) -> float:
        """One standard deviation of `offset`."""
        return self.offset_at(self.humidity)[1]

    @property
    def slope(self) -> float:
        """How many points the offset changes for each point of humidity; 0 where one humidity alone was tried."""
        low, high = (one(p.true for p in self.points) for one in (min, max))
        return (self.offset_at(high)[0] - self.offset_at(low)[0]) / (high - low) if high - low > 1.0 else 0.0

    def lines(self) -> tuple[str, ...]:
        """The result in sentences."""
        out = [_point_words(one) for one in self.points]
        off, spread = self.offset, 2.0 * self.error
        near, sure = f"near {self.humidity:.0f} %", f"give or take {spread:.1f} (95 of 100)"
        short = self._too_short
        broken = abs(off) >= SPOILT and abs(off) > spread
        if abs(off) < spread:
            out.append(f"So {near} it may be right: this test tells its error to within {_points(spread)} (95 of 100).")
        elif broken:
            out.append(
                f"So {near} it reads {_signed(off)}, {sure}. A sensor so far off is probably broken: replace it, and do not correct it."
            )
        else:
            way = f"take {_points(off)} from" if off > 0.0 else f"add {_points(-off)} to"
            out.append(f"So {way} what it shows {near}, {sure}.")
        if short:
            out.append("Most of the doubt is the short time in the bag: leave it overnight, 12 hours or more.")
        elif not broken:
            out.append(self._elsewhere())
        if not broken:
            out.append("Give this test to terralab learn (--salt). Repeat it yearly, and after wetting.")
        return (*out, *CAUTIONS)

    @property
    def _too_short(self) -> bool:
        """Whether the largest part of the doubt is the time in the bag."""
        name, most = max((s for one in self.points for s in one.shares.items()), key=lambda one: one[1])
        return name == "too few hours" and 2.0 * most > 1.0

    def _elsewhere(self) -> str:
        """How far it is off at another humidity than that of the salts."""
        far = 50.0 if self.humidity > 50.0 else 80.0
        there, unsure = self.offset_at(far)
        salts = len({one.salt for one in self.points})
        if salts > 1:
            return f"With {salts} salts the error is a line: {_signed(there)} at {far:.0f} %, give or take {2.0 * unsure:.1f}."
        return (
            f"One salt tells less elsewhere: at {far:.0f} % {_signed(there)}, give or take {2.0 * unsure:.1f}. A second one, such as "
            "magnesium chloride (33 %), narrows that."
        )

    def __str__(self) -> str:
        return "\n".join(self.lines())

    def _repr_html_(self) -> str:
        """Return what a notebook shows: how far it is off and what to do, the rest folded."""
        lines = self.lines()
        return page(*map(paragraph, lines[:2]), fold("What else to know of the test", *map(paragraph, lines[2:])))


def salt_test(
    salt: str | Sequence[str], reads: Any, temperature: Any, hours: Any = 12.0, *, resolution: float | None = None
) -> SaltTest:
    """Return how far a hygrometer is off that was tried over wet salt in a closed bag.

    salt: "table salt", "magnesium chloride" and others of `SALTS`, or a list of them for a test with several; the rest is then a
    list as long, or one value for all. reads: what the sensor showed, 78 or "78 %". temperature: in the bag, 21 [C], "21 C" or
    "70 F", where the salt's humidity is known (most: 0 to 50 C). hours: in the bag, 2 to 2000, 12 or more is well. resolution:
    one of the last digit shown [% RH] (None: as `reads` was written, 1 where it was a number). The error counts the salt
    (Greenspan 1977), the hours, a bag that is not evenly warm, the thermometer and the last digit. Raises TerralabError.
    """
    names = [salt] if isinstance(salt, str) else salt
    if not isinstance(names, (list, tuple)) or not 1 <= len(names) <= MOST:
        raise TerralabError(f"salt must be the name of a salt, or a list of 1 to {MOST}; {quoted(salt)} was given.")
    if resolution is not None and (not is_real(resolution) or not 0.0 <= float(resolution) <= 10.0):
        raise TerralabError(f"resolution must be 0 to 10 (% RH); {quoted(resolution)} was given.")
    each = [
        _for_each(what, given, len(names))
        for what, given in (("reads", reads), ("temperature", temperature), ("hours", hours))
    ]
    return SaltTest(tuple(_point(*one, resolution) for one in zip(names, *each, strict=True)))


def _for_each(what: str, given: Any, count: int) -> list[Any]:
    if not isinstance(given, (list, tuple)):
        return [given] * count
    if len(given) not in (1, count):
        raise TerralabError(f"{what} must be one value, or one for each of the {count} salts; {len(given)} were given.")
    return list(given) * (count if len(given) == 1 else 1)


def _point(salt: Any, reads: Any, temperature: Any, hours: Any, resolution: float | None) -> SaltPoint:
    name = _name(salt)
    one = SALTS[name]
    reading = _number("reads", reads, "humidity", "%", 0.0, 100.0)
    t = _number("temperature", temperature, "temperature", "C", -50.0, 150.0)
    if not one.first_c <= float(t) <= one.last_c:
        raise TerralabError(
            f"temperature: {with_unit(t, 'temperature', 'C')} was given; the humidity over {name} is known from {one.first_c:.0f} to "
            f"{one.last_c:.0f} °C."
        )
    long = _number("hours", hours, "duration", "h", 0.0, LONGEST_H)
    if long < SHORTEST_H:
        raise TerralabError(
            f"hours: {float(long):g} was given; allowed are {SHORTEST_H:g} to {LONGEST_H:g}. Leave the sensor in the bag overnight."
        )
    true = salt_humidity(one, float(t))
    if reading >= STUCK and true < 97.0:
        raise TerralabError(
            f"reads: {float(reading):g} % was given over {name}, where {true:.1f} % is right. It stands at the end of its range: dry the "
            "sensor for a day and try again; if it stays there it is spoilt."
        )
    if abs(reading - true) > BROKEN:
        raise TerralabError(
            f"reads: {float(reading):g} % was given over {name}, where {true:.1f} % is right. So far off it is not the sensor's scale: the salt "
            "must be wet but not dissolved, the bag shut, the sensor sound. Try again, or take another sensor."
        )
    step = resolution if resolution is not None else _digit(reads)
    shares = _shares(one, float(t), float(long), true, step)
    error = float(np.sqrt(sum(part**2 for part in shares.values())))
    return SaltPoint(name, float(reading), true, error, t, float(long), shares)


def _shares(salt: Salt, t: float, hours: float, true: float, step: float) -> dict[str, float]:
    """One standard deviation [% RH] of each thing that makes reading less true uncertain."""
    bag, sensor = materials.get("defaults", "salt bag"), materials.get("defaults", "household sensor")
    full = float(saturation_pressure(t))
    a_degree = true * float(saturation_slope(t, full)) / full
    return {
        "the salt itself": salt_error(salt, t),
        "too few hours": 0.5 * bag.typical("begins_off") * float(np.exp(-hours / bag.typical("settling"))),
        "a bag not evenly warm": 0.5 * bag.typical("apart") * a_degree,
        "the thermometer": 0.5 * sensor.typical("temperature_error") * abs(salt_slope(salt, t)),
        "the last digit": step / float(np.sqrt(12.0)),
    }


def _alike(a: np.ndarray, b: np.ndarray, middle: float) -> np.ndarray:
    """Covariance [points2] of the offsets at humidities `a` and `b`, before any salt: height, gain and bend."""
    sensor = materials.get("defaults", "hygrometer scale")
    gain, bend = 0.5 * sensor.typical("gain_error"), 0.5 * sensor.typical("bend_error")
    near = np.exp(-np.abs(a[:, None] - b[None, :]) / _REACH)
    return _WIDE**2 + gain**2 * np.outer(a - middle, b - middle) + bend**2 * near


def _name(salt: Any) -> str:
    word = " ".join(salt.lower().split()) if isinstance(salt, str) else salt
    if isinstance(word, str) and word in NAMES:
        return NAMES[word]
    if isinstance(word, str) and "sea salt" in word:
        raise TerralabError("salt: sea salt holds other salts too, which draw water. Take plain table salt.")
    raise UnknownName.among("salt for this test", salt if isinstance(salt, str) else repr(salt), SALTS)


def _number(what: str, given: Any, kind: str, unit: str, low: float, high: float) -> float:
    if not isinstance(given, str) and not is_real(given):
        raise TerralabError(
            f"{what} must be a number or a text such as those of the example; {quoted(given)} was given."
        )
    try:
        value = (
            measured_read(given, kind, unit, what, True)
            if isinstance(given, str)
            else parse(given, kind, unit, field=what)
        )
    except DescriptionError as error:
        raise TerralabError(str(error)) from None
    if not low <= value <= high:
        raise TerralabError(f"{what} must be {low:g} to {high:g} {unit}; {quoted(given)} was given.")
    return value


def _digit(reads: Any) -> float:
    found = re.search(r"\d[.,](\d+)", reads) if isinstance(reads, str) else None
    return 10.0 ** -len(found[1]) if found else 1.0


def _points(value: float) -> str:
    text = f"{value:.1f}"
    return f"{text} point" if text == "1.0" else f"{text} points"


def _signed(value: float) -> str:
    if abs(value) < 0.05:
        return "right"
    return f"{_points(abs(value))} too {'high' if value > 0.0 else 'low'}"


def _point_words(one: SaltPoint) -> str:
    us = isinstance(one.temperature_c, Measured)
    at = with_unit(one.temperature_c, "temperature", "C", us=us)
    return f"Over {one.salt} at {at}, where {one.true:.1f} % is right, it showed {one.reads:g} % after {one.hours:g} h."
