"""The rescue of soggy soil as statements."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from terralab import wording
from terralab.answers.common.answer import Answer
from terralab.answers.common.brief import brief, from_box
from terralab.answers.common.draws import left_out_words
from terralab.answers.common.heat_words import warmth_line
from terralab.answers.common.optional import known
from terralab.answers.common.seen_air import SeenAir
from terralab.answers.common.statement import EVERYWHERE, Kind, Statement, Verdict, View, state
from terralab.answers.common.temperature import Heat
from terralab.answers.common.words import RANGE
from terralab.answers.fans.schedules import exchange_fan
from terralab.answers.rescue.remedies import DAYS, Remedy, RemedyKind, Span, all_day, days_of, opened_words
from terralab.describe.box import Box
from terralab.describe.hot import hot_at_lid, hot_words
from terralab.quantities import as_typed, quantity, unit_word
from terralab.simulation.before_a_run import fan_can_move

NAME_WIDE = 26  # characters; the table then fits a terminal of 80
CELL_WIDE = 18
MOVED_SOON_DAYS = 2.0  # a top third without air for longer is no place for animals (common practice, no source)
MOVE_OUT = (
    "Move animals out first if the soil smells sour or of rotten eggs, if water stands on it, or if the clean-up crew sits on "
    "the surface (common practice, no source)."
)


def rescue_statements(
    a: Answer,
    box: Box,
    found: Sequence[Remedy],
    best: Remedy,
    does: str,
    left_out: Mapping[str, str],
    seen: SeenAir,
    before: Heat,
) -> tuple[Verdict, tuple[Statement, ...]]:
    """What is most wrong, and all that the answer `a` (a draft) states. `seen`: the air with the `best` remedy.

    `does`: what is done for it, each part named.
    """
    verdict, wrong = _wrong(box, seen)
    out = state(Kind.TITLE, f"{box.name}: my soil is soggy, how long until it has air again?", views=EVERYWHERE)
    out += brief(
        box,
        "rescue",
        _do(found, best, does, before),
        f"{RANGE} take {_ends(best.bottom_days)}." if known(a.value) and best.allowed else "",
        seen.lines(" then"),
        wrong,
        first=seen.heat.hot or seen.heat.cold,
        warm=seen.minds,
    )
    out += state(Kind.WARNING, *a.first)
    out += state(Kind.HOT_PLACE, *seen.minds)
    out += state(Kind.DO, _headline(best))
    out += state(Kind.WHY, f"Why: {a.reason}")
    out += _table(a, found)
    out += state(Kind.DRAWS, *(f"{r.name}: {words}" for r in found if (words := left_out_words(r.draws))))
    out += state(Kind.LEFT_OUT, *(f"Left out, {name}: {why}" for name, why in left_out.items()))
    with_it = f" with {best.name}"
    out += state(Kind.AIR, seen.sentence(with_it))
    out += state(Kind.WARMTH, warmth_line(seen.heat, with_it))
    out += state(Kind.ASSUMED, "Taken for granted: " + " ".join(a.assumptions))
    out += state(Kind.CAUTION, "Take care: " + " ".join(a.cautions))
    return verdict, tuple(out)


def _do(found: Sequence[Remedy], best: Remedy, does: str, before: Heat) -> str:
    """What to do, for the short screen."""
    if not best.allowed:
        return none_allowed(found, before)
    name = does[:1].upper() + does[1:]
    if best.bottom_days[1] is None:
        return f"{name}. Even so the foot of the soil lacks air for more than six weeks: it needs a coarser mix or a deeper soil."
    return f"{name}: the soil has air again after {days_words(best.bottom_days)}."


def _wrong(box: Box, seen: SeenAir) -> tuple[Verdict, list[str]]:
    verdict, wrong = from_box(seen.first)
    if wrong:
        return verdict, wrong
    return Verdict.NO_AIR, [
        "soaked soil has no air. Animals out first if it smells sour, if water stands on it, or if the clean-up crew sits on "
        "the surface."
    ]


def _headline(best: Remedy) -> str:
    value = days_words(best.bottom_days) if best.bottom_days[1] is not None else "not within six weeks"
    with_it = f"the best remedy that keeps the mix: {best.name}" if best.allowed else f"{best.name}, not recommended"
    return f"Top and bottom third at 10 % air or more: {value} with {with_it}."


def _table(a: Answer, found: Sequence[Remedy]) -> list[Statement]:
    heading = f"{'remedy':<{NAME_WIDE}}  {'top third':<{CELL_WIDE}}  {'bottom third':<{CELL_WIDE}}  {unit_word('°C')}"
    rows = (
        f"{wording.cut(r.name, NAME_WIDE):<{NAME_WIDE}}  {days_cell(r.top_days):<{CELL_WIDE}}  "
        f"{days_cell(r.bottom_days):<{CELL_WIDE}}  {_warm(r)}"
        for r in found
    )
    out = state(
        Kind.TABLE,
        f"Days (h: hours) until there is enough air to stay, middle of {a.spread['members']} cases drawn and where 80 % of them "
        "lie:",
        under=(heading, *rows),
        views=View.ALL,
    )
    marked = "" if all(r.allowed for r in found) else " !: leaves the temperatures wanted, so it is not recommended."
    return out + state(
        Kind.LEGEND, f"({unit_word('°C')}: mean of the air by day and by night.{marked})", views=View.ALL
    )


def _warm(r: Remedy) -> str:
    day, night = (quantity("°C", ".0f", value, bare=True) for value in (r.temp_day, r.temp_night))
    return f"{day}, {night}{'' if r.allowed else '!'}"


def _figure(days: float | None) -> tuple[str, str]:
    """Days as said everywhere here, with what is counted: hours below one day, tenths below three."""
    if days is None:
        return f"over {DAYS}", "day"
    if days < 1.0:
        return f"{max(1.0, 24.0 * days):.0f}", "hour"
    return (f"{days:.1f}" if days < 3.0 else f"{days:.0f}"), "day"


def _cell(days: float | None) -> str:
    number, unit = _figure(days)
    return f"{number} h" if unit == "hour" else number


def _counted(days: float | None) -> str:
    number, unit = _figure(days)
    return f"{number} {unit}{'' if number == '1' else 's'}"


def _about(days: float | None) -> str:
    return f"{'about ' if _figure(days)[1] == 'hour' else ''}{_counted(days)}"


def days_words(span: Span) -> str:
    """The middle, and where it is wider the range: "10 days (8 to 18 days)"."""
    low, middle, high = span
    if _figure(low) == _figure(high):
        return _about(middle)
    return f"{_about(middle)} (from {_about(low)})" if middle is None else f"{_about(middle)} ({_ends(span)})"


def _ends(span: Span) -> str:
    """The range alone, the unit once."""
    low, _, high = span
    if _figure(low) == _figure(high):
        return _counted(low)
    first = _figure(low)[0] if high is not None and _figure(low)[1] == _figure(high)[1] else _counted(low)
    return f"{first} to {_counted(high)}"


def days_cell(span: Span) -> str:
    """The same for a table: "22 h (12 h to 1.4)"."""
    low, middle, high = span
    if _figure(low) == _figure(high):
        return _cell(middle)
    if middle is None:
        return f"{_cell(middle)} (from {_cell(low)})"
    first = _figure(low)[0] if high is not None and _figure(low)[1] == _figure(high)[1] else _cell(low)
    return f"{_cell(middle)} ({first} to {_cell(high)})"


def reason_words(box: Box, found: Sequence[Remedy], best: Remedy, before: Heat) -> str:
    """Which remedy is the quickest, and why; that none may be recommended, where it is so."""
    return " ".join(
        text for text in (_quickest(found, best), _siphons_itself(box), none_allowed(found, before)) if text
    )


def _quickest(found: Sequence[Remedy], best: Remedy) -> str:
    if best.bottom_days[1] is None:
        return (
            "No remedy gives the bottom third its air within six weeks: at rest the mix itself holds too much water for its "
            "depth. A coarser mix or a deeper soil changes that, drying alone hardly."
        )
    stop = next((r for r in found if r.kind is RemedyKind.STOP), None)
    slow = "" if stop is None or stop is best else f" Only to stop pouring takes {days_words(stop.bottom_days)}."
    first = min([r for r in found if r.allowed] or found, key=lambda r: r.until)
    newer = "" if first is best else f" Quicker still, {days_words(first.bottom_days)}, is a {first.name}."
    others = [r for r in found if r.kind is not RemedyKind.NEW_MIX and (r.allowed or not best.allowed)]
    which = "The quickest that keeps the mix is"
    if any(r.until < best.until for r in others):
        which = "Nothing more that keeps the mix is clearly quicker than this"
    return (
        "Water leaves soggy soil by two ways only: down, as far as there is room, and as vapour. "
        f"{which}: {best.name}.{newer}{slow}"
    )


def none_allowed(found: Sequence[Remedy], before: Heat) -> str:
    """A sentence where no remedy that keeps the mix may be recommended, "" where one may; `before`: the box as it is."""
    if any(r.allowed for r in found if r.kind is not RemedyKind.NEW_MIX):
        return ""
    which = "None of the remedies" if not any(r.allowed for r in found) else "No remedy that keeps the mix"
    if before.hot:
        return f"{which} is recommended while it is this hot: bring the heat down first, then ask again."
    if before.cold:
        return f"{which} is recommended while it is this cold: warm it first, then ask again."
    first = min((r for r in found if r.refused), key=lambda r: r.until)
    return f"{which} is recommended, since each leaves the temperatures wanted: with {first.name}, {first.refused}."


def _siphons_itself(box: Box) -> str:
    """That the routine's own siphon empties the layer under every remedy, where it does."""
    gaps = [s.when_gap_below_cm for s in box.routine.siphons if s.when_gap_below_cm is not None]
    if not gaps or box.enclosure.drainage is None:
        return ""
    return (
        "Each remedy is as quick as that because your routine siphons by itself, whenever less than "
        f"{as_typed('length', 'cm', gaps[0])} are left under the mesh. If nobody does, siphon at once."
    )


def move_out(found: Sequence[Remedy]) -> str:
    """The caution about the animals that live in the soil."""
    worst = max(days_of(r.top_days[1]) for r in found if r.kind is not RemedyKind.GO_ON)
    soon = (
        f"With some of these the top third lacks air for more than {MOVED_SOON_DAYS:g} days: move them for that time."
        if worst > MOVED_SOON_DAYS
        else "The top has air again within two days."
    )
    return f"{MOVE_OUT} {soon} Look for the cause before you put them back."


def assumed(box: Box, start: str) -> tuple[str, ...]:
    """What is taken for granted; `start`: how wet it is taken to be."""
    fan = f"; the fan is {exchange_fan(box)[1]}." if fan_can_move(all_day(box), box.enclosure) else "."
    return (
        start,
        f"Each remedy is kept up for two to six weeks in the room as described, with spraying and misting as they are{fan}",
        "Enough air means 10 % of the volume (UC Agriculture & Natural Resources, Soil mixes part 3). A number for the third as "
        "a whole: its foot stays wetter.",
        *_about_covers(box),
    )


def _about_covers(box: Box) -> tuple[str, ...]:
    """What is meant by a lid that is open or cleared, and whether its cover may come back."""
    e = box.enclosure
    if not e.openings:
        return (
            "The glass is sealed. Lid open: the whole lid is off, with mesh over the glass so that nothing gets out.",
        )
    covered = [f'"{o.name}"' for o in e.openings if o.covered > 0.0]
    if not covered:
        return ()
    words = f"{opened_words(e).capitalize()}: what covers {' and '.join(covered)} is taken off."
    if hot_at_lid(box) and any(o.covered > 0.0 and o.wall == "lid" for o in e.openings):
        words += f" It never comes back over the mesh under or around {hot_words(box)}."
    return (words,)
