"""Openings and fans of a description as rows for `engine.network`, and what a fan moves by itself."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from terralab.describe.enclosure import Enclosure
from terralab.describe.opening import Opening
from terralab.describe.routine import Fan
from terralab.engine.network import FAN, GIVEN, LEVEL, UPRIGHT, exchanged
from terralab.engine.tables import OPENING
from terralab.jit import COMPILED
from terralab.materials import get
from terralab.physics.fan import blowing_loss
from terralab.physics.mesh import mesh_friction, screen_pair, sheet_pair
from terralab.physics.mixing import outlet_speed
from terralab.physics.openings import AIR_DENSITY, EDGE, bare_loss

NO_ROW = -1.0
BARE_COLUMN = 0.01  # m, columns at a bare lid, where their length counts for nothing
LIMIT = 1e-9  # m2/s: diffusion does not count where a fan is looked at alone


def open_area(opening: Opening) -> float:
    """Area [m2] of an opening that is not covered."""
    return opening.area_cm2 / 1e4 * (1.0 - opening.covered)


def opening_rows(enclosure: Enclosure, pick: Callable, draught: float = 0.0, tops: Sequence[float] = ()) -> np.ndarray:
    """Every opening of an enclosure as rows of OPENING, in their order; each has its own edges, area and mesh.

    `pick(table, name, property)` gives numbers of the materials tables; `draught` [m/s] is the air of the room, `tops` [m]
    are the upper edges of the zones: an opening that reaches over two is a row in each.
    """
    return np.array([row for rows in _pieces(enclosure, pick, draught, tops) for row in rows], OPENING)


def _pieces(enclosure: Enclosure, pick: Callable, draught: float, tops: Sequence[float]) -> list[list[np.void]]:
    """The rows of each opening."""
    out = []
    inertial = bare_loss(pick("defaults", "discharge coefficient", "factor"))
    for opening in enclosure.openings:
        row = np.zeros(1, OPENING)[0]
        viscous, further = 0.0, 0.0
        if opening.mesh_is_known:
            viscous, further = mesh_losses(opening, pick)
        elif opening.mesh:
            viscous = mesh_friction(pick("defaults", "mesh exchange", "factor"), inertial)
        row["area"] = open_area(opening) if math.isfinite(viscous) else 0.0
        row["viscous"], row["inertial"] = EDGE + viscous, inertial + further
        row["rim"] = inertial
        row["draught"] = gust(opening.wall, draught)
        if opening.wall == "lid":
            row["kind"], row["bottom"] = LEVEL, enclosure.height_cm / 100.0
            # a bare hole passes the same whatever its columns
            row["turning"] = pick("defaults", "lid column", "length") if opening.mesh else BARE_COLUMN
            row["top"] = row["bottom"]
        else:
            row["kind"], row["bottom"] = UPRIGHT, opening.bottom_cm / 100.0
            row["top"] = (opening.bottom_cm + opening.height_cm) / 100.0
        out.append(cut(row, tops))
    return out


def gust(wall: str, draught: float) -> float:
    """Pressure [Pa] by which the room's air, `draught` [m/s], pushes or sucks at a wall: half its energy each way."""
    return {"lid": 0.0, "front": 0.5, "left": 0.5, "back": -0.5, "right": -0.5}[wall] * 0.5 * AIR_DENSITY * draught**2


def cut(row: np.void, tops: Sequence[float]) -> list[np.void]:
    """An opening in pieces, one in each zone it reaches, by the upper edges of the zones [m]. `full` holds their areas."""
    row["full"] = row["area"]
    last = max(0, len(tops) - 1)
    if row["kind"] == LEVEL:
        row["zone"] = last
        return [row]
    out = []
    low = -math.inf
    for zone, top in enumerate([*tops[:last], math.inf]):
        bottom, upper = max(row["bottom"], low), min(row["top"], top)
        if upper - bottom > 1e-6:
            piece = row.copy()
            share = (upper - bottom) / (row["top"] - row["bottom"])
            piece["bottom"], piece["top"], piece["zone"] = bottom, upper, zone
            piece["area"], piece["full"] = share * row["area"], share * row["area"]
            out.append(piece)
        low = top
    return out


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


def fan_rows(
    enclosure: Enclosure, fans: Sequence[Fan], pick: Callable, draught: float = 0.0, tops: Sequence[float] = ()
) -> tuple[np.ndarray, list[dict]]:
    """The openings with a row more for each fan that moves air through them, and for every fan its entries in DEVICE.

    A given flow is what the fan moves, whatever stands against it. Of a free flow without shut-off pressure a share
    passes (the default "fan through mesh"). With a shut-off pressure the fan is one more opening, behind a push; its
    face takes its place from the opening it sits in, the largest where none is named, and has that opening's mesh.
    """
    pieces = _pieces(enclosure, pick, draught, tops)
    rows = [row for own in pieces for row in own]
    starts = np.concatenate([[0], np.cumsum([len(own) for own in pieces])]).astype(int)
    entries: list[dict] = []
    for fan in fans:
        entry = {"vent_row": NO_ROW, "seat_row": NO_ROW}
        entries.append(entry)
        if fan.mode == "circulate":
            if len(tops) > 1:  # one air alone is mixed as it is
                entry["jet_flow"], entry["jet_diameter"] = _jet(fan, enclosure, pick)
            continue
        if not can_move(fan, enclosure):
            continue
        seat = _seat(fan, enclosure)
        own = pieces[seat]
        place = int(np.argmax([piece["full"] for piece in own]))
        entry |= {"vent_row": float(len(rows)), "vent_rows": 1.0}
        if fan.shut_off_pa is not None:
            row, face = _face(fan, enclosure.openings[seat], own[place], pick)
            entry |= {"seat_row": float(starts[seat] + place), "face": face}
        else:
            flow = fan.flow_m3_h
            if flow is None:
                flow = fan.free_flow_m3_h * pick("defaults", "fan through mesh", "delivered")
            row = own[place].copy()
            row["kind"], row["area"], row["full"] = GIVEN, 0.0, 1.0
            row["given"] = (-flow if fan.direction == "in" else flow) / 3600.0
        rows.append(row)
    return np.array(rows, OPENING), entries


def _jet(fan: Fan, enclosure: Enclosure, pick: Callable) -> tuple[float, float]:
    """What a circulating fan blows [m3/s] out of its face [m], so that its air still has the speed given half way down."""
    diameter = fan.diameter_cm / 100.0 if fan.diameter_cm else pick("defaults", "fan face", "diameter")
    speed = outlet_speed(fan.air_speed_cm_s / 100.0, diameter, 0.5 * enclosure.air_height_cm / 100.0)
    return speed * math.pi / 4.0 * diameter**2, diameter


def delivered(fan: Fan, enclosure: Enclosure, pick: Callable) -> float:
    """Flow [m3/s] that `fan` moves through the openings while box and room are equally warm and damp.

    0 for a circulating one or where no air can pass.
    """
    rows, (entry,) = fan_rows(enclosure, [fan], pick)
    if entry["vent_row"] < 0.0:
        return 0.0
    rows[int(entry["vent_row"])]["area"] = rows[int(entry["vent_row"])]["full"]
    if entry["seat_row"] >= 0.0:
        rows[int(entry["seat_row"])]["area"] -= entry["face"]
    if not COMPILED:
        rows = rows.view(np.recarray)
    _, moved, _, _ = exchanged(np.zeros((1, 2)), LIMIT, rows, 0.0, 0.0)
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
    own["kind"], own["bottom"], own["top"] = FAN, middle, middle
    own["area"], own["full"] = 0.0, face
    if seat.mesh_is_known:
        viscous, inertial = mesh_losses(seat, pick)
    else:
        porosity = pick("defaults", "mesh screen", "porosity") if seat.mesh else 1.0
        viscous, inertial = screen_pair(porosity, pick("defaults", "mesh screen", "thread_mm") / 1000.0)
    own["viscous"] = viscous + blowing_loss(fan.free_flow_m3_h / 3600.0, fan.shut_off_pa, face)
    own["inertial"] = inertial
    own["push"] = -fan.shut_off_pa if fan.direction == "in" else fan.shut_off_pa
    return own, face
