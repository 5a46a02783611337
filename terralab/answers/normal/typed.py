"""What a keeper reads off a hygrometer and types: "82 % 23 C", "74 F", "82%, 73.4 °F", and when."""

from __future__ import annotations

import datetime
import math
import re
from dataclasses import dataclass

from terralab.describe.events import day_of
from terralab.errors import TerralabError, quoted
from terralab.logs.log import BOX, HIDE, HIGH, LOW
from terralab.units import DAY_S, parse

#: Where the sensor hangs.
PLACES = (BOX, LOW, HIGH, HIDE)
COLDEST_C, HOTTEST_C = -20.0, 80.0  # beyond that no household sensor reads, and no box is
_ONE = re.compile(
    r"(?P<number>[+\-−]?\d+(?:[.,]\d+)?)\s*(?P<unit>%\s*r\.?h\.?|%|(?:°|º|deg(?:rees)?\.?)?\s*(?:celsius|fahrenheit|[cf])\b)",
    re.IGNORECASE,
)
_BETWEEN = re.compile(r"[\s,;/&|]*(?:and|at|rh|r\.h\.)?[\s,;/&|]*", re.IGNORECASE)
_FORM = 'a humidity, a temperature or both, each with its unit, such as "82 % 23 C" or "73 F"'


@dataclass(frozen=True, slots=True)
class Typed:
    """A reading: `humidity` [%] and `temperature_c` [C], NaN where none was given."""

    humidity: float
    temperature_c: float

    @property
    def has_humidity(self) -> bool:
        """Whether a humidity was read."""
        return not math.isnan(self.humidity)

    @property
    def has_temperature(self) -> bool:
        """Whether a temperature was read."""
        return not math.isnan(self.temperature_c)


def reading_of(name: str, value: object) -> Typed:
    """Return what was typed; raises TerralabError for anything that is no reading.

    >>> reading_of("reading", "82 % 73.4 F")
    Typed(humidity=82.0, temperature_c=23.0)
    """
    refused = TerralabError(f"{name} must be {_FORM}; {quoted(value)} was given.")
    if not isinstance(value, str) or len(value) > 60:
        raise refused
    found: dict[str, float] = {}
    at = 0
    text = value.strip()
    for one in _ONE.finditer(text):
        if not _BETWEEN.fullmatch(text[at : one.start()]):
            raise refused
        at = one.end()
        number, unit = one["number"], one["unit"].strip().lower()
        if unit.startswith("%"):
            what, read = "humidity", parse(f"{number} %", "humidity", "%", field=name)
        else:
            short = "F" if "f" in unit else "C"
            what, read = "temperature", round(parse(f"{number} {short}", "temperature", "C", field=name), 6)
        if what in found:
            raise TerralabError(f"{name} has two of one kind; {quoted(value)} was given. Give {_FORM}.")
        found[what] = read
    if not found or not _BETWEEN.fullmatch(text[at:]):
        raise refused
    humidity, warmth = found.get("humidity", math.nan), found.get("temperature", math.nan)
    if not math.isnan(humidity) and not 0.0 <= humidity <= 100.0:
        raise TerralabError(f"{name} must have a humidity from 0 to 100 %; {quoted(value)} was given.")
    if not math.isnan(warmth) and not COLDEST_C <= warmth <= HOTTEST_C:
        raise TerralabError(
            f"{name} must have a temperature from {COLDEST_C:g} to {HOTTEST_C:g} C (-4 to 176 F); {quoted(value)} was given. "
            "Was the unit another?"
        )
    return Typed(humidity, warmth)


def time_of(value: object) -> tuple[str, float]:
    """Return the day ("" where none was given) and the seconds after midnight of "2026-08-05 21:30", "21:30" or a datetime."""
    if isinstance(value, datetime.datetime) and value == value:  # not pandas' time that is none
        return value.date().isoformat(), value.hour * 3600.0 + value.minute * 60.0 + value.second
    form = TerralabError(
        f'at must be when it was read, such as "2026-08-05 21:30" or "21:30"; {quoted(value)} was given.'
    )
    if not isinstance(value, (str, datetime.time)) or (isinstance(value, str) and len(value) > 60):
        raise form
    if isinstance(value, datetime.time):
        return "", parse(value, "time of day", "s", field="at")
    dated = re.fullmatch(r"(\d{4}-\d{2}-\d{2})[ tT]+(.+)", value.strip())
    day, clock = (day_of("at", dated[1]).isoformat(), dated[2]) if dated else ("", value.strip())
    try:
        return day, parse(clock, "time of day", "s", field="at") % DAY_S
    except TerralabError:
        raise form from None
