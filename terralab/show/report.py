"""The report: one page with all answers for a box, to be read, printed and stuck to the glass.

The page stands alone: its pictures and its looks are inside it, it has no scripts and asks no network for anything.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from terralab.answers.all_answers import Answers
from terralab.answers.away_words import away_sentences, dries_words, not_counted
from terralab.answers.cautions import for_box
from terralab.answers.draws import left_out_words
from terralab.answers.fans_choice import inside
from terralab.answers.measure import LITTLE
from terralab.answers.optional import dry_cell
from terralab.answers.plan import WEEK
from terralab.answers.words import amount, likely, ml
from terralab.describe.system import speaks_us
from terralab.errors import TerralabError, quoted
from terralab.keep import keep, place
from terralab.materials import GRADES
from terralab.seasons import SEASONS
from terralab.show.budget import water_answer
from terralab.show.fans import fans as fans_picture
from terralab.show.measure import measure_picture
from terralab.show.report_parts import (
    attempted,
    escape,
    in_us_page,
    items,
    pairs,
    paragraphs,
    picture,
    section,
    table,
    without_answer,
)
from terralab.show.report_seasons import seasons_table
from terralab.show.report_style import css
from terralab.show.section import section as section_picture
from terralab.version import VERSION

#: Lines of an answer that stand elsewhere in the report: once for all answers, or as a table with headings.
ELSEWHERE = (
    "Taken for granted: ", "Take care: ", "What to measure next: ", "Side by side, ", "*: recommended", "Bottoms compared",
    "The other lever, the lid", "(air: % of volume",
)  # fmt: skip
SET_IN = "    "  # how a line begins that belongs to the sentence before it
US_NOTE = "Told in US units, as the box is described; pictures, and tables whose headings name a unit, are metric."
STANDS = "Computed, not measured. The range in brackets holds 80 of 100 boxes that fit the description."


def report_page(answers: Answers, made: str = "") -> str:
    """Write the whole page as HTML text. `made` says when, such as "2026-05-03"; empty leaves it out.

    `answers` is what `tl.all_answers(box)` gives. Raises TerralabError for anything else.
    """
    if not isinstance(answers, Answers):
        raise TerralabError(f"A report needs all answers, as tl.all_answers gives them; given {quoted(answers)}.")
    if not isinstance(made, str):
        raise TerralabError(f'made: {quoted(made)} was given; allowed is a text such as "2026-05-03", or "".')
    box = answers.box
    missing = dict(answers.missing)
    made_of = (
        _first,
        _short,
        _plan,
        seasons_table,
        _box,
        _water,
        _fans,
        _drainage,
        _soak,
        _away,
        _measure,
        _care,
        _granted,
        _used,
    )
    found = [attempted(make, answers, missing) for make in made_of]
    parts = [part for part in (without_answer(missing), *found) if part]
    name = escape(box.name)
    date = f" Made on {escape(made)}." if made else ""
    body = "\n".join(parts)
    units = ""
    if speaks_us(box):
        body, units = in_us_page(body), f" {US_NOTE}"
    links = "".join(
        f'<li><a href="#{key}">{words}</a></li>'
        for key, words in (("missing", "Without an answer"), ("plan", "The week's plan"),
                           ("seasons", "Winter and summer"), ("box", "The box"),
                           ("water", "Water"), ("fans", "Fans"), ("drainage", "Drainage"), ("soak", "First day"),
                           ("away", "Away"), ("measure", "What to measure"), ("care", "Take care"), ("used", "Sources"))
        if f'id="{key}"' in body
    )  # fmt: skip
    return (
        f'<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta name="viewport" content="width=device-width, initial-scale=1">\n<title>{name}: water, air and the week\'s '
        f"plan</title>\n<style>\n{css()}</style>\n</head>\n<body>\n<header>\n<h1>{name}</h1>\n"
        f'<p class="quiet">{escape(STANDS)}{units}{date} terralab {VERSION}.</p>\n'
        f'<nav aria-label="Parts of this page"><ul>{links}</ul></nav>\n</header>\n<main>\n'
        + body
        + "\n</main>\n</body>\n</html>\n"
    )


def save_report(page: str, path: str | os.PathLike | None = None, stem: str = "report") -> Path:
    """Keep a page as a file and give its path. `path`: a file name, a folder, or None for the folder one works in.

    A file that is there is never replaced: "plan.html" becomes "plan-2.html". The page is there whole or not at all.
    Raises `FileError` where it cannot be written.
    """
    if not isinstance(page, str):
        raise TerralabError(f"save_report needs a page, as report_page gives it; it was given {quoted(page)}.")
    return keep(page.encode("utf-8"), place(path, stem, ".html"), number=True)


def _once(lists: Any) -> list[str]:
    return list(dict.fromkeys(line for lines in lists for line in lines))


def _told(answer: Any) -> list[tuple[str, list[str]]]:
    """An answer's sentences, each with the lines set in under it; without its heading and what stands elsewhere."""
    found: list[tuple[str, list[str]]] = []
    for line in answer.sentences[1:]:
        if line.startswith(SET_IN):
            found[-1][1].append(line.strip())
        else:
            found.append((line.strip(), []))
    return [(line, under) for line, under in found if not line.startswith(ELSEWHERE)]


def _lines(answer: Any) -> list[str]:
    """The sentences of `_told` alone, without the warnings they begin with, which stand at the top of the page."""
    return [line for line, _ in _told(answer) if line not in answer.first]


def _prose(answer: Any) -> str:
    """The sentences of `_told` as paragraphs; what is set in under one follows it as a list."""
    return "\n".join(paragraphs([line]) + (f"\n{items(under)}" if under else "") for line, under in _told(answer))


def _span(low: float, high: float) -> str:
    return likely(ml(low), ml(high))


def _headline(answer: Any) -> str:
    if answer is None:
        return "How much to pour could not be computed. See above."
    if answer.high < 0.5:
        return "Pour nothing on the soil."
    if answer.value < 0.5:
        return f"Pour nothing (at most {ml(answer.high)} a day)."
    return f"Pour {ml(answer.value)} a day ({_span(answer.low, answer.high)})."


def _short(answers: Answers) -> str:
    water, fans, bottom = answers.water, answers.fans, answers.drainage
    found, other = [], []
    if water is not None and answers.pours and answers.pours["now"] != water.value:
        kept = "with the fans as described" if answers.box.routine.fans else "without a fan"
        words = f"That is {kept}. With the fan schedule recommended below pour {ml(answers.pours['now'])} a day, as the plan says."
        other = [paragraphs([words])]
    if fans is not None:
        found.append(("Fan", _lines(fans)[0]))
    elif water is not None and water.lever:
        found.append(("Humidity", water.lever))
    if bottom is not None:
        found.append(("Drainage", _lines(bottom)[0]))
        siphon = next((line for line in _lines(bottom) if line.startswith("Siphon when")), "")
        if siphon:
            found.append(("Siphoning", siphon))
    if answers.away is not None and answers.away["now"].top_dries is not None:
        unseen = 'This counts the soil\'s water alone; see what it leaves out under "How long without watering?".'
        found.append(("Away from home", f"Unwatered, {dries_words(answers.away['now'].top_dries)}. {unseen}"))
    if answers.soak is not None:
        found.append(("First day, dry soil", _lines(answers.soak)[0]))
    if water is not None and water.measure_next:
        found.append(("Measure next", f"{_first_up(water.measure_next[0]['words'])}."))
    return section("short", "In short", f'<p class="answer">{escape(_headline(water))}</p>', *other, pairs(found))


def _first_up(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}"


def _warnings(answers: Answers) -> tuple[str, ...]:
    """What every answer begins with: that it is too hot or too cold, or that the soil wanted is wrong."""
    return next((answer.first for answer in answers.each), ())


def _first(answers: Answers) -> str:
    warnings = _warnings(answers)
    return section("first", "First of all", items(warnings)) if warnings else ""


def _plan(answers: Answers) -> str:
    rows = [(c.what, c.when, *c.days) for c in answers.plan if c.when not in _warnings(answers)]
    table_ = table(f"{answers.box.name}: a week", ("What", "When", *(day[:3] for day in WEEK)), rows)
    weighs = "1 fl oz weighs about 30 g" if speaks_us(answers.box) else "1 ml is 1 g"
    note = (
        "The pour and the fan schedule are the recommended ones, everything else is as you described it. What is done every "
        f"few days starts on Monday. Measure the pour with a kitchen scale: {weighs}. Pour all over the soil. When "
        "in doubt, feel the soil first: wet soil needs no plan."
    )
    told = [paragraphs([note])]
    if answers.changes:
        told += [paragraphs(["What differs from the routine as described:"]), items(answers.changes)]
    return section("plan", "The week's plan", paragraphs(_warnings(answers)), table_, *told)


def _box(answers: Answers) -> str:
    drawn = ""
    if answers.water is not None:
        words = "The box cut open after two weeks with the recommended pour. Darker soil is wetter; striped soil has too little air for roots."
        drawn = picture(section_picture(answers.water.record), words)
    return section("box", "The box", drawn, paragraphs(answers.box.describe().split("\n\n")[1:]))


def _water(answers: Answers) -> str:
    water = answers.water
    if water is None:
        return ""
    words = "The second of two weeks with the recommended pour, and where the water goes."
    drawn = picture(water_answer(water.record, water), words)
    return section("water", "How much water a day?", _prose(water), drawn)


def _fans(answers: Answers) -> str:
    fans = answers.fans
    if fans is None:
        return ""
    banded = bool(fans.details["band"])
    heads = ["Schedule", "Humidity by day, %", "by night, %", "Air by day, °C", "by night, °C", "Glass fogged, h a day", "Dry after a spray, h",
             "Air changes an hour", "Water, ml a day"]  # fmt: skip
    rows, chosen = [], []
    for number, row in enumerate(fans.table):
        seen = row["now"]
        dry = dry_cell(seen, "not dry")
        line = [row["name"], f"{seen['rh_day']['mean']:.0f}", f"{seen['rh_night']['mean']:.0f}",
                f"{seen['temperature_day_c']:.0f}", f"{seen['temperature_night_c']:.0f}", f"{seen['glass_fogged_h']:.1f}", dry, f"{seen['air_changes']['mean']:.1f}", f"{seen['water_ml']:.0f}"]  # fmt: skip
        if banded:
            line.insert(5, f"{inside(seen):.1f}")
        if row["name"] == fans.details["choice"]:
            chosen.append(number)
            line[0] += " (recommended)"
        rows.append(line)
    if banded:
        heads.insert(5, "Inside what is wanted, h a day")
    parts = [
        _prose(fans),
        picture(fans_picture(fans), "A day under each schedule, in the room as described."),
        table("Fan schedules side by side, in the room as described", heads, rows, range(1, len(heads)), chosen),
    ]
    bare = [one for one in fans.details["covers"] if one["fan"] == "no fan"]
    if bare:
        rows = [
            (f"{100 * one['covered']:.0f} % covered", f"{one['rh_day']['mean']:.0f}", f"{one['rh_night']['mean']:.0f}",
             f"{one['temperature_day_c']:.0f}", f"{one['temperature_night_c']:.0f}", f"{one['water_ml']:.0f}") for one in bare
        ]  # fmt: skip
        heads = ("Lid", "Humidity by day, %", "by night, %", "Air by day, °C", "by night, °C", "Water, ml a day")
        parts.append(table("The other lever: the lid, with no fan", heads, rows, range(1, 6)))
    return section("fans", "Which fan schedule?", *parts)


def _drainage(answers: Answers) -> str:
    bottom = answers.drainage
    if bottom is None:
        return ""
    rows = []
    for row in bottom.table:
        reserve = "-" if row["reserve_l"] is None else f"{row['reserve_l']:.1f}"
        rows.append((row["name"], f"{row['air_percent'][0]:.0f}", f"{row['air_percent'][2]:.0f}",
                     f"{row['wet_band_cm']:.1f}", f"{row['airless_hours'][2]:.0f}", reserve))  # fmt: skip
    heads = ("Bottom", "Air in the top third, %", "Air in the lowest third, %", "Wet band, cm",
             "Lowest third short of air, h a day", "Room left, litres")  # fmt: skip
    caption = (
        "Other bottoms for the same box: four weeks of the routine without siphoning, one over-watering on the first day. "
        "Wet band: soil with under 10 % air. Room left: litres that still fit under the mesh."
    )
    return section(
        "drainage",
        "How deep a drainage layer?",
        _prose(bottom),
        table(caption, heads, rows, range(1, 6), [0]) if rows else "",
    )


def _soak(answers: Answers) -> str:
    return "" if answers.soak is None else section("soak", "How much on the first day?", _prose(answers.soak))


def _away(answers: Answers) -> str:
    if answers.away is None:
        return ""
    lines = [*_warnings(answers), "Nobody pours or sprays; timers go on."]
    for season in SEASONS:
        found = answers.away[season]
        lines += away_sentences(answers.box, season, found)
        unrun = left_out_words(
            found.draws, "draws in the room as described" if season == "now" else f"draws in {season}"
        )
        lines += [unrun] if unrun else []
    lines.append(
        "Leave a helper with written steps, and no automatic device that starts its first day on the day you leave (common "
        "practice, no source)."
    )
    left_out = ["<h3>What this does not count</h3>", items(not_counted(answers.box))]
    return section("away", "How long without watering?", paragraphs(lines), *left_out)


def _measure(answers: Answers) -> str:
    if answers.water is None:
        return ""
    ranked = answers.water.measure_next
    if not ranked:
        words = "The answer has no range that a measurement could narrow. A kitchen scale under the watering bottle checks it."
        return section("measure", "What to measure next", paragraphs([words]))
    unit = answers.water.unit
    rows = [
        (one["what"], one["how"], one["accuracy"], f"{100 * one['narrows_by']:.0f} %",
         " to ".join(amount(x, unit) for x in one["range_then"]), f"{one['grade']}: {one['source']}")
        for one in ranked if one["narrows_by"] >= LITTLE
    ]  # fmt: skip
    idle = [one["what"] for one in ranked if one["narrows_by"] < LITTLE]
    rest = [f"These would hardly narrow it: {', '.join(idle)}."] if idle else []
    heads = ("Measurement", "How", "How good", "Narrows the range by", "Range then", "Grade and source of how good")
    caption = "Home measurements, the most useful first, for the daily water."
    return section(
        "measure",
        "What to measure next",
        picture(measure_picture(answers.water), "What each measurement would leave of the range."),
        table(caption, heads, rows, (3,)) if rows else "",
        paragraphs(rest),
    )


def _care(answers: Answers) -> str:
    return section("care", "Take care", items(_once([for_box(answers.box), *(a.cautions for a in answers.each)])))


def _granted(answers: Answers) -> str:
    return section("granted", "Taken for granted", items(_once(a.assumptions for a in answers.each)))


def _used(answers: Answers) -> str:
    rows = []
    for one in answers.used:
        n = one.number
        spread = "" if n.low == n.high else f"{n.low:g} to {n.high:g}"
        unit = "" if n.unit == "-" else n.unit
        rows.append((f"{one.entry}: {one.property}", f"{n.typical:g}", spread, unit, n.grade, n.source))
    grades = [
        f"{grade}: {words}" for grade, words in GRADES.items() if any(u.number.grade == grade for u in answers.used)
    ]
    heads = ("Number", "Typical", "Range", "Unit", "Grade", "Source")
    caption = "Every number of the tables behind these answers. What you described yourself is not listed."
    parts = [table(caption, heads, rows, (1,)), "<h3>What the grades mean</h3>", items(grades)]
    parts += ["<h3>Methods and marks</h3>", items(_once(a.sources for a in answers.each))]
    return section("used", "Every number and its source", *parts)
