"""What a test run puts into the kernels of its notebooks: few draws behind panels, shared answers, buttons that are pressed.

The panels answer from few draws, since it is looked at whether a notebook runs and what its page does; how many draws a panel
takes is told by `tests/show/test_panel.py`. The cells ask as they stand, and what a test file of this run asks with the same
words is worked out once for both.
"""

from __future__ import annotations

from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
# It waits for the first cell: a kernel that is slow to start is asked for its widgets before it can say that it has none.
_STARTUP = """
import sys
def begin(*_):
    get_ipython().events.unregister("pre_run_cell", begin)
    sys.path.insert(0, {root!r})
    from tests.notebook_kernels import prepare
    prepare({presses})
get_ipython().events.register("pre_run_cell", begin)
"""


def settings_folder(folder: Path, *, presses: bool) -> str:
    """Make a folder of IPython's settings in `folder`, to be named by IPYTHONDIR; `presses` as in `prepare`."""
    start = folder / "profile_default" / "startup"
    start.mkdir(parents=True)
    (start / "begin.py").write_text(_STARTUP.format(root=str(ROOT), presses=presses), encoding="utf-8")
    return str(folder)


def prepare(presses: bool) -> None:
    """Prepare this kernel. `presses`: where nobody is there to press them, guesses and solutions press themselves."""
    from terralab.show.panel import questions
    from terralab.show.panel.guess import Reveal
    from tests.asked import shared_with_notebooks

    shared_with_notebooks()
    questions.WATER_MEMBERS = questions.BOTTOM_MEMBERS = 4
    questions.FAN_MEMBERS = questions.ROUGH_MEMBERS = 2
    if presses:
        show = Reveal._ipython_display_

        def shown_and_pressed(reveal: Reveal) -> None:
            show(reveal)
            # whichever option is pressed, the same is worked out; what goes wrong is raised, and the cell has failed
            reveal.press(reveal.options[0])

        Reveal._ipython_display_ = shown_and_pressed
