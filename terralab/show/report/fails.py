"""The report's part on failures: what is soonest dangerous, where alarms are set, what none shows, what may flood."""

from __future__ import annotations

from terralab.answers.common.statement import Kind, View
from terralab.answers.together.all_answers import Answers
from terralab.quantities import marked
from terralab.show.figures.fails import fails_picture
from terralab.show.report.parts import folded, items, paragraphs, picture, section

CAPTION = "Hours from the beginning of each failure, in the room as described."
MORE = "Each failure in a sentence, also in winter and summer: `terralab fails BOX --all`."


def fails_section(answers: Answers) -> str:
    """The section on failures; empty where there is no answer."""
    found = answers.fails
    if found is None:
        return ""
    told = [one for one in found.statements if one.kind in (Kind.DO, Kind.WHY) and View.ALL in one.views]
    if not found.table:
        return section("fails", "What if a device fails?", paragraphs([marked(one.text) for one in told]))
    alarms = [
        paragraphs([marked(one.text)]) + (items([marked(line) for line in one.under]) if one.under else "")
        for one in found.of_kind(Kind.ALARM)
    ]
    unseen = found.of_kind(Kind.MISHAP)[len(found.table) :]
    return section(
        "fails",
        "What if a device fails?",
        paragraphs([marked(one.text) for one in told]),
        *alarms[:1],
        paragraphs(marked(one.text) for one in unseen[:1]),
        folded(
            "Each failure, and the rest of this answer",
            picture(fails_picture(found), CAPTION),
            *alarms[1:],
            paragraphs([*(marked(one.text) for one in unseen[1:]), MORE]),
        ),
    )
