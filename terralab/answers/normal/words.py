"""What is said of a reading: how usual it is, where to look first, and what tells the causes apart."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from terralab.answers.common.answer import Answer
from terralab.answers.common.brief import brief, from_box, nothing_today
from terralab.answers.common.draws import left_out_words
from terralab.answers.common.heat_words import warmth_line
from terralab.answers.common.seen_air import SeenAir
from terralab.answers.common.statement import EVERYWHERE, Kind, Statement, Verdict, View, state
from terralab.answers.fails.faults import listed
from terralab.answers.normal.causes import Group
from terralab.answers.normal.judged import OUTSIDE, USUAL, Judged, Ranked, Standing, tell_apart
from terralab.answers.normal.typed import Typed
from terralab.describe.box import Box
from terralab.describe.wanted import ANYONE, temperatures_wanted
from terralab.describe.wanted import typed as as_wanted
from terralab.logs.log import BOX
from terralab.quantities import column, quantity, unit_word

if TYPE_CHECKING:
    from terralab.answers.normal.normal import Found

FIRST = 3  # causes named on the short screen, and of those that a usual reading does not rule out
SLIGHT = 0.005  # of all causes: below it a cause is left out of the list
MOST_ROWS = 12
_WHERE = {"box": "", "box low": " low in the box", "box high": " high in the box", "hide": " in the hide"}


def reading_words(one: Typed) -> str:
    """A reading as it is said: "82 % at 23.0 °C"."""
    parts = []
    if one.has_humidity:
        parts.append(f"{one.humidity:.0f} %")
    if one.has_temperature:
        parts.append(quantity("°C", ".1f", one.temperature_c))
    return " at ".join(parts)


def likely_words(found: Found) -> str:
    """What is likely at that hour: humidity beside temperature."""
    (low_c, _, high_c), (low, _, high) = found.usual.cloud.span()
    return f"{low:.0f} to {high:.0f} % at {quantity('°C', '.1f', low_c, high_c)}"


def normal_statements(a: Answer, box: Box, found: Found, seen: SeenAir) -> tuple[Verdict, tuple[Statement, ...]]:
    """What is most wrong, and all that the answer `a` (a draft) states."""
    j, asked = found.judged, found.asked
    danger = danger_words(box, asked.typed)
    verdict, wrong = _wrong(found, seen, danger)
    title = f"{box.name}: is {reading_words(asked.typed)}{_WHERE[asked.place]} usual at {asked.when}?"
    out = state(Kind.TITLE, title, views=EVERYWHERE)
    out += brief(
        box, "normal", " ".join(text for text in (danger, *_headline(found)) if text), _sure(j), seen.lines(), wrong,
        first=bool(danger) or seen.heat.hot or seen.heat.cold, warm=seen.minds,
    )  # fmt: skip
    out += state(Kind.WARNING, *a.first)
    out += state(Kind.HOT_PLACE, *seen.minds)
    out += state(Kind.WARNING, danger)
    out += state(Kind.DO, _headline(found)[0])
    out += state(Kind.WHY, f"Why: {a.reason}")
    out += _causes(found)
    out += state(Kind.EXPLAINED, *_not_told(found))
    out += _table(found)
    out += state(Kind.DRAWS, left_out_words(a.spread, "boxes drawn"))
    out += state(Kind.LEFT_OUT, *_left_out(found))
    out += state(Kind.AIR, seen.sentence(" on ordinary days"))
    out += state(Kind.WARMTH, warmth_line(seen.heat, " on ordinary days"))
    out += state(Kind.ASSUMED, "Taken for granted: " + " ".join(a.assumptions))
    out += state(Kind.CAUTION, "Take care: " + " ".join(a.cautions))
    return verdict, tuple(out)


def danger_words(box: Box, one: Typed) -> str:
    """That a reading is past what animals bear, and what goes before the search for its cause; "" where it is not."""
    if not one.has_temperature:
        return ""
    w = temperatures_wanted(box) or ANYONE
    if one.temperature_c > w.most:
        return (
            f"Dangerously hot for what lives here (over {as_wanted(w.most)}): before you look for the cause, lamps and heaters off, "
            "shade, animals somewhere cooler; ask your vet."
        )
    if one.temperature_c < w.least:
        return (
            f"Dangerously cold for what lives here (under {as_wanted(w.least)}): before you look for the cause, bring the animals "
            "slowly to their usual warmth; ask your vet."
        )
    return ""


def _wrong(found: Found, seen: SeenAir, danger: str) -> tuple[Verdict, list[str]]:
    verdict, wrong = from_box(seen.first)
    if danger:
        return Verdict.DANGEROUS, wrong
    if wrong:
        return verdict, wrong
    if found.judged.standing is Standing.OUTSIDE:
        return Verdict.UNUSUAL, []
    return nothing_today(seen.first, seen.heat)


def _standing(found: Found) -> str:
    """How the reading stands, in a sentence."""
    j, of = found.judged, found.asked.typed
    side = j.side or (
        "that damp when so warm, or that dry when so cold" if of.has_humidity and of.has_temperature else "high or low"
    )
    likely = f"likely at {found.asked.when}: {likely_words(found)}"
    far = (
        f"{100.0 * j.far:.0f} of 100 likely readings lie as far out"
        if j.far >= 0.01
        else "hardly any likely reading lies as far out"
    )
    if j.standing is Standing.USUAL:
        return f"Usual ({likely})."
    rather = "Rather" if j.standing is Standing.RATHER else "Outside the usual: too"
    if not j.side:
        return f"{'Rather unusual' if j.standing is Standing.RATHER else 'Outside the usual'}: seldom {side} ({likely}; {far})."
    return f"{rather} {side.replace(' and ', f' and {rather.split()[-1].lower()} ')} ({likely}; {far})."


def _headline(found: Found) -> tuple[str, str]:
    """How the reading stands, and where to look or what it does not rule out."""
    j = found.judged
    if j.standing is Standing.USUAL:
        return _standing(found), _hidden(j)
    return _standing(found), _look(found)


def _hidden(j: Judged) -> str:
    """Which causes would give such a reading too, though it is usual."""
    names = [one.cause.words for one in j.hidden if one.cause.group is not Group.ROOM][:FIRST]
    if not names:
        return "None of the causes looked at would read so."
    more = len([one for one in j.hidden if one.cause.group is not Group.ROOM]) - len(names)
    rest = f", or {more} more" if more > 0 else ""
    return f"What such a reading does not rule out: {'; '.join(names)}{rest}. Look at devices and soil each day all the same."


def _look(found: Found) -> str:
    """The causes to look at first, each with its question."""
    j = found.judged
    near = [one for one in j.ranked[:FIRST] if one.share >= 0.05] or list(j.ranked[:1])
    if not near or near[0].share <= 0.0:
        return "None of the causes looked at explains it: read again, with a second instrument."
    parts = [f"({n}) {one.cause.words}: {ended(one.cause.look)}" for n, one in enumerate(near, 1)]
    return f"Look first: {' '.join(parts)}"


def ended(text: str) -> str:
    """A text as a sentence: with a full stop, unless it asks."""
    return text if text.endswith("?") else f"{text}."


def _sure(j: Judged) -> str:
    if j.standing is Standing.USUAL:
        return ""
    first = j.ranked[0] if j.ranked else None
    if first is None or first.share <= 0.0:
        return ""
    told = f"if one of the causes looked at holds, it is the first in {100.0 * first.share:.0f} of 100 cases"
    return f"{told}; nothing is wrong in {100.0 * j.sound:.0f}." if j.sound >= 0.05 else f"{told}."


def _causes(found: Found) -> list[Statement]:
    """Each likely cause in a sentence, with what it would read and how to look at it; for a usual reading none."""
    j = found.judged
    if j.standing is Standing.USUAL:
        return state(Kind.MISHAP, _hidden(j))
    return state(Kind.MISHAP, *(_cause(one) for one in j.ranked[:FIRST] if one.share >= SLIGHT))


def _cause(one: Ranked) -> str:
    (_, c, _), (_, rh, _) = one.seen.cloud.span()
    return (
        f"{one.cause.words[:1].upper()}{one.cause.words[1:]} ({100.0 * one.share:.0f} of 100): a sensor would then read about "
        f"{rh:.0f} % at {quantity('°C', '.1f', c)}. To tell: {ended(one.cause.look)}"
    )


def _not_told(found: Found) -> list[str]:
    """Which causes the reading cannot tell apart from the first, and what would."""
    j, typed = found.judged, found.asked.typed
    if j.standing is Standing.USUAL or not j.alike:
        return []
    first = j.ranked[0]
    out = [f"This reading cannot tell from the first cause: {'; '.join(one.cause.words for one in j.alike[:6])}."]
    other = j.alike[0]
    how = tell_apart(first, other, typed)
    (_, c1, _), (_, r1, _) = first.seen.cloud.span()
    (_, c2, _), (_, r2, _) = other.seen.cloud.span()
    names = f"{first.cause.words} and {other.cause.words}"
    if how == "temperature":
        out.append(
            f"The temperature tells {names} apart: about {quantity('°C', '.1f', c1)} and {quantity('°C', '.1f', c2)}."
        )
    elif how == "humidity":
        out.append(f"The humidity tells {names} apart: about {r1:.0f} % at {quantity('°C', '.1f', c1)} and {r2:.0f} % at "
                   f"{quantity('°C', '.1f', c2)}.")  # fmt: skip
    elif how == "glass":
        fogged, clear = (first, other) if first.seen.fogged > other.seen.fogged else (other, first)
        out.append(
            f"The glass tells them apart: the front is fogged if {fogged.cause.words}, and clear if {clear.cause.words}."
        )
    else:
        out.append(
            "Neither temperature nor humidity nor the glass tells the first two apart: only what is said of each above does."
        )
    return out


def _table(found: Found) -> list[Statement]:
    """Every cause with its share and what it reads."""
    if not found.judged.ranked:
        return []
    rows = [one for one in found.judged.ranked if one.share >= SLIGHT or found.judged.standing is Standing.USUAL][
        :MOST_ROWS
    ]
    heading = f"{'cause':<42} {'of 100':>6}  {'%':>3}  {column(unit_word('°C'), 5, '>')}  front pane"
    lines = []
    for one in rows:
        (_, c, _), (_, rh, _) = one.seen.cloud.span()
        warm = column(quantity("°C", ".1f", c, bare=True), 5, ">")
        lines.append(
            f"{cut(one.cause.words, 42):<42} {100.0 * one.share:>6.0f}  {rh:>3.0f}  {warm}  {100.0 * one.seen.fogged:.0f} fogged"
        )
    text = "Causes, how likely each is among them after this reading, and what a sensor would then read in the middle of the boxes drawn:"
    return state(Kind.TABLE, text, under=(heading, *lines), views=View.ALL)


def cut(text: str, wide: int) -> str:
    """A text of at most so many letters; one with a quantity, which no cut may split, as it is."""
    return text if "\ue000" in text or len(text) <= wide else f"{text[: wide - 2]}.."


def reason_words(found: Found) -> str:
    """Why, in a few sentences."""
    usual, j = found.usual, found.judged
    parts = []
    if found.asked.typed.has_humidity:
        parts.append(f"{100.0 * j.below[1]:.0f} of 100 likely readings are drier")
    if found.asked.typed.has_temperature:
        parts.append(f"{100.0 * j.below[0]:.0f} of 100 colder")
    return (
        f"{usual.cloud.boxes} boxes that fit this description were run until their days were alike, each with the sensor's own error "
        f"and with what a model of a real box misses. Of their readings at this hour {' and '.join(parts)}. A reading counts as usual "
        f"where {100.0 * USUAL:.0f} of 100 or more lie as far out, as outside where fewer than {100.0 * OUTSIDE:.0f} do. Each cause "
        f"was let happen in {usual.branched} of these boxes."
    )


def taken_for_granted(found: Found) -> tuple[str, ...]:
    """What is taken for granted."""
    k, points = (float(x) for x in found.usual.error.about)
    out = [
        f"A reading typically strays from what is computed by {quantity('K', '.1f', k)} and {points:.0f} points (standard deviation), sensor and "
        "model together; choices, not tried on a real box.",
        "One thing is wrong at a time. How often each cause is met is a guess, common practice without a source; it decides only "
        "where the reading does not.",
        "A fault of a device began three hours or a day ago; the clock is right to a quarter of an hour.",
    ]
    if found.asked.room is not None:
        out.append("The room is as far from its description at all hours as it was read to be.")
    elif found.usual.season == "now":
        out.append("The room is as described; read it too (`room`), and the answer is surer.")
    if found.asked.place == BOX:
        out.append("The sensor hangs half way up, in the shade and out of the spray.")
    return tuple(out)


def _left_out(found: Found) -> Sequence[str]:
    out = []
    if found.left_out:
        out.append(f"Left out, as the box has many devices: {listed(found.left_out)}.")
    if found.judged.failed:
        out.append(f"Could not be run: {'; '.join(found.judged.failed)}.")
    return out
