"""The report: one page with all answers for a box, to be read, printed and stuck to the glass.

The page stands alone: its pictures and its looks are inside it, it has no scripts and asks no network for anything.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from terralab.answers.away.words import longest_words
from terralab.answers.common.cautions import for_box
from terralab.answers.common.measure_next import LITTLE
from terralab.answers.common.optional import dry_cell
from terralab.answers.common.statement import Kind, View
from terralab.answers.common.words import amount_span, likely, ml
from terralab.answers.fans.choice import inside
from terralab.answers.together.all_answers import Answers
from terralab.answers.together.plan import WEEK
from terralab.answers.water.words import first_drain
from terralab.atomic_files import place, write_new
from terralab.describe.system import speaks_us
from terralab.errors import TerralabError, quoted
from terralab.materials import GRADES
from terralab.quantities import marked, quantity, unit_word
from terralab.show.figures.budget import water_answer
from terralab.show.figures.fans import fans as fans_picture
from terralab.show.figures.measure_next import measure_picture
from terralab.show.figures.section import section as section_picture
from terralab.show.report.ahead import away_section, forecast_section, mister_section
from terralab.show.report.fails import fails_section
from terralab.show.report.learned import learned_section
from terralab.show.report.parts import (
    attempted,
    escape,
    items,
    page_said,
    pairs,
    paragraphs,
    picture,
    section,
    table,
    without_answer,
)
from terralab.show.report.places import places_table
from terralab.show.report.seasons import seasons_table
from terralab.show.report.style import css
from terralab.show.report.told import first_sentence, prose, warnings_first
from terralab.version import VERSION

US_NOTE = "In US units, as the box is described; the pictures are metric."
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
        learned_section,
        _water,
        _fans,
        _drainage,
        _soak,
        forecast_section,
        mister_section,
        away_section,
        fails_section,
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
    us = speaks_us(box)
    body, units = page_said(body, us), f" {US_NOTE}" if us else ""
    links = "".join(
        f'<li><a href="#{key}">{words}</a></li>'
        for key, words in (("missing", "Without an answer"), ("plan", "The week's plan"),
                           ("seasons", "Winter and summer"), ("box", "The box"),
                           ("learned", "What your log says"),
                           ("water", "Water"), ("fans", "Fans"), ("drainage", "Drainage"), ("soak", "First day"),
                           ("forecast", "The next weeks"), ("mister", "Automatic watering"), ("away", "Away"),
                           ("fails", "Failures"), ("measure", "What to measure"), ("care", "Take care"), ("used", "Sources"))
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
    """Keep a page as a file and return its path. `path`: a file name, a folder, or None for the folder one works in.

    A file that is there is never replaced: "plan.html" becomes "plan-2.html". The page is there whole or not at all.
    Raises `FileError` where it cannot be written.
    """
    if not isinstance(page, str):
        raise TerralabError(f"save_report needs a page, as report_page gives it; it was given {quoted(page)}.")
    return write_new(page.encode("utf-8"), place(path, stem, ".html"), number=True)


def _once(lists: Any) -> list[str]:
    return list(dict.fromkeys(line for lines in lists for line in lines))


C, ML = unit_word("°C"), unit_word("ml")


def _c(value: float) -> str:
    return quantity("°C", ".0f", value, bare=True)


def _ml(value: float) -> str:
    return quantity("ml", ".0f", value, bare=True)


def _span(low: float, high: float) -> str:
    return likely(ml(low), ml(high))


def _headline(answer: Any) -> str:
    if answer is None:
        return "How much to pour could not be computed. See above."
    wait = first_drain(answer)
    lead = f"{wait}. Then: " if wait else ""
    if answer.high < 0.5:
        return f"{lead}Pour nothing on the soil."
    if answer.value < 0.5:
        return f"{lead}Pour nothing (at most {ml(answer.high)} a day)."
    return f"{lead}Pour {ml(answer.value)} a day ({_span(answer.low, answer.high)})."


def _short(answers: Answers) -> str:
    water, fans, bottom = answers.water, answers.fans, answers.drainage
    found, other = [], []
    if water is not None:
        air = [marked(one.text) for one in water.statements if one.kind is Kind.AIR and View.SHORT in one.views]
        found.append(("Air", " ".join(air)))
    if water is not None and answers.pours and answers.pours["now"] != water.value:
        kept = "with the fans as described" if answers.box.routine.fans else "without a fan"
        words = f"That is {kept}. With the fan schedule recommended below pour {ml(answers.pours['now'])} a day, as the plan says."
        other = [paragraphs([words])]
    if fans is not None:
        found.append(("Fan", first_sentence(fans, Kind.DO)))
    elif water is not None and water.alternative:
        found.append(("Humidity", water.alternative))
    if bottom is not None:
        found.append(("Drainage", first_sentence(bottom, Kind.DO)))
        siphon = first_sentence(bottom, Kind.SIPHON)
        if siphon:
            found.append(("Siphoning", siphon))
    if answers.away is not None:
        alone = answers.away["now"]
        found.append(
            (f"Away for {alone.details['days']} days", f"{first_sentence(alone, Kind.DO)} {longest_words(alone)}")
        )
    if answers.soak is not None:
        found.append(("First day, dry soil", first_sentence(answers.soak, Kind.DO)))
    if water is not None and water.measure_next:
        found.append(("Measure next", f"{_first_up(marked(water.measure_next[0]['words']))}."))
    return section("short", "In short", f'<p class="answer">{escape(_headline(water))}</p>', *other, pairs(found))


def _first_up(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}"


def _first(answers: Answers) -> str:
    warnings = warnings_first(answers)
    return section("first", "First of all", items(warnings)) if warnings else ""


def _plan(answers: Answers) -> str:
    rows = [(c.what, c.when, *c.days) for c in answers.plan if c.when not in warnings_first(answers)]
    table_ = table(f"{answers.box.name}: a week", ("What", "When", *(day[:3] for day in WEEK)), rows)
    weighs = "1 fl oz weighs about 30 g" if speaks_us(answers.box) else "1 ml is 1 g"
    note = (
        "The pour and the fan schedule are the recommended ones, everything else is as you described it. What is done every "
        f"few days starts on Monday. Measure the pour with a kitchen scale: {weighs}. Pour all over the soil. When "
        "in doubt, feel the soil first: wet soil needs no plan."
    )
    said = [paragraphs([note])]
    if answers.changes:
        said += [paragraphs(["What differs from the routine as described:"]), items(answers.changes)]
    return section("plan", "The week's plan", paragraphs(warnings_first(answers)), table_, *said)


def _box(answers: Answers) -> str:
    drawn = ""
    if answers.water is not None:
        words = "The box cut open after two weeks with the recommended pour. Darker soil is wetter; striped soil has too little air for roots. The bluer the air, the damper."
        drawn = picture(section_picture(answers.water.record), words)
    return section("box", "The box", drawn, paragraphs(answers.box.describe().split("\n\n")[1:]))


def _water(answers: Answers) -> str:
    water = answers.water
    if water is None:
        return ""
    words = "The second of two weeks with the recommended pour, and where the water goes."
    drawn = picture(water_answer(water.record, water), words)
    return section("water", "How much water a day?", prose(water), drawn)


def _fans(answers: Answers) -> str:
    fans = answers.fans
    if fans is None:
        return ""
    has_target = bool(fans.details["target"])
    heads = ["Schedule", "Humidity by day, %", "by night, %", f"Air by day, {C}", f"by night, {C}", "Front pane fogged, h a day", "Dry after a spray, h",
             "Air changes an hour", f"Water, {ML} a day"]  # fmt: skip
    rows, chosen = [], []
    for number, row in enumerate(fans.table):
        seen = row["now"]
        dry = dry_cell(seen, "not dry")
        line = [row["name"], f"{seen['rh_day']['mean']:.0f}", f"{seen['rh_night']['mean']:.0f}",
                _c(seen["temperature_day_c"]), _c(seen["temperature_night_c"]), f"{seen['front_fogged_h']:.1f}", dry, f"{seen['air_changes']['mean']:.1f}", _ml(seen["water_ml"])]  # fmt: skip
        if has_target:
            line.insert(5, f"{inside(seen):.1f}")
        if row["name"] == fans.details["choice"]:
            chosen.append(number)
            line[0] += " (recommended)"
        rows.append(line)
    if has_target:
        heads.insert(5, "Inside what is wanted, h a day")
    parts = [
        prose(fans),
        picture(fans_picture(fans), "A day under each schedule, in the room as described."),
        table("Fan schedules side by side, in the room as described", heads, rows, range(1, len(heads)), chosen),
    ]
    bare = [one for one in fans.details["covers"] if one["fan"] == "no fan"]
    if bare:
        rows = [
            (f"{100 * one['covered']:.0f} % covered", f"{one['rh_day']['mean']:.0f}", f"{one['rh_night']['mean']:.0f}",
             _c(one["temperature_day_c"]), _c(one["temperature_night_c"]), _ml(one["water_ml"])) for one in bare
        ]  # fmt: skip
        heads = ("Lid", "Humidity by day, %", "by night, %", f"Air by day, {C}", f"by night, {C}", f"Water, {ML} a day")
        parts.append(table("The other lever: the lid, with no fan", heads, rows, range(1, 6)))
    parts.append(places_table(fans, chosen))
    return section("fans", "Which fan schedule?", *parts)


def _drainage(answers: Answers) -> str:
    bottom = answers.drainage
    if bottom is None:
        return ""
    rows = []
    for row in bottom.table:
        reserve = "-" if row["reserve_l"] is None else quantity("l", ".1f", row["reserve_l"])
        rows.append((row["name"], f"{row['air_percent'][0]:.0f}", f"{row['air_percent'][2]:.0f}",
                     quantity("cm", ".1f", row["wet_band_cm"], bare=True), f"{row['airless_hours'][2]:.0f}", reserve))  # fmt: skip
    heads = ("Bottom", "Air in the top third, %", "Air in the lowest third, %", f"Wet band, {unit_word('cm')}",
             "Lowest third short of air, h a day", "Room left")  # fmt: skip
    caption = (
        "Other bottoms for the same box: four weeks of the routine without siphoning, one over-watering on the first day. "
        "Wet band: soil with under 10 % air. Room left: what still fits under the mesh."
    )
    return section(
        "drainage",
        "How deep a drainage layer?",
        prose(bottom),
        table(caption, heads, rows, range(1, 6), [0]) if rows else "",
    )


def _soak(answers: Answers) -> str:
    return "" if answers.soak is None else section("soak", "How much on the first day?", prose(answers.soak))


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
         amount_span(*one["range_then"], unit), f"{one['grade']}: {one['source']}")
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
