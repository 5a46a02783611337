"""What a keeper gives to learn from: logs, a diary, salt tests; as files or as read already."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from terralab.describe.box import Box
from terralab.errors import TerralabError, UnknownName, quoted
from terralab.logs.clock_shift import Shift, clock_shift
from terralab.logs.diary import Diary, Weighed
from terralab.logs.diary_file import read_diary
from terralab.logs.diary_weighed import on_scales
from terralab.logs.joined import shifted
from terralab.logs.log import PLACES, ROOM, Log
from terralab.logs.read import read_log
from terralab.logs.salt_test import SaltTest
from terralab.quantities import quantity

Held = TypeVar("Held")


@dataclass(frozen=True, eq=False)
class Given:
    """All that was read, the log by the routine's clock. `salts`: tests by place, or that of the one sensor inside.

    `uncounted`: why nothing that was weighed tells what left, and what to write down for that; "" where it does.
    `shift`: how far the logger's clock was off; `understood`: how each file was read.
    """

    log: Log
    room: Log | None
    diary: Diary | None
    salts: Mapping[str, SaltTest] | SaltTest | None
    shift: Shift
    understood: tuple[str, ...]
    uncounted: str = ""


def given(
    box: Box,
    log: Log | str | os.PathLike,
    room: Log | str | os.PathLike | None,
    diary: Diary | str | os.PathLike | None,
    salts: Mapping[str, SaltTest] | SaltTest | None,
) -> Given:
    """Return what to learn from, read where it is a file. Raises TerralabError for what is neither."""
    held, outside = logs_of(log, room)
    shift = clock_shift(held, box)
    held = _by_the_routine(held, shift)
    book = diary_of(diary)
    scales = None if book is None else on_scales(book, box)
    _check_tests(salts, held, outside)
    understood = [held.understood, *([outside.understood] if outside is not None else [])]
    if book is not None and scales is not None:
        understood += [book.understood, *scales.words, *map(_weighed_words, scales.weighed)]
    uncounted = "" if scales is None or scales.weighed else scales.unseen
    return Given(held, outside, book, salts, shift, tuple(text for text in understood if text), uncounted)


def logs_of(log: Log | str | os.PathLike, room: Log | str | os.PathLike | None) -> tuple[Log, Log | None]:
    """The logs of a box and of its room, read where they are files. Raises TerralabError for what is neither, or two rooms."""
    held = _held("log", log, Log, read_log)
    outside = None if room is None else _held("room", room, Log, lambda path: read_log(path, place=ROOM))
    if outside is not None and ROOM in held.sensors:
        raise TerralabError(
            "The log of the box holds a sensor in the room already, and room was given too. Keep one: leave room out, or read the "
            'log with sensors={"its column": "leave out"}.'
        )
    return held, outside


def diary_of(diary: Diary | str | os.PathLike | None) -> Diary | None:
    """A diary, read where it is a file. Raises TerralabError for what is neither."""
    return None if diary is None else _held("diary", diary, Diary, read_diary)


def _by_the_routine(log: Log, shift: Shift) -> Log:
    """The log with its clock set right, where it is surely wrong."""
    if shift.contradicts or shift.minutes is None or abs(shift.minutes) <= (shift.plus_minus or 0.0):
        return log
    return shifted(log, -shift.minutes)


def _held(name: str, value: Any, kind: type[Held], read: Callable[[Any], Held]) -> Held:
    """The thing itself, or read from its file."""
    if isinstance(value, kind):
        return value
    if isinstance(value, (str, os.PathLike)):
        return read(value)
    reader = "tl.read_diary" if kind is Diary else "tl.read_log"
    raise TerralabError(f"{name} must be the path of a file, or what {reader} gives; {quoted(value)} was given.")


def _check_tests(salts: Mapping[str, SaltTest] | SaltTest | None, log: Log, room: Log | None) -> None:
    """Refuse what is no salt test, and a test of a sensor that was not logged."""
    if salts is None or isinstance(salts, SaltTest):
        return
    if not isinstance(salts, Mapping) or not all(isinstance(one, SaltTest) for one in salts.values()):
        raise TerralabError(
            f'salts must be a salt test, as tl.salt_test gives it, or tests by place, {{"box": test}}; {quoted(salts)} was given.'
        )
    for place in salts:
        if place not in PLACES:
            raise UnknownName.among("place of a sensor", place, PLACES)
        outside = place == ROOM and room is not None
        if not outside and (place not in log.sensors or log.sensors[place].humidity is None):
            raise TerralabError(f"A salt test was given for the place {place}, where no hygrometer was logged.")


def _weighed_words(one: Weighed) -> str:
    lost = quantity("ml", ".0f", one.ml_per_day)
    return f"Weighed ({one.how}): {lost} a day left as vapour, give or take {quantity('ml', '.0f', 2.0 * one.error)}."
