"""How a result shows itself in a notebook: the headline first, the rest folded until a reader opens it.

Plain HTML in the page's own colours, so that it reads in a dark notebook too. Texts are escaped here and nowhere else.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

LONG = 100  # letters: a longer line is prose, which takes its own line breaks
_WIDE = "max-width:56em;line-height:1.45;padding:0 4px"


def paragraph(text: str, large: bool = False, name: str = "p") -> str:
    """A text as one paragraph (or as another element); "" for none."""
    look = ' style="font-size:115%;font-weight:bold"' if large else ""
    return f"<{name}{look}>{escape(text, quote=False)}</{name}>" if text else ""


def lines_below(lines: Sequence[str]) -> str:
    """The lines below a sentence: the rows of a table keep their columns, longer lines are a list."""
    if any(len(line) > LONG for line in lines):
        return f"<ul>{''.join(paragraph(line.strip(), name='li') for line in lines)}</ul>"
    rows = escape("\n".join(lines), quote=False)
    return f'<pre style="overflow-x:auto;white-space:pre;line-height:1.35">{rows}</pre>' if lines else ""


def table(headings: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table whose first column says what each row is about."""
    look = lambda n: f' style="text-align:{"right" if n else "left"};font-weight:normal;padding:2px 14px 2px 0"'  # noqa: E731
    head = "".join(f'<th scope="col"{look(n)}><b>{escape(one)}</b></th>' for n, one in enumerate(headings))
    body = "".join(
        f'<tr><th scope="row"{look(0)}>{escape(first)}</th>'
        + "".join(f"<td{look(1)}>{escape(one)}</td>" for one in more)
        + "</tr>"
        for first, *more in rows
    )
    return f'<div style="overflow-x:auto"><table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table></div>'


def fold(summary: str, *html: str) -> str:
    """Something that a click (or the Enter key) opens; "" where nothing is in it."""
    inside = "".join(html)
    named = f'<summary style="cursor:pointer">{escape(summary)}</summary>'
    return f'<details style="margin:4px 0">{named}{inside}</details>' if inside else ""


def page(*html: str) -> str:
    """The whole of it."""
    return f'<div style="{_WIDE}">{"".join(html)}</div>'
