"""Dated events: what differs from the routine for a while, or happens once.

Times are counted from the midnight of the first day of a run, as the hours of a record are.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from terralab.errors import DescriptionError, TerralabError, quoted
from terralab.units import DAY_S, parse, written_as
from terralab.validate import is_real

#: What may be said in two words, and what of the routine then stands still.
PAUSES = ("no pours", "no sprays", "no hand", "power off")
#: What is done with one device or door, by its name, from `begins` to `ends`.
STUCK = ("stuck on", "stuck off", "opened")
#: What is done once, at `begins`.
ONCE = {"pour": "volume", "spray": "volume", "siphon": "length", "refill": ""}
_ALLOWED = (
    'one of "no pours", "no sprays", "no hand", "power off"; {"stuck on": "a device"}, {"stuck off": "a device"}, '
    '{"opened": "a door"}; {"pour": "500 ml"}, {"spray": "50 ml"}, {"siphon": "2 cm"} or "300 ml", {"refill": "dish" or a device}; or '
    'changes by dotted words, {"enclosure.openings.lid.covered": "90 %"}'
)
_DAY = re.compile(r"day\s+(\d{1,4})(?:\s+(\d{1,2}:\d{2}))?")
_DATE = re.compile(r"(\d{4}-\d{2}-\d{2})(?:[ t]+(\d{1,2}:\d{2}))?")
_LATEST_S = 3650 * DAY_S


@dataclass(frozen=True, slots=True)
class Event:
    """What differs from `begins` until `ends` (None: to the end of the run), or happens once at `begins`.

    begins, ends: days as a number, or a text: "34 h", "2.5 days", "day 3 14:00" (day 1 is the first); or a
    date, "2026-08-03" or "2026-08-03 14:00", for a run that is given its `start_date`. change: "no pours" (what
    is poured), "no sprays", "no hand" (nothing that a hand does: pours, sprays, siphoning, doors, refills of
    dish and tanks), "power off" (every mister, lamp, heater and fan rests); {"stuck on": name} or {"stuck off": name} of a device, whatever its
    timer and control say; {"opened": name} of a described door; once: {"pour": "500 ml"} onto the soil within two minutes, {"spray": "50 ml"}
    within one, {"siphon": "2 cm"} down to that level above the floor, or {"siphon": "300 ml"} of what stands there, {"refill": "dish"} or of
    a device's tank; else dotted changes as `Box.change` takes them. Where events overlap, the later in the list has the last word. Raises TerralabError.
    """

    begins: float | str
    ends: float | str | None = None
    change: str | Mapping[str, Any] = "no hand"
    begins_s: float = field(init=False)
    ends_s: float | None = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "begins_s", seconds_of("begins", self.begins))
        object.__setattr__(self, "ends_s", None if self.ends is None else seconds_of("ends", self.ends))
        if self.ends is not None and _is_date(self.ends) != _is_date(self.begins):
            raise TerralabError(
                f"An event has two dates or none; {quoted(self.begins)} to {quoted(self.ends)} was given."
            )
        if self.ends_s is not None and self.ends_s <= self.begins_s:
            raise TerralabError(
                f"An event must end after it begins; {quoted(self.begins)} to {quoted(self.ends)} was given."
            )
        one = self.change
        if isinstance(one, Mapping):
            object.__setattr__(self, "change", plain(one))
        if isinstance(one, str):
            if one not in PAUSES:
                raise TerralabError(f"The change of an event must be {_ALLOWED}; {quoted(one)} was given.")
        elif not isinstance(one, Mapping) or not one or not all(isinstance(key, str) for key in one):
            raise TerralabError(f"The change of an event must be {_ALLOWED}; {quoted(one)} was given.")
        elif self.word and len(one) > 1:
            raise TerralabError(f"{quoted(self.word)} stands alone in an event; write a second event for the rest.")
        elif not self.word and not all("." in key or key in ("routine", "enclosure", "room") for key in one):
            raise TerralabError(f"The change of an event must be {_ALLOWED}; {quoted(dict(one))} was given.")
        elif self.word in ONCE and self.ends is not None:
            raise TerralabError(f"{quoted(self.word)} happens once: leave `ends` out, or write it into the routine.")
        if ONCE.get(self.word):
            self.amount()

    @property
    def dated(self) -> bool:
        """True where it begins on a date of the calendar."""
        return _is_date(self.begins)

    def counted_from(self, first: date) -> Event:
        """Return the event in days of a run that begins on the day `first`; raises TerralabError for one before it."""
        if not self.dated:
            return self
        midnight_s = first.toordinal() * DAY_S
        if self.begins_s < midnight_s:
            raise TerralabError(f"An event begins on {self.begins}, before the run, which begins on {first}.")
        ends = None if self.ends_s is None else (self.ends_s - midnight_s) / DAY_S
        return Event((self.begins_s - midnight_s) / DAY_S, ends, self.change)

    @property
    def word(self) -> str:
        """The word of what is done, "" for dotted changes."""
        if isinstance(self.change, str):
            return self.change
        return next((key for key in self.change if key in ONCE or key in STUCK), "")

    @property
    def once(self) -> bool:
        """True for what happens at one time."""
        return self.word in ONCE

    @property
    def name(self) -> str:
        """The device, door or dish that is meant."""
        return str(self.change[self.word])  # type: ignore[index]

    @property
    def by_volume(self) -> bool:
        """True for a siphon that draws an amount of water, where others draw down to a level."""
        value = self.change["siphon"] if self.word == "siphon" else None  # type: ignore[index]
        return isinstance(value, str) and _is_volume(value)

    def amount(self) -> float:
        """What is poured, sprayed or (`by_volume`) siphoned [ml], or the level that is siphoned to [cm]."""
        kind = "volume" if self.by_volume else ONCE[self.word]
        unit = {"volume": "ml", "length": "cm"}[kind]
        value = self.change[self.word]  # type: ignore[index]
        found = float(value) if is_real(value) else parse(value, kind, unit, field=self.word)
        if not 0.0 <= found <= 1e6:
            raise TerralabError(f"{self.word} must be 0 to 1,000,000 {unit}; {quoted(value)} was given.")
        return found

    def holds(self, t_s: float) -> bool:
        """Whether it lasts at this time [s]."""
        return not self.once and self.begins_s <= t_s and (self.ends_s is None or t_s < self.ends_s)


def written(event: Event) -> list[Any] | None:
    """Return an event as plain lists, texts and numbers, for `Event(*written)`; None where its change holds something else."""
    plain = [event.begins, event.ends, event.change if isinstance(event.change, str) else dict(event.change)]
    try:
        return json.loads(json.dumps(plain))
    except (TypeError, ValueError):
        return None


def seconds_of(name: str, value: object) -> float:
    """Return the time [s] since the midnight of the first day."""
    if is_real(value):
        found = float(value) * DAY_S  # type: ignore[arg-type]
    elif isinstance(value, str) and (on := _DATE.fullmatch(value.strip().lower())):
        hour = parse(on[2], "time of day", "s", field=name) if on[2] else 0.0
        return day_of(name, on[1]).toordinal() * DAY_S + hour
    elif isinstance(value, str) and (day := _DAY.fullmatch(value.strip().lower())):
        found = (int(day[1]) - 1) * DAY_S + (parse(day[2], "time of day", "s", field=name) if day[2] else 0.0)
    else:
        found = parse(value, "duration", "s", field=name, bare=False)
    if not 0.0 <= found <= _LATEST_S:
        raise TerralabError(
            f'{name} must be a time in a run, such as 3 (days), "34 h", "day 3 14:00" or "2026-08-03 14:00"; {quoted(value)} was given.'
        )
    return round(found, 3)


def _is_volume(text: str) -> bool:
    try:
        return written_as(text, "volume") is not None
    except DescriptionError:
        return False


def _is_date(value: object) -> bool:
    return isinstance(value, str) and _DATE.fullmatch(value.strip().lower()) is not None


def day_of(name: str, value: object) -> date:
    """Return a day of the calendar, from a text such as "2026-08-03" or from a date."""
    try:
        return date.fromisoformat(value) if isinstance(value, str) else date(value.year, value.month, value.day)  # type: ignore[attr-defined]
    except (ValueError, TypeError, AttributeError):
        raise TerralabError(f'{name} must be a date such as "2026-08-03"; {quoted(value)} was given.') from None


def needs_events(events: object) -> None:
    """Raise TerralabError unless it is a list of events."""
    if isinstance(events, str) or not isinstance(events, Sequence) or not all(isinstance(e, Event) for e in events):
        raise TerralabError(
            f'events must be a list, such as [tl.Event(3, 17, "no pours")]; {quoted(events)} was given.'
        )


def plain(value: Any) -> Any:
    """Return a change with the parts that were built in Python as the tables that a file holds."""
    if isinstance(value, Mapping):
        return {key: plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(item) for item in value]
    if hasattr(value, "write"):
        return value.write()
    return value.item() if hasattr(value, "item") else value
