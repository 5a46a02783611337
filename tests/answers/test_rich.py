"""What a notebook shows of a result: what to do first, the rest folded, texts escaped, nothing that only programmers read."""

import re
from html import unescape
from html.parser import HTMLParser

import numpy as np
import pytest

import terralab as tl
from terralab.answers.common.rich import answer_html
from terralab.answers.common.statement import Kind, View
from terralab.folded import fold, lines_below, page, paragraph, table
from terralab.quantities import said
from terralab.uncertainty.sensitivity import SHOWN, Indices
from tests.answers.faces import METRIC
from tests.asked import asked


class Read(HTMLParser):
    """Open text, folded text, and whether every element is closed where it should be."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.open, self.folded, self.summaries, self.path = [], [], [], []
        self.feed(html)
        assert self.path == []

    def handle_starttag(self, tag, attrs):
        self.path.append(tag)

    def handle_endtag(self, tag):
        assert self.path.pop() == tag

    def handle_data(self, data):
        where = self.open if "details" not in self.path else self.folded
        (self.summaries if "summary" in self.path else where).append(data)


@pytest.fixture(scope="module")
def answers():
    return asked("all_answers", "moss-jar", members=4)


def test_every_answer_begins_with_what_to_do_and_folds_the_rest(answers):
    for answer in answers.each:
        seen = Read(answer._repr_html_())
        short = [one.said(answer.us) for one in answer.statements if View.SHORT in one.views]
        assert seen.open == short, answer.question
        assert seen.summaries[0].startswith("Why")
        hidden = "".join(seen.folded)
        for one in answer.statements:
            if View.SHORT not in one.views:
                assert one.said() in hidden, (answer.question, one.kind)
        for source in answer.sources:
            assert said(source) in hidden
        assert not re.search(r"\bnan\b|\bNone\b|[\ue000-\uf8ff]", "".join(seen.open + seen.folded)), answer.question


def test_an_answer_is_in_the_units_of_its_box_or_in_those_that_are_asked_for(answers):
    metric, us = (Read(answer_html(answers.water, system)) for system in (False, True))
    assert METRIC.search("".join(metric.open))
    assert not METRIC.search("".join(us.open))
    assert Read(answers.water._repr_html_()).open == metric.open


def test_a_panel_may_leave_out_the_question(answers):
    title = answers.water.of_kind(Kind.TITLE)[0].said()
    assert title in answer_html(answers.water)
    assert title not in answer_html(answers.water, title=False)


def test_all_answers_together_say_what_to_do_one_below_the_other(answers):
    seen = Read(answers._repr_html_())
    for answer in answers.each:
        do = next(one for one in answer.of_kind(Kind.DO) if View.SHORT in one.views)
        assert do.said() in seen.open


def test_a_run_a_box_a_budget_and_a_material_are_short_and_whole(answers):
    record = answers.water.record
    assert "closes" not in "".join(Read(record._repr_html_()).open)
    assert "closes" in "".join(Read(record._repr_html_()).folded)
    assert str(record) == " ".join(Read(record._repr_html_()).open + Read(record._repr_html_()).folded)
    box = Read(answers.box._repr_html_())
    assert box.open == [answers.box.describe().splitlines()[0]]
    assert [line for line in answers.box.describe().splitlines() if line] == box.open + box.folded
    budget = record.water_budget()
    text = " ".join(Read(budget._repr_html_()).open)
    for name, value in {**budget.incoming, **budget.outgoing}.items():
        assert f"{name.replace('_', ' ')} {value:.4g}" in text
    entry = tl.materials.get("defaults", "mesh exchange")
    shown = Read(entry._repr_html_())
    assert next(iter(entry.numbers.values())).source[:40] in "".join(shown.folded)
    assert "Number(" not in "".join(shown.open + shown.folded)


def test_shares_are_said_in_percent_and_what_cannot_be_had_in_words():
    names = [f"number {n}" for n in range(SHOWN + 2)]
    shares = {name: 0.5 / (1 + n) for n, name in enumerate(names)}
    errors = dict.fromkeys(names, 0.02)
    found = Indices(shares, shares | {names[0]: np.nan}, errors, errors, 96, 0, "A note.")
    seen = Read(found._repr_html_())
    assert "50 % ± 2" in seen.open
    assert "not known" in seen.open
    assert "A note." in seen.open
    assert [one for one in seen.open if one in names] == names[:SHOWN]
    assert [one for one in seen.folded if one in names] == names[SHOWN:]
    assert "nan" not in found._repr_html_()


def test_what_a_log_a_diary_and_a_salt_test_say_is_read_first():
    files = tl.demo_log()
    for read in (tl.read_log(files["log"]), tl.read_diary(files["diary"])):
        assert read.understood in Read(read._repr_html_()).open
    salt = tl.salt_test("table salt", "79.2 %", "21.4 C", "14 h")
    seen = Read(salt._repr_html_())
    assert tuple(seen.open + seen.folded) == salt.lines()
    assert len(seen.open) == 2


def test_texts_are_escaped_and_what_is_empty_leaves_no_trace():
    bad = '<script>"a" & b</script>'
    for html in (paragraph(bad), lines_below([bad]), lines_below([bad * 9]), table((bad,), [(bad,)]), fold(bad, "x")):
        assert "<script" not in html
        assert bad in unescape(html)
    assert paragraph("") == lines_below([]) == fold("Sources") == ""
    assert Read(page(fold("a", table(("b", "c"), [("d", "e")])))).folded == ["b", "c", "d", "e"]
