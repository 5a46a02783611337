"""The short screen: what to do, how sure that is, the air beside what is wanted, the one thing most wrong, what to measure
next, and the one caution that concerns this box. It is read in ten seconds: twelve lines of eighty columns at most.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from terralab.answers.common.cautions import nearest_caution
from terralab.answers.common.heat_words import Warned, unjudged_words, warm_word
from terralab.answers.common.measure_next import LITTLE
from terralab.answers.common.statement import Kind, Statement, Verdict, View, state
from terralab.answers.common.temperature import Heat, degrees
from terralab.describe.box import Box, HumidityTarget
from terralab.quantities import as_typed, quantity, said
from terralab.wording import lines, points

MOST_LINES, COLUMNS = 12, 80  # the title and a closing line on what else there is are two of them
NEAR = 1.0  # points of humidity that a household hygrometer does not tell apart
WIDE_K = 1.0  # degrees: a likely range narrower than this is left out of the short screen (a choice)


def air_lines(
    rh: Mapping[str, Mapping[str, float]], heat: Heat, target: HumidityTarget | None, when: str = ""
) -> list[str]:
    """Humidity and temperature by day and by night, a line each, beside what is wanted, and the verdict on both.

    `rh[part]` holds "mean" [%]. How likely the temperature is stands in brackets where draws were made, they differ by a
    degree or more, and the line does not grow longer than one for it. `when` is left out where a line would grow so.
    """
    out = _air_lines(rh, heat, target, when)
    if when and any(_height(line) > 1 for line in out):
        return _air_lines(rh, heat, target, "")
    return out


def _air_lines(
    rh: Mapping[str, Mapping[str, float]], heat: Heat, target: HumidityTarget | None, when: str
) -> list[str]:
    out = []
    for part, seen in (("day", heat.day), ("night", heat.night)):
        wanted = []
        if target is not None:
            wanted.append(f"{getattr(target, f'{part}_low'):g} to {getattr(target, f'{part}_high'):g} %")
        if heat.wanted is not None:
            wanted.append(as_typed("temperature", "C", *heat.wanted.band(part)))
        humid = f"{rh[part]['mean']:.0f} % at " if part in rh else ""
        wrong = [word for word in (damp_word(rh, target, part), warm_word(heat, part)) if word]
        beside = f"; wanted {', '.join(wanted)}" if wanted else ""
        beside += f": {', '.join(wrong)}" if wrong else ""
        line = f"By {part}{when} {humid}{degrees(seen['mean'])}{{likely}}{beside}."
        with_range = line.replace("{likely}", _likely(heat, part))
        out.append(with_range if _height(with_range) == 1 else line.replace("{likely}", ""))
    return out


def _likely(heat: Heat, part: str) -> str:
    """The likely range of the temperature in brackets; "" where there is none, or none that a keeper would notice."""
    if heat.likely is None:
        return ""
    low, high = getattr(heat.likely, part)
    return f" ({quantity('°C', '.1f', low, high, bare=True)})" if high - low >= WIDE_K else ""


def damp_word(rh: Mapping[str, Mapping[str, float]], target: HumidityTarget | None, part: str) -> str:
    """ "too dry" or "too damp" for a mean humidity outside what is wanted by "day" or "night"; "" inside."""
    out = _damp_out(rh, target, part)
    return "" if abs(out) <= NEAR else "too dry" if out < 0.0 else "too damp"


def _damp_out(rh: Mapping[str, Mapping[str, float]], target: HumidityTarget | None, part: str) -> float:
    """Points by which the mean humidity lies outside what is wanted, negative when too dry; 0 inside."""
    if target is None or part not in rh:
        return 0.0
    mean = round(rh[part]["mean"])  # as it is shown
    return min(0.0, mean - getattr(target, f"{part}_low")) + max(0.0, mean - getattr(target, f"{part}_high"))


def outside_words(rh: Mapping[str, Mapping[str, float]], target: HumidityTarget | None) -> str:
    """How far the mean humidity lies outside what is wanted, by day or by night where it is worse; "" inside."""
    if target is None:
        return ""
    gaps = {part: _damp_out(rh, target, part) for part in rh}
    part = max(gaps, key=lambda one: abs(gaps[one]))
    if abs(gaps[part]) <= NEAR:
        return ""
    return f"by {part} the air is {points(gaps[part])} too {'dry' if gaps[part] < 0 else 'damp'} on average."


def from_box(first: Sequence[Warned], today: bool = True) -> tuple[Verdict, list[str]]:
    """What is wrong with the box whatever the question: too hot, too cold, a covered lid under heat, the wrong soil.

    Only in the room as described, unless `today` is False: what winter or summer may bring stands after what is wrong now.
    """
    found = next((one for one in first if one.now or not today), None)
    return (Verdict.FINE, []) if found is None else (found.verdict, list(found.short))


def nothing_today(first: Sequence[Warned], heat: Heat) -> tuple[Verdict, list[str]]:
    """What is said where nothing is wrong today: what another season may bring, else that it is fine, as far as it is known.

    The plants alone tell nothing of the humidity that is wanted (see `heat_words.unjudged_words`).
    """
    known = heat.wanted is not None and not heat.wanted.by_plants
    verdict, wrong = from_box(first, today=False)
    return (verdict, wrong) if wrong else ((Verdict.FINE if known else Verdict.UNKNOWN), [])


def brief(
    box: Box,
    about: str,
    do: str,
    sure: str,
    air: Sequence[str],
    wrong: Sequence[str],
    ranked: Sequence[Mapping[str, object]] = (),
    first: bool = False,
    mind: str = "",
    warm: Sequence[str] = (),
) -> list[Statement]:
    """The statements of the short screen. `do`: what to do; `sure`: the range and what it means; `air`: see `air_lines`.

    `wrong`: the sentences on what is most wrong: the first, and as many more as fit. `ranked`: what to measure next. `first`:
    what is wrong goes before what to do, since it is too hot or too cold. `mind`: a warning on the humidity below or above,
    which goes before what to measure. `warm`: warnings on single places that are too hot or too cold, and on what is likely;
    they always stand. What else there is gives way to them: first what to measure, then how sure, the caution last.
    """
    care = nearest_caution(box, about)
    care = f"Take care: {care}" if care else ""
    sure = f"How sure: {sure}" if sure else ""
    unjudged = unjudged_words(box)
    fault = _most_wrong(wrong[0]) if wrong else ""
    warm = [text for text in warm if text]
    left = MOST_LINES - 2 - sum(_height(text) for text in (do, *air, fault, *warm) if text)
    while warm and left < 0:  # the one on what is likely is the last of them
        left += _height(warm.pop())

    def fits(text: str) -> str:
        nonlocal left
        if not text or _height(text) > left:
            return ""
        left -= _height(text)
        return text

    care, sure, unjudged, mind = fits(care), fits(sure), fits(unjudged), fits(mind)
    more = list(wrong[1:])
    if first:  # danger, and what to do against it, go before what to measure
        fault, left = _longer(fault, more, left)
        more = []
    measure = ""
    if ranked and ranked[0]["narrows_by"] >= LITTLE:
        # what is wrong goes before what to measure
        forms = (f"Measure next: {ranked[0][form]}." for form in ("words", "short"))
        measure = fits(next((text for text in forms if _height(text) <= left), ""))
    fault, left = _longer(fault, more, left)
    short = lambda kind, *texts: state(kind, *texts, views=View.SHORT)  # noqa: E731
    head = short(Kind.WRONG, fault) if first else []
    tail = [] if first else short(Kind.WRONG, fault)
    return [
        *head,
        *short(Kind.DO, do),
        *short(Kind.SURE, sure),
        *short(Kind.AIR, *air),
        *short(Kind.WANTED, unjudged),
        *short(Kind.WARNING, *warm, mind),
        *tail,
        *short(Kind.MEASURE, measure),
        *short(Kind.CAUTION, care),
    ]


def _longer(fault: str, more: Sequence[str], left: int) -> tuple[str, int]:
    """The fault with as many more sentences as fit into the lines that are left, and the lines left then."""
    for sentence in more:
        longer = f"{fault} {sentence}"
        if _height(longer) - _height(fault) > left:
            break
        left -= _height(longer) - _height(fault)
        fault = longer
    return fault, left


def _most_wrong(sentence: str) -> str:
    return f"Most wrong: {sentence[:1].lower()}{sentence[1:]}"


def fitting(forms: Sequence[str], most: int) -> str:
    """The first of some forms of a sentence, the fullest first, that takes no more than `most` lines; else the last."""
    return next((text for text in forms if _height(text) <= most), forms[-1])


def _height(text: str) -> int:
    """Lines that a sentence takes on the short screen, in the system in which it is longer; 0 for none."""
    return max(len(lines(said(text, us), COLUMNS - 1, "  ", "    ")) for us in (False, True))
