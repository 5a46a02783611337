"""The helper's sheet as a page of its own, to be printed on one sheet of paper and left beside the box."""

from __future__ import annotations

from datetime import date

from terralab.answers.away.sheet import sheet_parts, sheet_title
from terralab.answers.common.answer import Answer
from terralab.show.report.parts import escape, items, page_said
from terralab.show.report.style import css

_ONE_PAGE = """
main { columns: 1; }
h1 { font-size: 1.4rem; }
h2 { margin: 0.9rem 0 0.2rem; font-size: 1.1rem; }
li { max-width: none; margin: 0.15rem 0; }
#telephone li { line-height: 2.1; }
@media print { html { font-size: 10pt; } h2 { margin: 0.6rem 0 0.1rem; } }
"""


def helper_page(answer: Answer, leaves: date | None = None) -> str:
    """Return the sheet for the helper as HTML text, in the units of the box. `leaves`: the first day of the absence.

    `answer` is what `tl.away(box)` gives. Raises TerralabError for anything else.
    """
    parts = sheet_parts(answer, leaves)
    title = escape(sheet_title(answer))
    body = "\n".join(
        f'<section id="{heading.split()[0].lower()}"><h2>{escape(heading)}</h2>\n{items(texts)}</section>'
        for heading, texts in parts
    )
    return (
        f'<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta name="viewport" content="width=device-width, initial-scale=1">\n<title>{page_said(title, answer.us)}</title>\n'
        f"<style>\n{css(answer.us)}{_ONE_PAGE}</style>\n</head>\n<body>\n<header><h1>{page_said(title, answer.us)}</h1></header>\n<main>\n"
        f"{page_said(body, answer.us)}\n</main>\n</body>\n</html>\n"
    )
