"""My soil is soggy: how many days until its top and its bottom have air again, under each remedy."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

import numpy as np

from terralab import wording
from terralab.answers.common.answer import Answer
from terralab.answers.common.balance import AIR_WANTED
from terralab.answers.common.cautions import for_box
from terralab.answers.common.draws import left_out_words
from terralab.answers.common.ensemble import sampled
from terralab.answers.common.heat_words import before_answer, first_lines, heat_fields, warmth_line
from terralab.answers.common.optional import known
from terralab.answers.common.room_log import in_typical_room
from terralab.answers.common.temperature import Heat, heat_of, keeps_temperature
from terralab.answers.drainage.bottoms import coarser_than, thirds
from terralab.answers.drainage.sizing import LOWEST_SIPHON_CM
from terralab.describe.box import Box
from terralab.describe.enclosure import Enclosure, Opening
from terralab.describe.hot import hot_at_lid, hot_in_words
from terralab.describe.needed import needs_box
from terralab.describe.routine import Fan, Siphon
from terralab.describe.timer import Timer
from terralab.describe.trial import Trial
from terralab.errors import RunError
from terralab.measured import with_unit
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_job
from terralab.uncertainty import middle_range
from terralab.uncertainty.sampling import MOST_MEMBERS
from terralab.validate import whole

LOOK_DAYS, DAYS = 14, 42
NAME_WIDE = 26  # characters; the table then fits a terminal of 80
CELL_WIDE = 18
WARMTH_DAYS = 4
MEMBERS = 32
FAN_M3_H = 3.0  # what a small fan really moves through mesh (a choice; weigh it against your own)
MOVED_SOON_DAYS = (
    2.0  # a top third without air for longer than this is no place for animals (common practice, no source)
)


Span = tuple[float | None, float | None, float | None]


@dataclass(frozen=True)
class Remedy:
    """One thing to do, and days until the top and the bottom third hold at least 10 % air: (low, middle, high) each.

    None stands for "not within six weeks". `air_percent`: top, middle and bottom third after two weeks, typical. `draws`:
    how many of the draws ran, and why others did not. `temp_day`, `temp_night`: mean of the air [C] with it; `allowed`:
    whether that keeps the temperatures wanted.
    """

    name: str
    top_days: Span
    bottom_days: Span
    air_percent: tuple[float, float, float]
    draws: Mapping[str, Any]
    temp_day: float
    temp_night: float
    allowed: bool


@in_typical_room
def rescue(box: Box, *, members: int = MEMBERS) -> Answer:
    """Days until a soggy box has at least 10 % air in top and bottom third of its soil, under each remedy.

    The wet state is that of the description where it is one: `start.soil = "wet"`, or a drainage level above the mesh
    as you measured it. Otherwise the soil is taken as soaked to its top with the layer full. value, low, high: days of
    the quickest remedy that keeps the mix; None where none works within six weeks. table: `Remedy`, one a row. `members`
    (2 to 8192): draws of everything uncertain behind each remedy.
    """
    needs_box(box, "rescue")
    members = whole("members", members, 2, MOST_MEMBERS)
    soggy, described = _soggy(box)
    found: list[Remedy] = []
    left_out: dict[str, str] = {}
    before = heat_of(run_job(Job(soggy, WARMTH_DAYS, accuracy="preview")))
    for name, trial in remedies(soggy):
        try:
            found.append(_remedy(name, trial, before, members))
        except RunError as error:
            left_out[name] = " ".join(str(error).split())
    kept = [r for r in found if not r.name.startswith("new mix")]
    if not kept:
        raise RunError(
            f"{box.name}: none of the remedies could be run. " + " ".join(f"{n}: {why}" for n, why in left_out.items())
        )
    best = min([r for r in kept if r.allowed] or kept, key=_until)
    low, middle, high = best.bottom_days
    against = none_allowed(found, before)
    answer = Answer(
        question="rescue of soggy soil",
        value=middle,
        low=low,
        high=high,
        unit="days",
        reason=" ".join(text for text in (_reason(found, best) + _siphons_itself(soggy), against) if text),
        spread={"members": members, "ran": best.draws["ran"], "failed": best.draws["failed"], "share": 0.8},
        details={"best": best.name, "recommended": best.allowed, "start": described, "left_out": left_out},
        table=tuple(asdict(r) for r in found),
        assumptions=(
            described,
            "Each remedy is kept up for two to six weeks in the room as described, with spraying and misting as they are"
            + (f"; the fan moves {FAN_M3_H:g} m3/h through the mesh." if box.enclosure.openings else "."),
            "Enough air means 10 % of the volume (UC Agriculture & Natural Resources, Soil mixes part 3). A number for the "
            "third as a whole: its lowest centimetres stay wetter.",
            *_about_covers(box),
        ),
        cautions=(_move_out(found), *for_box(box, "rescue")),
        record=run_job(Job(dict(remedies(soggy))[best.name], LOOK_DAYS)),
    )
    heat = heat_of(answer.record)
    first = first_lines(box, heat)
    lines = _sentences(answer, box, found, left_out, warmth_line(heat, f" with {best.name}"))
    return replace(answer, sentences=before_answer(lines, first), **heat_fields(heat, first))


def _soggy(box: Box) -> tuple[Box, str]:
    d = box.enclosure.drainage
    if box.start.soil == "wet" or (d is not None and d.level_cm > d.depth_cm):
        return box, "The start is wet as described."
    glass = box.enclosure if d is None else replace(box.enclosure, drainage=replace(d, level_cm=d.depth_cm))
    words = "The soil is taken as soaked to its top" + (" and the layer as full of water." if d is not None else ".")
    return Trial.of(box, enclosure=glass, start=replace(box.start, soil="wet")), words


def remedies(box: Box) -> list[tuple[str, Box]]:
    """What can be done for a soggy box: (name, box), each kept up from the first day."""
    r, e = box.routine, box.enclosure
    # the keeper's own siphon goes on: without it, to stop pouring would be slower than to go on
    stopped = Trial.of(box, routine=replace(r, pours=()))
    out = [("go on as before", box)] if stopped != box else []
    out.append(("stop pouring", stopped))
    together = stopped
    if e.drainage is not None:
        low = min(LOWEST_SIPHON_CM, 0.5 * e.drainage.depth_cm)
        daily = Siphon(to_level_cm=low, every_days=1)
        siphoned = lambda b: Trial.of(b, routine=replace(b.routine, siphons=(*b.routine.siphons, daily)))  # noqa: E731
        together = siphoned(together)
        out.append(("stop pouring, siphon daily", together))
    if e.openings:
        fan = Fan(name="rescue fan", mode="exchange", flow_m3_h=FAN_M3_H, timer=Timer(("always",)))
        blown = lambda b: Trial.of(b, routine=replace(b.routine, fans=(*b.routine.fans, fan)))  # noqa: E731
        out.append(("stop pouring, fan all day", blown(stopped)))
        together = blown(together)
    if e.cover is not None:
        bare = lambda b: Trial.of(b, enclosure=replace(b.enclosure, cover=None))  # noqa: E731
        # "leaf litter" to "litter", "sheet moss" to "moss": a lid has a cover too
        out.append((f"stop pouring, {e.cover.material.split()[-1]} off", bare(stopped)))
        together = bare(together)
    opened = _opened(e)
    if opened != e.openings:
        free = lambda b: Trial.of(b, enclosure=replace(b.enclosure, openings=opened))  # noqa: E731
        out.append((f"stop pouring, {_opened_words(e)}", free(stopped)))
        together = free(together)
    if together not in [b for _, b in out]:
        out.append(("all remedies together", together))
    coarse = coarser_than(e.layers[-1].material)
    if coarse is not None:
        layers = tuple(replace(layer, material=coarse) for layer in e.layers)
        base = dict(out).get("stop pouring, siphon daily", stopped)
        name = f"new mix ({coarse}), {'siphoned' if e.drainage is not None else 'soaked'}"
        out.append((name, Trial.of(base, enclosure=replace(base.enclosure, layers=layers))))
    return out


def _opened(e: Enclosure) -> tuple[Opening, ...]:
    """The openings without what covers them; a sealed glass gets its whole lid as one, with mesh."""
    if not e.openings:
        return (Opening(name="open lid", wall="lid", width_cm=e.width_cm, height_cm=e.front_to_back_cm),)
    return tuple(replace(o, covered=0.0) for o in e.openings)


def _opened_words(e: Enclosure) -> str:
    if not e.openings:
        return "lid open"
    return "lid cleared" if all(o.wall == "lid" for o in e.openings if o.covered) else "vents cleared"


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
    words = f"{_opened_words(e).capitalize()}: what covers {' and '.join(covered)} is taken off."
    if hot_at_lid(box) and any(o.covered > 0.0 and o.wall == "lid" for o in e.openings):
        words += f" It never comes back over the mesh under or around a hot lamp or heater ({hot_in_words(box)})."
    return (words,)


def _remedy(name: str, box: Box, before: Heat, members: int) -> Remedy:
    """Two weeks first; six only where a member has not got there by then."""
    for days in (LOOK_DAYS, DAYS):
        measures = {"top": _since(0), "bottom": _since(2)}
        sample = sampled(box, days, measures, members=members)
        if max(np.nanmax(sample.results[part]) for part in measures) < days:
            break
    within = lambda d: None if d >= DAYS else round(d, 2)  # noqa: E731
    spans = [tuple(within(d) for d in middle_range(sample.results[part])) for part in ("top", "bottom")]
    typical = run_job(Job(box, LOOK_DAYS, accuracy="preview", record_every_min=60))
    air = 100.0 * thirds(typical, typical.air_space)[-1]
    heat = heat_of(typical)
    means = (round(heat.day["mean"], 1), round(heat.night["mean"], 1))
    rounded = tuple(round(float(a), 1) for a in air)
    return Remedy(name, *spans, rounded, sample.counted(), *means, keeps_temperature(heat, before))


def _since(third: int) -> Callable[[Record], float]:
    """The day from which a third has enough air until the run ends; twice six weeks where it has not at the end."""

    def days(record: Record) -> float:
        # a dry hour before the next pour is no rescue, so the last hour without enough air decides
        lacking = np.flatnonzero(thirds(record, record.air_space)[:, third] < AIR_WANTED)
        since = lacking[-1] + 1 if len(lacking) else 0
        return float(record.times_s[since] / 86400.0) if since < len(record.times_s) else 2.0 * DAYS

    return days


def _days(days: float | None) -> float:
    return 2.0 * DAYS if days is None else days


def _until(r: Remedy) -> tuple[float, float]:
    """What remedies are ranked by: days to air in the bottom third, then in the top."""
    return round(_days(r.bottom_days[1]), 1), round(_days(r.top_days[1]), 1)


def _figure(days: float) -> tuple[str, str]:
    """Days as said everywhere here, with what is counted: hours below one day, tenths below three."""
    if days < 1.0:
        return f"{max(1.0, 24.0 * days):.0f}", "hour"
    return (f"{days:.1f}" if days < 3.0 else f"{days:.0f}"), "day"


def _cell(days: float | None) -> str:
    if days is None:
        return f"over {DAYS}"
    number, unit = _figure(days)
    return f"{number} h" if unit == "hour" else number


def _words(days: float | None) -> str:
    if days is None:
        return f"over {DAYS} days"
    number, unit = _figure(days)
    return f"{'about ' if unit == 'hour' else ''}{number} {unit}{'' if number == '1' else 's'}"


def _span(span: Span, words: Callable[[float | None], str]) -> str:
    """The middle and, where it is wider, the range."""
    low, middle, high = (words(d) for d in span)
    if low == high:
        return middle
    if span[1] is None:
        return f"{middle} (from {low})"
    low, high = low.removeprefix("about "), high.removeprefix("about ")
    if span[2] is not None and _figure(span[0])[1] == _figure(span[2])[1]:
        low = low.split()[0]  # both in days, or both in hours
    return f"{middle} ({low} to {high})"


def _reason(found: list[Remedy], best: Remedy) -> str:
    if best.bottom_days[1] is None:
        return (
            "No remedy gives the bottom third its air within six weeks: at rest the mix itself holds too much water for its "
            "depth. A coarser mix or a deeper soil changes that, drying alone hardly."
        )
    stop = next((r for r in found if r.name == "stop pouring"), None)
    slow = "" if stop is None or stop is best else f" Only to stop pouring takes {_span(stop.bottom_days, _words)}."
    first = min([r for r in found if r.allowed] or found, key=_until)
    newer = "" if first is best else f" Quicker still, {_span(first.bottom_days, _words)}, is a {first.name}."
    return (
        "Water leaves soggy soil by two ways only: down, as far as there is room, and as vapour. The quickest that keeps "
        f"the mix is: {best.name}.{newer}{slow}"
    )


def none_allowed(found: list[Remedy], before: Heat) -> str:
    """A sentence where no remedy that keeps the mix may be recommended, "" where one may; `before`: the box as it is."""
    if any(r.allowed for r in found if not r.name.startswith("new mix")):
        return ""
    which = "None of the remedies" if not any(r.allowed for r in found) else "No remedy that keeps the mix"
    if before.hot:
        return f"{which} is recommended while it is this hot: bring the heat down first, then ask again."
    if before.cold:
        return f"{which} is recommended while it is this cold: warm it first, then ask again."
    return f"{which} is recommended, since each leaves the temperatures wanted."


def _siphons_itself(box: Box) -> str:
    """That the routine's own siphon empties the layer under every remedy, where it does."""
    gaps = [s.when_gap_below_cm for s in box.routine.siphons if s.when_gap_below_cm is not None]
    if not gaps or box.enclosure.drainage is None:
        return ""
    return (
        " Each remedy is as quick as that because your routine siphons by itself, whenever less than "
        f"{with_unit(gaps[0], 'length', 'cm')} are left under the mesh. If nobody does, siphon at once."
    )


def _move_out(found: list[Remedy]) -> str:
    worst = max(_days(r.top_days[1]) for r in found if not r.name.startswith("go on"))
    soon = (
        f"With some of these the top third lacks air for more than {MOVED_SOON_DAYS:g} days: move them for that time."
        if worst > MOVED_SOON_DAYS
        else "The top has air again within two days."
    )
    return (
        "Move animals out first if the soil smells sour or of rotten eggs, if water stands on it, or if the clean-up crew "
        f"sits on the surface (common practice, no source). {soon} Look for the cause before you put them back."
    )


def _warm(r: Remedy) -> str:
    return f"{r.temp_day:.0f}, {r.temp_night:.0f}{'' if r.allowed else '!'}"


def _sentences(a: Answer, box: Box, found: list[Remedy], left_out: Mapping[str, str], warmth: str) -> tuple[str, ...]:
    best = next(r for r in found if r.name == a.details["best"])
    value = _span(best.bottom_days, _words) if known(a.value) else "not within six weeks"
    with_it = (
        f"the best remedy that keeps the mix: {best.name}"
        if a.details["recommended"]
        else f"{best.name}, not recommended"
    )
    lines = [
        f"{box.name}: my soil is soggy, how long until it has air again?",
        f"  Top and bottom third at 10 % air or more: {value} with {with_it}.",
        f"  Why: {a.reason}",
        f"  Days (h: hours) until there is enough air to stay, middle of {a.spread['members']} cases drawn and where 80 % of "
        "them lie:",
        f"    {'remedy':<{NAME_WIDE}}  {'top third':<{CELL_WIDE}}  {'bottom third':<{CELL_WIDE}}  °C",
    ]
    for r in found:
        lines.append(
            f"    {wording.cut(r.name, NAME_WIDE):<{NAME_WIDE}}  {_span(r.top_days, _cell):<{CELL_WIDE}}  "
            f"{_span(r.bottom_days, _cell):<{CELL_WIDE}}  {_warm(r)}"
        )
    lines.append(
        "    (°C: mean of the air by day and by night."
        + ("" if all(r.allowed for r in found) else " !: leaves the temperatures wanted, so it is not recommended.")
        + ")"
    )
    unrun = ((r.name, left_out_words(r.draws)) for r in found)
    lines += [f"  {name}: {words}" for name, words in unrun if words]
    lines += [f"  Left out, {name}: {why}" for name, why in left_out.items()]
    lines.append(f"  {warmth}")
    lines.append("  Taken for granted: " + " ".join(a.assumptions))
    lines.append("  Take care: " + " ".join(a.cautions))
    return tuple(lines)
