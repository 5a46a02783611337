"""What a reading says: how usual it is, and which causes explain it, ranked, with those that it cannot tell apart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np

from terralab.answers.normal.causes import Cause, Group
from terralab.answers.normal.cloud import FULL, RH, Cloud, T, as_row, mistaken
from terralab.answers.normal.runs import Seen, Usual, heated
from terralab.answers.normal.typed import Typed
from terralab.describe.box import Box

#: A reading is usual where this share of likely readings, or more, lies as far out; and outside where less than the second does.
USUAL, OUTSIDE = 0.08, 0.02
SOUND = 9.0  # how much likelier nothing wrong is, before any reading, than all causes together: a guess
#: A reading tells two causes apart where it is this many times likelier under one than under the other (a choice).
TELLS = 10.0
ALIKE = (
    0.3  # of 0.5: where readings under two causes are taken for each other so often, no single reading tells them apart
)
# How a sensor that is off errs, and what it shows that is too warm, wet, or out of the box: choices.
OFF_POINTS, OFF_K = 14.0, 3.0
TOO_WARM_K = (2.0, 4.0, 8.0, 14.0)


class Standing(StrEnum):
    """How a reading stands in what is likely."""

    USUAL = "usual"
    RATHER = "rather"
    OUTSIDE = "outside"


@dataclass(frozen=True)
class Ranked:
    """One cause: its share among all causes (0 to 1), what it shows, and whether the reading is explained by it at all."""

    seen: Seen
    share: float
    likelihood: float

    @property
    def cause(self) -> Cause:
        """The cause itself."""
        return self.seen.cause

    def to_dict(self) -> dict[str, Any]:
        """The same as plain words and numbers."""
        (low_c, c, high_c), (low, rh, high) = self.seen.cloud.span()
        return {
            "cause": self.cause.key,
            "words": self.cause.words,
            "kind": str(self.cause.group),
            "share": round(self.share, 3),
            "reading_c": [round(float(x), 1) for x in (low_c, c, high_c)],
            "reading_humidity_percent": [round(float(x)) for x in (low, rh, high)],
            "front_fogged_share": round(self.seen.fogged, 2),
            "look": self.cause.look,
            "weight_before": self.cause.weight,
        }


@dataclass(frozen=True, eq=False)
class Judged:
    """What was found: `far`, the share of likely readings that lie as far out; `below` the shares below (temperature, humidity).

    `side`: in which direction it lies, "warm", "dry", both where each alone is outside ("warm and dry"), "" where only both together.
    `ranked`: causes, likeliest first. `alike`: those that the reading does not tell from the first. `sound`: how likely it is
    that nothing is wrong. `hidden`: causes that would give such a reading too, though it is usual.
    """

    standing: Standing
    side: str
    far: float
    below: tuple[float, float]
    ranked: tuple[Ranked, ...]
    alike: tuple[Ranked, ...]
    sound: float
    hidden: tuple[Ranked, ...]
    failed: tuple[str, ...]


def judged(usual: Usual, typed: Typed, seen: Sequence[Seen], failed: Sequence[str]) -> Judged:
    """Judge a reading against ordinary days and against every cause."""
    far = usual.cloud.as_far_out(typed)
    standing = Standing.USUAL if far >= USUAL else Standing.RATHER if far >= OUTSIDE else Standing.OUTSIDE
    below = usual.cloud.below(typed)
    row = as_row(typed)
    likely = np.array([one.cloud.density(row)[0] for one in seen])
    weight = np.array([one.cause.weight for one in seen])
    both = likely * weight
    whole = float(both.sum())
    own = float(usual.cloud.density(row)[0])
    sound = SOUND * weight.sum() * own
    order = np.argsort(-both, kind="stable")
    ranked = tuple(Ranked(seen[i], float(both[i] / whole) if whole > 0.0 else 0.0, float(likely[i])) for i in order)
    alike: tuple[Ranked, ...] = ()
    if ranked and whole > 0.0:
        first = ranked[0]
        alike = tuple(one for one in ranked[1:] if TELLS * one.likelihood >= first.likelihood)
    hidden = tuple(one for one in ranked if standing is Standing.USUAL and TELLS * one.likelihood >= own)
    chance = sound / (sound + whole) if sound + whole > 0.0 else 0.0
    return Judged(standing, _side(below), far, below, ranked, alike, chance, hidden, tuple(failed))


def _side(below: tuple[float, float]) -> str:
    """In which direction a reading is farthest out: "damp", "dry", "warm" or "cold"; "" where only both together are unusual.

    Both, where temperature and humidity would each be outside if it alone were read.
    """
    gaps = {
        (name_low, name_high)[share > 0.5]: abs(share - 0.5)
        for share, (name_low, name_high) in zip(below, (("cold", "warm"), ("dry", "damp")), strict=True)
        if not np.isnan(share)
    }
    ranked = sorted(gaps, key=lambda one: -gaps[one])
    if gaps[ranked[0]] < 0.4:
        return ""
    return " and ".join(one for one in ranked if one == ranked[0] or gaps[one] >= 0.5 - 0.5 * OUTSIDE)


def of_sensor(usual: Usual) -> list[Seen]:
    """What a sensor shows that is off, wet, too warm, or not in the box; nothing of that needs a run."""
    points, sd, n = usual.cloud.points, usual.error.about, usual.cloud.boxes
    out: list[Seen] = []

    def add(key: str, words: str, weight: float, look: str, cloud: Cloud) -> None:
        cause = Cause(key, Group.SENSOR, words, weight, look, lambda *_: ())
        out.append(Seen(cause, cloud, usual.fogged))

    wide = lambda k, rh: np.sqrt(sd**2 + np.array([k, rh]) ** 2)  # noqa: E731
    add("sensor humidity", "the hygrometer is off", 4.0, "seal it in a bag with damp salt for a day: 75 %",
        Cloud(points, wide(0.0, OFF_POINTS), n))  # fmt: skip
    add("sensor temperature", "the thermometer is off", 1.0, "lay a second thermometer beside it",
        Cloud(points, wide(OFF_K, 0.0), n))  # fmt: skip
    wet = points.copy()
    wet[:, RH] = 100.0
    if np.median(points[:, RH]) < FULL:
        add("sensor wet", "the sensor is wet", 2.5, "dry it, hang it out of the spray, read again in two hours",
            Cloud(wet, np.array([max(sd[T], 0.8), 1.0]), n))  # fmt: skip
    if warm := _warms_sensor(usual.box, usual.season, usual.at_s):
        hot = np.vstack([heated(points, by) for by in TOO_WARM_K])
        add("sensor heated", f"{warm} warms the sensor", 2.0, "shade it, read again in half an hour", Cloud(hot, sd, n))
    room = usual.room
    add("sensor outside", "the sensor lies outside the box", 1.0, "does it hang where it should?",
        Cloud(room, np.hypot(sd, [1.0, 5.0]), len(room)))  # fmt: skip
    return out


def _warms_sensor(box: Box, season: str, at_s: float) -> str:
    """What may shine on a sensor at that hour: the sun, or a lamp by its timer; "" for nothing."""
    sun = box.room.sun
    if sun is not None and sun.times.runs_at(at_s):
        return "the sun"
    lit = next(
        (one for one in box.routine.in_season(season).lamps if one.power_w > 0.0 and one.timer.runs_at(at_s)), None
    )
    return "" if lit is None else f'"{lit.name}"'


def tell_apart(first: Ranked, other: Ranked, typed: Typed) -> str:
    """What tells two causes apart that were read alike: what else they would show, else a look at the box."""
    one, two = first.seen, other.seen
    if not typed.has_temperature and mistaken(one.cloud, two.cloud, (True, True)) < 0.5 * ALIKE:
        return "temperature"
    if not typed.has_humidity and mistaken(one.cloud, two.cloud, (True, True)) < 0.5 * ALIKE:
        return "humidity"
    return "glass" if abs(one.fogged - two.fogged) > 0.6 else "look"
