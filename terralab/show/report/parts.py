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
from terralab.wording import together

_TAG = re.compile(r"(<[^>]*>)")


def escape(text: str) -> str:
    """Text for a page: signs of HTML made harmless. Its quantities stay marks until `page_said`."""
    return _escape(marked(text))


def page_said(body: str, us: bool) -> str:
    """A page with its quantities said in metric or US units, a number and its unit kept on one line."""
    return "".join(part if part.startswith("<") else together(part) for part in _TAG.split(said(body, us)))


def paragraphs(lines: Iterable[str]) -> str:
    """A paragraph for each line; a first word such as "Why:" stands out."""
    return "\n".join(f"<p>{_with_lead(line)}</p>" for line in lines if line)


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


def picture(figure: Picture, caption: str) -> str:
    """A picture inside the page itself, with its words for those who cannot see it."""
    data = b64encode(png(figure)).decode("ascii")
    width, height = (round(figure.dpi * inches) for inches in figure.get_size_inches())
    return (
        f'<figure><img alt="{_escape(figure.alt)}" width="{width}" height="{height}" '
        f'src="data:image/png;base64,{data}">\n<figcaption>{escape(caption)}</figcaption></figure>'
    )


def table(
    caption: str,
    heads: Sequence[str],
    rows: Iterable[Sequence[str]],
    numbers: Iterable[int] = (),
    chosen: Iterable[int] = (),
) -> str:
    """A table whose first column names its rows. `numbers`: columns set to the right; `chosen`: rows that stand out."""
    right, marked = set(numbers), set(chosen)

    def cell(column: int, text: str) -> str:
        looks = ' class="number"' if column in right else ""
        if column == 0:
            return f'<th scope="row">{escape(text)}</th>'
        return f"<td{looks}>{escape(text)}</td>"

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
    return (
        f'<div class="wide" tabindex="0" role="region" aria-label="{escape(caption)}"><table><caption>{escape(caption)}</caption>\n<thead><tr>{head}</tr></thead>\n'
        f"<tbody>\n{body}\n</tbody></table></div>"
    )


def section(key: str, heading: str, *parts: str) -> str:
    """A section of the page with its heading; `key` is what links point at."""
    return f'<section id="{key}">\n<h2>{escape(heading)}</h2>\n' + "\n".join(parts) + "\n</section>"


def attempted(make: Callable[[Any], str], answers: Any, missing: dict[str, str]) -> str:
    """A part of the page, made from the answers.

    Where that fails by a fault in terralab the part is "", `missing` says so, and a warning too: other parts go on.
    """
    try:
        return make(answers)
    except MemoryError:
        raise
    except Exception as error:
        name = f'the part "{make.__name__.strip("_")}" of this page'
        missing[name] = fault_words(error)
        warnings.warn(f"{answers.box.name}, {name}: {missing[name]}", TerralabWarning, stacklevel=3)
        return ""


def without_answer(missing: Mapping[str, str]) -> str:
    """The section on what could not be answered and why; "" where nothing is missing."""
    lines = [f"{question[0].upper()}{question[1:]}: {' '.join(why.split())}" for question, why in missing.items()]
    return section("missing", "Without an answer", items(lines)) if lines else ""
