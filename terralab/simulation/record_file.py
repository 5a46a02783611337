"""The file in which a record is kept: plain arrays, the description as text, and a sum over both.

Nothing in such a file is carried out, and only one that is whole, unchanged and of this version is read: a number out of
a damaged record would look like any other.
"""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from collections.abc import Mapping
from pathlib import Path

import numpy as np

from terralab.atomic_files import read_whole
from terralab.engine.carry import EndState
from terralab.engine.tables import BOX, FLOW, MOVED, SURFACE, SURFACE_STATE, ZONE, ZONE_STATE
from terralab.errors import TerralabError, visible
from terralab.simulation.raw import ARRAYS, PARTS, Raw
from terralab.version import VERSION

#: The tables of today; a record with others was written by another version.
_TABLES = {
    "zones": ZONE_STATE, "surfaces": SURFACE_STATE, "flow": FLOW, "moved": MOVED, "constants": BOX, "zone": ZONE,
    "surface": SURFACE,
}  # fmt: skip
#: Of what a run with changes holds for each of its parts.
_PART_TABLES = {"part_constants": BOX, "part_zone": ZONE, "part_surface": SURFACE}
LARGEST_FILE = 4_000_000_000  # bytes; two years with a row each minute take half of it
_END = "end "  # before the names of the arrays in which the run stood at its end
#: Arrays with one row a saved time.
_BY_TIME = ("t", "zones", "surfaces", "chain", "water", "head", "flow", "moved")


def packed(box: str, season: str, settings: Mapping[str, object], raw: Raw) -> bytes:
    """Return the whole file: the text of the box, its season and settings, and the arrays, without loss."""
    texts: dict[str, object] = {"box": box, "season": season, "settings": dict(settings)}
    arrays = {name: np.asarray(getattr(raw, name)) for name in ARRAYS}
    arrays |= {name: getattr(raw, name) for name in PARTS if getattr(raw, name) is not None}
    if (end := raw.end) is not None:
        texts["end"] = [end.t, end.wanted, end.size, list(end.devices), [list(key) for key in end.surfaces]]
        arrays |= {_END + name: array for name, array in end.arrays.items()}
    about = np.frombuffer(json.dumps(texts).encode(), np.uint8)
    held = io.BytesIO()
    np.savez(held, about=about, sum=_sum(about, arrays), **arrays)
    return held.getvalue()


def unpacked(path: Path) -> tuple[str, str, dict[str, object], Raw]:
    """Return what `packed` was given. Raises `TerralabError`: no file, no record, cut or altered, of another version."""
    shown = visible(str(path))
    data = read_whole(
        path,
        LARGEST_FILE,
        missing=f"There is no file {shown}.",
        larger=f"{shown} is larger than {LARGEST_FILE // 10**9} GB, and no record is.",
        wanted="a record (.npz) that terralab saved",
    )
    if not zipfile.is_zipfile(io.BytesIO(data)):
        raise TerralabError(f"{shown} is not a record that terralab saved, or it was cut short.")
    try:
        return _read(data, shown)
    except TerralabError:
        raise
    except Exception:  # whatever bytes of a stranger make the readers of zips, arrays and texts say
        raise TerralabError(
            f"{shown} is not a record that terralab saved, or it was cut or altered since. Nothing of it was read."
        ) from None


def _read(data: bytes, shown: str) -> tuple[str, str, dict[str, object], Raw]:
    """What `unpacked` gives, out of the bytes of the file called `shown`."""
    with np.load(io.BytesIO(data), allow_pickle=False) as found:
        # terralab packs nothing, and a file that was packed by somebody else may unpack to any size
        if sum(part.file_size for part in found.zip.infolist()) > len(data):
            raise ValueError("packed")
        kept = {name: found[name] for name in found.files}
    about = json.loads(bytes(kept["about"]).decode())
    box, season, settings = about["box"], about["season"], dict(about["settings"])
    days, version, end = float(settings["days"]), settings["version"], about.get("end")
    again = f"Run its box again: tl.simulate(box, {days:g})."
    # an older file knows no sum; one of today without it was altered, and has to be made anew all the same
    if version != VERSION or "sum" not in kept or not _of_today(kept):
        raise TerralabError(
            f"{shown} was saved by another terralab ({visible(str(version))[:20]}); this is {VERSION}, which holds other "
            f"quantities. {again}"
        )
    arrays = {name: array for name, array in kept.items() if name not in ("about", "sum")}
    if kept["sum"].tobytes() != _sum(kept["about"], arrays).tobytes():
        raise TerralabError(f"{shown} was altered since terralab saved it, so none of its numbers is read. {again}")
    arrays["constants"] = arrays["constants"][()]
    state = None
    if end is not None:
        states = {name.removeprefix(_END): array for name, array in arrays.items() if name.startswith(_END)}
        t, wanted, size, devices, surfaces = end
        state = EndState(states, t, wanted, size, tuple(devices), tuple(map(tuple, surfaces)))
    whole = {name: arrays[name] for name in (*ARRAYS, *PARTS) if name in arrays}
    return box, season, settings, Raw(**whole, end=state)


def _of_today(kept: Mapping[str, np.ndarray]) -> bool:
    """True when the arrays are those of this version: the same names, quantities and rows."""
    if set(ARRAYS) - set(kept) or any(kept[name].dtype.names != table.names for name, table in _TABLES.items()):
        return False
    parts = {name: table for name, table in _PART_TABLES.items() if name in kept}
    if any(kept[name].dtype.names != table.names for name, table in parts.items()):
        return False
    return all(kept[name].ndim and len(kept[name]) == len(kept["t"]) for name in _BY_TIME)


def _sum(about: np.ndarray, arrays: Mapping[str, np.ndarray]) -> np.ndarray:
    """Return a sum over every byte, and over how the bytes are to be read."""
    total = hashlib.sha256(about.tobytes())
    for name in sorted(arrays):
        one = arrays[name]
        total.update(f"{name} {one.dtype.descr} {one.shape}".encode())
        total.update(one.tobytes())
    return np.frombuffer(total.digest(), np.uint8)
