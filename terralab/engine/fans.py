"""Openings and fans of a description as rows for `engine.network`, and what a fan moves by itself."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from terralab.describe.enclosure import Enclosure
from terralab.describe.opening import Opening
from terralab.describe.routine import Fan
from terralab.engine.network import FAN, LEVEL, UPRIGHT, exchanged
from terralab.engine.tables import OPENING
from terralab.jit import COMPILED
from terralab.materials import get
from terralab.physics.fan import blowing_loss
from terralab.physics.mesh import mesh_friction, screen_pair, sheet_pair
from terralab.physics.openings import EDGE, bare_loss

NO_ROW = -1.0
LIMIT = 1e-9  # m2/s: diffusion does not count where a fan is looked at alone


def open_area(opening: Opening) -> float:
    """Area [m2] of an opening that is not covered."""
    return opening.area_cm2 / 1e4 * (1.0 - opening.covered)


def opening_rows(enclosure: Enclosure, pick: Callable) -> np.ndarray:
    """Every opening of an enclosure as a row of OPENING, in their order; each has its own edges, area and mesh.

    `pick(table, name, property)` gives numbers of the materials tables.
    """
    rows = np.zeros(len(enclosure.openings), OPENING)
    inertial = bare_loss(pick("defaults", "discharge coefficient", "factor"))
    for row, opening in zip(rows, enclosure.openings, strict=True):
        viscous, further = 0.0, 0.0
        if opening.mesh_is_known:
            viscous, further = mesh_losses(opening, pick)
        elif opening.mesh:
            viscous = mesh_friction(pick("defaults", "mesh exchange", "factor"), inertial)
        row["area"] = open_area(opening) if math.isfinite(viscous) else 0.0
        row["viscous"], row["inertial"] = EDGE + viscous, inertial + further
        if opening.wall == "lid":
            row["kind"], row["bottom"] = LEVEL, enclosure.height_cm / 100.0
            row["top"] = row["bottom"]
        else:
            row["kind"], row["bottom"] = UPRIGHT, opening.bottom_cm / 100.0
            row["top"] = (opening.bottom_cm + opening.height_cm) / 100.0
    return rows


def mesh_losses(opening: Opening, pick: Callable) -> tuple[float, float]:
    """Viscous [Pa s/m] and inertial [Pa s2/m2] loss of a mesh that is known: by its kind, or by its own numbers.

    Those of the opening outrank those of the kind. The default "mesh law" says how far a real mesh may lie off its law.
    """
    kind = opening.mesh if isinstance(opening.mesh, str) else ""
    share = opening.open_share
    if share is None:
        share = pick("meshes", kind, "open_share")
    if kind and "hole_mm" in get("meshes", kind):
        pair = sheet_pair(share, pick("meshes", kind, "hole_mm") / 1e3, pick("meshes", kind, "sheet_mm") / 1e3)
    else:
        thread = opening.thread_mm
        pair = screen_pair(share, (pick("meshes", kind, "thread_mm") if thread is None else thread) / 1e3)
    off = pick("defaults", "mesh law", "factor")
    return off * pair[0], off * pair[1]


def fan_rows(enclosure: Enclosure, fans: Sequence[Fan], pick: Callable) -> tuple[np.ndarray, list[dict]]:
    """The openings with a row more for each fan that follows a curve, and for every fan in turn its entries in DEVICE.

    A given flow is what the fan moves, whatever stands against it. Of a free flow without shut-off pressure a share
    passes (the default "fan through mesh"). With a shut-off pressure the fan is one more opening, behind a push; its
    face takes its place from the opening it sits in, the largest where none is named, and has that opening's mesh.
    """
    rows = list(opening_rows(enclosure, pick))
    entries: list[dict] = []
    for fan in fans:
        entry = {"fan_row": NO_ROW, "seat_row": NO_ROW}
        entries.append(entry)
        if fan.mode != "exchange" or not can_move(fan, enclosure):
            continue
        if fan.shut_off_pa is not None:
            seat = _seat(fan, enclosure)
            row, face = _face(fan, enclosure.openings[seat], rows[seat], pick)
            entry |= {"fan_row": float(len(rows)), "seat_row": float(seat), "face": face}
            rows.append(row)
            continue
        flow = fan.flow_m3_h
        if flow is None:
            flow = fan.free_flow_m3_h * pick("defaults", "fan through mesh", "delivered")
        entry["fan_in" if fan.direction == "in" else "fan_out"] = flow / 3600.0
    return np.array(rows, OPENING), entries


def delivered(fan: Fan, enclosure: Enclosure, pick: Callable) -> float:
    """Flow [m3/s] that `fan` moves through the openings while box and room are equally warm and damp.

    0 for a circulating one or where no air can pass.
    """
    rows, (entry,) = fan_rows(enclosure, [fan], pick)
    out, into = entry.get("fan_out", 0.0), entry.get("fan_in", 0.0)
    if entry["fan_row"] >= 0.0:
        rows[int(entry["fan_row"])]["area"] = entry["face"]
        rows[int(entry["seat_row"])]["area"] -= entry["face"]
    if not COMPILED:
        rows = rows.view(np.recarray)
    _, moved, _ = exchanged(0.0, LIMIT, rows, out, into, 0.0)
    return moved


def can_move(fan: Fan, enclosure: Enclosure) -> bool:
    """True where air can pass: something is open, and the opening the fan sits in is not covered altogether."""
    open_ones = {o.name for o in enclosure.openings if o.covered < 1.0}
    return bool(open_ones) and (not fan.opening or fan.opening in open_ones)


def _seat(fan: Fan, enclosure: Enclosure) -> int:
    """The opening a fan sits in: the one it names, else the largest."""
    if fan.opening:
        return [opening.name for opening in enclosure.openings].index(fan.opening)
    return int(np.argmax([open_area(opening) for opening in enclosure.openings]))


def _face(fan: Fan, seat: Opening, row: np.void, pick: Callable) -> tuple[np.void, float]:
    """The row of a fan that follows its curve, with no area yet, and the area [m2] of its face.

    The rim of the fan's frame is in the maker's curve, the mesh before it is not.
    """
    diameter = fan.diameter_cm / 100.0 if fan.diameter_cm else pick("defaults", "fan face", "diameter")
    face = min(math.pi / 4.0 * diameter**2, open_area(seat))
    own = row.copy()
    middle = 0.5 * (row["bottom"] + row["top"])
    own["kind"], own["bottom"], own["top"], own["area"] = FAN, middle, middle, 0.0
    if seat.mesh_is_known:
        viscous, inertial = mesh_losses(seat, pick)
    else:
        porosity = pick("defaults", "mesh screen", "porosity") if seat.mesh else 1.0
        viscous, inertial = screen_pair(porosity, pick("defaults", "mesh screen", "thread_mm") / 1000.0)
    own["viscous"] = viscous + blowing_loss(fan.free_flow_m3_h / 3600.0, fan.shut_off_pa, face)
    own["inertial"] = inertial
    own["push"] = -fan.shut_off_pa if fan.direction == "in" else fan.shut_off_pa
    return own, face
