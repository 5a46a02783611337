"""Every notebook in a real browser: it runs, its panel follows the keyboard, and nothing leaves this machine."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from terralab.show.panel import AGAIN
from tests.browser.lab import ROOT, browser_path, chromium, jupyter

NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))

#: From the key press to the moment the new picture is on the screen, in the browser's own clock [ms].
PRESS = """(key) => new Promise((done, failed) => {
  const shown = () => document.querySelector('.widget-vbox .widget-html img')?.src;
  const before = shown(), start = performance.now();
  const eye = new MutationObserver(() => {
    if (!shown() || shown() === before) return;
    eye.disconnect();
    document.querySelector('.widget-vbox .widget-html img').decode().then(
      () => requestAnimationFrame(() => done(performance.now() - start)));
  });
  eye.observe(document.querySelector('.widget-vbox'), {subtree: true, childList: true, attributes: true});
  setTimeout(() => failed(new Error('the picture did not change')), 20000);
  document.activeElement.dispatchEvent(new KeyboardEvent('keydown', {key: key, bubbles: true}));
})"""
IDLE = """() => window.jupyterapp?.shell.currentWidget?.sessionContext?.session?.kernel?.status === 'idle'"""
FINAL = """() => document.querySelector('.widget-vbox [role=status]')?.getAttribute('aria-busy') === 'false'"""
FAILED = """() => window.jupyterapp.shell.currentWidget.content.widgets.flatMap(cell =>
  cell.model.type !== 'code' ? [] : cell.model.outputs.toJSON().filter(o => o.output_type === 'error').map(o => o.evalue))"""


@pytest.fixture(scope="module")
def lab(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[object, dict, str, str]]:
    """A browser page, what it did, and where JupyterLab shows the notebooks."""
    browser_path()
    folder = tmp_path_factory.mktemp("lab")
    for notebook in NOTEBOOKS:
        shutil.copy(notebook, folder)
    with jupyter(folder) as (address, token), chromium() as (page, seen):
        yield page, seen, address, token


def has_panel(notebook: Path) -> bool:
    cells = json.loads(notebook.read_text(encoding="utf-8"))["cells"]
    return any("_panel(" in "".join(cell["source"]) for cell in cells)


@pytest.mark.parametrize("notebook", NOTEBOOKS, ids=lambda path: path.stem)
def test_a_notebook_runs_and_its_panel_follows_the_keyboard(lab, notebook, record_property):
    page, seen, address, token = lab
    seen["errors"].clear()
    page.goto(f"{address}/lab/tree/{notebook.name}?token={token}&reset")
    page.wait_for_selector(".jp-Notebook .jp-Cell")
    page.wait_for_function(IDLE)
    assert page.evaluate("() => window.jupyterapp.commands.execute('notebook:run-all-cells')"), "a cell failed"
    assert page.evaluate(FAILED) == []
    if has_panel(notebook):
        handle = page.locator(".noUi-handle").first
        handle.wait_for()
        assert page.locator(".widget-vbox .widget-html img").first.get_attribute("alt")
        final = page.locator(".widget-vbox [role=status]").first.inner_text()
        assert "first look" not in final
        handle.focus()
        waits = [page.evaluate(PRESS, "ArrowRight") for _ in range(4)]
        record_property("ms from key press to picture", [round(wait) for wait in waits])
        assert "first look" in page.locator(".widget-vbox [role=status]").first.inner_text()
        page.wait_for_function(FINAL)
        assert page.locator(".widget-vbox [role=status]").first.inner_text() != final
        assert page.evaluate(FAILED) == []
    page.evaluate("() => window.jupyterapp.shell.currentWidget.sessionContext.shutdown()")
    assert seen == {"errors": [], "abroad": []}


def test_a_panel_that_was_saved_and_opened_again_says_how_to_wake_it(lab):
    page, _, address, token = lab
    stored = json.loads(NOTEBOOKS[0].read_text(encoding="utf-8"))
    (cell,) = (cell for cell in stored["cells"] if "_panel(" in "".join(cell["source"]))
    # what a notebook keeps of a panel when it is saved: a number of a widget that is gone, and the words
    view = {"model_id": "0" * 32, "version_major": 2, "version_minor": 0}
    kept = {"application/vnd.jupyter.widget-view+json": view, "text/plain": [AGAIN]}
    cell["outputs"] = [{"output_type": "execute_result", "execution_count": 1, "metadata": {}, "data": kept}]
    page.request.put(
        f"{address}/api/contents/asleep.ipynb?token={token}",
        data=json.dumps({"type": "notebook", "format": "json", "content": stored}),
        headers={"Authorization": f"token {token}", "Content-Type": "application/json"},
    )
    page.goto(f"{address}/lab/tree/asleep.ipynb?token={token}&reset")
    output = page.locator(".jp-OutputArea-output").first
    output.wait_for()
    page.wait_for_function(IDLE)
    assert output.inner_text().strip() == AGAIN
