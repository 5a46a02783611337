"""What goes first in an answer: that it is too hot or too cold, or that the soil wanted is wrong; and the °C beside the %."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from terralab.answers.common.humidity_target import target_of
from terralab.answers.common.statement import Verdict
from terralab.answers.common.temperature import NEAR_K, OFTEN, SAME_K, Heat, LikelyHeat, degrees, outside_k, worse_than
from terralab.describe.box import Box
from terralab.describe.hot import hot_at_lid, hot_words, is_hot
from terralab.describe.routine import Heater
from terralab.describe.seasons import is_own, room_in_words, room_of
from terralab.describe.timer import Control
from terralab.describe.wanted import Temperatures, soil_contradiction, temperatures_wanted, typed
from terralab.describe.warmth import covered_under_heat
from terralab.quantities import as_typed, quantity

_NIGHT_S = 3 * 3600.0
VET = "Your vet and the species guide come first."


class Warned(str):
    """A warning that answers begin with, its `verdict`, and in `short` its sentences for the short screen, first things first.

    `now`: it is about the room as described, not about winter or summer.
    """

    __slots__ = ("now", "short", "verdict")

    verdict: Verdict
    short: tuple[str, ...]
    now: bool

    def __new__(
        cls, text: str, verdict: Verdict = Verdict.FINE, short: tuple[str, ...] = (), now: bool = True
    ) -> Warned:
        self = super().__new__(cls, text)
        self.verdict, self.short, self.now = verdict, short or (text,), now
        return self


def first_lines(box: Box, heat: Heat, seasons: Mapping[str, Heat] | None = None) -> tuple[Warned, ...]:
    """The lines that every answer about `box` begins with; none for a box that is as warm and as moist as wanted.

    `heat`: the room as described; `seasons`: what winter and summer are like, where they were run.
    """
    out = []
    if heat.hot:
        out.append(_too_hot(box, heat, "now", ""))
    if heat.cold:
        out.append(_too_cold(box, heat, "now", ""))
    for season, other in (seasons or {}).items():
        if other.hot and not heat.hot:
            out.append(_too_hot(box, other, season, _when(box, season)))
        elif other.hot and _worse(other, heat):
            out.append(_hotter_still(box, heat, other, season))
        if other.cold and not heat.cold:
            out.append(_too_cold(box, other, season, _when(box, season)))
        elif other.cold and ((other.danger and not heat.danger) or other.under_k > heat.under_k + SAME_K):
            out.append(_colder_still(box, heat, other, season))
    if covered := covered_under_heat(box):
        lid = next(o.name for o in box.enclosure.openings if o.wall == "lid" and o.covered > 0.0)
        brief = f'{hot_words(box)} is at the lid, and "{lid}" is covered: take the cover off there.'
        out.append(Warned(covered, Verdict.DANGEROUS, (brief,)))
    if wrong := soil_contradiction(box):
        out.append(Warned(wrong, Verdict.WRONG_SOIL, tuple(clauses(wrong))))
    return tuple(out)


def clauses(text: str) -> list[str]:
    """A text as its sentences, so that the short screen may end after any of them."""
    return [part if part.endswith(".") else f"{part}." for part in text.split(". ") if part]


def _when(box: Box, season: str) -> str:
    """The season, and its room where that is a default, so that nobody acts on a room that nobody has."""
    if is_own(box, season):
        return f"in {season}, "
    return f"in {season}, in a default room, as you described none ({room_in_words(room_of(box, season))}), "


def _too_hot(box: Box, heat: Heat, season: str, when: str) -> Warned:
    w = heat.wanted
    why = "; ".join(heat.why_hot[:3])
    danger = f" That is dangerous: move {w.whose} out until it is cooler." if heat.danger else ""
    text = f"Too hot for {w.whose}: {when}{why}.{danger} {_lead(season)}: {_cooler(box, heat, season)}. {VET}"
    so, out = (", and dangerous", f"; move {w.whose} out until it is cooler") if heat.danger else ("", "")
    short = (
        f"Too hot for {w.whose}{so}: {_soon(season)}{heat.why_hot[0]}{out}.",
        f"First {_quickest(box, heat, season)}.",
    )
    return Warned(text, Verdict.DANGEROUS if heat.danger else Verdict.TOO_HOT, short, season == "now")


def _worse(other: Heat, heat: Heat) -> bool:
    """True where a season is clearly hotter than the room as described, or dangerous where that is not."""
    return (other.danger and not heat.danger) or other.over_k > heat.over_k + SAME_K


def _hotter_still(box: Box, heat: Heat, other: Heat, season: str) -> Warned:
    """The line on a season that is worse than a room in which it is too hot already."""
    w = other.wanted
    danger = f" That is dangerous: move {w.whose} out until it is cooler." if other.danger and not heat.danger else ""
    known = _steps(box, heat.wanted, "now")
    more = [step for step in _steps(box, w, season) if step not in known]
    what = "; ".join(["the same steps as now", *more])
    text = f"Hotter still in {season}: {'; '.join(other.why_hot[:3])}.{danger} {_lead(season)}: {what}."
    return Warned(text, Verdict.DANGEROUS if other.danger else Verdict.TOO_HOT, now=False)


def _colder_still(box: Box, heat: Heat, other: Heat, season: str) -> Warned:
    """The line on a season that is worse than a room in which it is too cold already."""
    w = other.wanted
    dangerous = other.danger and not heat.danger and not other.hot
    danger = f" That is dangerous: move {w.whose} to a warmer place." if dangerous else ""
    text = (
        f"Colder still {_when(box, season).removesuffix(', ').removesuffix(' ')}: {'; '.join(other.why_cold[:3])}.{danger} "
        f"{_lead(season)}. {_warmer(box, w, season)}"
    )
    return Warned(text, Verdict.DANGEROUS if other.danger else Verdict.TOO_COLD, now=False)


def _too_cold(box: Box, heat: Heat, season: str, when: str) -> Warned:
    w = heat.wanted
    why = "; ".join(heat.why_cold)
    danger = f" That is dangerous: move {w.whose} to a warmer place." if heat.danger and not heat.hot else ""
    text = f"Too cold for {w.whose}: {when}{why}.{danger} {_warmer(box, w, season)} {VET}"
    so, out = (", and dangerous", f"; move {w.whose} to a warmer place") if danger else ("", "")
    short = (
        f"Too cold for {w.whose}{so}: {_soon(season)}{heat.why_cold[0]}{out}.",
        *clauses(_warmer(box, w, season)),
    )
    return Warned(text, Verdict.DANGEROUS if heat.danger else Verdict.TOO_COLD, short, season == "now")


def _soon(season: str) -> str:
    return "" if season == "now" else f"in {season} "


def _lead(season: str) -> str:
    return "Deal with that before anything else" if season == "now" else f"Deal with that before {season}"


def _cooler(box: Box, heat: Heat, season: str) -> str:
    """What takes heat out, in one line."""
    return "; ".join([*_at_night(box, heat), *_steps(box, heat.wanted, season)] or [_last_step(box)])


def _at_night(box: Box, heat: Heat) -> list[str]:
    """What a heater is to do by night where only the nights are too hot: a lamp that is off then is no cause of them."""
    w = heat.wanted
    return [f'let "{heater.name}" {_rest(w)}' for heater in _by_night(box, w, heat.day["high"], heat.night["high"])]


def _rest(w: Temperatures) -> str:
    return f"rest by night, or switch off at {typed(w.night_high)} then"


def _by_night(box: Box, w: Temperatures, day_high: float, night_high: float) -> list[Heater]:
    """The heaters that make the nights too hot, where the days are not."""
    if day_high > w.day_high or night_high <= w.night_high:
        return []
    target = target_of(box)[0]
    day = (target.day_from_s, target.day_to_s) if target is not None else (8 * 3600.0, 20 * 3600.0)
    night = [hour for hour in range(24) if not day[0] <= 3600.0 * hour < day[1]]
    return [
        heater
        for heater in box.routine.heaters
        if heater.power_w > 0.0
        and (heater.control is None or heater.control.senses != "temperature" or heater.control.off_at > w.night_high)
        and any(heater.timer.runs_at(3600.0 * hour) for hour in night)
    ]


def _last_step(box: Box) -> str:
    if not box.enclosure.openings:
        return "open it, shade the glass from the sun and cool the room"
    return "give it a larger opening, shade the glass from the sun and cool the room"


def _room_too_warm(box: Box, w: Temperatures, season: str) -> bool:
    warmth = room_of(box, season).temperature
    return warmth.range()[1] > w.day_high or float(warmth.at(_NIGHT_S)) > w.night_high


def _quickest(box: Box, heat: Heat, season: str) -> str:
    """The first of what takes heat out in a few words, for the short screen."""
    w = heat.wanted
    if by_night := _at_night(box, heat):
        return by_night[0]
    lamp = next((lamp.name for lamp in box.routine.lamps if is_hot(lamp)), "")
    heater = next((heater.name for heater in box.routine.heaters if heater.power_w > 0.0), "")
    if _room_too_warm(box, w, season):
        return "cool the room"
    if lamp or heater:
        return f'turn "{lamp or heater}" down or off'
    return "open the box further" if box.enclosure.openings else "open the box"


def _steps(box: Box, w: Temperatures, season: str) -> list[str]:
    """What takes heat out: the room first where that is hotter than wanted, then the safe and quick first."""
    steps = []
    if _room_too_warm(box, w, season):
        room = room_of(box, season).temperature.range()[1]
        steps.append(
            f"cool the room, which has up to {degrees(room)} itself; no vent, fan or water keeps a box much cooler"
        )
    if box.room.sun is not None:
        steps.append("shade the box in the hours in which the sun is on it, or move it")
    lamps = [f'"{lamp.name}"' for lamp in box.routine.lamps if is_hot(lamp)]
    if lamps:
        them = " and ".join(lamps)
        steps.append(f"turn {them} down or off, or take a weaker lamp; it may also hang higher or burn for fewer hours")
    for heater in (heater for heater in box.routine.heaters if heater.power_w > 0.0):
        control = heater.control
        if control is None or control.senses != "temperature":
            steps.append(f'turn the heater "{heater.name}" down and give it a thermostat')
        elif set_too_high(control, w):
            steps.append(f'set the thermostat of "{heater.name}" to {typed(w.day_high)} at most')
    if any(o.wall == "lid" and o.covered > 0.0 for o in box.enclosure.openings):
        steps.append("take the cover off the lid")
    elif any(o.covered > 0.0 for o in box.enclosure.openings):
        steps.append("open the covered vents")
    return steps


def set_otherwise(box: Box, heat: Mapping[str, Any]) -> dict[str, str]:
    """What the warnings of heat or cold in the room as described say of single devices: the order, by the name of the device.

    `heat` is that of an `Answer`. So a plan does not go on with what its own first line forbids.
    """
    w = temperatures_wanted(box)
    out: dict[str, str] = {}
    if w is None:
        return out
    if heat["too_hot"]:
        for heater in _by_night(box, w, heat["air_day"]["high"], heat["air_night"]["high"]):
            out[heater.name] = _rest(w)
        for device in (*box.routine.lamps, *box.routine.heaters):
            control = device.control
            if device.name not in out and (
                is_hot(device)
                if device in box.routine.lamps
                else device.power_w > 0.0 and (control is None or control.senses != "temperature")
            ):
                out[device.name] = "turn it down or off until it is cool enough"
    elif heat["too_cold"]:
        for heater in box.routine.heaters:
            if heater.control is not None and heater.control.senses == "temperature":
                out[heater.name] = f"raise its thermostat, {typed(w.day_high)} at most, or let it work for more hours"
    return out


def set_too_high(control: Control, w: Temperatures) -> bool:
    """True for a heater's thermostat that lets it heat past what is wanted by day, or that works the wrong way round."""
    return control.senses == "temperature" and (control.off_at > w.day_high or control.switches_on == "above")


def _warmer(box: Box, w: Temperatures, season: str) -> str:
    steps = []
    for heater in box.routine.heaters:
        if heater.control is not None and heater.control.senses == "temperature":
            steps.append(
                f'raise the thermostat of "{heater.name}" or let it work for more hours, {typed(w.day_high)} at most'
            )
    room = room_of(box, season).temperature.range()[0]
    if room < max(w.day_low, w.night_low):
        steps.append(f"warm the room, which falls to {typed(room)}")
    if not box.routine.heaters:
        steps.append("or add a heater with a guard and a thermostat, as its maker and an electrician tell you")
    if not steps:
        steps.append("warm the room, or let the heater work for more hours with its thermostat")
    never = f" Never cover the lid where there is {hot_words(box)}." if hot_at_lid(box) else ""
    return f"What helps: {'; '.join(steps)}.{never}"


def water_words(after: Heat, before: Heat) -> str:
    """What goes before an order to give water that takes a box out of the temperatures wanted, as a sentence; "" elsewhere."""
    why = worse_than(after, before)
    if not why:
        return ""
    return f"{'Cool' if after.hot else 'Warm'} the box first, since with this water {why}."


def warm_word(heat: Heat, time: str, part: str = "air") -> str:
    """The verdict on a mean temperature by "day" or "night" in two words; "" inside the band, and where nothing is wanted.

    "a little warm" or "a little cool" is no farther outside than a household thermometer may be off.
    """
    return "" if heat.wanted is None else warm_word_of(heat.seen[part][time]["mean"], heat.wanted.band(time))


def warm_word_of(mean: float, band: tuple[float, float]) -> str:
    """The same for a mean [C] and the ends of a band [C]."""
    out = outside_k(mean, *band)
    if out == 0.0:
        return ""
    if abs(out) <= NEAR_K:
        return "a little warm" if out > 0.0 else "a little cool"
    return "too hot" if out > 0.0 else "too cold"


def place_words(heat: Heat, humid: Mapping[str, Mapping[str, Mapping[str, float]]]) -> str:
    """The warning that where animals sit it is too hot or too cold while all air mixed is not; "" otherwise.

    `humid[zone][time]["rh"]` is the humidity there [%].
    """
    if not heat.elsewhere:
        return ""
    zone, time, _ = heat.elsewhere[0]
    where = {"hide": "in the hide"}.get(zone, zone)
    mean = degrees(heat.seen[zone][time]["mean"])
    wanted = as_typed("temperature", "C", *heat.wanted.band(time))
    if heat.seen[zone][time]["high"] > heat.wanted.most:
        wanted += f", never over {typed(heat.wanted.most)}"
    return (
        f"Mind: {where}, it is {humid[zone][time]['rh']:.0f} % at {mean} by {time}, {warm_word(heat, time, zone)} "
        f"(wanted {wanted})."
    )


def chance_words(heat: Heat) -> str:
    """That some of the boxes which fit the description are too hot or too cold though the typical one is not; "" otherwise.

    The danger before the discomfort.
    """
    if heat.likely is None or heat.wanted is None:
        return ""
    return likely_words(heat.likely, heat.hot, heat.cold, heat.danger)


def likely_words(likely: LikelyHeat, hot: bool = False, cold: bool = False, danger: bool = False) -> str:
    """How many boxes that fit the description are dangerous, too hot or too cold, but for what is known to be so anyway."""
    found = []
    if likely.danger >= OFTEN and not danger:
        found.append(f"dangerous in {100.0 * likely.danger:.0f}")
    for share, is_so, word in ((likely.hot, hot, "hot"), (likely.cold, cold, "cold")):
        if share >= OFTEN and not is_so:
            found.append(f"too {word} in {100.0 * share:.0f}")
    return f"Mind the temperature: of 100 such boxes it is {', '.join(found)}." if found else ""


def warmth_line(heat: Heat, when: str = "") -> str:
    """One line with the °C of air, ground and glass, how likely it is, what is wanted and what comes of it."""
    day, night = heat.day, heat.night
    text = (
        f"Temperature{when}: the air has {degrees(day['mean'])} by day ({quantity('°C', '.1f', day['low'], day['high'], bare=True)}) and "
        f"{degrees(night['mean'])} by night ({quantity('°C', '.1f', night['low'], night['high'], bare=True)}); the ground reaches "
        f"{degrees(heat.highest('ground'))}, the glass {degrees(heat.highest('glass'))}."
    )
    if heat.likely is not None:
        ends = " and ".join(
            f"{quantity('°C', '.1f', *getattr(heat.likely, time))} by {time}" for time in ("day", "night")
        )
        text += f" In 80 of 100 boxes that fit this description the mean is {ends}."
    if heat.wanted is None:
        return f"{text} No animal group or temperature was given, so nothing is judged."
    verdict = "dangerous" if heat.danger else str(heat.verdict)
    chance = chance_words(heat)
    return f"{text} Wanted: {heat.wanted.in_words()}. That is {verdict}.{f' {chance}' if chance else ''}"


def unjudged_words(box: Box) -> str:
    """What cannot be judged since nobody is named as living there, said once; "" where both % and °C are judged."""
    warm, humid = temperatures_wanted(box), target_of(box)[0]
    if warm is not None and humid is not None:
        return ""
    if warm is None and humid is None:
        return "No group and no band is given, so neither % nor °C is judged."
    if warm is None:
        return "No group and no temperature is given, so °C is not judged."
    return f"No group and no band is given: °C is judged by the {warm.by_plants}, % is not."


def heat_fields(heat: Heat, first: tuple[str, ...]) -> dict[str, object]:
    """The fields of an `Answer` that tell of warmth."""
    rounded = lambda ends: {name: round(value, 1) for name, value in ends.items()}  # noqa: E731
    return {"temp_day": rounded(heat.day), "temp_night": rounded(heat.night), "heat": heat.to_dict(), "first": first}
