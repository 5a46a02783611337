"""What the members of a fit foretell: run through a later log's room and diary, and held against what was read there."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from terralab.errors import TerralabError
from terralab.learning.bank import Runs, run_values
from terralab.learning.courses import EDGES, within
from terralab.learning.errors import DAILY, FADING, OWN
from terralab.learning.fit import Course, Fit
from terralab.learning.logged_box import logged_box
from terralab.learning.readings import Channel, channels_of, window_of
from terralab.logs.diary import Diary
from terralab.logs.log import Log

REPEATS = 4  # errors drawn for each member
MOST_MEMBERS = 64  # enough for a band


def predict(
    fit: Fit,
    log: Log,
    *,
    room: Log | None = None,
    diary: Diary | None = None,
    members: int = MOST_MEMBERS,
    seed: int = 0,
    progress: Callable[[str, int, int], None] | None = None,
) -> tuple[Course, ...]:
    """Return what the members of `fit` foretell for the sensors of `log`, over all its whole hours.

    `log` may go on from the one that was learned from, or hold both; runs begin in balance where it begins, so that a log
    that holds both foretells best. `held_out` is the band after what was learned from, NaN before; there a sensor's offset and
    what came again daily are counted in. `after` is the same band over all hours; `before` is that of no fit and is NaN.
    Sensors that the fit has not seen are taken to have no offset. Raises TerralabError for what `fit` would refuse.
    """
    if not fit.members:
        raise TerralabError("This fit holds no members to foretell with.")
    window = window_of(log, room)
    channels = channels_of(log, window)
    logged = logged_box(fit.box, log, room, diary, window)
    size = min(members, len(next(iter(fit.members.values()))))
    rows = [{key: values[i] for key, values in fit.members.items()} for i in range(size)]
    told = None if progress is None else (lambda done: progress("foretold", done, size))
    runs = run_values(logged, rows, channels, told)
    chance = np.random.default_rng([seed, 3])
    known = {(one.place, one.quantity): one for one in fit.courses}
    begins = np.datetime64(fit.first_day, "h") + np.timedelta64(int(fit.hours[-1]), "h")
    late = window.hours > window.hour_of(begins.astype("datetime64[s]"))
    return tuple(
        _course(one, runs.read[c], runs, known.get((one.place, one.quantity)), fit.widened, window.hours, late, chance)
        for c, one in enumerate(channels)
    )


def _course(
    channel: Channel,
    read: np.ndarray,
    runs: Runs,
    learned: Course | None,
    widened: float,
    hours: np.ndarray,
    late: np.ndarray,
    chance: np.random.Generator,
) -> Course:
    """The course of one sensor, its members with their offsets and what came again daily."""
    offsets = np.zeros(runs.size) if learned is None else np.array(learned.offsets)[runs.kept]
    repeats = np.zeros(24) if learned is None else np.array(learned.repeats)
    likely = read + offsets[:, None] + repeats[(hours - 1).astype(int) % 24]
    quantity = channel.quantity
    # the daily error is known by now, in so far as it repeats
    rest = widened * float(np.sqrt(0.5 * DAILY[quantity] ** 2 + FADING[quantity] ** 2 + OWN[quantity] ** 2))
    noisy = np.concatenate([likely] * REPEATS)
    noisy = noisy + rest * chance.normal(size=(len(noisy), 1))
    low, _, high = np.quantile(noisy, EDGES, axis=0)
    band = within(np.array([low, np.median(likely, axis=0), high]), channel)
    held = np.where(late, band, np.nan)
    nothing = np.full(band.shape, np.nan)
    ends = tuple(float(x) for x in np.quantile(offsets, EDGES))
    return Course(
        channel.place,
        quantity,
        channel.values,
        channel.at_least,
        nothing,
        band,
        held,
        ends,  # type: ignore[arg-type]
        tuple(map(float, offsets)),
        tuple(map(float, repeats)),
    )
