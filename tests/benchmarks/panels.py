"""How long a panel lets one wait: `python -m tests.benchmarks.panels [box]`. Say beside the numbers what else the machine did.

On a loop like that of a notebook, without a browser: from the press to the picture that is sent, from the last press to the
rough and to the whole answer, and the longest time the loop was held up while answers were worked out. `tests/browser` reports
the same from key to screen.
"""

from __future__ import annotations

import asyncio
import os
import sys
import time

import numpy as np

from terralab import show

PRESSES, LOOK_S = 20, 0.002
PANELS = ("start_panel", "water_panel", "fans_panel", "drainage_panel", "sure_panel")


async def _until(there) -> None:
    while not there():
        await asyncio.sleep(LOOK_S)


async def _held_up(gaps: list[float]) -> None:
    """Note how much later than asked the loop comes back [s]."""
    while True:
        before = time.perf_counter()
        await asyncio.sleep(LOOK_S)
        gaps.append(time.perf_counter() - before - LOOK_S)


async def measured(name: str, box: str) -> str:
    """One line of numbers for a panel."""
    panel = getattr(show, name)(box)
    await _until(lambda: panel._answer)
    slider = panel._sliders["room_humidity"]
    waits, gaps = [], []
    for _ in range(PRESSES):
        await asyncio.sleep(0.1)
        shown, begun = panel._image.value, time.perf_counter()
        slider.value += slider.step
        await _until(lambda shown=shown: panel._image.value != shown)
        waits.append(1000.0 * (time.perf_counter() - begun))
    watch, begun = asyncio.create_task(_held_up(gaps)), time.perf_counter()
    await _until(lambda: panel._shown)
    rough = time.perf_counter() - begun
    await _until(lambda: panel._answer)
    whole = time.perf_counter() - begun
    watch.cancel()
    median, late = np.percentile(waits, (50, 95))
    return (
        f"{name:<15} press to picture {median:4.0f} ms (95 %: {late:4.0f}); rough answer {rough:5.2f} s, whole {whole:5.2f} s; "
        f"loop held up {1000.0 * max(gaps):4.0f} ms at most"
    )


async def main(box: str) -> None:
    """Print a line for each panel."""
    sys.stdout.write(f"{box}; load of the machine {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores\n")
    for name in PANELS:
        sys.stdout.write(await measured(name, box) + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    asyncio.run(main(sys.argv[1] if len(sys.argv) > 1 else "fern-hollow"))
