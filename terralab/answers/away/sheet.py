"""The sheet for the helper: one page that says when to come, what to do, what to look at, what never to do, and whom to call."""

from __future__ import annotations

from datetime import date

from terralab import wording
from terralab.answers.away.absence import SURE
from terralab.answers.away.dates import day_of
from terralab.answers.away.orders import vessels
from terralab.answers.away.words import animals
from terralab.answers.common.answer import Answer
from terralab.answers.common.humidity_target import target_of
from terralab.answers.common.vessels import damp_hide
from terralab.answers.common.words import ml
from terralab.describe.box import Box
from terralab.describe.hot import hot_at_lid, hot_words
from terralab.describe.wanted import temperatures_wanted, typed
from terralab.errors import TerralabError, quoted
from terralab.quantities import as_typed, said

Parts = tuple[tuple[str, tuple[str, ...]], ...]
LINE = "______________________________"


def sheet_parts(answer: Answer, leaves: date | None = None) -> Parts:
    """Return the sheet as headings with their lines, whose measures are marks. `leaves`: the first day, for dates.

    `answer` is what `tl.away` gives; raises TerralabError for anything else.
    """
    if not isinstance(answer, Answer) or answer.question != "away" or answer.record is None:
        raise TerralabError(f"A helper's sheet needs an answer of tl.away(box); {quoted(answer)} was given.")
    if leaves is not None and not isinstance(leaves, date):
        raise TerralabError(f"leaves must be a date, or None; {quoted(leaves)} was given.")
    box = answer.record.box
    return (
        ("When to come", tuple(_when(answer, box, leaves))),
        ("What to look at, each time", tuple(_look(box))),
        ("Never", tuple(_never(box))),
        ("If something is wrong", tuple(_wrong(box))),
        ("Telephone", tuple(_telephone(box, answer, leaves))),
    )


def sheet_title(answer: Answer) -> str:
    """The heading of the sheet."""
    return f"{answer.record.box.name}: please look after it for {wording.days(answer.details['days'])}"


def sheet_text(answer: Answer, leaves: date | None = None, us: bool = False) -> str:
    """Return the sheet as plain text, in metric or US units, lines of at most 80 characters."""
    out = [sheet_title(answer), "=" * len(sheet_title(answer))]
    for heading, texts in sheet_parts(answer, leaves):
        out += ["", heading]
        for text in texts:
            out += wording.lines(said(text, us), 79, "- ", "  ")
    return "\n".join(out) + "\n"


def _when(answer: Answer, box: Box, leaves: date | None) -> list[str]:
    out = ["Every day: look at the animals. They come before water and plants."] if animals(box) else []
    fills = f"Fill {vessels(box)} to the brim with fresh water." if vessels(box) else ""
    for visit in answer.details["visits"]:
        pour = f"Pour {ml(visit['ml'])} of water slowly all over the soil, measured with a jug. " if visit["ml"] else ""
        out.append(f"{day_of(leaves, visit['day'])}: {pour}{fills}".rstrip(": ") if pour or fills else
                   f"{day_of(leaves, visit['day'])}: look in, pour nothing.")  # fmt: skip
    if not answer.details["visits"]:
        dry = answer.details["chances"]["prepared"]["not too dry"] < SURE
        asks = f"Water for the soil, as the keeper has written it here: {LINE}"
        out.append(asks if dry else "The soil needs no water in this time. Pour nothing.")
        if vessels(box) and animals(box):
            out.append(f"Each time: {fills[:1].lower()}{fills[1:]}")
    if damp_hide(box):
        out.append(
            "Wet the moss in the hide with a little fresh water each time, so that it is damp and does not drip."
        )
    if box.routine.sprays:
        out.append("Do not spray, unless the keeper has written it here: " + LINE)
    out.append("Wash your hands before and after.")
    return out


def _look(box: Box) -> list[str]:
    out = []
    if animals(box):
        out.append("Animals: are all there, breathing calmly, as lively as they were shown to you? Do they have water?")
    warm, humid = temperatures_wanted(box), target_of(box)[0]
    if warm is not None:
        out.append(
            f"Thermometer: {as_typed('temperature', 'C', warm.day_low, warm.day_high)} by day, "
            f"{as_typed('temperature', 'C', warm.night_low, warm.night_high)} by night is right. Over {typed(warm.most)} or under "
            f"{typed(warm.least)} is dangerous: call at once."
        )
    if humid is not None:
        out.append(
            f"Hygrometer: {humid.day_low:g} to {humid.day_high:g} % by day, {humid.night_low:g} to {humid.night_high:g} % by "
            "night is right. A few hours outside are no emergency; call before you change anything."
        )
    if box.enclosure.drainage is not None:
        out.append(
            f"Water below: it stays under the mesh, {as_typed('length', 'cm', box.enclosure.drainage.depth_cm)} over the floor. "
            "If it reaches the mesh or stands on the soil, pour nothing and call."
        )
    devices = [
        f'"{one.name}"' for one in (*box.routine.lamps, *box.routine.heaters, *box.routine.mists, *box.routine.fans)
    ]
    if devices:
        out.append(f"Do these work as they were shown to you, by looking only: {', '.join(devices)}?")
    out.append("Smell: sour or of rotten eggs is wrong. Doors and lid shut when you go.")
    return out


def _never(box: Box) -> list[str]:
    out = []
    if hot_at_lid(box):
        out.append(f"Never cover the lid or lay anything on it: {hot_words(box)} is there, and it burns.")
    else:
        out.append("Never cover the lid further than it is, and lay nothing under or on a lamp or heater.")
    if box.room.sun is not None:
        out.append("Never close the box more, or move it, while the sun is on it.")
    out += [
        "Never spray or pour water on lamps, heaters, plugs or hot glass.",
        "Never touch plugs, cables, thermostats or timers, least of all with wet hands. Water on anything electric: keep off, "
        "switch off at the fuse box if you safely can, and call.",
        "Never pour more than is written here, not even when the soil looks dry.",
    ]
    if box.enclosure.drainage is not None:
        out.append("Never suck on a hose, and tip no water from the box into the kitchen sink.")
    if animals(box):
        out.append("Never take an animal out, and give no food or medicine that is not written here: " + LINE)
    return out


def _wrong(box: Box) -> list[str]:
    first = "First call the keeper"
    vet = (
        ", then the vet. A sick animal waits for nobody: if the keeper does not answer, call the vet"
        if animals(box)
        else ""
    )
    return [
        f"{first}{vet}.",
        "Fire, smoke or sparks: leave, call the fire brigade.",
        "Power cut: leave everything as it is, keep the box shut, and call.",
    ]


def _telephone(box: Box, answer: Answer, leaves: date | None) -> list[str]:
    back = f" (back on {day_of(leaves, answer.details['days'] + 1).split(' (')[0]})" if leaves is not None else ""
    out = [f"Keeper{back}: {LINE}", f"Another person who knows the box: {LINE}"]
    if animals(box):
        out.append(f"Vet who treats {box.group or 'these animals'}: {LINE}")
        out.append(f"Vet at night and on Sundays: {LINE}")
    return out
