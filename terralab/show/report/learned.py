"""The report's part on what a log of the box taught; there is none for a box that was not logged."""

from __future__ import annotations

from collections.abc import Sequence

from terralab.answers.common.learned import narrowed_numbers
from terralab.answers.learn.doubt_words import WHERE
from terralab.answers.learn.misfit import UNIT_OF
from terralab.answers.together.all_answers import Answers
from terralab.describe.learned import (
    RESULT_WORDS,
    Learned,
    LearnedSensor,
    bound_words,
    learned_doubts,
    refused_words,
    result_span,
)
from terralab.describe.number_words import span_mark
from terralab.quantities import quantity
from terralab.show.report.parts import items, paragraphs, section, table


def learned_section(answers: Answers) -> str:
    """The section with results and numbers before and after, the sensors, what was not learned and what to measure."""
    box, learned = answers.box, answers.box.learned
    if learned is None:
        return ""
    parts = [paragraphs([*_intro(learned), *(doubt.removeprefix(f"{box.name}: ") for doubt in learned_doubts(box))])]
    if learned.results:
        rows = [
            (_first_up(RESULT_WORDS[one.name]), result_span(one.name, one.before),
             bound_words(one) or (result_span(one.name, one.after) if one.told else "not told"),
             _left(one.before, one.after) if one.told else "-")
            for one in learned.results
        ]  # fmt: skip
        heads = ("Result", "Before the log", "With the log", "Width left")
        parts.append(table("What the log narrowed: 80 of 100 boxes lie within", heads, rows, (3,)))
    numbers = narrowed_numbers(box)
    if numbers:
        rows = [
            (_first_up(one.what), span_mark(one.key, one.unit, one.before[0], one.before[2]),
             span_mark(one.key, one.unit, one.after[0], one.after[2]), f"{100 * one.left:.0f} %")
            for one in numbers
        ]  # fmt: skip
        heads = ("Number", "Before the log", "With the log", "Width left")
        parts.append(table("The numbers that were narrowed most; they hang together", heads, rows, (3,)))
    if learned.sensors:
        rows = [(_where(one), _offset(one), _missed(one)) for one in learned.sensors]
        parts.append(table("The sensors", ("Sensor", "Reads too high by", "What is computed misses it by"), rows))
    if learned.refused:
        told = [f"{_first_up(refused_words(box, one))}: {one.why} {one.ask}".strip() for one in learned.refused]
        parts += ["<h3>What the log could not tell</h3>", items(told)]
    if learned.measure_next:
        parts.append(paragraphs([f"What to measure next: {learned.measure_next}"]))
    return section("learned", "What your log says", *parts)


def _intro(learned: Learned) -> list[str]:
    out = [
        f"A log of {learned.log_words} was held against the box as it is described, and {len(learned.draws)} numbers that nobody "
        f"can read off a box were learned together. All answers on this page use them; {learned.size} sets of them are kept in "
        "the description."
    ]
    if learned.weighed:
        out.append(f"{learned.weighed} weighed quantit{'y' if learned.weighed == 1 else 'ies'} counted too.")
    shift = learned.clock_shift_min
    if shift is not None and abs(shift) >= 1.0:
        out.append(
            f"The logger's clock was {abs(shift):.0f} minutes {'ahead of' if shift > 0.0 else 'behind'} the routine."
        )
    return out


def _first_up(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def _left(before: Sequence[float], after: Sequence[float]) -> str:
    was = before[2] - before[0]
    return f"{100 * (after[2] - after[0]) / was:.0f} %" if was > 0.0 else "-"


def _where(one: LearnedSensor) -> str:
    return f"{_first_up(WHERE[one.place])}, {one.quantity}"


def _unit(one: LearnedSensor, *values: float) -> str:
    return quantity(UNIT_OF[one.quantity], ".1f", *values)


def _offset(one: LearnedSensor) -> str:
    return f"{_unit(one, one.offset[1])} ({_unit(one, one.offset[0], one.offset[2])})"


def _missed(one: LearnedSensor) -> str:
    return "-" if one.missed is None else _unit(one, one.missed)
