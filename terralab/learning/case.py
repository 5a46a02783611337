"""One log of one box, ready to be learned from: its hours, sensors, unknowns, and the means that count."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from terralab.describe.box import Box
from terralab.describe.part import cautions_untold
from terralab.errors import TerralabError
from terralab.learning.errors import OFFSET, Blocks, Errors, blocks_of
from terralab.learning.logged_box import LoggedBox, logged_box, room_sensor
from terralab.learning.readings import HUMIDITY, WARM_UP_H, Channel, Window, channels_of, gaps, window_of
from terralab.learning.unknowns import Unknowns, unknowns_of
from terralab.logs.diary import Diary
from terralab.logs.log import ROOM, Log
from terralab.logs.salt_test import SaltTest

LEAST_BLOCKS = 4  # six-hour means: a day of one sensor
Salts = Mapping[str, SaltTest] | SaltTest | None


@dataclass(frozen=True, eq=False)
class Case:
    """A log and what it is compared with.

    `logged`: the box its runs begin from. `channels`: what its sensors read, hour by hour. `shown`: flags of the hours after
    the warm-up, `counts` of those of them in which the room was known. `blocks`: the six-hour means. `offsets`: middle and standard deviation of each channel's offset.
    """

    logged: LoggedBox
    channels: tuple[Channel, ...]
    unknowns: Unknowns
    shown: np.ndarray
    counts: np.ndarray
    blocks: Blocks
    offsets: tuple[tuple[float, float], ...]

    @property
    def errors(self) -> Errors:
        """How far log and model may lie apart."""
        return Errors(self.blocks, self.offsets)

    def with_log(self, log: Log) -> Case:
        """Return the case of another log of the same sensors, hours and room."""
        channels = channels_of(log, self.logged.window)
        return replace(self, channels=channels, blocks=_blocks(channels, self.logged.window, self.counts))


def case_of(
    box: Box,
    log: Log,
    room: Log | None = None,
    diary: Diary | None = None,
    salts: Salts = None,
    until: np.datetime64 | None = None,
) -> Case:
    """Return the case of a log; the words are those of `from_log.fit`. Raises TerralabError for too short a log."""
    if box.learned is not None:
        # learned anew from the tables' ranges: what an earlier log taught would count twice where logs overlap
        with cautions_untold():
            box = replace(box, learned=None)
    outside = room if room is not None else log if ROOM in log.sensors else None
    window = window_of(log, room, until)
    channels = channels_of(log, window)
    logged = logged_box(box, log, room, diary, window)
    tests = by_place(salts, log)
    room_salt = None
    if outside is not None and ROOM in tests:
        room_salt = offset_of(tests[ROOM], room_sensor(outside).humidity)
    shown = window.hours > window.begins + WARM_UP_H
    counts = shown if outside is None else shown & ~gaps(outside, window, room_sensor(outside))
    offsets = tuple(_offset(one, tests) for one in channels)
    return Case(
        logged, channels, unknowns_of(logged, room_salt), shown, counts, _blocks(channels, window, counts), offsets
    )


def _blocks(channels: Sequence[Channel], window: Window, counts: np.ndarray) -> Blocks:
    found = blocks_of(channels, window.hours, counts)
    if found.size < LEAST_BLOCKS:
        raise TerralabError(
            "Too little of the log is left once gaps and the first day are taken out: a day of readings is needed."
        )
    return found


def by_place(salts: Salts, log: Log) -> dict[str, SaltTest]:
    """Return salt tests by the place of their sensor; one alone is that of the only sensor in the box."""
    if salts is None:
        return {}
    if not isinstance(salts, SaltTest):
        return dict(salts)
    inside = [place for place in log.sensors if place != ROOM]
    if len(inside) != 1:
        raise TerralabError(
            f"salts: one test was given, and the log has {len(inside)} sensors in the box. Say which it is of, as in "
            f'salts={{"{inside[0] if inside else "box"}": test}}.'
        )
    return {inside[0]: salts}


def offset_of(test: SaltTest, humidity: np.ndarray) -> tuple[float, float]:
    """Return by how much a sensor reads too high where it mostly read, and one standard deviation of that [points]."""
    read = float(np.nanmedian(humidity))
    true = float(np.clip(read - test.offset_at(min(100.0, max(0.0, read)))[0], 0.0, 100.0))
    return test.offset_at(true)


def _offset(one: Channel, tests: Mapping[str, SaltTest]) -> tuple[float, float]:
    """Middle and standard deviation of the offset of a channel: of a salt test where there was one."""
    usual = (0.0, OFFSET[one.quantity])
    if one.quantity != HUMIDITY or one.place not in tests:
        return usual
    found = offset_of(tests[one.place], one.values)
    return found if found[1] < usual[1] else usual
