"""`terralab normal`: is this reading usual, or since when does a log show the box behaving otherwise?"""

from __future__ import annotations

import argparse
from datetime import datetime

from terralab.answers.normal.normal import normal
from terralab.answers.normal.normal_log import normal_log
from terralab.answers.normal.typed import PLACES
from terralab.cli.asking import Add, add_box, answered
from terralab.cli.pairs import pairs
from terralab.describe.seasons import SEASONS
from terralab.errors import TerralabError
from terralab.logs.diary_file import read_diary
from terralab.logs.log import PLACES as SENSOR_PLACES
from terralab.logs.log import ROOM
from terralab.logs.read import read_log

WORDS = "Is this reading usual for this box at this hour? Or since when does a log show a change? With the likeliest causes."


def add(add_command: Add) -> None:
    """Add the command."""
    command = add_command("normal", _normal, WORDS)
    add_box(command)
    one = command.add_argument_group("one reading")
    one.add_argument("--reading", metavar="READING", help='as read, such as "82 %% 23 C" or "73 F"')
    one.add_argument("--at", metavar="WHEN", help='such as "2026-08-05 21:30" or "21:30" (default: now)')
    one.add_argument("--place", choices=PLACES, default=PLACES[0], help="where the sensor hangs (default: box)")
    one.add_argument("--room", metavar="READING", help='what the room reads at the same time, "20 C 45 %%"')
    one.add_argument("--season", choices=SEASONS, default="now", help="the room: now, winter or summer (default: now)")
    many = command.add_argument_group("a log, in place of a reading")
    many.add_argument("--log", metavar="FILE", help="what hygrometers in the box logged, CSV or spreadsheet")
    many.add_argument("--room-log", metavar="FILE", help="the same of the room, where it stands in a file of its own")
    many.add_argument("--diary", metavar="FILE", help="what you poured and moved meanwhile")
    order = many.add_mutually_exclusive_group()
    order.add_argument("--day-first", dest="day_first", action="store_true", default=None, help="3/4 is 3 April")
    order.add_argument("--month-first", dest="day_first", action="store_false", help="3/4 is 4 March")
    many.add_argument("--unit", metavar="UNIT", help="unit of the temperatures in the log: C, F or K")
    many.add_argument(
        "--sensor", action="append", default=[], metavar="COLUMN=PLACE",
        help=f"where a sensor hangs: {', '.join(SENSOR_PLACES)}; repeatable",
    )  # fmt: skip


def _normal(asked: argparse.Namespace) -> None:
    if (asked.reading is None) == (asked.log is None):
        raise TerralabError(
            'terralab normal needs --reading, such as --reading "82 % 23 C", or --log FILE, the log of a hygrometer; '
            f"{'neither was' if asked.log is None else 'both were'} given."
        )
    if asked.log is not None:
        _log(asked)
        return
    at = asked.at or f"{datetime.now():%Y-%m-%d %H:%M}"
    answered(
        asked,
        lambda box: normal(box, asked.reading, at, place=asked.place, room=asked.room, season=asked.season),
    )


def _log(asked: argparse.Namespace) -> None:
    how = {"unit": asked.unit, "day_first": asked.day_first}
    log = read_log(asked.log, sensors=pairs("--sensor", asked.sensor), **how)
    room = None if asked.room_log is None else read_log(asked.room_log, place=ROOM, **how)
    diary = None if asked.diary is None else read_diary(asked.diary, day_first=asked.day_first)
    answered(asked, lambda box: normal_log(box, log, room=room, diary=diary))
