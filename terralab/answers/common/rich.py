"""An answer as a notebook or a panel shows it: what to do first and large, the reasons, tables and sources folded."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from terralab.answers.common.statement import Kind, Statement, View
from terralab.folded import fold, lines_below, page, paragraph
from terralab.quantities import said

if TYPE_CHECKING:
    from terralab.answers.common.answer import Answer

WHY = "Why, what the range means, and what is taken for granted"
TABLES = "Everything compared, and what else was looked at"
SOURCES = "Sources"


def answer_html(answer: Answer, us: bool | None = None, title: bool = True) -> str:
    """The answer in the units of its box, or of the system that `us` says. `title`: begin with the question.

    Open to the eye stand the lines of the short screen. Folded are the reasons, the tables, and the sources.
    """
    us = answer.us if us is None else us
    heads = answer.of_kind(Kind.TITLE) if title else ()
    rest = [one for one in answer.statements if one.kind is not Kind.TITLE]
    first = [one for one in rest if View.SHORT in one.views]
    why = [one for one in rest if View.SHORT not in one.views and View.WHY in one.views]
    more = [one for one in rest if one.views is View.ALL]
    return page(
        *(f"<p><strong>{paragraph(one.said(us), name='span')}</strong></p>" for one in heads),
        *_shown(first, us, large=True),
        "" if answer.statements else paragraph(answer.reason),
        fold(WHY, *_shown(why, us)),
        fold(TABLES, *_shown(more, us)),
        fold(SOURCES, lines_below([said(one, us) for one in answer.sources])),
    )


def answers_html(name: str, answers: Iterable[Answer], missing: Iterable[str]) -> str:
    """Several answers about one box: what each says to do, and below it the whole of it, folded."""
    out = [f"<p><strong>{paragraph(name, name='span')}</strong></p>"]
    for one in answers:
        do = next((s.said(one.us) for s in one.of_kind(Kind.DO) if View.SHORT in s.views), one.reason)
        out += [paragraph(do), fold(one.of_kind(Kind.TITLE)[0].said(one.us), answer_html(one, title=False))]
    return page(*out, *map(paragraph, missing))


def _shown(statements: Iterable[Statement], us: bool, large: bool = False) -> Iterable[str]:
    """Each sentence with what stands below it; `large`: what to do stands out."""
    for one in statements:
        yield paragraph(one.said(us), large and one.kind is Kind.DO)
        yield lines_below([said(line, us) for line in one.under])
