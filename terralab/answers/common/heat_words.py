"""What goes first in an answer: that it is too hot or too cold, or that the soil wanted is wrong; and the °C beside the %."""

from __future__ import annotations

from collections.abc import Mapping

from terralab.answers.common.heat_remedies import cooler, quickest, steps, warmer
from terralab.answers.common.humidity_target import target_of
from terralab.answers.common.statement import Verdict
from terralab.answers.common.temperature import NEAR_K, OFTEN, SAME_K, Heat, LikelyHeat, degrees, outside_k, worse_than
from terralab.describe.box import Box
from terralab.describe.hot import hot_words
from terralab.describe.seasons import is_own, room_in_words, room_of
from terralab.describe.wanted import soil_contradiction, temperatures_wanted, typed
from terralab.describe.warmth import covered_under_heat
from terralab.quantities import as_typed, quantity

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


def first_lines(
    box: Box, heat: Heat, seasons: Mapping[str, Heat] | None = None, room: str = "now"
) -> tuple[Warned, ...]:
    """The lines that every answer about `box` begins with, those on winter and summer last; none for a box that is as warm and as
    moist as wanted.

    `heat`: the room as described, or the `room` that was asked about; `seasons`: what winter and summer are like, where they
    were run.
    """
    out = []
    if heat.hot:
        out.append(_too_hot(box, heat, "now", "", room))
    if heat.cold:
        out.append(_too_cold(box, heat, "now", "", room))
    if covered := covered_under_heat(box):
        lid = next(o.name for o in box.enclosure.openings if o.wall == "lid" and o.covered > 0.0)
        brief = f'{hot_words(box)} is at the lid, and "{lid}" is covered: take the cover off there.'
        out.append(Warned(covered, Verdict.DANGEROUS, (brief,)))
    if wrong := soil_contradiction(box):
        out.append(Warned(wrong, Verdict.WRONG_SOIL, tuple(clauses(wrong))))
    for season, other in (seasons or {}).items():
        if other.hot and not heat.hot:
            out.append(_too_hot(box, other, season, _when(box, season)))
        elif other.hot and _worse(other, heat):
            out.append(_hotter_still(box, heat, other, season))
        if other.cold and not heat.cold:
            out.append(_too_cold(box, other, season, _when(box, season)))
        elif other.cold and ((other.danger and not heat.danger) or other.under_k > heat.under_k + SAME_K):
            out.append(_colder_still(box, heat, other, season))
    return tuple(out)


def clauses(text: str) -> list[str]:
    """A text as its sentences, so that the short screen may end after any of them."""
    return [part if part.endswith(".") else f"{part}." for part in text.split(". ") if part]


def _when(box: Box, season: str) -> str:
    """The season, and its room where that is a default, so that nobody acts on a room that nobody has."""
    if is_own(box, season):
        return f"in {season}, "
    return f"in {season}, in a default room, as you described none ({room_in_words(room_of(box, season))}), "


def _too_hot(box: Box, heat: Heat, season: str, when: str, room: str = "") -> Warned:
    """The line on heat; `room`: in which room it is that hot, where that is not the room of the `season`."""
    w = heat.wanted
    why = "; ".join(heat.why_hot[:3])
    danger = f" That is dangerous: move {w.whose} out until it is cooler." if heat.danger else ""
    text = f"Too hot for {w.whose}: {when}{why}.{danger} {_lead(season)}: {cooler(box, heat, room or season)}. {VET}"
    so, out = (", and dangerous", f"; move {w.whose} out until it is cooler") if heat.danger else ("", "")
    short = (
        f"Too hot for {w.whose}{so}: {_soon(season)}{heat.why_hot[0]}{out}.",
        f"First {quickest(box, heat, room or season)}.",
    )
    return Warned(text, Verdict.DANGEROUS if heat.danger else Verdict.TOO_HOT, short, season == "now")


def _worse(other: Heat, heat: Heat) -> bool:
    """True where a season is clearly hotter than the room as described, or dangerous where that is not."""
    return (other.danger and not heat.danger) or other.over_k > heat.over_k + SAME_K


def _hotter_still(box: Box, heat: Heat, other: Heat, season: str) -> Warned:
    """The line on a season that is worse than a room in which it is too hot already."""
    w = other.wanted
    danger = f" That is dangerous: move {w.whose} out until it is cooler." if other.danger and not heat.danger else ""
    known = steps(box, heat.wanted, "now")
    more = [step for step in steps(box, w, season) if step not in known]
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
        f"{_lead(season)}. {warmer(box, other, season)}"
    )
    return Warned(text, Verdict.DANGEROUS if other.danger else Verdict.TOO_COLD, now=False)


def _too_cold(box: Box, heat: Heat, season: str, when: str, room: str = "") -> Warned:
    """The line on cold; `room` as for heat."""
    w = heat.wanted
    helps = warmer(box, heat, room or season)
    why = "; ".join(heat.why_cold)
    danger = f" That is dangerous: move {w.whose} to a warmer place." if heat.danger and not heat.hot else ""
    text = f"Too cold for {w.whose}: {when}{why}.{danger} {helps} {VET}"
    so, out = (", and dangerous", f"; move {w.whose} to a warmer place") if danger else ("", "")
    short = (
        f"Too cold for {w.whose}{so}: {_soon(season)}{heat.why_cold[0]}{out}.",
        *clauses(helps),
    )
    return Warned(text, Verdict.DANGEROUS if heat.danger else Verdict.TOO_COLD, short, season == "now")


def _soon(season: str) -> str:
    return "" if season == "now" else f"in {season} "


def _lead(season: str) -> str:
    return "Deal with that before anything else" if season == "now" else f"Deal with that before {season}"


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
        f"Temperature{when}: the air is at {degrees(day['mean'])} by day ({quantity('°C', '.1f', day['low'], day['high'], bare=True)}) and "
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
    """The fields of an `Answer` that tell of warmth; "first_now" in `heat`: how many of the `first` lines are about now."""
    now = sum(getattr(one, "now", True) for one in first)
    rounded = lambda ends: {name: round(value, 1) for name, value in ends.items()}  # noqa: E731
    return {
        "temp_day": rounded(heat.day),
        "temp_night": rounded(heat.night),
        "heat": heat.to_dict() | {"first_now": now},
        "first": first,
    }
