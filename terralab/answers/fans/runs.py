"""The runs behind the comparison: every schedule and lid in the room now, and in winter and summer those that need it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from terralab.answers.common.balance import with_pour
from terralab.answers.common.fair_rows import fair_rows_min
from terralab.answers.common.humidity_target import shortfall
from terralab.answers.common.recommended import Recommended, first_seen
from terralab.answers.fans import fresh_air
from terralab.answers.fans.choice import no_worse_in
from terralab.answers.fans.compared import ROOM_WORDS
from terralab.answers.fans.faults import faults_of
from terralab.answers.fans.measure import measured
from terralab.answers.fans.schedules import AS_DESCRIBED, NO_FAN, Schedule, shares_to_try, with_fans
from terralab.answers.fans.warmth_gates import DAYS
from terralab.answers.fans.water_cost import shift
from terralab.describe.box import Box, HumidityTarget
from terralab.describe.seasons import SEASONS
from terralab.describe.trial import covered_lid
from terralab.errors import TerralabError
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_many

BATCH = 16
LATER = SEASONS[1:]
Cover = tuple[str, float, Box]
Row = dict[str, Any]
_OF_A_LID = (
    "rh_day", "rh_night", "temperature_day_c", "temperature_night_c", "heat", "hours", "water_ml", "front_fogged_h",
    "fogged_h", "airs", "apart", "basking", "dry_out_h", "air_changes", "top_dries",
)  # fmt: skip


def covers_of(box: Box) -> list[Cover]:
    """(fan, covered share, box) of the other lever: the lid more or less covered, without a fan and with the own one.

    Nothing is covered where a hot lamp or heater stands at the lid.
    """
    shares = shares_to_try(box)
    out: list[Cover] = [(NO_FAN, share, covered_lid(with_fans(box), share)) for share in shares]
    if box.routine.fans:
        out += [(AS_DESCRIBED, share, covered_lid(box, share)) for share in shares]
    return out


def each_once(boxes: Sequence[Box], seen: Callable[[int], None]) -> list[Record | TerralabError]:
    """The run of every box in the room now, or why there is none; boxes that are equal are run once.

    `seen(done)` is called as runs finish.
    """
    single = list(dict.fromkeys(boxes))
    found: list[Record | TerralabError] = []
    for start in range(0, len(single), BATCH):
        found += run_many([_job(box, "now") for box in single[start : start + BATCH]], failed="error")
        seen(len(found))
    by_box = dict(zip(single, found, strict=True))
    seen(len(boxes))
    return [by_box[box] for box in boxes]


def _job(box: Box, room: str) -> Job:
    return Job(box, DAYS, room, record_every_min=fair_rows_min(box, season=room))


def that_ran(
    tried: Sequence[Schedule], covers: Sequence[Cover], found: Sequence[Record | TerralabError]
) -> tuple[list[tuple[Schedule, Record]], list[tuple[Cover, Record]], list[str]]:
    """The schedules and lids that could be run, with their records, and what was left out and why.

    Raises the error itself where the box without a fan or as described cannot be run: there is nothing to compare with.
    """
    schedules, lids, left_out = [], [], []
    for one, record in zip(tried, found[: len(tried)], strict=True):
        if isinstance(record, Record):
            schedules.append((one, record))
        elif one.name in (NO_FAN, AS_DESCRIBED):
            raise record
        else:
            left_out.append(not_run(one.name, "now", record))
    for cover, record in zip(covers, found[len(tried) :], strict=True):
        if isinstance(record, Record):
            lids.append((cover, record))
        else:
            left_out.append(
                f"a lid {100 * cover[1]:.0f} % covered, {cover[0]}: it could not be run, since {_why(record)}"
            )
    return schedules, lids, left_out


def not_run(name: str, room: str, error: TerralabError) -> str:
    """That a schedule could not be run in a room, and why, as a clause."""
    return f"{name}: {ROOM_WORDS[room]} it could not be run, since {_why(error)}"


def _why(error: TerralabError) -> str:
    return " ".join(getattr(error, "why", str(error)).split())


class Compare:
    """Makes the rows of the comparison from records, all in the same way, and runs them in winter and summer when asked.

    `by`: what the water of every row is moved by in each room (see `water_cost.shifts`), once that is known.
    """

    def __init__(
        self, target: HumidityTarget | None, source: Mapping[str, Any], within: float, pours: Mapping[str, Recommended]
    ) -> None:
        self.target, self.source, self.within, self.pours = target, source, within, pours
        self.store = 0.0  # ml that the soil gives easily
        self.by = dict.fromkeys(pours, 0.0)
        self.left_out: list[str] = []

    def row(self, one: Schedule, record: Record) -> Row:
        """One schedule in the room now, as plain numbers."""
        out = {"name": one.name, "mode": one.mode, "when": one.when, "minutes_a_day": one.minutes_a_day}
        return out | {"now": self._seen(record)}

    def _seen(self, record: Record) -> dict[str, Any]:
        seen = measured(record, self.target, first_seen(record), self.store)
        seen |= fresh_air.breathed(record, self.source["all"])
        seen["faults"] = faults_of(seen, self.within)
        return seen

    def in_seasons(self, row: Row, one: Schedule) -> None:
        """Put winter and summer into a row, in place. Raises RunError where one of them cannot be run."""
        missing = [room for room in LATER if room not in row]
        jobs = [_job(with_pour(one.box, self.pours[room].ml), room) for room in missing]
        for room, record in zip(missing, run_many(jobs, failed="error"), strict=True):
            if isinstance(record, TerralabError):
                self.left_out.append(not_run(one.name, room, record))
                raise record
            row[room] = self._seen(record)
            del row[room]["course"]
            shift(row[room], self.by[room])

    def sound(self, row: Row, one: Schedule, now: Row) -> bool:
        """Whether a schedule can be run in winter and summer, and is then no worse off in warmth than what is done `now`."""
        try:
            self.in_seasons(row, one)
        except TerralabError:
            return False
        return no_worse_in(row, now, LATER)

    def lid(self, cover: Cover, record: Record) -> Row:
        """One lid in the room now, as plain numbers."""
        seen = measured(record, self.target, first_seen(record), 0.0)
        gap = 0.0 if self.target is None else shortfall({"day": seen["rh_day"], "night": seen["rh_night"]}, self.target)
        out = {"fan": cover[0], "covered": cover[1], "gap_points": gap, **{key: seen[key] for key in _OF_A_LID}}
        return {**out, "refused": "", "sprays": seen["sprays"], "faults": faults_of(seen, self.within)}


def anchored(rows: Iterable[Row], by: float) -> None:
    """Move the water of some rows or lids in the room now, in place."""
    for one in rows:
        shift(one.get("now", one), by)
