"""The report: all answers for a box as one page, to be read, printed and stuck to the glass.

Printed, its first sheet is the answer, its second the week's plan; the questions and an appendix follow. The page stands
alone: its pictures and its looks are inside it, it has no scripts and asks no network for anything.
"""

from __future__ import annotations

import os
from pathlib import Path

from terralab.answers.together.all_answers import Answers
from terralab.atomic_files import place, write_new
from terralab.describe.system import speaks_us
from terralab.errors import TerralabError, quoted
from terralab.show.report.ahead import away_section, forecast_section, mister_section
from terralab.show.report.answer_sheet import answer_sheet, drawn_section
from terralab.show.report.appendix import box_section, care_section, granted_section, used_section
from terralab.show.report.fails import fails_section
from terralab.show.report.learned import learned_section
from terralab.show.report.parts import attempted, escape, page_said, without_answer, without_repeats
from terralab.show.report.plan_sheet import plan_sheet
from terralab.show.report.questions import (
    drainage_section,
    fans_section,
    measure_section,
    soak_section,
    water_section,
)
from terralab.show.report.seasons import seasons_table
from terralab.show.report.style import css

#: The parts after the first sheet, by what links point at, with the words of the link.
PARTS = {
    "plan": ("The week's plan", plan_sheet),
    "drawn": ("The box drawn", drawn_section),
    "seasons": ("Winter and summer", seasons_table),
    "learned": ("What your log says", learned_section),
    "water": ("Water", water_section),
    "fans": ("Fans", fans_section),
    "drainage": ("Drainage", drainage_section),
    "soak": ("First day", soak_section),
    "forecast": ("The next weeks", forecast_section),
    "mister": ("Automatic watering", mister_section),
    "away": ("Away", away_section),
    "fails": ("Failures", fails_section),
    "measure": ("What to measure", measure_section),
    "care": ("Take care", care_section),
    "box": ("The box", box_section),
    "granted": ("Taken for granted", granted_section),
    "used": ("Sources", used_section),
}
#: Set small on paper.
APPENDIX = ("care", "box", "granted", "used")


def report_page(answers: Answers, made: str = "") -> str:
    """Write the whole page as HTML text. `made` says when, such as "2026-05-03"; empty leaves it out.

    `answers` is what `tl.all_answers(box)` gives. Raises TerralabError for anything else.
    """
    if not isinstance(answers, Answers):
        raise TerralabError(f"A report needs all answers, as tl.all_answers gives them; given {quoted(answers)}.")
    if not isinstance(made, str):
        raise TerralabError(f'made: {quoted(made)} was given; allowed is a text such as "2026-05-03", or "".')
    us = speaks_us(answers.box)
    missing = dict(answers.missing)
    found = {key: attempted(make, answers, missing) for key, (_, make) in PARTS.items()}

    def first_sheet(given: Answers) -> str:
        return answer_sheet(given, missing, made)

    first = attempted(first_sheet, answers, missing)
    asked = "\n".join(found[key] for key in PARTS if key not in ("plan", *APPENDIX) and found[key])
    last = "\n".join(found[key] for key in APPENDIX if found[key])
    after = f'{asked}\n<div id="appendix">\n{last}\n</div>'
    sheets = [part for part in (first, found["plan"]) if part]
    absent = without_answer(missing)
    body = "\n".join([*sheets, without_repeats("\n".join(part for part in (absent, after) if part))])
    linked = {"missing": "Without an answer"} | {key: words for key, (words, _) in PARTS.items()}
    links = "".join(f'<li><a href="#{key}">{words}</a></li>' for key, words in linked.items() if f'id="{key}"' in body)
    name = escape(answers.box.name)
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        # nothing is loaded from anywhere and nothing runs, whatever stands in a description
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src data:; style-src 'unsafe-inline'\">\n"
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{name}: water, air and the week's plan</title>\n<style>\n{css(us)}</style>\n</head>\n<body>\n"
        f'<nav aria-label="Parts of this page"><ul>{links}</ul></nav>\n<main>\n{page_said(body, us)}\n</main>\n'
        "</body>\n</html>\n"
    )


def save_report(page: str, path: str | os.PathLike | None = None, stem: str = "report") -> Path:
    """Keep a page as a file and return its path. `path`: a file name, a folder, or None for the folder one works in.

    A file that is there is never replaced: "plan.html" becomes "plan-2.html". The page is there whole or not at all.
    Raises `FileError` where it cannot be written.
    """
    if not isinstance(page, str):
        raise TerralabError(f"save_report needs a page, as report_page gives it; it was given {quoted(page)}.")
    return write_new(page.encode("utf-8"), place(path, stem, ".html"), number=True)
