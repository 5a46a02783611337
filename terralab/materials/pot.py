"""A material of one's own from a weighed pot: the same filled pot dry, soaked and drained.

The pot gives the pore space, the water held at drained rest and, with the empty pot, the weight when dry. The curve is
that of a mix of the table, squeezed along its suctions until a pot of that height, drained, holds what the scale showed
(the scaling of like media: Miller & Miller 1956, J. Appl. Phys. 27:324-332, from memory). All else is that mix's.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from terralab.materials.mixing import drained, row_of
from terralab.materials.number import Entry, Number
from terralab.materials.schema import schema
from terralab.physics.constants import WATER_DENSITY
from terralab.physics.retention import water_content

AIR_DRY_SUCTION = 5000.0  # m: pore air at 70 % humidity (Kelvin), a mix that stood unwatered for months
_SOLIDS = 2650.0  # kg/m3, quartz: nothing that pots are filled with is denser
_SOURCE = "your weighed pot"
_LIMITS = schema("substrates", "any")
_SLICES = 24  # of the height of the pot


@dataclass(frozen=True, slots=True)
class Weighed:
    """The filled pot, in SI: m3, m and kg. `pot`: the empty pot, None where not weighed.

    `like` is the mix of the table whose curve is scaled to what the pot showed.
    """

    name: str
    volume: float
    height: float
    dry: float
    soaked: float
    drained: float
    pot: float | None
    like: str


def _like(pot: Weighed) -> Entry:
    from terralab.materials.loader import get  # late: the loader asks here

    return get("substrates", pot.like)


def _typical(pot: Weighed) -> dict[str, float]:
    return {prop: number.typical for prop, number in _like(pot).numbers.items()}


def _errors() -> Entry:
    from terralab.materials.loader import get  # late, as above

    return get("defaults", "weighed pot")


def pore_space(pot: Weighed) -> float:
    """Pore space [m3/m3]: the water between dry and soaked, and what a pot that dried in a room still holds."""
    return (pot.soaked - pot.dry) / WATER_DENSITY / pot.volume / (1.0 - _still_held(pot))


def _still_held(pot: Weighed) -> float:
    """Share of the pores that air-dry material of that likeness keeps filled."""
    like = _typical(pot)
    return water_content(-AIR_DRY_SUCTION, row_of(like))[0] / like["theta_s"]


def filled_when_drained(pot: Weighed) -> float:
    """Share of the pores that are full in the drained pot."""
    still = _still_held(pot)
    return still + (1.0 - still) * (pot.drained - pot.dry) / (pot.soaked - pot.dry)


def least_filled(pot: Weighed) -> float:
    """The least share of the pores that stays full in a drained pot of that height, however coarse its like."""
    return _filled(pot, _squeezes(pot)[1])


def weight_when_dry(pot: Weighed) -> float | None:
    """Dry weight [kg/m3] of the filling; None where the empty pot was not weighed."""
    if pot.pot is None:
        return None
    return (pot.dry - pot.pot) / pot.volume - WATER_DENSITY * _still_held(pot) * pore_space(pot)


def too_full(pot: Weighed) -> bool:
    """True where pores and solids together are more than the pot."""
    dry = weight_when_dry(pot)
    return dry is not None and pore_space(pot) + max(0.0, dry) / _SOLIDS > 1.0


def _squeezes(pot: Weighed) -> tuple[float, float]:
    """Least and most factor on how easily the pores empty, within what can be real."""
    like = _typical(pot)
    held = [like[prop] for prop in ("alpha", "alpha2") if prop in like]
    spec = _LIMITS["alpha"]
    return spec.lowest / min(held), spec.highest / max(held)


def _filled(pot: Weighed, factor: float) -> float:
    like = _typical(pot)
    squeezed = like | {prop: like[prop] * factor for prop in ("alpha", "alpha2") if prop in like}
    return drained(squeezed, pot.height, _SLICES) / like["theta_s"]


def _factor(pot: Weighed, share: float) -> float:
    """The factor at which a drained pot has `share` of its pores full; the nearer end where none does."""
    low, high = (math.log(end) for end in _squeezes(pot))
    for _ in range(50):
        middle = 0.5 * (low + high)
        if _filled(pot, math.exp(middle)) > share:
            low = middle
        else:
            high = middle
    return math.exp(0.5 * (low + high))


@cache
def weighed_entry(pot: Weighed) -> Entry:
    """The numbers of the material in `pot`, each with the range that the errors of scale and volume leave."""
    like, errors = _like(pot), _errors()
    scale, volume = errors["scale_error"].high, errors["volume_error"].high
    off = math.sqrt(2.0) * scale  # of the difference of two weighings
    full, share = pore_space(pot), filled_when_drained(pot)
    soaked = pot.soaked - pot.dry
    trapped = errors["air_left"].high
    most = min(_LIMITS["theta_s"].highest, full * (1.0 + off / soaked) / (1.0 - volume) + trapped)
    least = max(_LIMITS["theta_s"].lowest, max(0.0, soaked - off) / WATER_DENSITY / pot.volume / (1.0 + volume))
    off_share = off / soaked
    ends = {
        "low": _factor(pot, min(1.0, share + off_share)),
        "typical": _factor(pot, share),
        "high": _factor(pot, max(0.0, share * full / (full + trapped) - off_share)),
    }
    ratio = full / like.typical("theta_s")
    numbers = dict(like.numbers)
    numbers["theta_s"] = _number("theta_s", least, full, most)
    for prop in ("alpha", "alpha2"):
        if prop in like:
            numbers[prop] = _number(prop, *(like.typical(prop) * ends[end] for end in ("low", "typical", "high")))
    for prop in ("theta_r", "repellent_below"):
        was = like[prop]
        numbers[prop] = _scaled(pot, prop, was, ratio)
    top = 0.1 / max(numbers[prop].typical for prop in ("alpha", "alpha2") if prop in numbers)
    entry = like["air_entry"]
    numbers["air_entry"] = _scaled(pot, "air_entry", entry, min(1.0, top / entry.high if entry.high else 1.0))
    dry = weight_when_dry(pot)
    if dry is not None:
        of_scale = off / pot.volume
        low, high = dry / (1.0 + volume) - of_scale, dry / (1.0 - volume) + of_scale
        numbers["bulk_density"] = _number("bulk_density", low, max(_LIMITS["bulk_density"].lowest, dry), high)
    rest = {
        prop: Number(n.low, n.typical, n.high, n.unit, n.grade, f"as {pot.like}: {n.source}", n.note)
        for prop, n in numbers.items()
        if n is like.numbers.get(prop)
    }
    return Entry("substrates", pot.name, numbers | rest, _notes(pot, full, share, off))


def _number(prop: str, low: float, typical: float, high: float) -> Number:
    spec = _LIMITS[prop]
    low, typical, high = (min(spec.highest, max(spec.lowest, value)) for value in (low, typical, high))
    return Number(min(low, typical), typical, max(high, typical), spec.unit, "D", _SOURCE)


def _scaled(pot: Weighed, prop: str, was: Number, by: float) -> Number:
    spec = _LIMITS[prop]
    low, typical, high = (min(spec.highest, value * by) for value in (was.low, was.typical, was.high))
    return Number(low, typical, high, was.unit, "D", f"as {pot.like}, scaled to {_SOURCE}")


def _notes(pot: Weighed, full: float, share: float, off: float) -> tuple[str, ...]:
    water, air = 100.0 * share * full, 100.0 * (1.0 - share) * full
    give = 100.0 * off / WATER_DENSITY / pot.volume
    return (
        f"Your pot, {100 * pot.height:.3g} cm tall, holds {water:.0f} % water and {air:.0f} % air when drained, give or take "
        f"{give:.1f} points for the scale.",
        f"Measured: pore space, water and air when drained{', weight when dry' if pot.pot is not None else ''}. The shape of "
        f"its curve is that of {pot.like}, and so is all else.",
        f"Soaking leaves some air in the pores, so the pore space may be up to {100.0 * _errors()['air_left'].high:.0f} points more than the scale shows.",
    )
