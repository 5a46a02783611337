"""Every notebook in a real browser: it runs, its panel follows the keyboard, and nothing leaves this machine."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from terralab.show.panel.panel import AGAIN
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
LOOK_MS = 100  # otherwise it is looked at every frame, for which the browser then draws
IDLE = """() => window.jupyterapp?.shell.currentWidget?.sessionContext?.session?.kernel?.status === 'idle'"""
FINAL = """() => document.querySelector('.widget-vbox [role=status]')?.getAttribute('aria-busy') === 'false'"""
FAILED = """() => window.jupyterapp.shell.currentWidget.content.widgets.flatMap(cell =>
  cell.model.type !== 'code' ? [] : cell.model.outputs.toJSON().filter(o => o.output_type === 'error').map(o => o.evalue))"""

SHOWN = """() => window.jupyterapp.shell.currentWidget.content.widgets.flatMap(cell =>
  cell.model.type !== 'code' ? [] : cell.model.outputs.toJSON().map(o => JSON.stringify(o))).join(' ')"""
MARK = re.compile(r"[\ue000-\uf8ff]")  # a quantity that no face has said; see terralab.quantities


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
    page.wait_for_function(IDLE, polling=LOOK_MS)
    assert page.evaluate("() => window.jupyterapp.commands.execute('notebook:run-all-cells')"), "a cell failed"
    assert page.evaluate(FAILED) == []
    assert not MARK.search(page.evaluate(SHOWN))
    if has_panel(notebook):
        handle = page.locator(".noUi-handle").first
        handle.wait_for()
        assert page.locator(".widget-vbox .widget-html img").first.get_attribute("alt")
        for button in ("Open this box", "Save this box"):
            assert page.locator(".widget-vbox button", has_text=button).first.is_visible(), button
        final = page.locator(".widget-vbox [role=status]").first.inner_text()
        assert "first look" not in final
        handle.focus()
        waits = [page.evaluate(PRESS, "ArrowRight") for _ in range(4)]
        record_property("ms from key press to picture", [round(wait) for wait in waits])
        assert "first look" in page.locator(".widget-vbox [role=status]").first.inner_text()
        page.wait_for_function(FINAL, polling=LOOK_MS)
        assert page.locator(".widget-vbox [role=status]").first.inner_text() != final
        assert page.evaluate(FAILED) == []
    page.evaluate("() => window.jupyterapp.shell.currentWidget.sessionContext.shutdown()")
    assert seen == {"errors": [], "abroad": []}


IN_SIGHT = """() => document.querySelector('.jp-Notebook').innerText"""
SAVED = """async () => {
  await window.jupyterapp.commands.execute('docmanager:save');
  await window.jupyterapp.shell.currentWidget.sessionContext.shutdown();
}"""
RESTARTED = """() => window.jupyterapp.shell.currentWidget.sessionContext.session.kernel.restart()"""


def opened(page, address: str, token: str) -> None:
    """The notebook with one panel, in a page that remembers nothing."""
    page.goto(f"{address}/lab/tree/one-panel.ipynb?token={token}&reset")
    page.wait_for_selector(".jp-Notebook .jp-Cell")
    page.wait_for_function(IDLE, polling=LOOK_MS)


def test_a_panel_that_was_saved_shows_its_last_answer_and_wakes_up_again(lab):
    """Run, saved, its kernel ended, opened again; run once more; its kernel restarted below the open page."""
    page, _, address, token = lab
    stored = json.loads(NOTEBOOKS[0].read_text(encoding="utf-8"))
    code = "from terralab import show\nshow.drainage_panel('moss-jar')"
    cell = {"cell_type": "code", "id": "panel", "metadata": {}, "execution_count": None, "outputs": [], "source": code}
    page.request.put(
        f"{address}/api/contents/one-panel.ipynb?token={token}",
        data=json.dumps({"type": "notebook", "format": "json", "content": stored | {"cells": [cell]}}),
        headers={"Authorization": f"token {token}", "Content-Type": "application/json"},
    )
    run_all = "() => window.jupyterapp.commands.execute('notebook:run-all-cells')"
    handle, picture = page.locator(".noUi-handle").first, page.locator(".jp-Notebook img")

    opened(page, address, token)
    assert page.evaluate(run_all)
    handle.wait_for()
    page.wait_for_function(FINAL, polling=LOOK_MS)
    words = page.locator(".widget-vbox [role=status] p").first.inner_text()
    assert AGAIN not in page.evaluate(IN_SIGHT)
    assert [one.is_visible() for one in picture.all()] == [True, False]  # the kept one waits behind the curtain
    page.evaluate(SAVED)

    opened(page, address, token)
    # the renderer gives up looking for its widget after some seconds, and writes its error
    page.wait_for_function("() => document.body.textContent.includes('model not found')")
    seen = page.evaluate(IN_SIGHT)
    assert "model not found" not in seen
    assert seen.count(AGAIN) == 1
    assert words in seen
    assert [one.is_visible() for one in picture.all()] == [True]

    assert page.evaluate(run_all)
    handle.wait_for()
    page.wait_for_function(FINAL, polling=LOOK_MS)
    assert AGAIN not in page.evaluate(IN_SIGHT)
    page.evaluate(RESTARTED)
    page.wait_for_function(IDLE, polling=LOOK_MS)
    handle.wait_for(state="hidden")  # nothing can be moved above an answer that no longer follows
    seen = page.evaluate(IN_SIGHT)
    assert seen.count(AGAIN) == 1
    assert words in seen
    assert [one.is_visible() for one in picture.all()] == [True, False]

    assert page.evaluate(run_all)
    handle.wait_for()
    assert AGAIN not in page.evaluate(IN_SIGHT)
    page.evaluate("() => window.jupyterapp.shell.currentWidget.sessionContext.shutdown()")


def test_a_panel_in_a_notebook_from_somebody_else_is_a_picture(lab):
    """A notebook that is not trusted shows neither widgets nor style; the kept picture and the words are there."""
    page, _, address, token = lab
    path = f"{address}/api/contents/one-panel.ipynb?token={token}"
    ask = {"Authorization": f"token {token}", "Content-Type": "application/json"}
    content = page.request.get(path, headers=ask).json()["content"]
    assert len(content["cells"][0]["outputs"]) == 2
    content["cells"][0]["source"] += "  # changed by another hand"
    page.request.put(path, data=json.dumps({"type": "notebook", "format": "json", "content": content}), headers=ask)
    opened(page, address, token)
    page.locator(".jp-Notebook img").wait_for()
    assert AGAIN in page.evaluate(IN_SIGHT)
    assert "model not found" not in page.evaluate(IN_SIGHT)
