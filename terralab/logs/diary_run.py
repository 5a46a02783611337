"""What a diary means for a run: events in place of the routine that it tells of."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

import numpy as np

from terralab.describe.box import Box
from terralab.describe.events import Event
from terralab.describe.needed import needs_box
from terralab.describe.part import cautions_untold
from terralab.describe.routine import Routine
from terralab.errors import TerralabError, UnknownName, quoted
from terralab.logs.diary import Diary, Entry, minute
from terralab.logs.diary_given import Given, given, one_deviation
from terralab.quantities import quantity, said
from terralab.units import DAY_S, HOUR_S

SOON_S = HOUR_S  # a bottle weighed again within this time was weighed before and after one pour
A_DAY_S = 1.1 * DAY_S  # a bottle weighed again later than this gave more than one pour
_WORDS = {"poured": "pours", "sprayed": "sprays"}


class Told(NamedTuple):
    """A box as its diary tells it: `box` with the routine that still holds, `events` of the diary, `words` on what was replaced."""

    box: Box
    events: tuple[Event, ...]
    words: tuple[str, ...]


def diary_events(diary: Diary, box: Box, first_day: date) -> Told:
    """Return the box and the events with which a run that begins on `first_day` lives through a diary.

    What the diary tells of takes the place of the routine: pours (written down or weighed with the bottle), sprays, siphoning,
    fillings of the dish. From the day of its first entry on it is taken to tell all of them; before that day, and for what it
    never tells of, the routine goes on. Lid and lamps change at their times. Raises TerralabError where the box has no such
    part.
    """
    needs_box(box, "diary_events")
    if not isinstance(diary, Diary):
        raise TerralabError(f"diary_events needs a diary, as tl.read_diary gives it; {quoted(diary)} was given.")
    with cautions_untold():  # the box has told its own; those of a change are among the words
        return _told(diary, box, first_day)


def _told(diary: Diary, box: Box, first_day: date) -> Told:
    midnight = np.datetime64(first_day, "s")
    begins = np.datetime64(diary.entries[0].when, "D").astype("datetime64[s]") if diary.entries else midnight
    first = _days(begins, midnight)
    events: list[Event] = []
    every, words = given(diary)
    routine = box.routine
    said_of = [*words]
    for what in ("poured", "sprayed"):
        kind, own = _WORDS[what], [one for one in every if one.what == what]
        if not own:
            if getattr(box.routine, kind):
                said_of.append(f"The diary tells of no {kind}; those of the routine go on.")
            continue
        usual = getattr(box.routine, kind)
        # the diary knows no pours through the tube, so those stay
        below = [one for one in usual if getattr(one, "into", "soil") != "soil"]
        if below:
            said_of.append("What the routine pours into the drainage layer goes on beside the diary.")
        if len(usual) > len(below):
            if first > 0.0 and not below:
                events.append(Event(first, None, f"no {kind}"))
            else:
                box = box.change(**{f"routine.{kind}": [one.write() for one in below]})
            said_of.append(
                f"The {kind} of the diary take the place of those of the routine{'' if below else _since(first, begins)}; after the last, on "
                f"{str(own[-1].ends)[:10]}, there are none."
            )
        events += _poured(own, routine, midnight)
    box, more, words = _below(diary, box, midnight)
    events += more
    said_of += words
    box, more, words = _changes(diary, box, midnight)
    events += more
    said_of += words
    before = sum(one.when < midnight for one in diary.of("poured", "sprayed", "siphoned", "siphoned to", "dish filled"))
    if before:
        said_of.append(f"{before} of its entries lie before the run, which begins on {first_day}, and are left out.")
    return Told(box, tuple(events), tuple(said_of))


def _since(first: float, begins: np.datetime64) -> str:
    return f" from {str(begins)[:10]} on" if first > 0.0 else ""


def _days(when: np.datetime64, midnight: np.datetime64) -> float:
    return float((when - midnight) / np.timedelta64(1, "s")) / DAY_S


def _poured(own: Sequence[Given], routine: Routine, midnight: np.datetime64) -> list[Event]:
    """Events for water that was given; what a bottle lost over days is spread over their usual hours."""
    events = []
    for one in own:
        times = _hours(one, routine)
        word = "pour" if one.what == "poured" else "spray"
        for when in times:
            at = _days(when, midnight)
            if at >= 0.0 and one.ml > 0.0:
                events.append(Event(at, None, {word: one.ml / len(times)}))
    return events


def _hours(one: Given, routine: Routine) -> list[np.datetime64]:
    """When water was given that a bottle lost: at the usual hour of each day between two weighings."""
    length = float((one.ends - one.begins) / np.timedelta64(1, "s"))
    if length <= SOON_S:
        return [one.begins]
    usual = routine.pours if one.what == "poured" else routine.sprays
    hour = np.timedelta64(round(usual[0].time_s), "s") if usual else one.ends - one.ends.astype("datetime64[D]")
    day, last = one.begins.astype("datetime64[D]"), one.ends.astype("datetime64[D]")
    each = [d + hour for d in np.arange(day, last + 1)]
    inside = [t.astype("datetime64[s]") for t in each if one.begins < t <= one.ends]
    if not inside:
        return [one.ends]
    return inside if length > A_DAY_S else inside[-1:]


def _below(diary: Diary, box: Box, midnight: np.datetime64) -> tuple[Box, list[Event], list[str]]:
    """Siphoning and fillings of the dish."""
    events, words = [], []
    if diary.of("hide wetted"):
        words.append(
            "The moss in the hide is wetted every morning, as the routine has it, and not when the diary says."
        )
    drawn = diary.of("siphoned", "siphoned to")
    if drawn:
        if box.enclosure.drainage is None:
            raise TerralabError(
                f"The diary siphons on {minute(drawn[0].when)}, but this box has no drainage layer. Describe it, or take the entry out."
            )
        if box.routine.siphons:
            box = box.change(**{"routine.siphons": []})
            words.append("The siphoning of the diary takes the place of that of the routine.")
        for one in (one for one in drawn if one.amount or one.what == "siphoned to"):
            amount = f"{one.amount!r} {'ml' if one.what == 'siphoned' else 'cm'}"
            events.append((one, {"siphon": amount}))
    elif box.routine.siphons:
        words.append("The diary tells of no siphoning; that of the routine goes on.")
    filled = diary.of("dish filled")
    if filled:
        if box.enclosure.dish is None:
            raise TerralabError(
                f"The diary fills a dish on {minute(filled[0].when)}, but this box has none. Describe it, or take the entry out."
            )
        box = box.change(**{"enclosure.dish.refill": "never"})
        words.append("The dish is filled to its brim whenever the diary fills it, and not by the routine.")
        events += [(one, {"refill": "dish"}) for one in filled if one.amount]
    return box, [Event(at, None, change) for one, change in events if (at := _days(one.when, midnight)) >= 0.0], words


def _changes(diary: Diary, box: Box, midnight: np.datetime64) -> tuple[Box, list[Event], list[str]]:
    """What lasts: the lid and the lamps. A change before the run is one of the box."""
    events, words, now = [], [], box
    lids = [o.name for o in box.enclosure.openings if o.wall == "lid"] or [o.name for o in box.enclosure.openings]
    openings = [o.name for o in box.enclosure.openings]
    lamps = [one.name for one in box.routine.lamps]
    for one in diary.of("lid covered", "lamp"):
        if one.what == "lamp":
            name = _meant(one, lamps, lamps, "lamp")
            change, text = {f"routine.lamps.{name}.power": one.amount}, f"{name} has {one.amount:g} W"
        else:
            name = _meant(one, lids, openings, "opening")
            change, text = (
                {f"enclosure.openings.{name}.covered": one.amount},
                f"{name} is covered to {100 * one.amount:.0f} %",
            )
        words.append(f"From {minute(one.when)} on {text}.")
        at = _days(one.when, midnight)
        changed = now.change(**change)  # what cannot be is refused now, in words of the box
        words += [said(new) for new in changed.cautions() if new not in tuple(now.cautions())]
        now = changed
        if at <= 0.0:
            box = box.change(**change)
        else:
            events.append(Event(at, None, change))
    return box, events, words


def _meant(one: Entry, likely: Sequence[str], every: Sequence[str], kind: str) -> str:
    """The name of the lamp or opening that an entry means."""
    if not every:
        raise TerralabError(
            f"The diary changes the {kind} on {minute(one.when)}, but this box has no {kind}. Describe it first."
        )
    if one.name:
        found = next((name for name in every if name.lower() == one.name.lower()), None)
        if found is None:
            raise UnknownName.among(kind, one.name, every)
        return found
    noted = [name for name in every if name.lower() in one.note.lower()]
    if len(noted) == 1:
        return noted[0]
    if len(likely) == 1:
        return likely[0]
    word = "lamp" if kind == "lamp" else "lid covered"
    raise TerralabError(
        f"The diary changes the {kind} on {minute(one.when)}, and this box has {len(every)}: {', '.join(every)}. Name the one that is "
        f"meant, as in {quoted(f'{word}: {every[0]}')}."
    )


class Level(NamedTuple):
    """How far the water stood below the mesh: `when`, `gap_cm`, and one standard deviation `error_cm`."""

    when: np.datetime64
    gap_cm: float
    error_cm: float


def levels(diary: Diary, box: Box) -> tuple[Level, ...]:
    """Return the readings of the water below the mesh; raises TerralabError for a box without a drainage layer."""
    found = diary.of("gap below mesh", "water depth")
    if not found:
        return ()
    needs_box(box, "levels")
    layer = box.enclosure.drainage
    if layer is None:
        raise TerralabError(
            f"The diary reads the water below the mesh on {minute(found[0].when)}, but this box has no drainage layer. Describe it, or take the entry out."
        )
    out = []
    for one in found:
        gap = one.amount if one.what == "gap below mesh" else layer.depth_cm - one.amount  # type: ignore[operator]
        if one.what == "gap below mesh" and gap > layer.depth_cm + 0.5:  # type: ignore[operator]
            deep = said(quantity("cm", ".1f", layer.depth_cm))
            raise TerralabError(
                f"The diary reads a gap of {said(quantity('cm', '.1f', gap))} below the mesh on {minute(one.when)}, but the layer is {deep} deep. "
                'Write "water depth" where you measured from the floor up.'
            )
        out.append(Level(one.when, float(gap), 0.1 * one_deviation("water level on the glass")))  # type: ignore[arg-type]
    return tuple(out)
