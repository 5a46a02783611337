"""Run > Run All Cells leaves the reader at the top, where the first slider or question is alive.

JupyterLab runs to the end of a notebook and shows that. So the first cell of a notebook that shows a panel or a question
brings its page back to the top, once, and only if all cells were run and the reader has not moved since.
"""

from __future__ import annotations

import sys

_first: list[str | None] = []  # the cell, of this kernel, that showed the first one

# after Run All the last cell is the active one; JupyterLab goes there in steps of its own, so the way back is gone a few times
_BACK = """<script>(() => {
  const pane = [...document.querySelectorAll('.jp-NotebookPanel')].find(one => one.offsetParent);
  const page = pane?.querySelector('.jp-WindowedPanel-outer') ?? pane?.querySelector('.jp-Notebook');
  const cells = pane?.querySelectorAll('.jp-Cell') ?? [];
  if (!page || !cells.length || !cells[cells.length - 1].classList.contains('jp-mod-active')) return;
  let moved = false;
  for (const what of ['wheel', 'pointerdown', 'keydown', 'touchmove'])
    window.addEventListener(what, () => { moved = true; }, {once: true, capture: true});
  for (const wait of [0, 100, 300, 700, 1500]) setTimeout(() => { if (!moved) page.scrollTop = 0; }, wait);
})()</script>"""


def back_to_top() -> str:
    """What the output of a cell holds besides, so that the reader stays at the top; "" for all but the first such cell."""
    cell = _this_cell()
    if not _first:
        _first.append(cell)
    return _BACK if cell == _first[0] else ""


def _this_cell() -> str | None:
    """The name of the cell that is run now, as a notebook gives it; None elsewhere."""
    shell = getattr(sys.modules.get("IPython"), "get_ipython", lambda: None)()
    parent = getattr(shell, "get_parent", dict)()
    return parent.get("metadata", {}).get("cellId")
