"""Sheet one: the answer on one side of paper. What is dangerous, the box drawn, five numbers with their ranges, what to do."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from terralab import wording
from terralab.answers.common.answer import Answer
from terralab.answers.common.balance import kept_dry
from terralab.answers.common.cautions import AID
from terralab.answers.common.heat_words import clauses
from terralab.answers.common.humidity_target import target_of
from terralab.answers.common.words import amount_span, ml
from terralab.answers.drainage.sizing import WEEKS, Days
from terralab.answers.drainage.words import too_thin_words
from terralab.answers.fans.schedules import AS_DESCRIBED, NO_FAN
from terralab.answers.together.all_answers import Answers
from terralab.answers.together.plan import SOAK, Chore
from terralab.answers.water.words import LEAST_ML, first_drain
from terralab.describe.system import speaks_us
from terralab.describe.wanted import temperatures_wanted
from terralab.quantities import as_typed, marked, quantity, said
from terralab.show.figures.section_sheet import section_on_sheet
from terralab.show.figures.style import WIDTH_IN
from terralab.show.report.parts import escape, items, paragraphs, picture, section, table
from terralab.show.report.told import in_short, season_warnings, short_warnings
from terralab.version import VERSION

STANDS = "Computed, not measured. A range holds 80 of 100 boxes that fit the description."
SECTION = "The box cut open, in means by day and by night: two weeks on, with the recommended pour. The table's air is all of it mixed."
TABLE = "What the plan comes to; the air is all of it mixed, as half way up"
HEADS = ("", "Likely", "80 of 100 such boxes", "Beside it")
FANS = "fan schedule"
LOOK = "a person looks at animals every day"
#: What a sheet holds, by whether it is US Letter: its height and width in mm inside the margins of `style`.
PAGE_MM, WIDE_MM = {False: 277.0, True: 259.4}, {False: 186.0, True: 191.9}
LINE_MM = 4.6  # of 10 point letters
LETTERS = (11, 21, 29, 32)  # in a line of each column of the table
LEAST_IN, MOST_IN, SHRUNK = 3.1, 5.2, 0.06  # of the picture: height, and the share by which it may be printed smaller


def answer_sheet(answers: Answers, missing: Mapping[str, str], made: str) -> str:
    """The first sheet of the report, with the name of the box as its heading. `missing`: questions without an answer; `made` says
    when, or is empty.
    """
    box = answers.box
    date = f" Made on {escape(made)}." if made else ""
    units = " In US units, as the box is described." if speaks_us(box) else ""
    parts = [
        f'<h1 id="name">{escape(box.name)}</h1>',
        f'<p class="quiet">{escape(STANDS)}{units}{date} terralab {VERSION}.</p>',
        _warned(answers, missing),
        f'<p class="answer">{escape(headline(answers))}</p>',
        box_drawn(answers, missing),
        f"<h2>What to do</h2>\n{items(_to_do(answers))}",
        table(TABLE, HEADS, _numbers(answers)),
        paragraphs([AID]),
    ]
    return (
        '<section id="answer" class="sheet" aria-labelledby="name">\n'
        + "\n".join(p for p in parts if p)
        + "\n</section>"
    )


def box_drawn(answers: Answers, missing: Mapping[str, str]) -> str:
    """The picture of the box for the first sheet; "" where no run of it is at hand, or where it would be printed too small."""
    then, room = as_planned(answers), room_in(answers, missing)
    if then is None or room < LEAST_IN:
        return ""
    drawn = section_on_sheet(then.record, min(room, MOST_IN))
    return picture(drawn, SECTION) if drawn.get_figheight() <= (1.0 + SHRUNK) * room else ""


def drawn_section(answers: Answers) -> str:
    """The picture of the box as a section of its own, where so much comes first that the first sheet has no room for it."""
    then = as_planned(answers)
    if then is None or box_drawn(answers, answers.missing):
        return ""
    return section("drawn", "The box drawn", picture(section_on_sheet(then.record, LEAST_IN), SECTION))


def room_in(answers: Answers, missing: Mapping[str, str]) -> float:
    """How high the picture may be on the first sheet, in inches of a picture that is 8 in wide.

    What else stands there is estimated from how many letters a line of print holds, in a wide face: nothing can ask paper.
    """
    us = speaks_us(answers.box)
    lines = lambda text, letters: max(1, math.ceil(len(said(marked(text), us)) / letters))  # noqa: E731
    listed = lambda texts: sum(LINE_MM * lines(text, 98) + 1.3 for text in texts)  # noqa: E731
    warnings = _warnings(answers, missing)
    rows = [HEADS, *_numbers(answers)]
    others = (
        19.0,  # name and first line
        listed(warnings) + 14.4 if warnings else 0.0,
        6.0 * lines(headline(answers), 68) + 8.0,
        listed(_to_do(answers)) + 12.0,
        sum(4.4 * max(map(lines, row, LETTERS)) + 1.4 for row in rows) + 10.0,
        LINE_MM * lines(AID, 95) + 4.0,
    )
    return (PAGE_MM[us] - sum(others)) / WIDE_MM[us] * WIDTH_IN


def _warnings(answers: Answers, missing: Mapping[str, str]) -> list[str]:
    unasked = [f"No answer to {question}: {clauses(' '.join(why.split()))[0]}" for question, why in missing.items()]
    return [*short_warnings(answers), *unasked]


def _warned(answers: Answers, missing: Mapping[str, str]) -> str:
    warnings = _warnings(answers, missing)
    return f'<div class="first"><h2>First of all</h2>{items(warnings)}</div>' if warnings else ""


def as_planned(answers: Answers) -> Answer | None:
    """The answer whose box is that of the week's plan: that of the fans where others run than described, else that of the water."""
    fans, water = answers.fans, answers.water
    if fans is None or water is None:
        return water
    choice = fans.details["choice"]
    same = choice == AS_DESCRIBED or (choice == NO_FAN and not answers.box.routine.fans)
    return water if same else fans


def planned_pour(answers: Answers) -> tuple[float, float, float] | None:
    """The pour of the week's plan [ml a day] with its range: low, middle, high; None where there is none."""
    then = as_planned(answers)
    if then is None:
        return None
    if then is answers.fans:
        return tuple(then.details["ranges"][then.details["choice"]]["water ml a day"])
    return then.low, then.value, then.high


def headline(answers: Answers) -> str:
    """How much to pour, in a sentence: that of the week's plan."""
    poured = planned_pour(answers)
    if poured is None:
        return "How much to pour could not be computed: feel the soil."
    low, value, high = poured
    wait = first_drain(answers.water)
    dry = any(chore.what == SOAK for chore in answers.plan)
    lead = f"{wait}. Then: " if wait else "Soak the dry soil first. Then: " if dry else ""
    if high < LEAST_ML:
        return f"{lead}Pour nothing on the soil."
    if value < LEAST_ML:
        return f"{lead}Pour nothing (at most {ml(high)} a day)."
    return f"{lead}Pour {ml(value)} a day (likely {amount_span(low, high, 'ml')})."


def _numbers(answers: Answers) -> list[tuple[str, str, str, str]]:
    rows = [_pour(answers), *_air(answers), _below(answers), _alone(answers), _last(answers)]
    return [row for row in rows if row is not None]


def _pour(answers: Answers) -> tuple[str, str, str, str] | None:
    poured = planned_pour(answers)
    if poured is None:
        return None
    low, value, high = poured
    seasons = ", ".join(f"{ml(answers.pours[s])} in {s}" for s in ("winter", "summer") if s in answers.pours)
    return (
        "Pour a day",
        ml(value) if value >= LEAST_ML else "nothing",
        amount_span(low, high, "ml") if high >= LEAST_ML else "nothing",
        seasons if high >= LEAST_ML else "",
    )


def _air(answers: Answers) -> list[tuple[str, str, str, str]]:
    """Humidity and temperature by day and by night, side by side, under the plan."""
    then = as_planned(answers)
    if then is None:
        return []
    target, warm = target_of(answers.box)[0], temperatures_wanted(answers.box)
    out = []
    for part in ("day", "night"):
        wanted = (
            [] if target is None else [f"{getattr(target, f'{part}_low'):g} to {getattr(target, f'{part}_high'):g} %"]
        )
        wanted += [] if warm is None else [as_typed("temperature", "C", *warm.band(part))]
        out.append(
            (
                f"Air by {part}",
                air_mean(then, part),
                ", ".join([f"{humid_span(then, part)} %", *_warm_span(then, part)]),
                f"wanted {', '.join(wanted)}" if wanted else "",
            )
        )
    return out


def air_mean(then: Answer, part: str) -> str:
    """Mean humidity and temperature by "day" or "night"."""
    rh, warm = (then.rh_day, then.temp_day) if part == "day" else (then.rh_night, then.temp_night)
    return f"{rh['mean']:.0f} % at {quantity('°C', '.1f', warm['mean'])}"


def humid_span(then: Answer, part: str) -> str:
    """Between what the mean humidity [%] by "day" or "night" lies in 80 of 100 boxes, for `as_planned`."""
    if then.question == FANS:
        low, _, high = then.details["ranges"][then.details["choice"]][f"rh by {part}"]
    else:
        rh = then.rh_day if part == "day" else then.rh_night
        low, high = rh["mean_low"], rh["mean_high"]
    ends = f"{low:.0f}", f"{high:.0f}"
    return ends[0] if ends[0] == ends[1] else " to ".join(ends)


def _warm_span(then: Answer, part: str) -> list[str]:
    likely = then.heat["likely"]
    return [] if likely is None else [quantity("°C", ".1f", *likely[part])]


def _below(answers: Answers) -> tuple[str, str, str, str] | None:
    """When the water below is drawn off, or that there is no layer to draw it from."""
    bottom = answers.drainage
    if bottom is None:
        return None
    plan = bottom.window
    if answers.box.enclosure.drainage is None or not plan:
        none = "no layer" if answers.box.enclosure.drainage is None else "nothing to draw off"
        return "Water below", none, "", in_short(bottom)
    if plan["too_thin"]:
        return (
            "Water below",
            too_thin_words(plan),
            "",
            f"a layer of {quantity('cm', 'g', plan['depth_from_cm'])} would have a reserve",
        )
    rule = (
        f"{quantity('l', '.1f', plan['litres'])} when less than {quantity('cm', '.1f', plan['when_gap_below_cm'])} are left "
        "under the mesh"
    )
    every = {season: plan["every_days"][season] for season in ("winter", "summer")}
    middle = f"not within {WEEKS} weeks" if all(d[1] is None for d in every.values()) else _by_season(every, _middle)
    span = "in hardly any sooner" if all(d[0] is None for d in every.values()) else _by_season(every, _span)
    return "Water below", middle, span, rule


def _by_season(every: Mapping[str, Days], words: Callable[[Days], str]) -> str:
    return ", ".join(f"{words(days)} in {season}" for season, days in every.items())


def _middle(days: Days) -> str:
    return f"not within {WEEKS} weeks" if days[1] is None else f"every {wording.days(days[1])}"


def _span(days: Days) -> str:
    soon, _, late = days
    if soon is None:
        return "later"
    return f"{soon:.0f} days or more" if late is None else f"{soon:.0f} to {late:.0f} days"


def _alone(answers: Answers) -> tuple[str, str, str, str] | None:
    if answers.away is None:
        return None
    window = answers.away["now"].window
    told = lambda days: (  # noqa: E731
        f"{days} days or more" if days >= window["run_days"] else wording.days(days) if days else "not for a day"
    )
    more = "" if window["prepared"] == window["longest_days"] else f"; {told(window['prepared'])} prepared"
    return (
        "Left alone",
        told(window["longest_days"]),
        f"{'not' if not window['longest_days'] else 'so long'} {100 * window['chance']:.0f} of 100 stay out of danger{more}",
        LOOK,
    )


def _last(answers: Answers) -> tuple[str, str, str, str] | None:
    """The first soak of dry soil, else the fans."""
    box, soak, fans = answers.box, answers.soak, answers.fans
    if soak is not None and soak.value and box.start.soil == "dry" and not kept_dry(box):
        digits = ".1f" if soak.value >= 2.0 else ".2f"
        told = lambda *litres: quantity("litres", digits, *litres)  # noqa: E731
        portions = soak.window["portions"]
        return (
            "First soak",
            told(soak.value),
            told(soak.low, soak.high),
            f"in {portions} portions" if portions > 1 else "at once",
        )
    if fans is None:
        return None
    choice = fans.details["choice"]
    hours = f"{quantity('h', '.1f', fans.low, fans.high)} a day as humid as wanted" if fans.details["target"] else ""
    return "Fan", choice if choice != AS_DESCRIBED else "as it is", hours, ""


def _to_do(answers: Answers) -> list[str]:
    """A few orders, in the order in which they are done. All but those on an absence, on other seasons and on measuring are lines of
    the week's plan."""
    plan = {chore.what: chore for chore in answers.plan}
    out = [f"Soak the dry soil first: {marked(soak.when)}." for soak in answers.plan if soak.what == SOAK]
    if answers.fans is not None:
        out.append(in_short(answers.fans))
    out += _pours(plan)
    if kept := next((line for line in answers.changes if "instead" in line), ""):
        out[-1] += f" {marked(kept)}"
    if (below := plan.get("Water below the mesh")) is not None:
        out.append(f"Water below the mesh: {marked(below.when)}.")
    if answers.away is not None and (alone := in_short(answers.away["now"])):
        out.append(f"Away for {answers.away['now'].details['days']} days? {alone}")
    out += [f"Before another season: {text}" for text in season_warnings(answers)]
    if answers.water is not None and answers.water.measure_next:
        out.append(f"Measure next: {marked(answers.water.measure_next[0]['words'])}.")
    return [marked(line) for line in out if line]


def _pours(plan: dict[str, Chore]) -> list[str]:
    pour = plan.get("Pour on the soil")
    if pour is None:
        return []
    if pour.when == "never":
        return ["Pour nothing on the soil."]
    seasons = [
        f"{marked(chore.days[0])} in {season}"
        for season in ("winter", "summer")
        if (chore := plan.get(f"in {season}, pour instead")) is not None
    ]
    beside = f" ({', '.join(seasons)})" if seasons else ""
    at = f"at {pour.when}" if pour.when[0].isdigit() else marked(pour.when)
    return [f"Pour {marked(pour.days[0])} a day, {at}, all over the soil{beside}."]
