"""The only file that knows the compiler.

Every kernel of terralab is a plain scalar function decorated with `kernel`. With numba at work it is
compiled once and kept on disk; with ``NUMBA_DISABLE_JIT=1`` the very same function runs as ordinary
Python, which is slow but easy to step through and to measure for test coverage.

The kept copies lie in the user's cache folder, under a fingerprint of all kernel sources: the compiler itself
looks only at the file a kernel stands in, and would run stale code after a change in a file it calls.
"""

from __future__ import annotations

import contextlib
import gc
import hashlib
import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import numba

#: True when kernels really are compiled, False under NUMBA_DISABLE_JIT=1.
COMPILED = not numba.config.DISABLE_JIT

_HERE = Path(__file__).parent
_KEPT_VERSIONS = 3


def _home() -> Path:
    """The user's cache folder, or a temporary one where there is no home."""
    if sys.platform == "win32" and os.environ.get("LOCALAPPDATA"):
        return Path(os.environ["LOCALAPPDATA"]) / "terralab" / "kernels"
    if os.environ.get("XDG_CACHE_HOME"):
        return Path(os.environ["XDG_CACHE_HOME"]) / "terralab" / "kernels"
    try:
        return Path.home() / ".cache" / "terralab" / "kernels"
    except RuntimeError:
        return Path(tempfile.gettempdir()) / "terralab" / "kernels"


def _fingerprint() -> str:
    """A short name for this exact set of kernel sources, compiler and Python."""
    total = hashlib.sha256(f"{numba.__version__} {sys.version_info[:2]} {_HERE}".encode())
    for source in sorted([*_HERE.glob("physics/*.py"), *_HERE.glob("engine/*.py"), Path(__file__)]):
        total.update(source.read_bytes())
    return total.hexdigest()[:16]


def _prepared(folder: Path) -> Path | None:
    """Make the folder and drop copies of older sources; None when nothing can be written there."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        older = sorted((p for p in folder.parent.iterdir() if p.is_dir()), key=lambda p: p.stat().st_mtime)
        for stale in older[:-_KEPT_VERSIONS]:
            shutil.rmtree(stale, ignore_errors=True)
        return folder if os.access(folder, os.W_OK) else None
    except OSError:
        return None


_FOLDER = _prepared(_home() / _fingerprint()) if COMPILED else None


def kernel(function):
    """Compile a scalar function: kept on disk, free of the interpreter lock, strict floating point.

    `fastmath` stays off: it would let the compiler reorder sums, and then a run alone and the same run
    inside an ensemble would no longer agree to the last bit. A kernel only borrows the arrays it is given, so none
    counts who holds them: counting took an eighth of a run. One that makes arrays is `allocating`.
    """
    return _compiled(function, _nrt=False)


def allocating(function):
    """Like `kernel`, for the few functions that make arrays of their own."""
    return _compiled(function)


def inner(function):
    """Like `kernel`, for functions that only other kernels call: no door to Python, so it compiles much faster."""
    return _compiled(function, no_cpython_wrapper=True, _nrt=False)


def _compiled(function, **more):
    before = numba.config.CACHE_DIR
    if _FOLDER is not None:
        numba.config.CACHE_DIR = str(_FOLDER)
    try:
        return numba.njit(
            cache=_FOLDER is not None, nogil=True, fastmath=False, error_model="numpy", no_cfunc_wrapper=True, **more
        )(function)
    finally:
        numba.config.CACHE_DIR = before


def must_compile_first() -> bool:
    """True when no compiled engine lies on disk yet, so that a caller may say what it waits for."""
    return COMPILED and (_FOLDER is None or not any(_FOLDER.rglob("run.march*.nbc")))


@contextlib.contextmanager
def compiling() -> Iterator[None]:
    """Hold Python's garbage collector back while the engine compiles: the compiler makes millions of small objects."""
    hold = gc.isenabled() and must_compile_first()
    if hold:
        gc.disable()
    try:
        yield
    finally:
        if hold:
            gc.enable()
