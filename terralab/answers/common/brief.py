"""The short screen: what to do, how sure that is, the air beside what is wanted, the one thing most wrong, what to measure
next, and the one caution that concerns this box. It is read in ten seconds: twelve lines of eighty columns at most.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from terralab.answers.common.cautions import nearest_caution
from terralab.answers.common.heat_words import Warned
from terralab.answers.common.measure_next import LITTLE
from terralab.answers.common.statement import Kind, Statement, Verdict, View, state
from terralab.answers.common.temperature import Heat
from terralab.describe.box import Box, HumidityTarget
from terralab.quantities import as_typed, quantity, said
from terralab.wording import lines, points

MOST_LINES, COLUMNS = 12, 80  # the title and a closing line on what else there is are two of them
NEAR = 1.0  # points of humidity that a household hygrometer does not tell apart


def air_lines(
    rh: Mapping[str, Mapping[str, float]], heat: Heat, target: HumidityTarget | None, when: str = ""
) -> list[str]:
    """Humidity and temperature by day and by night, a line each, beside what is wanted. `rh[part]` holds "mean" [%]."""
    out = []
    for part, seen in (("day", heat.day), ("night", heat.night)):
        wanted = []
        if target is not None:
            wanted.append(f"{getattr(target, f'{part}_low'):g} to {getattr(target, f'{part}_high'):g} %")
        if heat.wanted is not None:
            ends = (getattr(heat.wanted, f"{part}_low"), getattr(heat.wanted, f"{part}_high"))
            wanted.append(as_typed("temperature", "C", *ends))
        humid = f"{rh[part]['mean']:.0f} % at " if part in rh else ""
        beside = f"; wanted {', '.join(wanted)}" if wanted else ""
        out.append(f"By {part}{when} {humid}{quantity('°C', '.1f', seen['mean'])}{beside}.")
    return out


def outside_words(rh: Mapping[str, Mapping[str, float]], target: HumidityTarget | None) -> str:
    """How far the mean humidity lies outside what is wanted, by day or by night where it is worse; "" inside."""
    if target is None:
        return ""
    gaps = {
        part: min(0.0, seen["mean"] - getattr(target, f"{part}_low"))
        + max(0.0, seen["mean"] - getattr(target, f"{part}_high"))
        for part, seen in rh.items()
    }
    part = max(gaps, key=lambda one: abs(gaps[one]))
    if abs(gaps[part]) <= NEAR:
        return ""
    return f"by {part} the air is {points(gaps[part])} too {'dry' if gaps[part] < 0 else 'damp'} on the mean."


def from_box(first: Sequence[Warned], today: bool = True) -> tuple[Verdict, list[str]]:
    """What is wrong with the box whatever the question: too hot, too cold, a covered lid under heat, the wrong soil.

    Only in the room as described, unless `today` is False: what winter or summer may bring stands after what is wrong now.
    """
    found = next((one for one in first if one.now or not today), None)
    return (Verdict.FINE, []) if found is None else (found.verdict, list(found.short))


def nothing_today(first: Sequence[Warned], known: bool) -> tuple[Verdict, list[str]]:
    """What is said where nothing is wrong today: what another season may bring, else that it is fine, as far as `known`."""
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
) -> list[Statement]:
    """The statements of the short screen. `do`: what to do; `sure`: the range and what it means; `air`: see `air_lines`.

    `wrong`: the sentences on what is most wrong: the first, and as many more as fit. `ranked`: what to measure next. `first`:
    what is wrong goes before what to do, since it is too hot or too cold. `mind`: a warning on the air below or above, which
    goes before what to measure.
    """
    care = nearest_caution(box, about)
    fixed = [do, f"How sure: {sure}" if sure else "", *air, f"Take care: {care}" if care else ""]
    left = MOST_LINES - 2 - sum(_height(text) for text in fixed if text)
    fault = _most_wrong(wrong[0]) if wrong else ""
    if mind and _height(mind) + _height(fault) > left:
        mind = ""
    left -= _height(mind) if mind else 0
    measure = ""
    if ranked and ranked[0]["narrows_by"] >= LITTLE:
        # what is wrong goes before what to measure
        forms = (f"Measure next: {ranked[0][form]}." for form in ("words", "short"))
        measure = next((text for text in forms if _height(text) + _height(fault) <= left), "")
    left -= _height(measure) if measure else 0
    for sentence in wrong[1:]:
        if _height(f"{fault} {sentence}") > left:
            break
        fault = f"{fault} {sentence}"
    short = lambda kind, *texts: state(kind, *texts, views=View.SHORT)  # noqa: E731
    head = short(Kind.WRONG, fault) if first else []
    tail = [] if first else short(Kind.WRONG, fault)
    return [
        *head,
        *short(Kind.DO, do),
        *short(Kind.SURE, fixed[1]),
        *short(Kind.AIR, *air),
        *short(Kind.WARNING, mind),
        *tail,
        *short(Kind.MEASURE, measure),
        *short(Kind.CAUTION, fixed[-1]),
    ]


def _most_wrong(sentence: str) -> str:
    return f"Most wrong: {sentence[:1].lower()}{sentence[1:]}"


def _height(text: str) -> int:
    """Lines that a sentence takes on the short screen, in the system in which it is longer; 0 for none."""
    return max(len(lines(said(text, us), COLUMNS - 1, "  ", "    ")) for us in (False, True))
