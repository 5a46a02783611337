"""What goes first in an answer: that it is too hot or too cold, or that the soil wanted is wrong; and the °C beside the %."""

from __future__ import annotations

from collections.abc import Mapping

from terralab.answers.common.statement import Verdict
from terralab.answers.common.temperature import SAME_K, Heat, degrees
from terralab.describe.box import Box
from terralab.describe.hot import hot_at_lid, hot_words, is_hot
from terralab.describe.seasons import is_own, room_in_words, room_of
from terralab.describe.timer import Control
from terralab.describe.wanted import Temperatures, soil_contradiction, typed
from terralab.describe.warmth import covered_under_heat
from terralab.quantities import quantity

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
    return f"in {season}, in the default room ({room_in_words(room_of(box, season))}) that nobody typed, "


def _too_hot(box: Box, heat: Heat, season: str, when: str) -> Warned:
    w = heat.wanted
    why = "; ".join(heat.why_hot[:3])
    danger = f" That is dangerous: move {w.whose} out until it is cooler." if heat.danger else ""
    text = f"Too hot for {w.whose}: {when}{why}.{danger} {_lead(season)}: {_cooler(box, w, season)}. {VET}"
    short = (
        f"Too hot for {w.whose}: {_soon(season)}{heat.why_hot[0]}.",
        danger.strip(),
        f"First {_quickest(box, w, season)}.",
    )
    return Warned(
        text, Verdict.DANGEROUS if heat.danger else Verdict.TOO_HOT, tuple(filter(None, short)), season == "now"
    )


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
    short = (
        f"Too cold for {w.whose}: {_soon(season)}{heat.why_cold[0]}.",
        danger.strip(),
        *clauses(_warmer(box, w, season)),
    )
    return Warned(
        text, Verdict.DANGEROUS if heat.danger else Verdict.TOO_COLD, tuple(filter(None, short)), season == "now"
    )


def _soon(season: str) -> str:
    return "" if season == "now" else f"in {season} "


def _lead(season: str) -> str:
    return "See to that before anything else" if season == "now" else f"See to that before {season}"


def _cooler(box: Box, w: Temperatures, season: str) -> str:
    """What takes heat out, in one line."""
    return "; ".join(_steps(box, w, season) or [_last_step(box)])


def _last_step(box: Box) -> str:
    if not box.enclosure.openings:
        return "open it, shade the glass from the sun and cool the room"
    return "give it a larger opening, shade the glass from the sun and cool the room"


def _room_too_warm(box: Box, w: Temperatures, season: str) -> bool:
    warmth = room_of(box, season).temperature
    return warmth.range()[1] > w.day_high or float(warmth.at(_NIGHT_S)) > w.night_high


def _quickest(box: Box, w: Temperatures, season: str) -> str:
    """The first of `_steps` in a few words, for the short screen."""
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
            f"cool the room, which has up to {typed(room)} itself; no vent, fan or water keeps a box much cooler"
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


def warmth_line(heat: Heat, when: str = "") -> str:
    """One line with the °C of air, ground and glass, what is wanted and what comes of it."""
    day, night = heat.day, heat.night
    text = (
        f"Temperature{when}: the air has {degrees(day['mean'])} by day ({quantity('°C', '.1f', day['low'], day['high'], bare=True)}) and "
        f"{degrees(night['mean'])} by night ({quantity('°C', '.1f', night['low'], night['high'], bare=True)}); the ground reaches "
        f"{degrees(heat.highest('ground'))}, the glass {degrees(heat.highest('glass'))}."
    )
    if heat.wanted is None:
        return f"{text} No animal group or temperature was given, so nothing is judged."
    verdict = "dangerous" if heat.danger else str(heat.verdict)
    return f"{text} Wanted: {heat.wanted.in_words()}. That is {verdict}."


def heat_fields(heat: Heat, first: tuple[str, ...]) -> dict[str, object]:
    """The fields of an `Answer` that tell of warmth."""
    rounded = lambda ends: {name: round(value, 1) for name, value in ends.items()}  # noqa: E731
    return {"temp_day": rounded(heat.day), "temp_night": rounded(heat.night), "heat": heat.to_dict(), "first": first}
