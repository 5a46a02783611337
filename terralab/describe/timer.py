"""When a device runs: by the clock or by a log (`Timer`), and by what a sensor reads (`Control`)."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import Field, dataclass, field
from typing import Any, ClassVar, Self

from terralab.describe.device_log import MEAN_STEP_S, checked_log, mean_day
from terralab.describe.fields import Measure, choice, measure, strays
from terralab.describe.hanging import Hanging, read_hanging
from terralab.describe.part import Described
from terralab.errors import DescriptionError, Problem, quoted
from terralab.units import DAY_S, clock, parse, show

Period = tuple[float, float]

_ALLOWED = (
    '"08:00-20:00", "30 min every 2 h", "5 min every 1 h from 08:00 to 20:00", "always", "never", '
    'a pause such as "not 13:00-14:00", or what hangs on another device, as in with "plant light" or '
    'from 1 h before "plant light" until 1 h after'
)
_SPAN = re.compile(r"(.+?)\s*(?:-|–|—|\bto\b)\s*(.+)")
_CYCLE = re.compile(r"(.+?)\s+every\s+(.+?)(?:\s+from\s+(.+))?")
_SHORTEST_CYCLE_S = 60.0
_MOST_ENTRIES = 200


@dataclass(frozen=True, slots=True)
class Timer:
    """The hours of the day a device is on, the same every day; or its log.

    `entries` is one text or a list of texts: "08:00-20:00"; "22:00-06:00" runs past midnight; "30 min every
    2 h" starts at midnight; "5 min every 1 h from 08:00 to 20:00" starts its first run at 08:00 and is off
    outside these hours; "always"; "never"; "not 13:00-14:00" is a pause. The device is on when any entry
    says so and no pause does. A cycle is at least 1 minute long, a run at least 1 second. 'with "plant light"' is on
    with another device of the routine (by its timer, not its control), 'from 1 h before "plant light" until 1 h after'
    around it, 'from 30 min after "plant light" on until 2 h after "plant light" on' from its switching.

    A log in place of entries: `hours` rise from 0, counted from the midnight of the first day, `loads` 0 to 1 are the
    share of its full work that the device does from each hour on (0 off, 1 on); the last hour ends the log. A run must
    not outlast it unless `repeat`: then its last whole days come again. Raises `DescriptionError`.
    """

    #: How it may be written, and a line that does, for a description that lacks it.
    needs: ClassVar[str] = f"the hours it is on: {_ALLOWED}"
    line: ClassVar[str] = 'timer = ["08:00-20:00"]'

    entries: tuple[str, ...] = ()
    hours: tuple[float, ...] = ()
    loads: tuple[float, ...] = ()
    repeat: bool = False
    _periods: tuple[Period, ...] | None = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if self.entries == () and not (self.hours == () and self.loads == ()):
            hours, loads = checked_log(self.hours, self.loads, self.repeat)
            object.__setattr__(self, "hours", hours)
            object.__setattr__(self, "loads", loads)
            object.__setattr__(self, "_periods", _mostly(mean_day(hours, loads)))
            return
        if not (self.hours == () and self.loads == ()) or self.repeat is not False:
            raise _refused("given entries and a log", "Keep one of the two.")
        object.__setattr__(self, "entries", _texts(self.entries))
        found = None if self.hangs_on else _periods_of(self.entries, {})
        object.__setattr__(self, "_periods", found)

    @classmethod
    def logged(cls, hours: object, loads: object, repeat: bool = False) -> Self:
        """Return the timer that is a log: from each of the `hours` on the device works at its load, 0 to 1."""
        return cls((), hours, loads, repeat)  # type: ignore[arg-type]

    @property
    def is_log(self) -> bool:
        """True where a log drives the device."""
        return bool(self.hours)

    @property
    def hangs_on(self) -> tuple[str, ...]:
        """The names of the devices it hangs on."""
        found = [_entry(text) for text in self.entries]
        return tuple(dict.fromkeys(one.name for one in found if one is not None))

    def hung_on(self, periods_of: Callable[[str], tuple[Period, ...]]) -> Self:
        """Return the same timer, knowing when the devices run that it hangs on."""
        made = type(self)(self.entries)
        object.__setattr__(made, "_periods", _periods_of(self.entries, {n: periods_of(n) for n in self.hangs_on}))
        return made

    def periods_s(self) -> tuple[Period, ...]:
        """Return the (on, off) times of one day in seconds after midnight: sorted, apart, inside 0 to 86400.

        A run past midnight is cut into one that ends at 86400 and one that starts at 0. Of a log these are the quarter
        hours of the day in which the device does more than half its work on the mean day.
        """
        if self._periods is None:
            raise _refused(
                f"given {quoted(', '.join(self.entries))}, which hangs on a device", "Put both devices in one routine."
            )
        return self._periods

    def runs_at(self, time_s: float) -> bool:
        """Return whether the device is on at a time of the day [s after midnight, 0 to 86400]."""
        return any(on <= time_s < off for on, off in self.periods_s())

    @property
    def on_s(self) -> float:
        """How long the device is on in a day, in seconds; of a log so much of its full work on the mean day."""
        if self.is_log:
            return MEAN_STEP_S * sum(mean_day(self.hours, self.loads))
        return sum(off - on for on, off in self.periods_s())

    @classmethod
    def of(cls, value: object, place: str) -> Self:
        """Build a timer from a text, a list of texts or the table of a log, naming `place` in what goes wrong."""
        try:
            if isinstance(value, dict):
                if problems := strays(value, ("hours", "loads", "repeat"), place):
                    raise DescriptionError(problems)
                return cls.logged(value.get("hours", ()), value.get("loads", ()), value.get("repeat", False))
            return cls(value)  # type: ignore[arg-type]
        except DescriptionError as error:
            raise DescriptionError(Problem("", place, p.given, p.allowed, p.hint) for p in error.problems) from None

    @classmethod
    def read(cls, raw: object, place: str, bare: bool = False) -> Self:
        """Build a timer from what stands in a file."""
        return cls.of(raw, place)

    def write(self) -> list[str] | dict[str, object]:
        """Return the list of texts a file holds, or the table of a log."""
        if not self.is_log:
            return list(self.entries)
        log = {"hours": list(self.hours), "loads": list(self.loads)}
        return log | {"repeat": True} if self.repeat else log

    def __str__(self) -> str:
        if self.is_log:
            days = (self.hours[-1] - self.hours[0]) / 24.0
            long = "a day" if days == 1.0 else f"{days:.3g} days"
            return f"by its log of {long}{', repeated' if self.repeat else ''}"
        return ", ".join(self.entries)


@dataclass(frozen=True, slots=True)
class Control(Described):
    """A thermostat or hygrostat. The device runs only while its timer and its control both say so.

    `senses` is "temperature" or "humidity" of the air in the box. `switches_on` "below" is for a heater or a
    mister, "above" for a fan that cools or dries. The device starts half a `hysteresis` past the `set_point`
    on that side, and stops half a `hysteresis` past it on the other. `set_point` in C (-10 to 60) or % RH
    (0 to 100), `hysteresis` in K (0.1 to 20) or RH points (0.5 to 50). Once started the device runs at least
    `minimum_on_min` minutes (0 to 1440), counted from when both let it run, unless its timer ends first.
    """

    word: ClassVar[str] = "control"

    senses: str = choice("reading", "temperature", "humidity")
    switches_on: str = choice("side", "below", "above", key="on")
    set_point: float = measure("temperature", "C", -10, 60)
    hysteresis: float = measure("temperature difference", "K", 0.1, 20)
    minimum_on_min: float = measure("duration", "min", 0, 1440, 0.0)

    @classmethod
    def kind_of(cls, declared: Field, given: Mapping[str, object]) -> Any:
        """Choose the unit of set point and hysteresis by what is sensed."""
        if given.get("senses") == "humidity" and declared.name in _HUMIDITY_KINDS:
            return _HUMIDITY_KINDS[declared.name]
        return declared.metadata["kind"]

    @property
    def on_at(self) -> float:
        """The reading past which the device starts, in C or % RH."""
        return self.set_point + (-0.5 if self.switches_on == "below" else 0.5) * self.hysteresis

    @property
    def off_at(self) -> float:
        """The reading at which the device stops, in C or % RH."""
        return 2 * self.set_point - self.on_at

    def __str__(self) -> str:
        unit = ("humidity", "%") if self.senses == "humidity" else ("temperature", "C")
        return f"{self.switches_on} {show(self.set_point, *unit, 4)}"


_HUMIDITY_KINDS = {
    "set_point": Measure("humidity", "%", 0, 100),
    "hysteresis": Measure("humidity difference", "points", 0.5, 50),
}


def _texts(value: object) -> tuple[str, ...]:
    entries = (value,) if isinstance(value, str) else value
    if not isinstance(entries, (list, tuple)) or not entries:
        raise _refused(f"given {quoted(value)}", "Write at least one text between quotes.")
    if len(entries) > _MOST_ENTRIES:
        raise _refused(f"given {len(entries)} entries", f"Use at most {_MOST_ENTRIES}, or one cycle for many runs.")
    for text in entries:
        if not isinstance(text, str) or len(text) > 80:
            raise _refused(f"given {quoted(text)}", "Write each entry as a short text between quotes.")
    return tuple(" ".join(text.split()) for text in entries)


def _entry(text: str) -> Hanging | None:
    """What an entry hangs on, "not" or no "not"."""
    return read_hanging(text[4:] if text.lower().startswith("not ") else text, _refused)


def _mostly(day: tuple[float, ...]) -> tuple[Period, ...]:
    """The steps of a mean day with more than half the work."""
    return _merged([(n * MEAN_STEP_S, (n + 1) * MEAN_STEP_S) for n, load in enumerate(day) if load > 0.5])


def _periods_of(entries: tuple[str, ...], others: Mapping[str, tuple[Period, ...]]) -> tuple[Period, ...]:
    """The periods of all entries together; `others` are those of the devices that some hang on."""
    runs: list[Period] = []
    pauses: list[Period] = []
    for text in entries:
        if text.lower().startswith("not "):
            pauses += _parse(text[4:], text, others)
        else:
            runs += _parse(text, text, others)
    if all(text.lower().startswith("not ") for text in entries):
        raise _refused(f"given only pauses: {quoted(', '.join(entries))}", 'Add "always", or the hours it runs.')
    return _without(_merged(runs), _merged(pauses))


def _parse(text: str, whole: str, others: Mapping[str, tuple[Period, ...]]) -> list[Period]:
    """Turn one entry without its "not" into periods, not yet sorted."""
    if (hanging := read_hanging(text, _refused)) is not None:
        return hanging.periods(others[hanging.name])
    low = text.strip().lower()
    if low in ("always", "never"):
        return [(0.0, DAY_S)] if low == "always" else []
    try:
        if cycle := _CYCLE.fullmatch(low):
            return _cycle(*cycle.groups(), whole)
        if span := _SPAN.fullmatch(low):
            return _span(span[1], span[2], whole)
    except DescriptionError as error:
        raise _refused(f"given {quoted(whole)}: {error.given.removeprefix('given ')}", error.hint) from None
    raise _refused(f"given {quoted(whole)}", "Write hours as start-end.")


def _span(start: str, end: str, whole: str) -> list[Period]:
    on, off = parse(start, "time of day", "s"), parse(end, "time of day", "s")
    if on == off:
        raise _refused(f"given {quoted(whole)}, which starts and ends at the same time", 'Write "always" or "never".')
    return [(on, off)] if on < off else [(on, DAY_S), (0.0, off)]


def _cycle(run: str, cycle: str, hours: str | None, whole: str) -> list[Period]:
    on = parse(run, "duration", "s", bare=False)
    # "every hour" and "every day" are how people say it.
    gap = parse(cycle if cycle[:1].isdigit() else f"1 {cycle}", "duration", "s", bare=False)
    if gap < _SHORTEST_CYCLE_S or gap > DAY_S:
        raise _refused(f"given {quoted(whole)}", "A cycle lasts 1 minute to 1 day.")
    if not 1.0 <= on <= gap:
        raise _refused(f"given {quoted(whole)}", f"A run lasts 1 s to {show(gap / 60, 'duration', 'min', 4)} here.")
    windows = [(0.0, DAY_S)]
    if hours is not None:
        span = _SPAN.fullmatch(hours)
        if span is None:
            raise _refused(f"given {quoted(whole)}", 'Write the hours as "from 08:00 to 20:00".')
        windows = _span(span[1], span[2], whole)
    # Hours past midnight come as two windows. The cycle runs on through midnight.
    start = windows[0][0]
    length = sum(end - begin for begin, end in windows)
    runs = [(start + k * gap, start + min(k * gap + on, length)) for k in range(int(-(-length // gap)))]
    return [piece for begin, end in runs for piece in _wrapped(begin, end)]


def _wrapped(begin: float, end: float) -> list[Period]:
    if end <= DAY_S:
        return [(begin, end)]
    return [(begin - DAY_S, end - DAY_S)] if begin >= DAY_S else [(begin, DAY_S), (0.0, end - DAY_S)]


def _merged(periods: list[Period]) -> tuple[Period, ...]:
    merged: list[Period] = []
    for on, off in sorted(periods):
        if merged and on <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(off, merged[-1][1]))
        elif off > on:
            merged.append((on, off))
    return tuple(merged)


def _without(runs: tuple[Period, ...], pauses: tuple[Period, ...]) -> tuple[Period, ...]:
    """Cut the pauses out of the runs. Both are sorted and do not overlap among themselves."""
    left: list[Period] = []
    for on, off in runs:
        for pause, resume in pauses:
            if resume <= on or pause >= off:
                continue
            if pause > on:
                left.append((on, pause))
            on = max(on, resume)
            if on >= off:
                break
        if on < off:
            left.append((on, off))
    return tuple(left)


def _refused(given: str, hint: str = "") -> DescriptionError:
    return DescriptionError.of("timer", given, _ALLOWED, hint)


def hours_text(periods: tuple[Period, ...]) -> str:
    """Write periods as "08:00-20:00, 22:00-23:00", for reading."""
    return ", ".join(f"{clock(on)}-{clock(off)}" for on, off in periods)
