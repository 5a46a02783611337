"""The box without its sprays and misters, and what each way of watering by itself makes of it in a short run."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from terralab.answers.common.at_the_lid import hours_for_spraying
from terralab.answers.common.balance import with_pour
from terralab.answers.common.ensemble import SETTLE_DAYS, settled_rows
from terralab.answers.common.humidity_target import hours, humidity
from terralab.answers.common.recommended import typical_ml
from terralab.answers.common.temperature import Heat, heat_of, keeps_temperature
from terralab.answers.mister.plan import SECONDS, Nozzles, Plan, resting, set_point, spread, window
from terralab.describe.box import Box, HumidityTarget
from terralab.describe.routine import Pour
from terralab.describe.trial import Trial
from terralab.simulation.places import VISIBLE_FILM
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_job, run_many

TRIED_DAYS = 3  # of a short run; its last day is looked at, by when films and air repeat themselves
EVERY_MIN = 10.0  # a burst wets leaves for less than an hour
BURSTS = (1, 2, 4, 6, 12)
DAY_HOURS = tuple(range(24))
# Choices: what is not worth trying, in shares of the vapour that leaves the box a day and in ml for a box that loses none.
LEAST_SHARE, MOST_SHARE, LEAST_LOSS_ML = 0.05, 5.0, 10.0
LACKING_H = 1.0  # h a day that are too dry: with fewer there is nothing for a mister to mend (a choice)
GAIN_H = 1.0  # h a day more in the band: less is no gain (a choice)
LEAST_DRY_H = 6.0  # h a day in which leaves must be dry (common practice, no source: they are to dry between sprayings)
FOR_A_SWITCH = 4  # bursts a day from which a switch has something to choose from
SWITCHED = 10  # how many of the timers, the best first, are tried with a switch too
#: Why a plan is ruled out after its short run.
WARMTH = "it leaves the temperatures wanted"
WET = f"leaves or glass stay wet for more than {24.0 - LEAST_DRY_H:.0f} h a day"
NO_GAIN = "it brings no hour more in the band"
WHY_SHORT = (WARMTH, WET, NO_GAIN)
LANDS = {
    "leaves": ("spray_leaf",),
    "glass": ("spray_glass",),
    "soil": ("spray_ground", "spray_moss"),
    "air": ("fog_in",),
}


@dataclass(frozen=True)
class Seen:
    """What a day of a run shows: hours in the band, too dry and too damp; hours with wet leaves (or front pane, without
    leaves) and with a fogged front pane; ml misted; mean humidity [%] and temperature [C] by day and by night.
    """

    inside_h: float
    dry_h: float
    damp_h: float
    wet_h: float
    front_h: float
    ml: float
    rh_day: float
    rh_night: float
    day_c: float
    night_c: float


@dataclass(frozen=True, eq=False)
class Base:
    """The box with its water from above left to the mister alone: no sprays, no misters, the pour that balances it.

    `record`: its run until it has settled, from whose end all others go on; `last`: the last day of that. `hours`: those of
    the day in which no hot glass is near.
    """

    box: Box
    nozzles: Nozzles
    target: HumidityTarget
    season: str
    pour_ml: float
    record: Record
    seen: Seen
    heat: Heat
    hours: tuple[int, ...]

    def with_plan(self, plan: Plan, pour_ml: float | None = None, tank_ml: float | None = None) -> Box:
        """The box with a plan, and with another pour where one is given."""
        box = self.box if pour_ml is None else with_pour(self.box, pour_ml)
        return Trial.of(box, routine=replace(box.routine, mists=(plan.device(tank_ml),)))

    def with_drip(self, times_s: Sequence[float], minutes: float) -> Box:
        """The box whose pour drips onto the soil in portions, each so many minutes long."""
        rest = tuple(pour for pour in self.box.routine.pours if pour.into != "soil")
        each = self.pour_ml / len(times_s)
        drips = tuple(Pour(time_s=t, amount_ml=each, over_min=minutes) for t in times_s)
        return Trial.of(self.box, routine=replace(self.box.routine, pours=(*rest, *drips)))

    def as_now(self, described: Box) -> Box:
        """The box with the sprays and misters that the description has, which the others replace."""
        r = described.routine
        return Trial.of(
            self.box, routine=replace(self.box.routine, sprays=r.sprays, mists=r.mists or (resting(self.nozzles),))
        )

    def job(self, box: Box, days: float = TRIED_DAYS) -> Job:
        """A short run of `box` from where this one settled."""
        return Job(box, days, self.season, accuracy="preview", record_every_min=EVERY_MIN, start=self.record)


@dataclass(frozen=True)
class Tried:
    """A plan and what its short run shows. `why_not`: why it may not be recommended; "" where it may."""

    plan: Plan
    seen: Seen
    why_not: str

    @property
    def allowed(self) -> bool:
        """Whether it may be recommended."""
        return not self.why_not


def seen_in(record: Record, target: HumidityTarget) -> Seen:
    """What the last day of a run shows."""
    rows = settled_rows(record)
    h, rh, heat = hours(record, rows, target), humidity(record, rows, target), heat_of(record, rows)
    both = lambda where: h[f"day {where}"] + h[f"night {where}"]  # noqa: E731
    front = record.fogged_hours_a_day("front", rows)
    leaves = record.film("leaves")[rows] > VISIBLE_FILM
    wet = 24.0 * float(leaves.mean()) if record.box.enclosure.plants is not None else front
    misted = float(sum(record.moved_kg(*names)[rows].sum() for names in LANDS.values()))
    return Seen(
        both("inside"), both("too dry"), both("too damp"), wet, front, 1000.0 * misted,
        rh["day"]["mean"], rh["night"]["mean"], heat.day["mean"], heat.night["mean"],
    )  # fmt: skip


def base_of(box: Box, target: HumidityTarget, nozzles: Nozzles, season: str) -> Base:
    """The box without its sprays and misters, settled. Raises RunError when it cannot be run."""
    bare = Trial.of(box, routine=replace(box.routine, sprays=(), mists=(resting(nozzles),)))
    pour = typical_ml(bare, season)
    poured = with_pour(bare, pour)
    record = run_job(Job(poured, SETTLE_DAYS, season, accuracy="preview", record_every_min=EVERY_MIN))
    free = hours_for_spraying(box, DAY_HOURS)
    return Base(
        poured,
        nozzles,
        target,
        season,
        pour,
        record,
        seen_in(record, target),
        heat_of(record, settled_rows(record)),
        free,
    )


def timers(base: Base) -> list[Plan]:
    """The plans by the clock that are worth trying: in the part of the day that is too dry, and in both where both are."""
    rows = settled_rows(base.record)
    h = hours(base.record, rows, base.target)
    parts = [part for part in ("day", "night") if h[f"{part} too dry"] >= 0.5 * LACKING_H]
    if len(parts) == 2:
        parts.append("all")
    loss = max(LEAST_LOSS_ML, base.record.vapour_out_ml_a_day(rows))
    found = []
    for part in parts:
        free = window(base.hours, base.target, part)
        for count in BURSTS:
            if count > len(free):
                continue
            plans = (Plan(base.nozzles, seconds, spread(free, count)) for seconds in SECONDS)
            found += [plan for plan in plans if LEAST_SHARE * loss <= plan.most_ml <= MOST_SHARE * loss]
    return found


def scan(base: Base) -> list[Tried]:
    """Every timer worth trying, and the best of them that have bursts to choose from with a humidity switch too."""
    clocked = tried(base, timers(base))
    many = [one for one in clocked if len(one.plan.hours) >= FOR_A_SWITCH]
    many.sort(key=lambda one: (-one.seen.inside_h - one.seen.damp_h, one.seen.ml))
    switched = [replace(one.plan, set_point=set_point(one.plan.hours, base.target)) for one in many[:SWITCHED]]
    return clocked + tried(base, switched)


def tried(base: Base, plans: Sequence[Plan]) -> list[Tried]:
    """A short run for each plan, judged; a plan that cannot be run is left out."""
    records = run_many([base.job(base.with_plan(plan)) for plan in plans], failed="none")
    found = []
    for plan, record in zip(plans, records, strict=True):
        if record is not None:
            seen = seen_in(record, base.target)
            found.append(Tried(plan, seen, _why_not(base, seen, heat_of(record, settled_rows(record)))))
    return found


def _why_not(base: Base, seen: Seen, heat: Heat) -> str:
    if not keeps_temperature(heat, base.heat):
        return WARMTH
    if seen.wet_h > 24.0 - LEAST_DRY_H:
        return WET
    return "" if seen.inside_h >= base.seen.inside_h + GAIN_H else NO_GAIN


def front_of(rows: Sequence[Tried]) -> list[Tried]:
    """Those that no other beats: none has as many hours in the band with as few wet hours and as little water."""
    return [one for one in rows if not any(_beats(other.seen, one.seen) for other in rows)]


def _beats(a: Seen, b: Seen) -> bool:
    good = (a.inside_h - b.inside_h, b.wet_h - a.wet_h, b.ml - a.ml)
    return min(good) >= -1e-9 and max(good) > 1e-9
