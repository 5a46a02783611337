"""How often one day asks for each piece of the engine, counted while it runs as plain Python."""

from __future__ import annotations

import json
import os
import subprocess
import sys

#: Functions that are told, in the order of the engine's loops.
TOLD = (
    "advance",
    "substep",
    "stage",
    "coefficients",
    "solve",
    "flows",
    "soil_step",
    "step",
    "hydraulics",
    "moved",
    "contact_flow",
    "prepare",
    "carry_heat",
    "saturation_pressure",
    "surface_supply",
    "save",
)
_CODE = """
import cProfile, json, pstats
import terralab as tl
box = tl.load("fern-hollow")
watch = cProfile.Profile()
watch.enable()
record = tl.simulate(box, 1)
watch.disable()
stats = pstats.Stats(watch)
whole = max(v[3] for k, v in stats.stats.items() if k[2] == "run")
out = {}
for (path, line, name), (_, calls, own, inside, _) in stats.stats.items():
    if "terralab" in path:
        old = out.get(name, [0, 0.0])
        out[name] = [old[0] + calls, old[1] + 100.0 * inside / whole]
print(json.dumps(out))
"""


def calls_of_a_day() -> tuple[dict[str, int], dict[str, float]]:
    """Calls of each function in one day of the default box, and its share of the time as plain Python [%]."""
    done = subprocess.run(
        [sys.executable, "-c", _CODE],
        env=os.environ | {"NUMBA_DISABLE_JIT": "1"},
        capture_output=True,
        text=True,
        check=True,
    )
    found = json.loads(done.stdout.strip().splitlines()[-1])
    with_unit = [name for name in TOLD if name in found]
    return {name: found[name][0] for name in with_unit}, {name: found[name][1] for name in with_unit}
