"""What must hold for the statements of any answer, whichever face shows them and in whichever units."""

from __future__ import annotations

import re

import terralab as tl
from terralab.answers.common.brief import COLUMNS, MOST_LINES
from terralab.answers.common.statement import Kind, Statement, View
from terralab.cli.words import MORE, wrapped
from terralab.quantities import _UNITS, marked, quantities, said, template

#: A number with a unit that only one of the systems has. Grains, such as "8-16 mm", are names.
METRIC = re.compile(r"(?<![\w.-])\d+(?:\.\d+)? (?:cm2?|mm|ml|litres?|l|°C|K|kg|kg/m2|m3/h|cm/s|ml/min)\b(?!/)")
US = re.compile(r"(?<![\w.-])\d+(?:\.\d+)? (?:in2?|ft2?|fl oz|gal|°F|lb|cfm)\b")


def texts(answer: tl.Answer) -> list[tuple[Statement, str]]:
    """Every sentence and every line below one, with its statement."""
    return [(one, text) for one in answer.statements for text in (one.text, *one.under)]


def check(answer: tl.Answer, typed_us: bool = False) -> None:
    """Everything below, for one answer. `typed_us`: the box was typed in US units, which stay in metric sentences."""
    both_systems_say_the_same_numbers(answer, typed_us)
    short_is_short(answer)
    beside_each_other(answer)


def both_systems_say_the_same_numbers(answer: tl.Answer, typed_us: bool) -> None:
    """No unit of the other system is left, and outside of its quantities a sentence is the same in both."""
    for statement, text in texts(answer):
        text = marked(text).replace(answer.record.box.name, "this box")  # a name may hold anything
        metric, us = said(text), said(text, us=True)
        assert not METRIC.search(us), (answer.question, us)
        assert typed_us or not US.search(metric), (answer.question, metric)
        between = re.split(r"\{\d+\}", template(text))
        for part in between:
            assert not METRIC.search(part), (answer.question, part)
            assert not US.search(part), (answer.question, part)
        if "\ue003" not in marked(text):  # columns are set to a width, which differs
            for words in (metric, us):
                at = 0
                for part in between:
                    at = words.find(part.replace("{{", "{").replace("}}", "}"), at)
                    assert at >= 0, (answer.question, words, part)
        for one in quantities(text):
            assert one.unit in _UNITS or one.said() == one.said(us=True), one
        assert not re.search(r"[\ue000-\uf8ff]", metric + us), (answer.question, metric)
        assert statement.kind in Kind


def short_is_short(answer: tl.Answer) -> None:
    """Twelve lines of eighty columns at most, the closing line included, in both systems; what to do is always there."""
    for us in (False, True):
        lines = wrapped("\n".join([*answer.lines("short", us), f"  {MORE}"]), columns=COLUMNS - 1).splitlines()
        assert len(lines) <= MOST_LINES, (answer.question, lines)
        assert max(map(len, lines)) <= COLUMNS, lines
    kinds = [one.kind for one in answer.statements if View.SHORT in one.views]
    assert kinds[0] is Kind.TITLE
    assert kinds.count(Kind.DO) == 1, answer.question
    assert kinds.count(Kind.CAUTION) <= 1


def beside_each_other(answer: tl.Answer) -> None:
    """On the short screen humidity and temperature stand in one line, by day and by night."""
    air = [one.said() for one in answer.statements if one.kind is Kind.AIR and View.SHORT in one.views]
    assert [line.split()[1] for line in air] == ["day", "night"], (answer.question, air)
    for line in air:
        assert "°C" in line or "°F" in line, line
        assert "%" in line, line
