"""Boxes that are hard to compute: a scan of mix, cover, start, gap to the water and heat, and what it finds.

`python -m tests.benchmarks.hard_boxes` runs some hundred short runs and prints which were refused, which took the most
work, and by which parameters. `--wide` draws boxes at random from what keepers own instead. What a scan found is kept
as rows of `tests/engine/data/hard_boxes.csv`.
"""

from __future__ import annotations

import argparse
import itertools
import random
import sys
import time
import warnings
from collections.abc import Iterator, Mapping

import terralab as tl
from terralab import materials
from terralab.errors import TerralabError, TerralabWarning

#: What one row says: the mix, how deep, what lies on it, how it starts, the layer below, its depth, the gap from the
#: water up to the mesh, the lamp or heater, its power, the leakage of a closed lid or "mesh", what is poured, and last the
#: kind of the lid's mesh, the room's draught, a hide by its floor, a board on the back wall, and a basking place by the
#: way from its lamp.
NAMES = (
    "mix", "depth_cm", "cover", "cover_cm", "start", "stones", "stones_cm", "gap_mm", "device", "power_w", "lid",
    "pour_ml", "every_d", "plants_cm2", "side_cm", "height_cm", "fan", "siphon_gap_mm", "fog_ml_min", "room_c",
    "room_rh", "mesh", "draught", "hide", "board", "under_lamp_cm",
)  # fmt: skip
#: What holds where a row says nothing.
PLAIN = {
    "mix": "fine coir mix", "depth_cm": 8.0, "cover": "", "cover_cm": 2.0, "start": "dry",
    "stones": "expanded clay 4-10 mm", "stones_cm": 4.0, "gap_mm": 5.0, "device": "", "power_w": 0.0, "lid": "mesh",
    "pour_ml": 0.0, "every_d": 1, "plants_cm2": 0.0, "side_cm": 45.0, "height_cm": 45.0, "fan": "",
    "siphon_gap_mm": 0.0, "fog_ml_min": 0.0, "room_c": 21.0, "room_rh": 45.0,
    "mesh": "", "draught": "", "hide": "", "board": "", "under_lamp_cm": 0.0,
}  # fmt: skip
LAMPS = ("led bar outside lid", "led bar inside", "incandescent or halogen spot", "fluorescent tube")


def text_of(row: dict[str, object]) -> str:
    """The description of a row, as a file says it."""
    r = PLAIN | row
    side, height = r["side_cm"], r["height_cm"]
    out = [
        'name = "hard box"',
        f'start = {{ soil = "{r["start"]}" }}',
        f'[enclosure]\nwidth = "{side} cm"\nfront_to_back = "{side} cm"\nheight = "{height} cm"',
        "drain_hole = false\nmesh_barrier = true",
    ]
    if r["lid"] != "mesh":
        out.append(f'leakage = "{r["lid"]} per hour"')
    mixes = str(r["mix"]).split(" + ")
    for mix in mixes:
        out.append(f'[[enclosure.layers]]\nmaterial = "{mix}"\ndepth = "{r["depth_cm"] / len(mixes)} cm"')
    if r["cover"]:
        out.append(f'[enclosure.cover]\nmaterial = "{r["cover"]}"\ndepth = "{r["cover_cm"]} cm"')
    if r["stones"]:
        level = r["stones_cm"] - r["gap_mm"] / 10.0
        out.append(
            f'[enclosure.drainage]\nmaterial = "{r["stones"]}"\ndepth = "{r["stones_cm"]} cm"\nlevel = "{level} cm"'
        )
    if r["lid"] == "mesh":
        out.append(
            f'[[enclosure.openings]]\nname = "lid"\nwall = "lid"\nwidth = "{0.9 * side} cm"\nheight = "{0.5 * side} cm"\n'
            + (f'mesh = "{r["mesh"]}"' if r["mesh"] else "mesh = true")
        )
    if r["hide"]:
        wide, high = 0.4 * side, min(8.0, 0.3 * height)
        out.append(
            f'[enclosure.hide]\nwidth = "{wide} cm"\nfront_to_back = "{wide} cm"\nheight = "{high} cm"\n'
            f'opening_width = "{0.4 * wide} cm"\nopening_height = "{0.6 * high} cm"\nfloor = "{r["hide"]}"'
        )
    if r["board"]:
        out.append(f'[enclosure.background]\nmaterial = "{r["board"]}"\nthickness = "2 cm"')
    if r["under_lamp_cm"] and r["device"] in LAMPS:
        out.append(f'[enclosure.basking]\nlamp = "lamp"\ndistance = "{r["under_lamp_cm"]} cm"')
    if r["plants_cm2"]:
        out.append(
            f'[enclosure.plants]\nkind = "foliage plants"\nleaf_area = "{r["plants_cm2"]} cm2"\nleaf_width = "4 cm"\n'
            f'root_depth = "{0.8 * r["depth_cm"]} cm"'
        )
    out.append(f'[room]\ntemperature = "{r["room_c"]} C"\nhumidity = "{r["room_rh"]} %"')
    if r["draught"]:
        out.append(f'draught = "{r["draught"]}"')
    if r["pour_ml"]:
        out.append(
            f'[[routine.pours]]\ntime = "08:00"\namount = "{r["pour_ml"]} ml"\nover = "2 min"\nevery = "{r["every_d"]} d"'
        )
    if r["device"] in LAMPS:
        out.append(
            f'[[routine.lamps]]\nname = "lamp"\nkind = "{r["device"]}"\npower = "{r["power_w"]} W"\ntimer = ["08:00-20:00"]'
        )
    elif r["device"]:
        out.append(
            f'[[routine.heaters]]\nname = "heater"\nkind = "{r["device"]}"\npower = "{r["power_w"]} W"\ntimer = ["always"]'
        )
    if r["fog_ml_min"]:
        out.append(
            f'[[routine.mists]]\nname = "fogger"\nflow = "{r["fog_ml_min"]} ml/min"\nairborne = "100 %"\n'
            'timer = ["10 min every 1 h"]'
        )
    if r["fan"]:
        out.append(
            f'[[routine.fans]]\nname = "fan"\nmode = "exchange"\nflow = "{r["fan"]} m3/h"\ntimer = ["10 min every 1 h"]'
        )
    if r["siphon_gap_mm"]:
        out.append(
            f'[[routine.siphons]]\nto_level = "{max(0.2, r["stones_cm"] - r["siphon_gap_mm"] / 10.0 - 0.5)} cm"\n'
            f'when_gap_below = "{r["siphon_gap_mm"] / 10.0} cm"'
        )
    return "\n".join(out) + "\n"


def box_of(row: dict[str, object]) -> tl.Box:
    """The box of a row."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        return tl.loads(text_of(row))


def grid() -> Iterator[dict[str, object]]:
    """Mix by cover by gap by heat, dry starts over near water and other starts: the box the scan was made for."""
    heat = (("", 0.0), ("incandescent or halogen spot", 40.0), ("heat mat under floor", 15.0))
    for mix, cover, start, gap, (device, power) in itertools.product(
        materials.names("substrates"), ("", "leaf litter", "sheet moss"), ("dry", "wet"), (1.0, 2.5, 5.0, 7.5), heat
    ):
        if start == "wet" and gap not in (1.0, 5.0):
            continue
        yield {"mix": mix, "cover": cover, "start": start, "gap_mm": gap, "device": device, "power_w": power}


def drawn(seed: int) -> dict[str, object]:
    """A box drawn at random from what keepers own."""
    r = random.Random(seed)
    side, height = r.uniform(20, 70), r.uniform(25, 100)
    depth, stones_cm = r.uniform(2, 14), r.uniform(2, 6)
    area = (side / 45.0) ** 2
    device = r.choice(("", "", *LAMPS, *materials.names("heaters")))
    power = {"": 0.0, "led": 30.0, "inc": 45.0, "flu": 20.0}.get(device[:3], 15.0) * area * r.uniform(0.3, 1.2)
    row: dict[str, object] = {
        "mix": " + ".join(r.choice(materials.names("substrates")) for _ in range(r.choice((1, 1, 2, 3)))),
        "depth_cm": round(depth, 1),
        "cover": r.choice(("", *materials.names("covers"))),
        "cover_cm": round(r.uniform(1, 4), 1),
        "start": r.choice(("dry", "wet", "drained-moist")),
        "stones": r.choice(("", *materials.names("aggregates"), *materials.names("aggregates"))),
        "stones_cm": round(stones_cm, 1),
        "gap_mm": round(r.choice((r.uniform(0.5, 12), 10.0 * r.uniform(0.2, 1.0) * stones_cm)), 1),
        "device": device,
        "power_w": round(power, 1),
        "lid": r.choice(("mesh", "mesh", 0.2, 1.0, 3.0)),
        "pour_ml": round(r.choice((0.0, 80.0, 300.0)) * area),
        "every_d": r.choice((1, 3)),
        "plants_cm2": round(r.choice((0.0, 500.0, 2500.0)) * area),
        "side_cm": round(side, 1),
        "height_cm": round(max(height, depth + stones_cm + 15.0), 1),
        "fan": r.choice(("", "", 1.0, 5.0)),
        "fog_ml_min": r.choice((0.0, 0.0, 0.0, 5.0)),
        "room_c": round(r.uniform(15, 27), 1),
        "room_rh": round(r.uniform(25, 75)),
    }
    row["gap_mm"] = min(float(row["gap_mm"]), 10.0 * float(row["stones_cm"]) - 1.0)
    row["mesh"] = r.choice(("", *materials.names("meshes")))
    row["draught"] = r.choice(("", "calm", "draughty"))
    row["hide"] = r.choice(("", "", "soil", "damp moss", "dry"))
    row["board"] = r.choice(("", *materials.names("backgrounds")))
    row["under_lamp_cm"] = r.choice((0.0, round(r.uniform(0.5, 1.2) * float(row["height_cm"]), 1)))
    if row["stones"] and r.random() < 0.2:
        row["siphon_gap_mm"] = round(r.uniform(2.0, 10.0), 1)
    return row


def said(row: dict[str, object]) -> str:
    """What of a row is not plain."""
    return ", ".join(f"{name} {value}" for name, value in row.items() if value != PLAIN[name])


def work(settings: Mapping[str, object]) -> float:
    """What a run cost, in soil steps: an air step costs about a quarter of one (measured on the demo)."""
    return settings["soil_steps"] + settings["repeated_steps"] + 0.25 * settings["air_steps"]


def run(box: tl.Box, days: int, accuracy: str) -> tuple[float, float]:
    """CPU seconds and work of a run whose budgets close."""
    before = time.process_time()
    record = tl.simulate(box, days, accuracy=accuracy, record_every_min=60.0)
    spent = time.process_time() - before
    if not (record.closure_water < 1e-9 and record.closure_energy < 1e-6):
        raise AssertionError(f"budgets open: {record.closure_water:.1e} {record.closure_energy:.1e}")
    return spent, work(record.settings)


def say(text: str) -> None:
    """Print a line at once."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def main() -> None:
    """Run the scan."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--wide", type=int, default=0, metavar="N", help="draw N boxes instead of the grid")
    asked.add_argument("--first", type=int, default=0, help="the first seed of --wide, or row of the grid")
    asked.add_argument("--every", type=int, default=1, help="take every so manieth row of the grid")
    asked.add_argument("--days", type=int, default=2)
    asked.add_argument("--accuracy", default="normal")
    asked.add_argument("--slow", type=float, default=10.0, help="times the demo's work from which a box is told of")
    to = asked.parse_args()
    rows = [drawn(to.first + i) for i in range(to.wide)] if to.wide else list(grid())[to.first :: to.every]
    demo = tl.load("fern-hollow")
    run(demo, 1, to.accuracy)
    usual, least = run(demo, to.days, to.accuracy)
    say(f"the demo, {to.days} days: {1000 * usual:.0f} ms, work of {least:.0f} soil steps")
    refused, slow, shares = 0, 0, []
    for place, row in enumerate(rows):
        try:
            spent, mine = run(box_of(row), to.days, to.accuracy)
        except (TerralabError, AssertionError) as error:
            refused += 1
            say(f"{place}: REFUSED {said(row)}: {str(error).split('stopped on ')[-1].split('. Check')[0]}")
            continue
        shares.append(mine / least)
        if shares[-1] > to.slow:
            slow += 1
            say(f"{place}: slow {said(row)}: {shares[-1]:.1f} times the demo's work, {spent / usual:.1f} its CPU time")
    shares.sort()
    say(
        f"{len(rows)} boxes, {refused} refused, {slow} slow; work in times the demo's: median "
        f"{shares[len(shares) // 2]:.2f}, nine in ten below {shares[int(0.9 * len(shares))]:.2f}, most {shares[-1]:.2f}"
    )


if __name__ == "__main__":
    main()
