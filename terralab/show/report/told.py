"""What answers state, as the page takes it: without its heading, and without what stands elsewhere on the page."""

from __future__ import annotations

from terralab.answers.common.answer import Answer
from terralab.answers.common.heat_words import clauses
from terralab.answers.common.statement import Kind, Statement, View
from terralab.answers.together.all_answers import Answers
from terralab.answers.together.plan import before_a_season, first_of_all
from terralab.quantities import marked, said
from terralab.show.report.parts import items, lead, paragraphs

SHORT_ENOUGH = 330  # letters of a warning on the first sheets: what is wrong, and that animals are to be moved, fit in
#: What an answer states that stands elsewhere in the report: once for all answers, or as a table with headings.
ELSEWHERE = (Kind.TITLE, Kind.ASSUMED, Kind.CAUTION, Kind.MEASURE, Kind.TABLE, Kind.LEGEND)


def long(answer: Answer) -> list[Statement]:
    """What an answer states at length, without its heading and what stands elsewhere."""
    return [one for one in answer.statements if View.ALL in one.views and one.kind not in ELSEWHERE]


def prose(answer: Answer, *kinds: Kind) -> str:
    """The sentences of `long` (of some kinds alone) as paragraphs; what is set in under one follows it as a list."""
    told = [one for one in long(answer) if not kinds or one.kind in kinds]
    return "\n".join(f"{lead(one.text)}\n{items(one.under)}" if one.under else paragraphs([one.text]) for one in told)


def in_short(answer: Answer) -> str:
    """What to do, as the short screen says it; "" where it says nothing."""
    return next((marked(one.text) for one in answer.statements if one.kind is Kind.DO and View.SHORT in one.views), "")


def rest(answer: Answer, *shown: Kind) -> str:
    """The sentences of `long` of all kinds but those `shown` already."""
    return prose(answer, *(kind for kind in Kind if kind not in shown))


def short_warnings(answers: Answers) -> tuple[str, ...]:
    """The warnings that come before all else, each as its first sentences: what is wrong, and what is dangerous at once."""
    return tuple(_beginning(text) for text in warnings_first(answers))


def season_warnings(answers: Answers) -> tuple[str, ...]:
    """The warnings on winter and summer, in the same way: they are dealt with before then."""
    return tuple(_beginning(text) for text in before_a_season(answers.each))


def _beginning(text: str) -> str:
    """The first sentence, and the next where both are short: it says what is dangerous at once, or what to do."""
    first, *more = clauses(marked(text))
    both = f"{first} {more[0]}" if more else first
    return both if len(said(both)) <= SHORT_ENOUGH else first


def warnings_first(answers: Answers) -> tuple[str, ...]:
    """What comes before all else: a place, a room or a soil that is wrong for the animals."""
    return first_of_all(answers.each)
