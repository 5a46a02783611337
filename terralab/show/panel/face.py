"""How a panel looks: its style, the names that screen readers say, and the HTML of its picture and sentences.

Where the page is wide the sliders stand beside the picture, else above it; on a phone labels stand above their sliders
and the two halves of the picture one below the other. Nothing is cut off. Nothing moves either while something else
changes: picture, sentences and note each keep a room of their own, in which what is longer scrolls, and which a hand may
draw longer.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Sequence
from html import escape
from pathlib import Path

PANEL, CONTROL = "terralab-panel", "terralab-control"
PAPER = "background:#fff;color:#000;padding:4px 10px;line-height:1.45"
_STYLE = """<style>
.terralab-panel {width:100%; overflow:visible}
.terralab-panel .terralab-body {display:flex; flex-flow:row wrap; align-items:flex-start; gap:6px 16px; overflow:visible}
.terralab-panel .terralab-controls {flex:1 1 390px; min-width:0; max-width:820px; display:grid; overflow:visible;
  grid-template-columns:repeat(auto-fit, minmax(min(360px, 100%), 1fr)); gap:2px 14px}
.terralab-panel .terralab-seen {flex:3 1 740px; min-width:0; max-width:1060px; overflow:visible}
.terralab-panel .terralab-row {flex-flow:row wrap; overflow:visible}
.terralab-panel .terralab-row > * {max-width:100%; min-width:0}
.terralab-panel .terralab-seen .widget-html, .terralab-panel .terralab-seen .widget-html-content {min-width:0; max-width:100%;
  margin-left:0; margin-right:0; box-sizing:border-box}
.terralab-panel .terralab-control {display:flex; flex-flow:row wrap; align-items:center; width:auto; height:auto; min-width:0;
  margin:1px 2px; overflow:visible}
.terralab-panel .terralab-control > .widget-label {flex:1 1 12em; width:auto; height:auto; min-height:28px; line-height:1.2;
  display:flex; align-items:center; text-align:left; justify-content:flex-start; white-space:normal; overflow:visible}
.terralab-panel .terralab-control > .slider-container, .terralab-panel .terralab-control > select {flex:2 1 9em; min-width:7em}
.terralab-panel .terralab-control > .widget-readout {flex:0 0 auto; min-width:4em; text-align:right}
.terralab-picture {display:flex; flex-flow:row wrap; min-height:274px; align-items:flex-start; background:#fff}
.terralab-picture > * {height:auto; background:#fff; min-width:0}
.terralab-panel .terralab-words, .terralab-panel .terralab-note {overflow-y:auto; resize:vertical}
.terralab-panel .terralab-words {height:24em}
.terralab-panel .terralab-note {height:5.2em}
.terralab-words p {margin:0 0 0.5em 0}
.terralab-words a {color:#0072B2; text-decoration:underline}
.terralab-progress {min-height:1.6em; box-sizing:content-box}
@media (max-width:700px) {.terralab-progress {min-height:2.9em} .terralab-panel .terralab-words {height:34em} .terralab-panel .terralab-note {height:7em}}
</style>"""

# A slider of Jupyter has no name of its own for a screen reader, only a label beside it. This gives it the label as its
# name, and its value with the digits and the unit that are shown. Sentences are put in place as a whole; the folds that a
# reader has opened are opened in the new ones, and the one that had the focus has it again.
_NAMES = """<script>
(() => {
  const name = () => document.querySelectorAll('.%s .terralab-control').forEach(row => {
    const label = row.querySelector('.widget-label')?.textContent ?? '';
    const cut = label.lastIndexOf(', ');
    const shown = row.querySelector('.widget-readout')?.textContent;
    const give = (part, key, text) => { if (part && part.getAttribute(key) !== text) part.setAttribute(key, text) };
    row.querySelectorAll('.noUi-handle, .widget-readout, select').forEach(part => give(part, 'aria-label', label));
    give(row.querySelector('.widget-readout'), 'role', 'textbox');
    if (shown) give(row.querySelector('.noUi-handle'), 'aria-valuetext', shown + (cut > 0 ? ' ' + label.slice(cut + 2) : ''));
  });
  const title = fold => fold.querySelector('summary')?.textContent;
  const keep = panel => {
    const words = panel.querySelector('.terralab-words'), open = new Set();
    let focused = null;
    words?.addEventListener('toggle', event => {
      if (event.target.open) open.add(title(event.target));
      else if (event.target.isConnected) open.delete(title(event.target));
    }, true);
    words?.addEventListener('focusin', event => { focused = title(event.target.closest('details') ?? words) ?? null; });
    document.addEventListener('focusin', event => { if (!words?.contains(event.target)) focused = null; });
    const label = (part, text) => { part?.setAttribute('role', 'region'); part?.setAttribute('aria-label', text); };
    label(words, 'The answer');
    label(panel.querySelector('.terralab-note'), 'Notes on the box');
    return () => words?.querySelectorAll('details').forEach(fold => {
      if (open.has(title(fold)) && !fold.open) fold.open = true;
      if (focused === title(fold) && document.activeElement === document.body) fold.querySelector('summary').focus({preventScroll: true});
    });
  };
  let tries = 0;
  const wait = setInterval(() => {
    const panels = document.querySelectorAll('.%s');
    if (!panels.length && ++tries < 240) return;
    clearInterval(wait);
    name();
    panels.forEach(panel => {
      const again = keep(panel);
      new MutationObserver(() => { name(); again(); }).observe(panel,
        {subtree: true, childList: true, characterData: true, attributes: true, attributeFilter: ['aria-valuenow']});
    });
  }, 250);
})();
</script>"""


def style() -> str:
    """The style of every panel."""
    return _STYLE


def own_class(name: str) -> str:
    """The class of the panel `name` on the page."""
    return f"{PANEL}-{name}"


def names(name: str) -> str:
    """The script that gives the controls of the panel `name` their names for screen readers."""
    return _NAMES % (own_class(name), own_class(name))


def picture(halves: Sequence[bytes], widths: Sequence[int], height: int, alt: str) -> str:
    """Parts of one picture, side by side or one below the other; all their words are the first one's.

    Their places are known before a browser has read them.
    """
    images = "".join(
        f'<img alt="{escape(alt if n == 0 else "")}" src="data:image/png;base64,{b64encode(data).decode()}" '
        f'width="{width}" height="{height}" style="{_place(width, height)}">'
        for n, (data, width) in enumerate(zip(halves, widths, strict=True))
    )
    return f'<div class="terralab-picture">{images}</div>'


def no_picture(widths: Sequence[int], height: int) -> str:
    """The places of a picture's parts, empty."""
    return (
        f'<div class="terralab-picture">{"".join(f"""<div style="{_place(w, height)}"></div>""" for w in widths)}</div>'
    )


def _place(width: int, height: int) -> str:
    return f"flex:{width} 1 {width}px;max-width:min({round(1.35 * width)}px, 100%);aspect-ratio:{width}/{height}"


def words(text: str, grey: bool) -> str:
    """Sentences; grey ones are also set in italics and marked as not final for a screen reader."""
    look = "color:#595959;font-style:italic" if grey else ""
    return f'<div role="status" aria-busy="{str(grey).lower()}" style="{PAPER};{look}">{text}</div>'


def progress(text: str) -> str:
    """A quiet line on what is being worked out; its room stays when there is none."""
    return f'<div class="terralab-progress" style="{PAPER};color:#595959">{escape(text)}</div>'


def note(text: str) -> str:
    """A note below all else, "" for none."""
    return f'<div role="alert" style="{PAPER};border-left:4px solid #0072B2">{text}</div>' if text else ""


def links() -> str:
    """Links to the notebooks beside this one, those of the questions."""
    found = sorted(path.name for path in Path().glob("[01][0-9]*_*.ipynb") if not path.name.startswith("00"))
    if not found:
        return ""
    said = lambda name: name.partition("_")[2].removesuffix(".ipynb").replace("_", " ")  # noqa: E731
    items = "".join(f'<li><a href="{name}" target="_blank">{said(name)}</a></li>' for name in found)
    return f"<p>Go on with a question:</p><ul>{items}</ul>"


__all__ = [
    "CONTROL", "PANEL", "links", "names", "no_picture", "note", "own_class", "picture", "progress", "style", "words",
]  # fmt: skip
