"""Is the air of the box any damper than the room's? Where it hardly is, evaporation cannot be told from nothing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from terralab.learning.bank import Runs
from terralab.learning.case import Case
from terralab.learning.fit import EXCHANGE, LOSS, POUR, Refusal
from terralab.learning.logged_box import saturated
from terralab.learning.readings import HUMIDITY, TEMPERATURE
from terralab.learning.refusals import WEIGH
from terralab.learning.smoother import Smoother, cut
from terralab.physics.constants import GAS_VAPOUR
from terralab.quantities import Text, quantity

LEAST = 1.0  # times its error: a vapour excess that may be none of it
FAR = 2.0  # standard deviations of the reading beyond which the described boxes and the log do not go together
FEW = 0.02  # of the described boxes may still hold so little
WARM_K = 293.15  # K: a usual room
ONE_SIDE = 0.9  # of what is likely lies within a one-sided bound
ROOM_POINTS = 2.0  # % RH: how far the room's own sensor is off beside what the box's is (of a household sensor)


@dataclass(frozen=True)
class Excess:
    """By how much more vapour [Pa] the box's air holds than the room's, on the mean of the log: `read`, its `error`, and what
    the described boxes would show, `of` each member of the bank.
    """

    read: float
    error: float
    of: np.ndarray

    @property
    def none(self) -> bool:
        """Whether it may be nothing."""
        return self.read < LEAST * self.error


def excess_of(case: Case, runs: Runs) -> Excess | None:
    """Return the vapour excess of a log; None where humidity or temperature of box or room was not logged."""
    logged = case.logged
    if logged.room_c is None:
        return None
    by = {(one.place, one.quantity): c for c, one in enumerate(case.channels)}
    place = next((p for p, q in by if q == HUMIDITY and (p, TEMPERATURE) in by), None)
    if place is None:
        return None
    t, rh = by[place, TEMPERATURE], by[place, HUMIDITY]
    warm, damp = case.channels[t].values, case.channels[rh].values
    good = case.counts & np.isfinite(warm) & np.isfinite(damp)
    if not good.any():
        return None
    middle = logged.window.hours - 0.5
    room = np.interp(middle, logged.room_h, logged.room_rh / 100.0 * saturated(logged.room_c))
    room_full = np.interp(middle, logged.room_h, saturated(logged.room_c))
    offset, off = case.offsets[rh]
    held = (damp - offset) / 100.0 * saturated(warm)
    error = float(np.hypot(off / 100.0 * saturated(warm)[good].mean(), ROOM_POINTS / 100.0 * room_full[good].mean()))
    shown = runs.read[rh] / 100.0 * saturated(runs.read[t])
    return Excess(float((held - room)[good].mean()), error, (shown - room)[:, good].mean(axis=1))


def one_sided(
    excess: Excess, smoother: Smoother
) -> tuple[dict[str, Refusal], dict[str, tuple[float | None, float | None]]]:
    """Return refusals of results for a log without vapour excess, and the bounds (at least, at most) that it does give.

    What evaporates has an upper bound, what is exchanged a lower one.
    """
    why = (
        f"The air of the box held {_grams(excess.read)} more water in a cubic metre than the room's on average, and the two "
        f"sensors may differ by {_grams(excess.error)} by themselves: what evaporates cannot be told from nothing."
    )
    found: dict[str, Refusal] = {}
    bounds: dict[str, tuple[float | None, float | None]] = {}
    for name in (LOSS, POUR, EXCHANGE):
        low, _, high = smoother.within(name, (1.0 - ONE_SIDE, ONE_SIDE))
        bounds[name] = (low, None) if name == EXCHANGE else (None, high)
        bound = (
            f"At least {low:.2g} air changes an hour, likely."
            if name == EXCHANGE
            else f"At most {quantity('ml', '.0f', high)} a day, likely."
        )
        found[name] = Refusal(
            "no vapour excess", name, Text(f"{why} {bound}"), f"{WEIGH} Or try both hygrometers in a bag over wet salt."
        )
    return found, bounds


def _grams(pressure: float) -> str:
    """Vapour of so many Pa as the water in a cubic metre of air at 20 C, in words."""
    return f"{1000.0 * pressure / (GAS_VAPOUR * WARM_K):.1f} g"


def too_dry(excess: Excess, runs: Runs) -> Refusal | None:
    """Return a contradiction where the described boxes would keep their air far damper than the log shows."""
    low, _, high = cut(runs.results[LOSS], (0.1, 0.9))
    least = float(np.quantile(excess.of, FEW))
    if excess.read + FAR * excess.error >= least:
        return None
    return Refusal(
        "contradiction",
        "evaporation",
        Text(
            f"What you described would lose {quantity('ml', '.0f', low, high)} a day and keep at least {_grams(least)} more "
            f"water in a cubic metre of its air than the room has; the log shows {_grams(excess.read)}."
        ),
        "Is the soil dry, covered, or absent? Do the plants stand in pots on a bare floor? Describe it as it is, and learn again.",
    )
