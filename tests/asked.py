"""Answers that several test files, or a notebook and a test file, look at, asked once in a whole test run.

The first process that wants an answer asks; the others wait for it and read what it kept in a folder of this run alone.
A test of what asking itself does (that it gives the same twice, that it refuses) asks for itself.
"""

from __future__ import annotations

import os
import pickle
from collections.abc import Callable
from functools import cache, wraps
from hashlib import blake2b
from pathlib import Path
from typing import Any

import terralab as tl
from terralab.kernel_folder import lock

#: Names the folder of this run; `tests.conftest` makes and removes it.
FOLDER = "TERRALAB_TESTS_ASKED"
WAIT_S = 600.0
#: What the cells of notebooks ask and test files too, as the library has it; see `shared_with_notebooks`.
QUESTIONS = {
    name: getattr(tl, name) for name in ("daily_water", "drainage", "first_soak", "mister", "rescue", "fan_schedules")
}


@cache
def asked(question: str, about: str | tl.Box, **how: Any) -> Any:
    """What the public function `question` gives for a demo or a box, such as `asked("daily_water", "fern-hollow", members=64)`."""
    box = about if isinstance(about, tl.Box) else tl.load(about)
    ask = lambda: (QUESTIONS.get(question) or getattr(tl, question))(box, **how)  # noqa: E731
    folder = os.environ.get(FOLDER)
    if folder is None:
        return ask()
    # the words for a box hold every digit of its numbers
    kept = Path(folder) / blake2b(repr((question, box, sorted(how.items()))).encode(), digest_size=12).hexdigest()
    with lock(kept.with_suffix(".lock"), WAIT_S):
        if kept.exists():
            return pickle.loads(kept.read_bytes())
        found = ask()
        whole = kept.with_suffix(".part")
        whole.write_bytes(pickle.dumps(found))
        whole.replace(kept)
    return found


def shared_with_notebooks() -> None:
    """Let the cells of this process ask the `QUESTIONS` through `asked`: for the kernels of tests/browser.

    A cell gets what it would work out itself, to the last digit, from whichever process was first.
    """
    for name, own in QUESTIONS.items():
        setattr(tl, name, _shared(name, own))


def _shared(name: str, own: Callable[..., Any]) -> Callable[..., Any]:
    @wraps(own)
    def ask(box: tl.Box, *more: Any, **how: Any) -> Any:
        plain = not more and all(isinstance(value, int | float | str) for value in how.values())
        return asked(name, box, **how) if plain else own(box, *more, **how)

    return ask
