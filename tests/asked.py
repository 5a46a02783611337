"""Answers about the demos that several test files look at, asked once in a whole test run.

The first process that wants an answer asks; the others wait for it and read what it kept in a folder of this run alone.
A test of what asking itself does (that it gives the same twice, that it refuses) asks for itself.
"""

from __future__ import annotations

import os
import pickle
from functools import cache
from hashlib import blake2b
from pathlib import Path
from typing import Any

import terralab as tl
from terralab.kernel_folder import lock

#: Names the folder of this run; `tests.conftest` makes and removes it.
FOLDER = "TERRALAB_TESTS_ASKED"
WAIT_S = 600.0


@cache
def asked(question: str, demo: str, **how: Any) -> Any:
    """What the public function `question` gives for a demo, such as `asked("daily_water", "fern-hollow", members=64)`."""
    ask = lambda: getattr(tl, question)(tl.load(demo), **how)  # noqa: E731
    folder = os.environ.get(FOLDER)
    if folder is None:
        return ask()
    kept = Path(folder) / blake2b(repr((question, demo, sorted(how.items()))).encode(), digest_size=12).hexdigest()
    with lock(kept.with_suffix(".lock"), WAIT_S):
        if kept.exists():
            return pickle.loads(kept.read_bytes())
        found = ask()
        whole = kept.with_suffix(".part")
        whole.write_bytes(pickle.dumps(found))
        whole.replace(kept)
    return found
