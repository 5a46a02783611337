"""General integrators on the engine's own equations (`tests.engine.rates`): what the engine's two clocks are worth.

Each runs the same box from one switching to the next, with the same compiled right-hand side, at a tolerance that is
given. CVODE comes with the package scikit-sundae, which is only used where it is installed.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.integrate import solve_ivp

import terralab as tl
from terralab.describe.seasons import room_of
from terralab.engine.manual_actions import REFILL
from terralab.engine.pack import pack
from terralab.engine.settle import settle, settling
from terralab.engine.tables import Work
from tests.engine.rates import PASSED, rates, start
from tests.engine.test_reference import Course, absolute_tolerance, top_up_dish

EVERY_S = 900.0


@dataclass(frozen=True, eq=False)
class March:
    """What an integrator gave: humidity [%] at every recorded time, what evaporated each day [kg], and its cost."""

    humidity: np.ndarray
    evaporated: np.ndarray
    seconds: float
    calls: int


def has_cvode() -> bool:
    """True where scikit-sundae is installed."""
    try:
        import sksundae.cvode  # noqa: F401
    except ImportError:
        return False
    return True


def integrate(box: tl.Box, days: int, method: str, tolerance: float, cells: int = 40) -> March:
    """March `box` with "LSODA", "Radau", "BDF" or "CVODE" at a relative tolerance."""
    work = pack(box, room_of(box, "now"), days, cells=cells)
    settle(work, settling(), int(box.start.soil == "dry"), 0.0)
    y = start(work)
    rates(0.0, y, work, 0, np.zeros_like(y))  # compiled before the clock runs
    absolute = absolute_tolerance(work, y.size) * (tolerance / 1e-5)
    end = days * 86400.0
    saved = np.arange(0.0, end + 1.0, EVERY_S)
    breaks = np.unique(np.concatenate([work.schedule_t, work.hand_t, work.room[:, 0], [end]]))
    step = _cvode if method == "CVODE" else _scipy
    out = [y.copy()]
    t, calls = 0.0, 0
    before = time.process_time()
    for stop in breaks[(breaks > 0.0) & (breaks <= end)]:
        row = int(np.searchsorted(work.schedule_t, t + 1e-6, "right")) - 1
        inside = saved[(saved > t) & (saved < stop)]
        states, n = step(work, row, t, np.append(inside, stop), y, method, tolerance, absolute)
        calls += n
        out.extend(states[:-1])
        y, t = states[-1].copy(), float(stop)
        for kind, _ in work.hand[work.hand_t == t]:
            if kind == REFILL:
                top_up_dish(work, y, t)
        if t in saved:
            out.append(y.copy())
    seconds = time.process_time() - before
    states = np.array(out)
    humidity = Course(work, states).mixed
    passed = states[:: round(86400.0 / EVERY_S), states.shape[1] - len(PASSED) + PASSED.index("evaporated")]
    return March(humidity, np.diff(passed), seconds, calls)


def _slope(work: Work, row: int, size: int) -> Callable[[float, np.ndarray], np.ndarray]:
    dy = np.zeros(size)

    def slope(t: float, y: np.ndarray) -> np.ndarray:
        rates(t, y, work, row, dy)
        return dy.copy()

    return slope


def _scipy(work, row, t, times, y, method, tolerance, absolute) -> tuple[np.ndarray, int]:
    done = solve_ivp(_slope(work, row, y.size), (t, float(times[-1])), y, method, times, rtol=tolerance, atol=absolute)
    if not done.success:
        raise RuntimeError(f"{method} stopped at {t / 3600.0:.2f} h: {done.message}")
    return done.y.T, done.nfev


def _cvode(work, row, t, times, y, method, tolerance, absolute) -> tuple[np.ndarray, int]:
    from sksundae.cvode import CVODE

    calls = [0]

    def slope(at: float, state: np.ndarray, dy: np.ndarray) -> None:
        calls[0] += 1
        rates(at, np.array(state), work, row, scratch)
        dy[:] = scratch

    scratch = np.zeros(y.size)
    solver = CVODE(slope, rtol=tolerance, atol=absolute, linsolver="dense", max_num_steps=1_000_000)
    # with two times alone it would give its own steps, so the middle is asked for too and left out
    middle = 0.5 * (t + times[0])
    done = solver.solve(np.concatenate([[t, middle], times]), y)
    if not done.success:
        raise RuntimeError(f"CVODE stopped at {t / 3600.0:.2f} h: {done.message}")
    return np.asarray(done.y)[2:], calls[0]
