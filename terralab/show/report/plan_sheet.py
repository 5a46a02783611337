"""Sheet two: the week's plan, to be stuck to the glass, ticked and written on. It names no date, so it serves any week."""

from __future__ import annotations

from terralab.answers.common.statement import Verdict
from terralab.answers.fans.choice import inside
from terralab.answers.fans.schedules import AS_DESCRIBED, NO_FAN
from terralab.answers.together.all_answers import Answers
from terralab.answers.together.plan import WEEK, Chore, Part
from terralab.describe.system import speaks_us
from terralab.quantities import marked, quantity, unit_word
from terralab.show.report.answer_sheet import as_planned, humid_span
from terralab.show.report.parts import escape, items, section, table
from terralab.show.report.questions import levers
from terralab.show.report.told import season_warnings, short_warnings

TICK = '<span class="tick" aria-hidden="true"></span>'
POUR = "Pour on the soil"
CLEARLY_H = 1.0  # hours a day that are worth changing a habit for
LARGE_ROWS = 12.5  # rows of the plan that one page holds in large letters; more are set smaller


def plan_sheet(answers: Answers) -> str:
    """The second sheet: what is done once, what is done and read day by day, and what runs by a timer."""
    plan = answers.plan
    of = lambda part: [chore for chore in plan if chore.part is part]  # noqa: E731
    parts = [
        _first(answers),
        _once(of(Part.ONCE)),
        _days(answers, of(Part.HAND), of(Part.SEASON)),
        _timers(of(Part.TIMER)),
        _notes(answers),
    ]
    rows = len(of(Part.HAND)) + len(_readings(answers)) + len(of(Part.ONCE)) + 0.6 * len(of(Part.TIMER))
    many = rows + 1.5 * len(short_warnings(answers)) > LARGE_ROWS
    return section("plan", f"{answers.box.name}: the week's plan", *parts, looks="sheet many" if many else "sheet")


def _first(answers: Answers) -> str:
    warnings = short_warnings(answers)
    return f'<div class="first"><h3>First of all</h3>{items(warnings)}</div>' if warnings else ""


def _once(chores: list[Chore]) -> str:
    """What is done once, each with a box to tick."""
    if not chores:
        return ""
    lines = "\n".join(f"<li>{TICK}<strong>{escape(chore.what)}:</strong> {escape(chore.when)}</li>" for chore in chores)
    return f'<h3>Once</h3>\n<ul class="ticks">\n{lines}\n</ul>'


def _days(answers: Answers, by_hand: list[Chore], seasons: list[Chore]) -> str:
    """A row a chore with a box to tick on each of its days, then a row for each reading to be written down."""
    heads = ("Do, and tick", "When", *(day[:3] for day in WEEK))
    rows = [(chore.what, _when(chore, seasons), *(_ticked(day) for day in chore.days)) for chore in by_hand]
    rows += [(what, expected, *[""] * 7) for what, expected in _readings(answers)]
    return table(f"{answers.box.name}: a week", heads, rows, looks="week", ready=True)


def _when(chore: Chore, seasons: list[Chore]) -> str:
    """When, and for the pour how much it is in winter and summer."""
    if chore.what != POUR or not seasons:
        return escape(chore.when)
    others = "; ".join(f"{one.what.partition(',')[0]} {marked(one.days[0])}" for one in seasons)
    return f"{escape(chore.when)}<br>{escape(others)}"


def _ticked(day: str) -> str:
    """A day's box with what is done; a day on which nothing is done stays empty."""
    return f"{TICK} {escape(day)}" if day and day not in ("none", "?") else escape(day)


def _readings(answers: Answers) -> list[tuple[str, str]]:
    """What is written down each day, and what is to be expected."""
    box, then = answers.box, as_planned(answers)
    poured = next((chore for chore in answers.plan if chore.what == POUR), None)
    out = [] if poured is not None and poured.when == "never" else [("Poured, g", "weigh it")]
    if box.enclosure.drainage is not None:
        out.append((f"Gap under the mesh, {unit_word('cm')}", "look through the glass"))
    for part in ("day", "night"):
        humid = warm = "read it"
        if then is not None:
            temp = then.temp_day if part == "day" else then.temp_night
            likely = then.heat["likely"]
            span = [temp["mean"]] if likely is None else likely[part]
            humid = f"expect {humid_span(then, part)}"
            warm = f"expect {quantity('°C', '.0f', *span, bare=True)}"
        out += [(f"Humidity by {part}, %", humid), (f"Temperature by {part}, {unit_word('°C')}", warm)]
    return out


def _timers(chores: list[Chore]) -> str:
    if not chores:
        return ""
    rows = [(chore.what, chore.when, chore.days[0]) for chore in chores]
    return table(
        "What runs by itself: look each day whether it does", ("Device", "When", "A day"), rows, looks="timers"
    )


def _notes(answers: Answers) -> str:
    weighs = "1 fl oz weighs about 30 g, 1 tsp about 5 g" if speaks_us(answers.box) else "1 ml is 1 g"
    said = [
        f"Weigh the pour on a kitchen scale: {weighs}. Pour all over the soil. When in doubt, feel the soil first: wet soil "
        "needs no plan. The week begins on Monday; what is done every few days goes on as its row says, so that next week it has "
        "other days: write them in."
    ]
    said.append(_sprayed_as_described(answers))
    if answers.changes:
        said.append("Otherwise than the routine as described: " + " ".join(marked(line) for line in answers.changes))
    said += [f"Before another season: {marked(text)}" for text in season_warnings(answers)]
    return "\n".join(f'<p class="quiet">{escape(line)}</p>' for line in said if line)


def _sprayed_as_described(answers: Answers) -> str:
    """That the plan sprays as described although another spraying, or none, would keep the air in its band for longer; "" where
    it would not.
    """
    water, sprays = answers.water, [*answers.box.routine.sprays, *answers.box.routine.mists]
    if water is None or not sprays:
        return ""
    otherwise = water.reachable and water.verdict in (Verdict.TOO_DRY, Verdict.TOO_DAMP)
    told = " ".join(marked(one.text) for one in levers(answers)) if otherwise else _without_spraying(answers)
    return f"This week sprays as you described it. {told}" if told else ""


def _without_spraying(answers: Answers) -> str:
    """How long the air is as humid as wanted without any spraying, where that is clearly longer than with it; else ""."""
    fans, misted = answers.fans, answers.mister
    bare = None if misted is None else misted.details.get("without_typical")
    if fans is None or bare is None or not fans.details["target"]:
        return ""
    today = AS_DESCRIBED if answers.box.routine.fans else NO_FAN
    with_it = next((inside(row["now"]) for row in fans.table if row["name"] == today), None)
    if with_it is None or bare["inside_h"] < with_it + CLEARLY_H:
        return ""
    return (
        f"In the room now, {'with the fans as described' if answers.box.routine.fans else 'without a fan'}, the air is "
        f"as humid as wanted for {bare['inside_h']:.1f} h a day without any spraying and for {with_it:.1f} h with it. Where "
        "animals drink from leaves, keep one short spray (common practice, no source)."
    )
