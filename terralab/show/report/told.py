"""What answers state, as the page takes it: without its heading, and without what stands elsewhere on the page."""

from __future__ import annotations

from terralab.answers.common.answer import Answer
from terralab.answers.common.statement import Kind, Statement, View
from terralab.answers.together.all_answers import Answers
from terralab.answers.together.plan import first_of_all
from terralab.quantities import marked
from terralab.show.report.parts import items, paragraphs

#: What an answer states that stands elsewhere in the report: once for all answers, or as a table with headings.
ELSEWHERE = (Kind.TITLE, Kind.ASSUMED, Kind.CAUTION, Kind.MEASURE, Kind.TABLE, Kind.LEGEND)


def long(answer: Answer) -> list[Statement]:
    """What an answer states at length, without its heading and what stands elsewhere."""
    return [one for one in answer.statements if View.ALL in one.views and one.kind not in ELSEWHERE]


def first_sentence(answer: Answer, *kinds: Kind) -> str:
    """The first sentence of some kinds, with its marks; "" where there is none."""
    return next((marked(one.text) for one in long(answer) if one.kind in kinds), "")


def prose(answer: Answer, *kinds: Kind) -> str:
    """The sentences of `long` (of some kinds alone) as paragraphs; what is set in under one follows it as a list."""
    told = [one for one in long(answer) if not kinds or one.kind in kinds]
    return "\n".join(paragraphs([one.text]) + (f"\n{items(one.under)}" if one.under else "") for one in told)


def warnings_first(answers: Answers) -> tuple[str, ...]:
    """What comes before all else: a place, a room or a soil that is wrong for the animals."""
    return first_of_all(answers.each)
