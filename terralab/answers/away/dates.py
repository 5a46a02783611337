"""From dates to the days of an absence and, where it is plain, to its season."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from terralab.answers.away.away import DAYS, MOST_DAYS
from terralab.errors import TerralabError, quoted

# North of the equator; a choice. Months between are the room as described.
WINTER, SUMMER = (12, 1, 2), (6, 7, 8)


@dataclass(frozen=True)
class Asked:
    """An absence as it was asked for: its days, the season of its room, the days of visits, and its first day where dates were given."""

    days: int
    season: str
    visits: tuple[int, ...]
    leaves: date | None = None


def absence_asked(
    days: int | None = None,
    leaves: str | None = None,
    returns: str | None = None,
    season: str | None = None,
    visits: Sequence[str] = (),
) -> Asked:
    """Return the absence that is meant by days, or by the dates of leaving and returning ("2026-08-03").

    `visits`: days of the absence counted from 1, or dates. Dates that all lie in June to August, or in December to February,
    give the season where none is named. Raises TerralabError.
    """
    if leaves is None and returns is None:
        count = DAYS if days is None else days
        return Asked(count, season or "now", tuple(_visit(one, None, count) for one in visits))
    if days is not None and returns is not None:
        raise TerralabError("Give --days, or --from and --to, not all three.")
    if leaves is None or (returns is None and days is None):
        raise TerralabError(
            "An absence by dates needs two: --from and --to, such as --from 2026-08-03 --to 2026-08-17."
        )
    first = _date("--from", leaves)
    count = days if days is not None else (_date("--to", returns) - first).days
    if not 1 <= count <= MOST_DAYS:
        raise TerralabError(f"--to must be 1 to {MOST_DAYS} days after --from; it is {count}.")
    found = season or season_of(first, count)
    return Asked(count, found, tuple(_visit(one, first, count) for one in visits), first)


def season_of(first: date, days: int) -> str:
    """The season of the room in these days: "summer" or "winter" where all lie in it (north of the equator), else "now"."""
    months = {(first + timedelta(days=day)).month for day in range(days)}
    return "summer" if months <= set(SUMMER) else "winter" if months <= set(WINTER) else "now"


def day_of(leaves: date | None, day: int) -> str:
    """A day of the absence as it is said on a sheet: "Day 7", with its date where one is known."""
    if leaves is None:
        return f"Day {day}"
    then = leaves + timedelta(days=day - 1)
    return f"{then:%A}, {then.day} {then:%B} (day {day})"


def _date(name: str, text: object) -> date:
    try:
        return date.fromisoformat(str(text))
    except ValueError:
        raise TerralabError(f"{name} must be a date such as 2026-08-03; {quoted(text)} was given.") from None


def _visit(text: object, first: date | None, days: int) -> int:
    if str(text).isdecimal():
        day = int(str(text))
    elif first is not None:
        day = (_date("--visit", text) - first).days + 1
    else:
        raise TerralabError(
            f"--visit must be a day of the absence, such as 7, or with --from a date; {quoted(text)} was given."
        )
    if not 1 <= day <= days:
        raise TerralabError(f"--visit must lie within the {days} days of the absence; {quoted(text)} was given.")
    return day
