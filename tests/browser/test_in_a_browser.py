"""Notebooks in a real browser: they run, their panels follow the keyboard, and nothing leaves this machine."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from terralab.show.panel.asleep import AGAIN
from tests.browser.lab import ROOT, browser_path, chromium, jupyter

NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))
#: Looked at in a plain run: a panel, guesses and solutions are among them. The others run without a browser (see `tests.conftest`).
PLAIN = ("00_start_here", "10_can_you_trust_it")

#: From the key press to the moment the new picture is on the screen, in the browser's own clock [ms].
PRESS = """(key) => new Promise((done, failed) => {
  const panel = document.activeElement.closest('.terralab-panel');
  const images = () => [...panel.querySelectorAll('.terralab-picture img')];
  const shown = () => images().map(image => image.src).join();
  const before = shown(), start = performance.now();
  const eye = new MutationObserver(() => {
    if (!shown() || shown() === before) return;
    eye.disconnect();
    Promise.all(images().map(image => image.decode())).then(
      () => requestAnimationFrame(() => done(performance.now() - start)));
  });
  eye.observe(panel, {subtree: true, childList: true, attributes: true});
  setTimeout(() => failed(new Error('the picture did not change')), 20000);
  document.activeElement.dispatchEvent(new KeyboardEvent('keydown', {key: key, bubbles: true}));
})"""
#: Twenty presses, 50 ms apart: how many pictures came, and how long after the last press the last of them [ms].
RAPID = """() => new Promise(done => {
  const handle = document.activeElement, panel = handle.closest('.terralab-panel');
  let pictures = 0, presses = 0, pressed = 0, shown = 0;
  const src = () => panel.querySelector('.terralab-picture img')?.src;
  let before = src();
  const eye = new MutationObserver(() => {
    if (src() && src() !== before) { before = src(); pictures += 1; shown = performance.now(); }
  });
  eye.observe(panel, {subtree: true, childList: true, attributes: true});
  const press = setInterval(() => {
    handle.dispatchEvent(new KeyboardEvent('keydown', {key: 'ArrowRight', bubbles: true}));
    pressed = performance.now();
    if (++presses === 20) clearInterval(press);
  }, 50);
  const rest = setInterval(() => {
    if (presses < 20 || panel.querySelector('[role=status]').getAttribute('aria-busy') !== 'false') return;
    clearInterval(rest);
    eye.disconnect();
    done({pictures: pictures, last: Math.round(shown - pressed)});
  }, 100);
})"""
#: Notebooks follow each other in one JupyterLab: to load it takes the browser as long as to show a notebook.
OPEN = "async (name) => { await (await window.jupyterapp.commands.execute('docmanager:open', {path: name})).context.ready; }"
SHUT = """async () => {
  const notebook = window.jupyterapp.shell.currentWidget;
  await notebook.sessionContext.shutdown();
  notebook.dispose();
}"""
LOOK_MS = 100  # otherwise it is looked at every frame, for which the browser then draws
IDLE = """() => window.jupyterapp?.shell.currentWidget?.sessionContext?.session?.kernel?.status === 'idle'"""
FINAL = """(n) => document.querySelectorAll('.terralab-panel')[n ?? 0]?.querySelector('[role=status]')?.getAttribute('aria-busy')
  === 'false'"""
#: The buttons of guesses and solutions, one of each: whichever option is pressed, the same is worked out.
REVEALS = """() => [...document.querySelectorAll('.terralab-hand')].filter(row => !row.closest('.terralab-panel')
  && !row.matches('.terralab-panel *') && row.querySelector('button')).length"""
REVEAL = """async (n) => {
  const row = [...document.querySelectorAll('.terralab-hand')].filter(row => !row.closest('.terralab-panel')
    && row.querySelector('button'))[n];
  row.querySelector('button').click();
  const status = () => row.parentElement.querySelector('[role=status]');
  while (!status() || status().getAttribute('aria-busy') === 'true') await new Promise(done => setTimeout(done, 50));
  return status().textContent;
}"""
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


@pytest.mark.parametrize(
    "notebook",
    [pytest.param(path, id=path.stem, marks=() if path.stem in PLAIN else pytest.mark.slow) for path in NOTEBOOKS],
)
def test_a_notebook_runs_and_its_panel_follows_the_keyboard(lab, notebook, record_property):
    page, seen, address, token = lab
    seen["errors"].clear()
    if page.url.startswith(address):
        page.evaluate(OPEN, notebook.name)
    else:
        page.goto(f"{address}/lab/tree/{notebook.name}?token={token}&reset")
    page.wait_for_selector(".jp-Notebook .jp-Cell")
    page.wait_for_function(IDLE, polling=LOOK_MS)
    assert page.evaluate("() => window.jupyterapp.commands.execute('notebook:run-all-cells')"), "a cell failed"
    assert page.evaluate(FAILED) == []
    assert not MARK.search(page.evaluate(SHOWN))
    if has_panel(notebook):
        handle = page.locator(".noUi-handle").first
        handle.wait_for()
        page.wait_for_function(FINAL, polling=LOOK_MS)
        assert page.locator(".terralab-picture img").first.get_attribute("alt")
        for button in ("Open this box", "Save this box"):
            assert page.locator(".terralab-panel button", has_text=button).first.is_visible(), button
        status = page.locator(".terralab-panel [role=status]").first
        final = status.inner_text()
        assert "first look" not in final
        handle.focus()
        waits = [page.evaluate(PRESS, "ArrowRight") for _ in range(2)]
        record_property("ms from key press to picture", [round(wait) for wait in waits])
        page.wait_for_function(FINAL, polling=LOOK_MS)
        assert status.inner_text() != final
        assert page.evaluate(FAILED) == []
    for number in range(page.evaluate(REVEALS)):
        said = page.evaluate(REVEAL, number)
        assert said.strip()
        assert "again" not in said.rsplit(".", 2)[-2], said  # what went wrong asks for another press
    page.evaluate(SHUT)
    assert seen == {"errors": [], "abroad": []}


IN_SIGHT = """() => document.querySelector('.jp-Notebook').innerText"""
SAVED = """async () => {
  await window.jupyterapp.commands.execute('docmanager:save');
  await window.jupyterapp.shell.currentWidget.sessionContext.shutdown();
}"""
RESTARTED = """() => window.jupyterapp.shell.currentWidget.sessionContext.session.kernel.restart()"""


def put(page, address: str, token: str, name: str, *cells: str) -> None:
    """Write a notebook with these cells of code into the folder of the lab."""
    stored = json.loads(NOTEBOOKS[0].read_text(encoding="utf-8"))
    bare = {"cell_type": "code", "metadata": {}, "execution_count": None, "outputs": []}
    stored["cells"] = [bare | {"id": f"cell-{n}", "source": code} for n, code in enumerate(cells)]
    page.request.put(
        f"{address}/api/contents/{name}.ipynb?token={token}",
        data=json.dumps({"type": "notebook", "format": "json", "content": stored}),
        headers={"Authorization": f"token {token}", "Content-Type": "application/json"},
    )


def opened(page, address: str, token: str, name: str = "one-panel") -> None:
    """A notebook written by `put`, in a page that remembers nothing."""
    page.goto(f"{address}/lab/tree/{name}.ipynb?token={token}&reset")
    page.wait_for_selector(".jp-Notebook .jp-Cell")
    page.wait_for_function(IDLE, polling=LOOK_MS)


def test_a_panel_that_was_saved_shows_its_last_answer_and_wakes_up_again(lab):
    """Run, saved, its kernel ended, opened again; run once more; its kernel restarted below the open page."""
    page, _, address, token = lab
    put(page, address, token, "one-panel", "from terralab import show\nshow.drainage_panel('moss-jar')")
    run_all = "() => window.jupyterapp.commands.execute('notebook:run-all-cells')"
    handle, picture = page.locator(".noUi-handle").first, page.locator(".jp-Notebook img")

    opened(page, address, token)
    assert page.evaluate(run_all)
    handle.wait_for()
    page.wait_for_function(FINAL, polling=LOOK_MS)
    words = page.locator(".terralab-panel [role=status] p").first.inner_text()
    assert AGAIN not in page.evaluate(IN_SIGHT)
    # both halves, and those of the kept one, which waits behind the curtain
    assert [one.is_visible() for one in picture.all()] == [True, True, False, False]
    page.evaluate(SAVED)

    opened(page, address, token)
    # the renderer gives up looking for its widget after some seconds, and writes its error
    page.wait_for_function("() => document.body.textContent.includes('model not found')")
    seen = page.evaluate(IN_SIGHT)
    assert "model not found" not in seen
    assert seen.count(AGAIN) == 1
    assert words in seen
    assert [one.is_visible() for one in picture.all()] == [True, True]

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
    assert [one.is_visible() for one in picture.all()] == [True, True, False, False]

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
    page.locator(".jp-Notebook img").first.wait_for()
    assert AGAIN in page.evaluate(IN_SIGHT)
    assert "model not found" not in page.evaluate(IN_SIGHT)


TWO = """
import threading
from terralab import show
first, second = show.start_panel("fern-hollow"), show.water_panel("moss-jar")
hold = threading.Event()
hold.set()
for name in ("answer", "rough"):
    ask = getattr(first.question, name)
    object.__setattr__(first.question, name, lambda box, ask=ask: (hold.wait(60), ask(box))[1])
"""
RUN = """async (code) => (await window.jupyterapp.shell.currentWidget.sessionContext.session.kernel
  .requestExecute({code: code, store_history: false}).done).content.status"""
#: What is cut off or hangs over, in words; a sideways scroll bar is a hang-over too.
CUT = """() => [...document.querySelectorAll('.terralab-panel')].flatMap(panel => {
  const found = [], room = panel.closest('.jp-OutputArea-output').getBoundingClientRect();
  for (const part of panel.querySelectorAll('.widget-label, .widget-readout, select, button, img, p, .noUi-handle, input')) {
    const at = part.getBoundingClientRect(), what = (part.textContent || part.tagName).slice(0, 40);
    if (!at.width) continue;
    if (at.right > room.right + 1 || at.left < room.left - 1) found.push('hangs over: ' + what);
    if (part.matches('.widget-label, .widget-readout, button, p') && part.scrollWidth > part.clientWidth + 1
      && getComputedStyle(part).display !== 'inline') found.push('cut: ' + what);
  }
  return found;
})"""
#: The height of letters in the pictures on the screen [px of CSS]; they are drawn at 8.5 pt in pictures of 100 dots an inch.
LETTERS = """() => [...document.querySelectorAll('.terralab-picture img')].filter(image => image.offsetWidth)
  .map(image => image.offsetWidth / image.naturalWidth * 8.5 / 72 * 100)"""
BESIDE = """() => document.querySelector('.terralab-seen').getBoundingClientRect().left
  >= document.querySelector('.terralab-controls').getBoundingClientRect().right"""
#: What can be moved, pressed or typed into and has no name that a screen reader could say.
NAMELESS = """() => [...document.querySelectorAll('.terralab-panel :is(button, input, select, [role=slider], [role=textbox])')]
  .filter(part => part.offsetWidth && !(part.getAttribute('aria-label') || part.textContent.trim() || part.title
    || [...(part.labels ?? [])].some(label => label.textContent.trim()))).map(part => part.outerHTML.slice(0, 200))"""
SAID = """() => [...document.querySelectorAll('.terralab-panel [role=slider]')].map(
  handle => [handle.getAttribute('aria-label'), handle.getAttribute('aria-valuetext'), handle.tabIndex])"""


@pytest.fixture(scope="module")
def two(lab) -> Iterator[object]:
    """A page with two panels, both with their answers."""
    page, seen, address, token = lab
    put(page, address, token, "two-panels", TWO, "first", "second")
    seen["errors"].clear()
    opened(page, address, token, "two-panels")
    assert page.evaluate("() => window.jupyterapp.commands.execute('notebook:run-all-cells')")
    page.evaluate("() => window.jupyterapp.shell.collapseLeft()")
    for number in range(2):
        page.wait_for_function(FINAL, arg=number, polling=LOOK_MS)
    yield page
    page.evaluate("() => window.jupyterapp.shell.currentWidget.sessionContext.shutdown()")


def sliders(page, panel: int):
    return page.locator(".terralab-panel").nth(panel).locator(".noUi-handle")


def test_the_second_panel_answers_while_the_first_is_at_work(two):
    page = two
    assert page.evaluate(RUN, "hold.clear()") == "ok"
    sliders(page, 0).first.focus()
    page.evaluate(PRESS, "ArrowRight")
    page.locator(".terralab-panel").first.get_by_text("Working out").wait_for()
    sliders(page, 1).first.focus()
    page.evaluate(PRESS, "ArrowRight")
    page.wait_for_function(FINAL, arg=1, polling=LOOK_MS)
    assert not page.evaluate(FINAL, 0)
    assert page.evaluate(RUN, "hold.set()") == "ok"
    page.wait_for_function(FINAL, arg=0, polling=LOOK_MS)


def test_of_many_quick_presses_the_last_one_counts(two, record_property):
    page = two
    assert page.evaluate(RUN, "before = second._sliders['room_day'].value") == "ok"
    sliders(page, 1).first.focus()
    record_property("pictures of 20 presses, ms from the last press to the last picture", page.evaluate(RAPID))
    check = "assert second.box.room.now.temperature.day == second._answered[0][0].room.now.temperature.day == min(32, before + 10)"
    assert page.evaluate(RUN, check) == "ok"


@pytest.mark.parametrize("width", [390, 1366, 2560])
def test_nothing_is_cut_off_at_any_width(two, width):
    """A telephone, a small laptop and a large screen."""
    page = two
    page.set_viewport_size({"width": width, "height": 1000})
    page.wait_for_timeout(300)
    assert page.evaluate(CUT) == []
    assert min(page.evaluate(LETTERS)) >= (7.5 if width < 500 else 10.0)
    assert page.evaluate(BESIDE) == (width > 1000)
    page.set_viewport_size({"width": 1280, "height": 1000})


def test_all_that_can_be_moved_has_a_name_and_is_reached_by_the_keyboard(two):
    page = two
    assert page.evaluate(NAMELESS) == []
    said = page.evaluate(SAID)
    assert len(said) > 10
    assert all(label and re.search(r"[0-9]", value) and tab == 0 for label, value, tab in said), said
    assert len({label for label, _, _ in said[:6]}) == 6
    sliders(page, 0).first.focus()
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("Tab")
    assert page.evaluate("() => Boolean(document.activeElement.closest('.terralab-panel'))")
    page.wait_for_function(FINAL, arg=0, polling=LOOK_MS)
