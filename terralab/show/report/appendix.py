"""The end of the report: the box in words, cautions, what is taken for granted, every number and its source."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from terralab.answers.common.cautions import AID, for_box
from terralab.answers.common.provenance import Used
from terralab.answers.together.all_answers import Answers
from terralab.materials import GRADES
from terralab.show.report.parts import escape, folded, items, paragraphs, section

LISTED = "{numbers} numbers of the tables, from {sources} sources, stand behind these answers; a screen lists them."


def _once(lists: Iterable[Iterable[str]]) -> list[str]:
    return list(dict.fromkeys(line for lines in lists for line in lines))


def box_section(answers: Answers) -> str:
    """The box as its description says it."""
    return section("box", "The box", paragraphs(answers.box.describe().split("\n\n")[1:]))


def care_section(answers: Answers) -> str:
    """Every caution for which the box gives cause, once; that of the first sheet has been said."""
    every = _once([for_box(answers.box), *(a.cautions for a in answers.each)])
    return section("care", "Take care", items(line for line in every if line != AID))


def granted_section(answers: Answers) -> str:
    """What all answers take for granted, once, and where paper sends whoever asks for its sources."""
    sources = len({one.number.source for one in answers.used})
    listed = LISTED.format(numbers=len(answers.used), sources=sources)
    return section("granted", "Taken for granted", items([*_once(a.assumptions for a in answers.each), listed]))


def used_section(answers: Answers) -> str:
    """Every number of the tables, with a sign that leads to its source in the list after them."""
    signs: dict[str, int] = {}
    for one in answers.used:
        signs.setdefault(one.number.source, len(signs) + 1)
    grades = [
        f"{grade}: {words}" for grade, words in GRADES.items() if any(u.number.grade == grade for u in answers.used)
    ]
    sources = "<ol>\n" + "\n".join(f"<li>{escape(source)}</li>" for source in signs) + "\n</ol>"
    return section(
        "used",
        "Every number and its source",
        folded(
            "Numbers, grades, sources",
            _numbers(answers.used, signs),
            "<h3>What the grades mean</h3>",
            items(grades),
            "<h3>Sources of the numbers</h3>",
            sources,
            "<h3>Methods and marks</h3>",
            items(
                line for line in _once(a.sources for a in answers.each) if not any(source in line for source in signs)
            ),
        ),
    )


def _numbers(used: Iterable[Used], signs: Mapping[str, int]) -> str:
    """The numbers as a table, all of one material, plant or device under its name."""
    of: dict[str, list[Used]] = {}
    for one in used:
        of.setdefault(one.entry, []).append(one)
    single = "\n".join(_row(its[0], signs, f"{entry}: ") for entry, its in of.items() if len(its) == 1)
    groups = [
        f'<tbody><tr><th colspan="3" scope="rowgroup">{escape(entry)}</th></tr>\n'
        + "\n".join(_row(one, signs) for one in its)
        + "</tbody>"
        for entry, its in of.items()
        if len(its) > 1
    ] + ([f"<tbody>{single}</tbody>"] if single else [])
    caption = "Every number of the tables behind these answers. What you described yourself is not listed."
    heads = "".join(f'<th scope="col">{head}</th>' for head in ("Number", "Typical (range)", "Grade, source"))
    return (
        f'<div class="wide" tabindex="0" role="region" aria-label="{escape(caption)}"><table><caption>{escape(caption)}</caption>\n'
        f"<thead><tr>{heads}</tr></thead>\n" + "\n".join(groups) + "\n</table></div>"
    )


def _row(one: Used, signs: Mapping[str, int], of: str = "") -> str:
    n = one.number
    spread = "" if n.low == n.high else f" ({n.low:g} to {n.high:g})"
    unit = "" if n.unit == "-" else f" {n.unit}"
    return (
        f'<tr><th scope="row">{escape(of + one.property)}</th><td>{escape(f"{n.typical:g}{spread}{unit}")}</td>'
        f"<td>{escape(n.grade)}, {signs[n.source]}</td></tr>"
    )
