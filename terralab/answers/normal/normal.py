"""Is this reading usual for this box at this hour? If not, what is most likely wrong, and what would tell the causes apart."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

from terralab.answers.common.answer import Answer
from terralab.answers.common.cautions import for_box
from terralab.answers.common.room_log import in_typical_room
from terralab.answers.common.seen_air import seen_air
from terralab.answers.normal.causes import causes_of, with_door
from terralab.answers.normal.judged import Judged, judged, of_sensor
from terralab.answers.normal.runs import EVERY_MIN, SETTLE_DAYS, Usual, needs_place, seen_under, sensor_of, usual_of
from terralab.answers.normal.typed import PLACES, Typed, reading_of, time_of
from terralab.answers.normal.words import normal_statements, reason_words, taken_for_granted
from terralab.describe.box import Box
from terralab.describe.needed import needs_box
from terralab.describe.seasons import room_of
from terralab.describe.system import speaks_us
from terralab.logs.log import BOX
from terralab.simulation.simulate import Job, run_job
from terralab.uncertainty.sampling import MOST_MEMBERS
from terralab.units import DAY_S, clock
from terralab.validate import whole, word


@dataclass(frozen=True)
class Asked:
    """What is asked: the reading, when (the day is "" where none was given), where, in which room, and what the room read then."""

    typed: Typed
    day: str
    at_s: float
    place: str
    season: str
    room: Typed | None

    @property
    def when(self) -> str:
        """The time in words: "21:30"."""
        return clock(60.0 * round(self.at_s / 60.0) % DAY_S)


@dataclass(frozen=True, eq=False)
class Found:
    """All that was found of one reading."""

    asked: Asked
    usual: Usual
    judged: Judged
    left_out: tuple[str, ...]


def normal(
    box: Box,
    reading: str,
    at: str,
    *,
    place: str = BOX,
    room: str | None = None,
    season: str = "now",
    members: int | None = None,
) -> Answer:
    """Whether a reading is usual for `box` at that hour, and if not, which causes explain it.

    reading: humidity, temperature or both, as they are typed: "82 % 23 C", "73 F". at: "2026-08-05 21:30" or "21:30", by the clock
    of the timers. place: where the sensor hangs, "box" (half way up), "box low", "box high" or "hide". room: what the room reads
    at the same time, "20 C 45 %"; None: as described. season: the room "now", "winter" or "summer". members (3 to 8192; None: 48,
    or 24 where a thermostat switches very often): boxes drawn from everything uncertain.
    value: of 100 likely readings so many lie as far out, or farther; a reading is usual from 8 on and outside below 2.
    table: the causes, the likeliest first. `details`: what is likely at that hour, the shares of likely readings below this one, and
    which causes cannot be told apart. Raises TerralabError for bad input, RunError when the box cannot be run.
    """
    needs_box(box, "normal")
    typed = reading_of("reading", reading)
    day, at_s = time_of(at)
    word("place", place, PLACES)
    needs_place(box, place)
    read_room = None if room is None else reading_of("room", room)
    room_of(box, season)
    if members is not None:
        whole("members", members, 3, MOST_MEMBERS)
    return _normal(box, Asked(typed, day, at_s, place, season, read_room), members)


@in_typical_room
def _normal(box: Box, asked: Asked, members: int | None) -> Answer:
    tried = with_door(box)
    usual = usual_of(tried, asked.season, asked.at_s, asked.place, members, asked.room, sensor_of(box, asked.place))
    causes, left_out = causes_of(tried, asked.season, asked.room is not None, asked.at_s)
    seen, failed = seen_under(usual, causes)
    found = Found(asked, usual, judged(usual, asked.typed, [*seen, *of_sensor(usual)], failed), left_out)
    record = run_job(Job(box, SETTLE_DAYS, asked.season, accuracy="preview", record_every_min=EVERY_MIN))
    air = seen_air(record)
    draft = Answer(
        us=speaks_us(box),
        question="is this reading usual",
        value=round(100.0 * found.judged.far, 1),
        low=None,
        high=None,
        unit="of 100 likely readings",
        reason=reason_words(found),
        spread=usual.sample.counted() | {"share": 0.8},
        details=_details(found),
        table=tuple(one.to_dict() for one in found.judged.ranked),
        assumptions=taken_for_granted(found),
        cautions=for_box(box, "normal"),
        record=record,
        **air.fields(),
    )
    verdict, statements = normal_statements(draft, box, found, air)
    return replace(draft, verdict=verdict, statements=statements)


def _details(found: Found) -> dict[str, Any]:
    asked, j = found.asked, found.judged
    (low_c, c, high_c), (low, rh, high) = found.usual.cloud.span()
    known = lambda x, digits: None if math.isnan(x) else round(float(x), digits)  # noqa: E731
    return {
        "standing": str(j.standing),
        "side": j.side,
        "reading": {
            "humidity_percent": known(asked.typed.humidity, 1),
            "temperature_c": known(asked.typed.temperature_c, 2),
        },
        "day": asked.day,
        "at": asked.when,
        "place": asked.place,
        "likely_c": [round(float(x), 1) for x in (low_c, c, high_c)],
        "likely_humidity_percent": [round(float(x)) for x in (low, rh, high)],
        "share_below": {"temperature": known(j.below[0], 3), "humidity": known(j.below[1], 3)},
        "nothing_wrong_share": round(j.sound, 3),
        "not_told_apart_from_first": [one.cause.key for one in j.alike],
        "not_ruled_out": [one.cause.key for one in j.hidden],
        "could_not_be_run": list(j.failed),
        "left_out": list(found.left_out),
    }
