"""How a log was read, said back in one paragraph."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from terralab.errors import quoted
from terralab.logs import tidy
from terralab.logs.layout import Sheet
from terralab.logs.times import day_in_words
from terralab.units import DAY_S, HOUR_S, clock

_NAMED_AT_MOST = 6


@dataclass
class Told:
    """What there is to say of one sensor: how its columns were read, how often it was at its top, where it froze."""

    place: str
    words: list[str]
    humidity: np.ndarray | None
    at_least: np.ndarray | None
    top: float
    frozen: list[tuple[str, str, int, int, bool]]


def moment(second: float) -> str:
    """A time of a log in words.

    >>> moment(1699999980.0).split()
    ['14', 'November', '2023', '22:13']
    """
    return f"{day_in_words(second // DAY_S)} {clock(second % DAY_S)}"


def long(seconds: float) -> str:
    """A length of time in words.

    >>> long(300.0), long(5400.0), long(86400.0 * 14)
    ('5 minutes', '1.5 hours', '14 days')
    """
    for size, unit in ((DAY_S, "day"), (HOUR_S, "hour"), (60.0, "minute"), (1.0, "second")):
        if seconds >= size * (1.0 if unit == "second" else 1.0 - 1e-9):
            count = float(f"{seconds / size:.3g}")
            if unit == "day" and count < 2 and count % 1:
                continue
            return f"{count:g} {unit}{'' if count == 1 else 's'}"
    return f"{seconds:.2g} seconds"


def paragraph(
    sheet: Sheet, times: np.ndarray, ways: list[str], air: list[Told], worked: list[str], left_out: list[str], order: tidy.Order, empty: int,
    impossible: int,
) -> str:  # fmt: skip
    """Return all that was understood of a log, in sentences."""
    step = tidy.usual_step(times)
    parts = [
        f"{len(times):,} rows from {moment(times[0])} to {moment(times[-1])}, one every {long(step).removeprefix('1 ')}"
        + (
            f", columns parted by {sheet.separator if sheet.separator == 'blanks' else sheet.separator + 's'}"
            if sheet.separator
            else ""
        )
    ]
    missing = tidy.missing_share(times)
    if missing > 0.0005:
        steps = np.diff(times)
        widest = int(np.argmax(steps))
        parts.append(
            f"{100 * missing:.1f} % of the rows are missing, the longest gap is {long(steps[widest])} from {moment(times[widest])}"
        )
    parts += [f"{one.place}: {' and '.join(one.words)}" for one in air]
    parts += worked
    parts += [f"{way[0].upper()}{way[1:]}" for way in ways]
    dropped = _dropped(order, empty, impossible, sheet.unread)
    if dropped:
        parts.append(f"Left out: {', '.join(dropped)}")
    if order.unsorted:
        parts.append("Rows that were not in the order of time were sorted")
    if left_out:
        names = ", ".join(quoted(name) for name in left_out[:_NAMED_AT_MOST])
        more = len(left_out) - _NAMED_AT_MOST
        parts.append(f"Columns not used: {names}{f' and {more} more' if more > 0 else ''}")
    for one in air:
        parts += _stuck(times, one)
    return " ".join(f"{part[0].upper()}{part[1:]}." if not part.endswith(".") else part for part in parts)


def _dropped(order: tidy.Order, empty: int, impossible: int, unread: int) -> list[str]:
    out = []
    for count, one, many in (
        (order.timeless, "row without a time", "rows without a time"),
        (empty, "row without a reading", "rows without a reading"),
        (order.twice, "row whose time was there already", "rows whose time was there already"),
        (order.far, "row months away from the rest", "rows months away from the rest"),
        (impossible, "reading that no air has", "readings that no air has"),
        (unread, "line that could not be read", "lines that could not be read"),
    ):
        if count:
            more = (
                f" ({order.unlike} with other readings)"
                if count == order.twice and order.unlike and "already" in one
                else ""
            )
            out.append(f"{count:,} {one if count == 1 else many}{more}")
    return out


def _stuck(times: np.ndarray, one: Told) -> list[str]:
    out = []
    if one.at_least is not None and one.at_least.any() and one.humidity is not None:
        share = 100.0 * float(one.at_least.sum()) / max(1, int(np.isfinite(one.humidity).sum()))
        out.append(
            f"{one.place}: the humidity is {one.top:g} % or above in {share:.0f} % of the rows and counts there as that at least"
        )
    for _, quantity, a, b, fine in one.frozen[:_NAMED_AT_MOST]:
        stuck = quantity == "humidity" and times[b] - times[a] >= tidy.STUCK_S
        done = (
            f"was left out{': the sensor seems stuck' if stuck else ''}"
            if fine
            else "was kept, since the sensor reads in coarse steps; look at it"
        )
        out.append(
            f"{one.place}: the {quantity} stood still for {long(times[b] - times[a])} from {moment(times[a])} while others moved, and {done}"
        )
    return out
