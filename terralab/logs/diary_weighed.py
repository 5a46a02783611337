"""How much water left a box as vapour, as weighing tells it: the box on a scale, or the watering bottle alone."""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

import numpy as np

from terralab import materials
from terralab.describe.box import Box
from terralab.describe.needed import needs_box
from terralab.describe.routine import Mist
from terralab.errors import TerralabError, quoted
from terralab.logs.diary import Diary, Entry, Weighed, minute
from terralab.logs.diary_given import given, is_tank, one_deviation, total
from terralab.logs.diary_run import levels
from terralab.quantities import quantity, said
from terralab.units import DAY_S, HOUR_S

BOX_ON_SCALE, BOTTLE = "box on a scale", "water given, by bottle and jug"
SHORTEST_S = 0.5 * DAY_S  # two weighings of a box that lie nearer say little, and are joined to the next
SHORTEST_BOTTLE_S = 2.0 * DAY_S  # what was given over less than this says nothing of what left
FILLING_S = HOUR_S  # a tank weighed before and after it is filled goes unwatched no longer
WEIGH_TANK = 'Weigh its tank on the first and the last day, before and after you fill it; write "bottle: tank".'
#: One standard deviation of how far the water below a mesh that nobody read rose or fell, as a part of its layer's depth; a guess (G).
_UNREAD = 0.25
IMPOSSIBLE = 4.0  # standard deviations by which a box may seem to have gained water that nobody gave; a choice


class Scales(NamedTuple):
    """What weighing tells: `weighed`, and `words` on what was left out and why.

    `unseen`: why weights say nothing, where water came or went that nobody wrote down; "" where none did.
    """

    weighed: tuple[Weighed, ...]
    words: tuple[str, ...]
    unseen: str = ""


def weighed(diary: Diary, box: Box, *, soil_water_ml: float | None = None) -> tuple[Weighed, ...]:
    """Return what weighing tells of the water that left as vapour; see `on_scales`."""
    return on_scales(diary, box, soil_water_ml=soil_water_ml).weighed


def on_scales(diary: Diary, box: Box, *, soil_water_ml: float | None = None) -> Scales:
    """Return what weighing tells of the water that left the box as vapour, and what could not be used.

    Box on a scale: between two weighings as much left as the box lost, plus what was poured, sprayed, filled into dish and hide and
    given by a mister on a timer or out of a tank that is weighed, less what was siphoned. Bottle and jug: over the whole time in which pours are told, what was
    given less what was siphoned and what the water below the mesh gained, with a soil taken to be as moist at the end as at the
    start; how far that may be off is part of `error`. `soil_water_ml`: water in the soil (None: what its pores hold when full,
    which makes the error a little wide). Errors: scales, jug, ruler and soil judged by feel, of the table `defaults`. Raises
    TerralabError where the box gained more than it was given.
    """
    needs_box(box, "weighed")
    if not isinstance(diary, Diary):
        raise TerralabError(f"weighed needs a diary, as tl.read_diary gives it; {quoted(diary)} was given.")
    found: list[Weighed] = []
    words: list[str] = []
    unseen = _box_weighed(diary, box, found, words)
    unseen = _bottle(diary, box, soil_water_ml, found, words) or unseen
    return Scales(tuple(found), tuple(words), unseen)


def in_words(one: Weighed) -> str:
    """Return what weighing told as a sentence (measures are marks)."""
    rate, within = quantity("ml", ".0f", one.ml_per_day), quantity("ml", ".0f", 2.0 * one.error)
    felt = " Most of that doubt is what the soil may have gained or lost." if one.soil_unseen else ""
    return (
        f"From {minute(one.begins)} to {minute(one.ends)} about {rate} a day left as vapour, give or take {within} (95 of 100), as told by: "
        f"{one.how}.{felt}"
    )


def _box_weighed(diary: Diary, box: Box, found: list[Weighed], words: list[str]) -> str:
    """What weights of the box tell; returned is why they tell nothing, where water went unseen."""
    weights = [(one.when, one.amount or 0.0, _of_scale(one)) for one in diary.of("box weighs")]
    if len(weights) < 2:
        if weights:
            words.append("The box was weighed once; weigh it a second time, days later, to tell what it loses.")
        return ""
    reason = _unseen(diary, box, weights[0][0], weights[-1][0])
    if reason:
        words.append(f"The weights of the box are not used: {reason}")
        return reason
    last = weights[0]
    for now in weights[1:]:
        seconds = float((now[0] - last[0]) / np.timedelta64(1, "s"))
        if seconds < SHORTEST_S and now[0] != weights[-1][0]:
            continue
        if seconds < SHORTEST_S:
            words.append("The last two weighings of the box lie too near each other to tell what left between.")
            continue
        ml, error = _gone(diary, box, last[0], now[0])
        left, spread = last[1] - now[1] + ml, float(np.sqrt(last[2] ** 2 + now[2] ** 2 + error**2))
        if left < -IMPOSSIBLE * spread:
            raise TerralabError(
                f"From {minute(last[0])} to {minute(now[0])} the box gained {_ml(now[1] - last[1])} of water, but only {_ml(ml)} came in by "
                "what is written down. Write down what else was given or put in, or take one of the weights out."
            )
        days = seconds / DAY_S
        found.append(Weighed(last[0], now[0], left / days, spread / days, BOX_ON_SCALE))
        last = now
    return ""


def _gone(diary: Diary, box: Box, begins: np.datetime64, ends: np.datetime64) -> tuple[float, float]:
    """Water that came in less what was drawn off [ml] between two times, and its standard deviation."""
    every, _ = given(diary)
    ml, error = total(every, begins, ends)
    jug = one_deviation("measuring jug")
    filled = _sum(diary, "dish filled", begins, ends) + _sum(diary, "hide wetted", begins, ends)
    drawn = _sum(diary, "siphoned", begins, ends)
    days = float((ends - begins) / np.timedelta64(1, "s")) / DAY_S
    misted = days * sum(one.water_ml_day for one in box.routine.mists if not _tanks(diary, box, one))
    off = materials.get("defaults", "mist flow as typed")["factor"]
    errors = (error, jug * filled, jug * drawn, 0.25 * (off.high - off.low) * misted)
    return ml + filled + misted - drawn, float(np.sqrt(sum(one**2 for one in errors)))


def _tanks(diary: Diary, box: Box, mist: Mist) -> dict[str, list[Entry]]:
    """The weights of each tank that feeds a mister; a tank whose name holds none of the misters' feeds them all."""
    found: dict[str, list[Entry]] = {}
    for one in diary.of("bottle weighs"):
        tank = one.name.lower()
        if is_tank(tank) and (
            mist.name.lower() in tank or not any(other.name.lower() in tank for other in box.routine.mists)
        ):
            found.setdefault(tank, []).append(one)
    return {tank: each for tank, each in found.items() if len(each) > 1}


def _unwatched(diary: Diary, box: Box, mist: Mist, begins: np.datetime64, ends: np.datetime64) -> str:
    """Why the weights of a mister's tanks do not tell what it gave between two times; "" where they do."""
    hour = np.timedelta64(int(FILLING_S), "s")
    for each in _tanks(diary, box, mist).values():
        if each[0].when > begins + hour or each[-1].when < ends - hour:
            return (
                f"the tank of {mist.name} was weighed from {minute(each[0].when)} to {minute(each[-1].when)} only. Weigh it on the first and the "
                "last day."
            )
        for a, b in pairwise(each):
            if (b.amount or 0.0) > (a.amount or 0.0) and b.when - a.when > hour:
                return (
                    f"the tank of {mist.name} was filled between {minute(a.when)} and {minute(b.when)}. Weigh it right before and right after you "
                    "fill it."
                )
    return ""


def _unseen(diary: Diary, box: Box, begins: np.datetime64, ends: np.datetime64) -> str:
    """Why water came or went between two times that nobody wrote down; "" where none did."""
    for thing in box.routine.mists:
        if thing.control is not None and not _tanks(diary, box, thing):
            return (
                f"how much {thing.name} gave is not known, since a switch and not its timer alone decides. {WEIGH_TANK}"
            )
        if reason := _unwatched(diary, box, thing, begins, ends):
            return reason
    dish = box.enclosure.dish
    if dish is not None and dish.refill_days != "never" and not diary.of("dish filled"):
        return 'the dish is filled up by the routine. Write "dish filled" and the amount whenever you do, 0 ml where you never did.'
    hide = box.enclosure.hide
    if hide is not None and hide.floor == "damp moss" and not diary.of("hide wetted"):
        return 'the moss in the hide is wetted by the routine. Write "hide wetted" and the amount whenever you do, 0 ml where you never did.'
    if box.routine.siphons and not diary.of("siphoned"):
        return 'the routine siphons, and the diary does not say how much. Write "siphoned" and the amount, 0 ml where nothing was.'
    if diary.of("siphoned to"):
        return 'the diary says down to which level was siphoned, not how much. Write "siphoned" and the amount, 0 ml where nothing was.'
    if box.enclosure.drain_hole:
        return "water runs out of the hole in the floor unseen."
    if any(one.into != "soil" for one in box.routine.pours):
        return "the routine pours into the drainage layer, which the diary does not tell."
    if box.routine.pours and not diary.of("poured", "bottle weighs"):
        return (
            'the routine pours, and the diary tells of no pours. Write "poured" and the amount, 0 ml where you did not.'
        )
    if box.routine.sprays and not diary.of("sprayed", "bottle weighs"):
        return 'the routine sprays, and the diary tells of no sprays. Write "sprayed" and the amount, 0 ml where you did not.'
    return ""


def _bottle(diary: Diary, box: Box, soil_water_ml: float | None, found: list[Weighed], words: list[str]) -> str:
    """What was given over the whole time of the pours, as a measure of what left; returned as `_box_weighed` does."""
    every, doubts = given(diary)
    words += doubts
    pours = [one for one in every if one.ml > 0.0]
    if not pours:
        return ""
    begins, ends = pours[0].begins, max(one.ends for one in pours)
    seconds = float((ends - begins) / np.timedelta64(1, "s"))
    if seconds < SHORTEST_BOTTLE_S:
        words.append("Pours over less than two days do not tell what a box loses.")
        return ""
    reason = _unseen(diary, box, begins, ends)
    if reason:
        words.append(f"What was poured is not taken for what left: {reason}")
        return reason
    # the last pour replaces what left before it, the first what left before the diary
    ml, error = _gone(diary, box, begins, ends)
    soil = soil_water_ml if soil_water_ml is not None else _pores_ml(box)
    felt = one_deviation("soil judged by feel", "share") * soil * np.sqrt(2.0)
    gained, off = _below(diary, box, begins, ends)
    days = seconds / DAY_S
    spread = float(np.sqrt(error**2 + felt**2 + off**2))
    if spread > ml - gained:
        hidden = quantity("ml", ".0f", 2.0 * spread / days)
        words.append(
            f"What was poured does not tell what left: the soil and the water below may hide {said(hidden)} a day over {days:.0f} days. "
            "Read the water below the mesh on the first and the last day, go on longer, or weigh the box."
        )
        return ""
    found.append(Weighed(begins, ends, (ml - gained) / days, spread / days, BOTTLE, True))
    if off and not gained and len(diary.of("gap below mesh", "water depth")) < 2:
        words.append(
            "How far the water below the mesh rose or fell was not read; two readings would narrow what the bottle tells."
        )
    return ""


def _below(diary: Diary, box: Box, begins: np.datetime64, ends: np.datetime64) -> tuple[float, float]:
    """What the water below the mesh gained [ml], and its standard deviation."""
    layer = box.enclosure.drainage
    if layer is None:
        return 0.0, 0.0
    a_cm = 1e4 * box.enclosure.soil_area_m2 * layer.voids
    read = levels(diary, box)
    if len(read) < 2:
        return 0.0, _UNREAD * a_cm * layer.depth_cm
    first = min(read, key=lambda one: abs(one.when - begins))
    last = min(read, key=lambda one: abs(one.when - ends))
    return a_cm * (first.gap_cm - last.gap_cm), a_cm * float(np.hypot(first.error_cm, last.error_cm))


def _pores_ml(box: Box) -> float:
    """What all pores of the soil hold [ml]."""
    e = box.enclosure
    return (
        1e6
        * e.soil_area_m2
        * sum(materials.get("substrates", name).typical("theta_s") * thick for name, thick in e.porous_layers)
    )


def _of_scale(one: Entry) -> float:
    """One standard deviation of a weight of the box [g]: that of the scale that bears it, no less than the digits leave open."""
    grams = one.amount or 0.0
    kitchen = grams <= 1000.0 * materials.get("defaults", "kitchen scale").typical("bears")
    scale = 1000.0 * one_deviation("kitchen scale" if kitchen else "bathroom scale")
    return float(np.hypot(scale, (one.step or 0.0) / np.sqrt(12.0)))


def _sum(diary: Diary, what: str, begins: np.datetime64, ends: np.datetime64) -> float:
    return sum(one.amount or 0.0 for one in diary.of(what) if begins < one.when <= ends)


def _ml(value: float) -> str:
    return said(quantity("ml", ".0f", value))
