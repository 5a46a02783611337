"""The building blocks of the report: paragraphs, pictures and tables as HTML, with every text escaped."""

from __future__ import annotations

import re
import warnings
from base64 import b64encode
from collections.abc import Callable, Iterable, Mapping, Sequence
from html import escape as _escape
from typing import Any

from terralab.errors import TerralabWarning, fault_words
from terralab.quantities import marked, said
from terralab.show.figures.style import Picture, png
from terralab.wording import GLUE, together

SHORT = 60  # signs with their tags: so little may be said twice
_SAID = re.compile(r"<p>.*?</p>\n?", re.DOTALL)
_TAG = re.compile(r"(<[^>]*>)")
_COMMAND = re.compile(r"\s\(terralab [a-z]+\)")
#: A sentence with a command in it.
_ORDER = re.compile(r"(?:(?<=[.:!?] )|^)[^.:!?`]*(?::[^.:!?`]*)?`terralab [^`]*`[^.!?`]*[.!?]? ?")
_WEEK = re.compile(r'<table class="week">.*?</table>', re.DOTALL)
SCREEN = ' class="screen"'  # what paper leaves out


def escape(text: str) -> str:
    """Text for a page: signs of HTML made harmless. Its quantities stay marks until `page_said`."""
    return _escape(marked(text))


def page_said(body: str, us: bool) -> str:
    """A page with its quantities said in metric or US units, a number and its unit kept on one line.

    A command in brackets, which tells a reader at a terminal where more stands, is left out; a sentence with a command in it stays
    on the screen and is not printed: paper cannot be asked.
    """
    text = said(body, us)
    glued = "".join(part if part.startswith("<") else _for_paper(part) for part in _TAG.split(text))
    return _WEEK.sub(lambda found: found[0].replace(GLUE, " "), glued)  # a day is a narrow column


def _for_paper(text: str) -> str:
    return together(_ORDER.sub(lambda found: f"<span{SCREEN}>{found[0]}</span>", _COMMAND.sub("", text)))


def paragraphs(lines: Iterable[str]) -> str:
    """A paragraph for each line; a first word such as "Why:" stands out."""
    return "\n".join(f"<p>{_with_lead(line)}</p>" for line in lines if line)


def lead(line: str) -> str:
    """A paragraph that a list follows, which paper keeps with it."""
    return f'<p class="lead">{_with_lead(line)}</p>'


def _with_lead(line: str) -> str:
    lead, colon, rest = marked(line).partition(": ")
    if colon and len(lead) <= 24 and "." not in lead and "," not in lead:
        return f"<strong>{escape(lead)}:</strong> {escape(rest)}"
    return escape(line)


def items(lines: Iterable[str]) -> str:
    """A list with a point for each line."""
    return "<ul>\n" + "\n".join(f"<li>{escape(line)}</li>" for line in lines) + "\n</ul>"


def pairs(found: Iterable[tuple[str, str]]) -> str:
    """A list of questions and answers."""
    return "<dl>\n" + "\n".join(f"<dt>{escape(a)}</dt><dd>{escape(b)}</dd>" for a, b in found) + "\n</dl>"


def picture(figure: Picture, caption: str, printed: bool = True) -> str:
    """A picture inside the page itself, with its words for those who cannot see it; not `printed`: for the screen alone.

    What is printed must be as wide as the paper, or its letters get too small (`style`).
    """
    data = b64encode(png(figure)).decode("ascii")
    width, height = (round(figure.dpi * inches) for inches in figure.get_size_inches())
    return (
        f'<figure{"" if printed else SCREEN} style="--shape: {width}/{height}"><img alt="{_escape(figure.alt)}" width="{width}" height="{height}" '
        f'src="data:image/png;base64,{data}">\n<figcaption>{escape(caption)}</figcaption></figure>'
    )


def table(
    caption: str,
    heads: Sequence[str],
    rows: Iterable[Sequence[str]],
    numbers: Iterable[int] = (),
    chosen: Iterable[int] = (),
    looks: str = "",
    ready: bool = False,
) -> str:
    """A table whose first column names its rows. `numbers`: columns set to the right; `chosen`: rows that stand out.

    `looks`: the class of a table that looks otherwise than most; `ready`: cells after the first are HTML already.
    """
    right, marked = set(numbers), set(chosen)

    def cell(column: int, text: str) -> str:
        side = ' class="number"' if column in right else ""
        if column == 0:
            return f'<th scope="row">{escape(text)}</th>'
        return f"<td{side}>{text if ready else escape(text)}</td>"

    head = "".join(
        f'<th scope="col"{" class=" + chr(34) + "number" + chr(34) if i in right else ""}>{escape(text)}</th>'
        for i, text in enumerate(heads)
    )
    body = "\n".join(
        f"<tr{' class=' + chr(34) + 'chosen' + chr(34) if n in marked else ''}>"
        + "".join(cell(i, text) for i, text in enumerate(row))
        + "</tr>"
        for n, row in enumerate(rows)
    )
    kind = f' class="{looks}"' if looks else ""
    return (
        f'<div class="wide" tabindex="0" role="region" aria-label="{escape(caption)}"><table{kind}><caption>{escape(caption)}</caption>\n<thead><tr>{head}</tr></thead>\n'
        f"<tbody>\n{body}\n</tbody></table></div>"
    )


def folded(summary: str, *parts: str) -> str:
    """What is folded away on the screen until one opens it; on paper it is left out."""
    inside = "\n".join(part for part in parts if part)
    return f"<details><summary>{escape(summary)}</summary>\n{inside}\n</details>" if inside else ""


def without_repeats(body: str) -> str:
    """The page with every paragraph said once: what a later part says again word for word is left out."""
    said_before: set[str] = set()

    def once(found: re.Match[str]) -> str:
        text = found[0]
        if len(text) < SHORT or text.rstrip().endswith(":</p>"):
            return text
        if text.rstrip() in said_before:
            return ""
        said_before.add(text.rstrip())
        return text

    return _SAID.sub(once, body)


def section(key: str, heading: str, *parts: str, looks: str = "") -> str:
    """A section of the page with its heading; `key` is what links point at. Of the `looks` "sheet" is a page of its own on paper."""
    parts = tuple(part for part in parts if part)
    kind = f' class="{looks}"' if looks else ""
    return f'<section id="{key}"{kind}>\n<h2>{escape(heading)}</h2>\n' + "\n".join(parts) + "\n</section>"


def attempted(make: Callable[[Any], str], answers: Any, missing: dict[str, str]) -> str:
    """A part of the page, made from the answers.

    Where that fails by a fault in terralab the part is "", `missing` says so, and a warning too: other parts go on.
    """
    try:
        return make(answers)
    except MemoryError:
        raise
    except Exception as error:
        name = f'the part "{make.__name__.removesuffix("_section").replace("_", " ")}" of this page'
        missing[name] = fault_words(error)
        warnings.warn(f"{answers.box.name}, {name}: {missing[name]}", TerralabWarning, stacklevel=3)
        return ""


def without_answer(missing: Mapping[str, str]) -> str:
    """The section on what could not be answered and why; "" where nothing is missing."""
    lines = [f"{question[0].upper()}{question[1:]}: {' '.join(why.split())}" for question, why in missing.items()]
    return section("missing", "Without an answer", items(lines)) if lines else ""
