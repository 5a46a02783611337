"""The tables of the fan answer: schedules and lids side by side in columns of equal width, and what the columns mean."""

from __future__ import annotations

from collections.abc import Iterable

from terralab import wording
from terralab.answers.common.balance import kept_dry
from terralab.answers.common.optional import dry_cell
from terralab.answers.fans.compared import Compared, Row, given_by_hand
from terralab.answers.fans.faults import Fault, kinds_of
from terralab.answers.fans.schedules import NO_FAN
from terralab.quantities import column, quantity, unit_word

NAME_WIDE = 28  # characters; with all columns a line then has 75
MARGIN = 4  # characters before the name: a star, two letters for faults, a space
_C, _ML = unit_word("°C"), unit_word("ml")
_RH, _WARM, _INSIDE, _ONE, _WATER = 4, 4, 5, 5, 6  # widths


def table(c: Compared, room: str = "now") -> list[str]:
    """The comparison, its heading first; a star marks the recommended row."""
    heads = [("% d n", 2 * _RH), (f"{_C} d n", 2 * _WARM)]
    heads += [("in d n", 2 * _INSIDE)] if c.target is not None else []
    heads += [("fog", _ONE), ("dry", _ONE), ("ach", _ONE), (_ML, _WATER)]
    out = [f"{'schedule':<{NAME_WIDE}}{''.join(column(text, width) for text, width in heads)}"]
    return out + [_line(name, row[room], row is c.best) for name, row in leaders(c)]


def leaders(c: Compared) -> list[tuple[str, Row]]:
    """One row for each group of schedules that come out alike, with its name and how many more stand behind it."""
    rows = {row["name"]: row for row in c.rows}
    out = []
    for group in c.details["groups"]:
        more = len(group["names"]) - 1
        tail = f" +{more}" if more else ""
        out.append((_fitting(group["name"], NAME_WIDE - MARGIN - len(tail)) + tail, rows[group["name"]]))
    return out


def _fitting(name: str, most: int) -> str:
    """A name of at most so many characters, in short where that helps."""
    return wording.cut(name if len(name) <= most else name.replace(" min an hour", " min/h"), most)


def lid_table(c: Compared) -> list[str]:
    """The lid in the columns of `table`."""
    out = []
    for one in c.covers:
        state = f"{100 * one['covered']:.0f} % covered" if one["covered"] > 0.0 else "lid open"
        out.append(_line(f"{state}, {'no fan' if one['fan'] == NO_FAN else 'your fans'}", one, False))
    return out


def marks_of(name: str, seen: Row, best: bool) -> str:
    """The beginning of a line: a star where it is recommended, letters for its faults, and its name."""
    most = NAME_WIDE - MARGIN
    marks = "".join(kind.mark for kind in kinds_of(seen["faults"]))[:2]
    return f"{('*' if best else '') + marks:<{MARGIN}}{wording.cut(name, most):<{most}}"


def _line(name: str, seen: Row, best: bool) -> str:
    named = marks_of(name, seen, best)
    cells = [(f"{seen['rh_day']['mean']:.0f}", _RH), (f"{seen['rh_night']['mean']:.0f}", _RH)]
    cells += [(quantity("°C", ".0f", seen[f"temperature_{part}_c"], bare=True), _WARM) for part in ("day", "night")]
    if seen["hours"]:
        cells += [(f"{seen['hours'][f'{part} inside']:.1f}", _INSIDE) for part in ("day", "night")]
    cells += [
        (f"{seen['front_fogged_h']:.1f}", _ONE),
        (dry_cell(seen), _ONE),
        (f"{seen['air_changes']['mean']:.1f}", _ONE),
        (quantity("ml", ".0f", seen["water_ml"], bare=True), _WATER),
    ]
    return named + "".join(column(text, width) for text, width in cells)


def legend(c: Compared) -> str:
    """What the columns and the letters in the margin mean, and which fans were tried."""
    inside = "in d n: hours of the day and of the night inside the humidity wanted. " if c.target is not None else ""
    water = (
        f"{given_by_hand(c.box)} (nothing is poured on the soil)"
        if kept_dry(c.box)
        else "pour that would hold the soil"
    )
    several = any(len(group["names"]) > 1 for group in c.details["groups"])
    more = "+3: three more come out alike (see above). " if several else ""
    marks = "".join(f", {kind.mark}: {kind.legend}" for kind in kinds_of(_faults(c)))
    return (
        f"*: recommended{marks}. {more}% d n: mean humidity by day and by night. {_C} d n: mean temperature by day and by night. "
        f"{inside}fog: hours a day with water to be seen on the front pane. dry: hours until leaves and front pane are dry after a spray. "
        f"ach: air changes an hour. {_ML}: {water}, a day. "
        f"Exchange fan: {c.details['exchange_fan']}. Circulating fan: {c.details['circulating_fan']}."
    )


def _faults(c: Compared) -> Iterable[Fault]:
    """All faults of the two tables."""
    for seen in (*(row["now"] for row in c.rows), *c.covers):
        yield from seen["faults"]
