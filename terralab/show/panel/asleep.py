"""A panel that nobody answers: what a saved notebook keeps of it, and what it says after its kernel has gone.

A notebook that is opened again knows the number of a widget that is no longer there, and JupyterLab shows an error in
its place. So beside the panel a picture with its sentences is kept in the notebook. While the panel is awake its own
style hides them; once the panel is gone so is that style, and the kept picture hides the error.

When the kernel is restarted the panel stays on the page, and its sliders would move above an answer that follows
them no more. JupyterLab marks such widgets; by that mark the sliders go, and a sentence says how to wake the panel.
"""

from __future__ import annotations

from IPython.display import HTML, DisplayHandle, display


def asleep(what: str) -> str:
    """That "panel", "question" or "button" answers no more, and how to wake it."""
    return f"This {what} is asleep. To wake it, choose Run > Run All Cells."


AGAIN = asleep("panel")
LAST = "Below is what it last showed."
HAND = "terralab-hand"  # what a hand moves: it goes when nobody answers
_NOTE = "background:#fff;color:#000;border-left:4px solid #D55E00;padding:4px 10px;max-width:800px;line-height:1.45"


def curtain(name: str, again: str = AGAIN) -> str:
    """Style and note of a panel on the page: its still is hidden, and the note, unless JupyterLab marks it as cut off."""
    cut = ".jupyter-widgets-disconnected"
    return (
        f"<style>.terralab-still-{name}, .terralab-asleep {{display:none}} "
        f"{cut} .terralab-asleep {{display:block}} {cut} .{HAND}, {cut}.{HAND} {{display:none !important}}</style>"
        f'<div class="terralab-asleep" role="alert" style="{_NOTE}">{again} {LAST}</div>'
    )


class Still:
    """Picture and sentences of a panel, kept in the notebook beside it and renewed with every answer."""

    def __init__(self, name: str, again: str = AGAIN) -> None:
        self._name, self._again = name, again
        self._handle: DisplayHandle | None = None

    def show(self, html: str, script: str = "") -> None:
        """Keep `html` below the output that is now written; `script` runs once, now."""
        self._handle = display(self._page(html, script), display_id=True)

    def renew(self, html: str) -> None:
        """Put `html` in its place, wherever it has been shown."""
        if self._handle is not None:
            self._handle.update(self._page(html))

    def _page(self, html: str, script: str = "") -> HTML:
        # an output that holds nothing but a text where a widget should be is the error that this stands in for
        child = ".jp-OutputArea-child"
        # (buttons and labels hold nothing but a text too)
        bare = ".jupyter-widgets:not(:has(*), .widget-button, .widget-label)"
        error = f"{child}:has(+ {child} .terralab-still-{self._name}) {bare}"
        return HTML(
            f'<div class="terralab-still-{self._name}"><style>{error} {{display:none}}</style>'
            f'<div style="{_NOTE}">{self._again} {LAST}</div>{html}</div>{script}'
        )
