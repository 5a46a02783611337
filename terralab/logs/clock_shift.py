"""How far a logger's clock is off the routine's: from the hours at which lamps warm the box and let it cool.

The log's mean day is taken apart into a smooth daily swing, the room's course, and what each device on a timer adds: a rise that begins
at its hour, fast and slow, through a sensor of a usual lag. All devices are moved along the clock together until the rest is
smallest. How far the result would stray is seen by drawing the days anew (Efron 1979, the bootstrap). The lags are guesses and the
limits of what counts as seen are choices (G), tried on invented boxes only.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from terralab.describe.box import Box
from terralab.describe.needed import needs_box
from terralab.describe.timer import Timer
from terralab.errors import TerralabError, quoted
from terralab.logs import tidy
from terralab.logs.log import BOX, HIDE, HIGH, LOW, ROOM, Log
from terralab.units import DAY_S, clock

STEP_S = 300.0
N = round(DAY_S / STEP_S)
_FAST_S, _SLOW_S = 240.0, 2700.0  # how air and glass answer to a lamp
_LAG_S = 180.0  # of a usual sensor in still air; between none and a quarter hour
_LAG_ERROR_MIN = 8.0
_ROOM_LAGS_S = (0.0, 2400.0, 10_800.0)
_HARMONICS = 3
_WIDEST_STEP_S = 1200.0
_FEWEST_DAYS = 2
_DRAWS = 60
_SEEN = 0.3  # of what daily swing and room leave over, what lamps must explain
_RIVAL = 1.4  # so much more must be left over at any other hour
_STRAY_MIN = 25.0
_LOOK_MIN = 75.0  # so far about their hours both switchings are looked for apart
_EDGES = 0.65  # and what together they must explain of that
_OTHER_HOURS = 0.55  # other hours contradict where they leave over no more than that share
_OTHER_MIN = 40.0
_OTHER_SEEN = 0.6  # and what they must explain


@dataclass(frozen=True)
class Shift:
    """By how many `minutes` the logger's clock is ahead of the timers (behind where negative), give or take `plus_minus`.

    None where no lamp shows in the log. `words`: the finding for a keeper. `seen`: the hours ("07:30", "19:30") by the logger's clock at
    which the lamps seem to switch where they contradict the description's, else None.
    """

    minutes: float | None
    plus_minus: float | None
    words: str
    seen: tuple[str, str] | None = None

    @property
    def contradicts(self) -> bool:
        """Whether the lamps seem to burn at other hours than described, whatever the clock."""
        return self.seen is not None


def clock_shift(log: Log, box: Box) -> Shift:
    """Return how far the clock of `log` is off that of the timers of `box`. Raises `TerralabError` for anything else."""
    needs_box(box, "A clock shift")
    if not isinstance(log, Log):
        raise TerralabError(f"A log that tl.read_log read is needed; {quoted(log)} was given.")
    lamps = [(one.timer, one.power_w) for one in box.routine.lamps if one.control is None and _switches(one.timer)]
    if not lamps:
        return _none("The box has no lamp on a timer, so the logger's clock cannot be held against the routine.")
    place = next(
        (one for one in (HIGH, BOX, LOW, HIDE) if one in log.sensors and log.sensors[one].temperature_c is not None),
        None,
    )
    if place is None:
        return _none("The log holds no temperature of the box, so its clock cannot be held against the lamps.")
    seconds = log.times.astype("datetime64[s]").astype(float)
    if tidy.usual_step(seconds) > _WIDEST_STEP_S:
        return _none("The rows of the log are more than 20 minutes apart, too far to see when a lamp switches.")
    room = log.sensors[ROOM].temperature_c if ROOM in log.sensors else None
    if room is None:
        # its heating rises and falls by the clock as a lamp does: trials with invented boxes went wrong by an hour
        return _none(
            "Without a log of the room its heating cannot be told from a lamp, so the logger's clock was not held against the routine."
        )
    days, room_days = _days(seconds, log.sensors[place].temperature_c), _days(seconds, room)
    if min(len(days), len(room_days)) < _FEWEST_DAYS:
        return _none(
            "The log holds less than two whole days of temperatures of box and room, too few to see when the lamps switch."
        )
    back = _background(room_days)
    light = _responses(sum(power * _on(timer) for timer, power in lamps))
    warm = [*box.routine.heaters, *(one for one in box.routine.lamps if one.control is not None)]
    others = [one for one in (*warm, *box.routine.fans) if _switches(one.timer)]
    rest = [shape for one in others for shape in _responses(_on(one.timer))]
    # the hours of another heat source would be taken for those of the lamps
    alone = not any(_switches(one.timer) for one in warm)
    return _found(days, back, light, rest, lamps, alone)


def _none(words: str) -> Shift:
    return Shift(None, None, words)


def _switches(timer: Timer) -> bool:
    return not timer.is_log and 0.0 < timer.on_s < DAY_S


def _on(timer: Timer) -> np.ndarray:
    """The share of each step of the day in which a timer is on."""
    edges = np.arange(N + 1) * STEP_S
    out = np.zeros(N)
    for on, off in timer.periods_s():
        out += np.clip(np.minimum(edges[1:], off) - np.maximum(edges[:-1], on), 0.0, None) / STEP_S
    return np.clip(out, 0.0, 1.0)


def _lagged(course: np.ndarray, lag_s: float) -> np.ndarray:
    """A daily course after a first-order lag."""
    if lag_s <= 0.0:
        return course
    kernel = np.exp(-np.arange(N) * STEP_S / lag_s)
    return np.fft.irfft(np.fft.rfft(course) * np.fft.rfft(kernel / kernel.sum()), N)


def _responses(on: np.ndarray) -> list[np.ndarray]:
    return [_lagged(_lagged(on, lag), _LAG_S) for lag in (_FAST_S, _SLOW_S)]


def _days(seconds: np.ndarray, values: np.ndarray | None) -> np.ndarray:
    """(days, N): the readings of each day with few gaps, at the middle of each step."""
    if values is None:
        return np.empty((0, N))
    held = np.isfinite(values)
    t, v = seconds[held], values[held]
    if len(t) < 2:
        return np.empty((0, N))
    first, last = np.floor(t[0] / DAY_S), np.ceil(t[-1] / DAY_S)
    at = first * DAY_S + (np.arange(round(last - first) * N) + 0.5) * STEP_S
    after = np.clip(np.searchsorted(t, at), 1, len(t) - 1)
    near = (t[after] - t[after - 1] <= 2.0 * _WIDEST_STEP_S) & (at >= t[0] - STEP_S) & (at <= t[-1] + STEP_S)
    days = np.where(near, np.interp(at, t, v), np.nan).reshape(-1, N)
    good = np.isfinite(days).mean(axis=1) > 0.9
    days = days[good]
    if not len(days):
        return days
    # what a day lacks, and from one day to the next the room's weather, is no matter of the clock
    mean = np.nanmean(days, axis=0) if np.isfinite(days).any(axis=0).all() else np.full(N, np.nan)
    days = np.where(np.isfinite(days), days, mean)
    days = days[np.isfinite(days).all(axis=1)]
    ramp = np.arange(N) / N - 0.5
    return days - np.mean(days, axis=1, keepdims=True) - (days[:, -6:].mean(1) - days[:, :6].mean(1))[:, None] * ramp


def _background(room: np.ndarray) -> np.ndarray:
    turn = 2.0 * np.pi * np.arange(N) / N
    columns = [np.ones(N), np.arange(N) / N]
    columns += [wave(k * turn) for k in range(1, _HARMONICS + 1) for wave in (np.cos, np.sin)]
    columns += [_lagged(room.mean(axis=0), lag) for lag in _ROOM_LAGS_S]
    return np.linalg.qr(np.stack(columns, axis=1))[0]


def _moved(shapes: list[np.ndarray], back: np.ndarray) -> np.ndarray:
    """(N, shapes, N): each shape at each shift, less what the background holds of it."""
    turned = np.stack([[np.roll(shape, k) for shape in shapes] for k in range(N)]) if shapes else np.empty((N, 0, N))
    return turned - (turned @ back) @ back.T


class _Fits:
    """What shapes explain of a mean day at each shift."""

    def __init__(self, shapes: np.ndarray) -> None:
        self.shapes = shapes
        self.grams = np.einsum("kin,kjn->kij", shapes, shapes)
        sizes = np.einsum("kii->ki", self.grams).mean(axis=0)
        self.inverse = (
            np.linalg.inv(self.grams + 1e-3 * np.eye(len(sizes)) * sizes.clip(1e-12)) if len(sizes) else self.grams
        )

    def gains(self, day: np.ndarray) -> np.ndarray:
        hit = self.shapes @ day
        return np.einsum("ki,kij,kj->k", hit, self.inverse, hit)

    def sizes(self, day: np.ndarray) -> np.ndarray:
        return np.einsum("kij,kj->ki", self.inverse, self.shapes @ day)


def _found(
    days: np.ndarray, back: np.ndarray, light: list[np.ndarray], rest: list[np.ndarray], lamps: list, alone: bool
) -> Shift:
    clean = lambda day: day - back @ (back.T @ day)  # noqa: E731
    both = _Fits(_moved([*light, *rest], back))
    day = clean(days.mean(axis=0))
    total = float(day @ day)

    def left_over(day: np.ndarray) -> np.ndarray:
        # a lamp warms: where the best fit has it cool, nothing is explained
        warms = both.sizes(day)[:, : len(light)].sum(axis=1) > 0.0
        return np.where(warms, day @ day - both.gains(day), day @ day)

    left = left_over(day)
    best = int(np.argmin(left))
    without = _Fits(_moved(rest, back)).gains(day) if rest else np.zeros(N)
    lit = (total - float(without.max()) - float(left[best])) / max(total - float(without.max()), 1e-12)
    turned = [np.roll(shape, best) for shape in rest]
    agrees, other = True, None
    blocks = {timer.periods_s() for timer, _ in lamps}
    if len(blocks) == 1 and len(next(iter(blocks))) == 1:
        on, off = next(iter(blocks))[0]
        stretches = _stretches(day, back, turned)
        agrees = _edges_agree(stretches[0], round(on / STEP_S) + best, round(off / STEP_S) + best)
        other = _other_hours(*stretches, float(left[best]), (off - on) / 60.0) if alone else None
    away = np.abs((np.arange(N) - best + N // 2) % N - N // 2) * STEP_S / 60.0
    rival = float(left[away > 60.0].min()) / max(float(left[best]), 1e-12)
    chance = np.random.default_rng(18)
    drawn = [
        int(np.argmin(left_over(clean(days[chance.integers(0, len(days), len(days))].mean(axis=0)))))
        for _ in range(_DRAWS)
    ]
    strays = np.array([((k - best + N // 2) % N - N // 2) * STEP_S / 60.0 for k in drawn])
    stray = float(np.quantile(np.abs(strays), 0.8))
    if not agrees or lit < _SEEN or rival < _RIVAL or stray > _STRAY_MIN:
        return other or _none(
            "The temperatures show no clear hour at which the lamps switch, so the logger's clock could not be held against the routine. Compare it "
            "with your own clock when you read it out."
        )
    minutes = ((best + _between(left, best) + N / 2) % N - N / 2) * STEP_S / 60.0
    error = float(np.sqrt(_LAG_ERROR_MIN**2 + (stray / 1.28) ** 2 + (STEP_S / 60.0) ** 2 / 12.0))
    return Shift(minutes, error, _said(minutes, error))


def _between(left: np.ndarray, best: int) -> float:
    """Where between the steps the least is, by a parabola, in steps."""
    a, b, c = left[best - 1], left[best], left[(best + 1) % N]
    bend = a - 2.0 * b + c
    return float(np.clip(0.5 * (a - c) / bend, -0.5, 0.5)) if bend > 0.0 else 0.0


def _said(minutes: float, error: float) -> str:
    if abs(minutes) <= error:
        return f"The logger's clock agrees with the lamps' timer within {error:.0f} minutes."
    which = "ahead of" if minutes > 0 else "behind"
    more = ""
    if 60.0 - error <= abs(minutes) <= 60.0 + error:
        more = " An hour may be summer time."
    return f"The logger's clock is {abs(minutes):.0f} minutes {which} the lamps' timer, give or take {error:.0f}.{more}"


def _stretches(day: np.ndarray, back: np.ndarray, rest: list[np.ndarray]) -> tuple[np.ndarray, float]:
    """(N, N): what a lamp that is on from one step of the day to another would explain, and what there is to explain."""
    wide = back if not rest else np.linalg.qr(np.column_stack([back, *rest]))[0]
    clean = day - wide @ (wide.T @ day)
    # a stretch from a to b is the difference of two saw teeth
    shapes = _moved(_responses(-np.arange(N) / N), wide)
    hits = shapes @ clean
    grams = np.einsum("kin,ljn->klij", shapes, shapes)
    hit = hits[:, None, :] - hits[None, :, :]
    own = np.einsum("kkij->kij", grams)
    gram = own[:, None] + own[None, :] - grams - np.swapaxes(np.swapaxes(grams, 0, 1), 2, 3)
    gram = gram + 1e-3 * np.eye(2) * np.einsum("kii->k", own).mean()
    size = np.linalg.solve(gram, hit[..., None])[..., 0]
    return np.where(size.sum(axis=-1) > 0.0, np.einsum("kli,kli->kl", hit, size), 0.0), float(clean @ clean)


def _edges_agree(gain: np.ndarray, on: int, off: int) -> bool:
    """Whether both switchings of the lamps, looked for apart near their hours, explain little more than together."""
    around = np.arange(-round(60.0 * _LOOK_MIN / STEP_S), round(60.0 * _LOOK_MIN / STEP_S) + 1)
    apart = float(gain[np.ix_((on + around) % N, (off + around) % N)].max())
    return float(gain[on % N, off % N]) >= _EDGES * apart


def _other_hours(gain: np.ndarray, there: float, left: float, on_min: float) -> Shift | None:
    """The hours at which the lamps seem to burn, where a stretch of another length explains the day far better."""
    a, b = np.unravel_index(int(np.argmax(gain)), gain.shape)
    long_min = ((b - a) % N) * STEP_S / 60.0
    if abs(long_min - on_min) < _OTHER_MIN or not 120.0 <= long_min <= 1200.0:
        return None
    if there - float(gain[a, b]) > _OTHER_HOURS * left or gain[a, b] < _OTHER_SEEN * there:
        return None
    seen = clock(int(a) * STEP_S), clock(int(b) * STEP_S)
    return Shift(
        None,
        None,
        f"By the log the lamps seem to burn from {seen[0]} to {seen[1]}, {long_min / 60.0:.1f} hours; the description has {on_min / 60.0:.1f} hours. Look at "
        "the timer, and mend the description or the log's clock.",
        seen,
    )
