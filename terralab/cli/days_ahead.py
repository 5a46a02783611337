"""The options of the commands that look ahead: `terralab forecast`, `terralab mister`, `terralab fails`."""

from __future__ import annotations

import argparse

from terralab.answers.fails.faults import MAINS_H
from terralab.answers.forecast.forecast import DAYS

_SEASON = "the room: now, winter or summer (default: now)"


def forecast_options(command: argparse.ArgumentParser) -> None:
    """Give `forecast` its options."""
    command.add_argument("--days", type=int, metavar="N", default=DAYS, help=f"how many days ahead (default: {DAYS})")
    command.add_argument("--season", metavar="SEASON", default="now", help=_SEASON)
    command.add_argument("--record", metavar="FILE", help="a saved record (.npz) of this box to go on from")
    picture_options(command)


def mister_options(command: argparse.ArgumentParser) -> None:
    """Give `mister` its options."""
    command.add_argument(
        "--days-tank", type=int, default=14, metavar="N", help="for how many days the tank is to last (default: 14)"
    )
    command.add_argument("--season", default="now", metavar="SEASON", help=_SEASON)
    picture_options(command)


def fails_options(command: argparse.ArgumentParser) -> None:
    """Give `fails` its options."""
    command.add_argument(
        "--season",
        action="append",
        metavar="SEASON",
        help="now, winter or summer; repeatable (default: now and those described)",
    )
    command.add_argument(
        "--mains-hours",
        type=float,
        metavar="N",
        default=MAINS_H,
        help=f"how long the mains are cut (default: {MAINS_H:g})",
    )
    command.add_argument(
        "--picture", metavar="FILE", help="draw the hours to danger to this file; a file in use is kept"
    )


def picture_options(command: argparse.ArgumentParser) -> None:
    """Give a command that draws by itself the choice of a file, or of no picture."""
    picture = command.add_mutually_exclusive_group()
    picture.add_argument("--picture", metavar="FILE", help="where to write it; a file in use is kept")
    picture.add_argument("--no-picture", action="store_true", help="write no picture")
