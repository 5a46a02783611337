"""The only file that knows the compiler.

Every kernel of terralab is a plain scalar function decorated with `kernel`. With numba at work it is
compiled once and kept on disk; with ``NUMBA_DISABLE_JIT=1`` the very same function runs as ordinary
Python, which is slow but easy to step through and to measure for test coverage.

The kept copies lie in the user's cache folder, under a fingerprint of all kernel sources: the compiler itself
looks only at the file a kernel stands in, and would run stale code after a change in a file it calls. Which folder
may be used, and how several processes share it, is decided in `kernel_folder`. Where nothing can be kept,
everything runs all the same, and one line says that each start will compile anew.
"""

from __future__ import annotations

import contextlib
import gc
import hashlib
import sys
import warnings
from collections.abc import Iterator
from pathlib import Path

import numba
from numba.core.caching import FunctionCache

from terralab.errors import TerralabWarning
from terralab.kernel_folder import lock, prepared

#: True when kernels really are compiled, False under NUMBA_DISABLE_JIT=1.
COMPILED = not numba.config.DISABLE_JIT

_HERE = Path(__file__).parent
_WAIT_S = 300.0  # for another process that is compiling the engine; alone it takes a minute or so


def kernel_sources() -> list[Path]:
    """The files whose text decides what the kernels compute."""
    return sorted([*_HERE.glob("physics/*.py"), *_HERE.glob("soil/*.py"), *_HERE.glob("engine/*.py"), Path(__file__)])


def _fingerprint() -> str:
    """A short name for this exact set of kernel sources, compiler and Python."""
    total = hashlib.sha256(f"{numba.__version__} {sys.version_info[:2]} {_HERE}".encode())
    for source in kernel_sources():
        total.update(source.read_bytes())
    return total.hexdigest()[:16]


class _Keeping:
    """The folder of this process, or None, and why nothing is kept; why is said once."""

    def __init__(self) -> None:
        self.folder, self.why = prepared(_fingerprint()) if COMPILED else (None, "")

    def stop(self, why: str) -> None:
        """Keep nothing from here on: the disk is full, the folder was closed, another process holds the lock."""
        self.folder, self.why = None, self.why or why

    def report(self) -> None:
        """Say why nothing is kept, once."""
        why, self.why = self.why, ""
        if why:
            warnings.warn(
                f"The fast code is not kept for the next start, which then takes half a minute to a minute and a half longer. {why}. "
                "To keep it, give the setting XDG_CACHE_HOME (on Windows LOCALAPPDATA) a folder that is yours alone.",
                TerralabWarning,
                stacklevel=3,
            )


_KEEPING = _Keeping()


class _Kept(FunctionCache):
    """The kept copies of one kernel: written under a lock; what cannot be read or written is compiled and not kept."""

    def load_overload(self, sig, target_context):
        """The kept copy, or None where there is none that can be read."""
        if _KEEPING.folder is None:
            return None
        try:
            return super().load_overload(sig, target_context)
        except Exception:  # a damaged copy, whatever it makes the compiler say, is one that has to be made anew
            with contextlib.suppress(OSError):
                self.flush()
            return None

    def save_overload(self, sig, data):
        """Keep a copy, if the folder can be had and written."""
        folder = _KEEPING.folder
        if folder is None:
            return
        with lock(folder.parent / ".lock") as mine:
            if not mine:
                _KEEPING.stop(f"The lock in {folder.parent} cannot be had")
                return
            try:
                super().save_overload(sig, data)
            except OSError as error:
                _KEEPING.stop(f"{folder}: {error.strerror or error}")


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


def part(function):
    """Like `inner`, for a thin layer above large kernels: it is written into the one kernel that calls it.

    Otherwise all below would be compiled by itself, once more within the layer, and once more within each above.
    """
    return _compiled(function, no_cpython_wrapper=True, _nrt=False, inline="always")


def _compiled(function, **more):
    made = numba.njit(nogil=True, fastmath=False, error_model="numpy", no_cfunc_wrapper=True, **more)(function)
    if COMPILED and _KEEPING.folder is not None:
        before = numba.config.CACHE_DIR
        numba.config.CACHE_DIR = str(_KEEPING.folder)
        try:
            kept = _Kept(function)
            # the compiler takes another place than the one it was given when it cannot write there
            if Path(kept.cache_path).is_relative_to(_KEEPING.folder):
                made._cache = kept
            else:
                _KEEPING.stop(f"Nothing can be written into the folder {_KEEPING.folder}")
        except (OSError, RuntimeError) as error:
            _KEEPING.stop(str(error))
        finally:
            numba.config.CACHE_DIR = before
    return made


def must_compile_first() -> bool:
    """True when no compiled engine lies on disk yet, so that a caller may say what it waits for."""
    return COMPILED and (_KEEPING.folder is None or not any(_KEEPING.folder.rglob("soil_clock.run*.nbc")))


@contextlib.contextmanager
def compiling() -> Iterator[None]:
    """Around the first use of the engine: one process compiles, another that comes meanwhile waits and uses the same.

    Python's garbage collector is held back while the engine compiles: the compiler makes millions of small objects.
    """
    with contextlib.ExitStack() as held:
        if must_compile_first():
            if _KEEPING.folder is not None:
                # whoever waited in vain compiles as well; both write the same
                held.enter_context(lock(_KEEPING.folder / ".compiling", _WAIT_S))
            if gc.isenabled() and must_compile_first():
                gc.disable()
                held.callback(gc.enable)
        yield
    _KEEPING.report()
