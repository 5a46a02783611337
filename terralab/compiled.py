"""The only file that knows the compiler.

Every kernel of terralab is a plain scalar function decorated with `kernel`. With numba at work it is
compiled once and kept on disk; with ``NUMBA_DISABLE_JIT=1`` the very same function runs as ordinary
Python, which is slow but easy to step through and to measure for test coverage.
"""

from __future__ import annotations

import os

import numba

#: True when kernels really are compiled, False under NUMBA_DISABLE_JIT=1.
COMPILED = not numba.config.DISABLE_JIT


def kernel(function):
    """Compile a scalar function: cached on disk, free of the interpreter lock, strict floating point.

    `fastmath` stays off: it would let the compiler reorder sums, and then a run alone and the same run
    inside an ensemble would no longer agree to the last bit.
    """
    return numba.njit(cache=True, nogil=True, fastmath=False, error_model="numpy")(function)


def must_compile_first() -> bool:
    """True when no compiled copy of the engine lies on disk yet, so that a caller may say what it waits for."""
    if not COMPILED:
        return False
    from numba.core.caching import _CacheLocator  # noqa: F401  (present in every supported numba)
    from terralab.engine import run

    try:
        folder = run.march.stats.cache_path
    except AttributeError:
        return False
    return folder is None or not any(
        name.startswith("run.march") and name.endswith(".nbc") for name in _names(folder)
    )


def _names(folder: str) -> list[str]:
    try:
        return os.listdir(folder)
    except OSError:
        return []
