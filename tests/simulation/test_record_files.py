"""Files of records from strangers: one that was cut, altered or saved by another version is refused by name."""

from __future__ import annotations

import io
import json
import os
import pickle
import random
import zipfile

import numpy as np
import pytest

import terralab as tl
from terralab.errors import FileError, TerralabError
from terralab.simulation import record_file


@pytest.fixture(scope="module")
def record():
    return tl.simulate(tl.load("moss-jar"), 1, accuracy="preview", record_every_min=60)


@pytest.fixture
def path(record, tmp_path):
    return record.save(tmp_path / "run.npz")


def parts(path) -> dict[str, np.ndarray]:
    with np.load(path) as data:
        return {name: data[name] for name in data.files}


def about(kept, **changes) -> np.ndarray:
    return np.frombuffer(json.dumps({**json.loads(bytes(kept["about"]).decode()), **changes}).encode(), np.uint8)


def refused(path) -> str:
    with pytest.raises(TerralabError) as caught:
        tl.Record.load(path)
    assert type(caught.value) in (TerralabError, FileError)
    assert str(path) in str(caught.value)
    return str(caught.value)


def test_a_whole_record_is_read_back_to_the_last_bit(record, path):
    again = tl.Record.load(path)
    assert again.box == record.box
    assert dict(again.settings) == dict(record.settings)
    for name in record.series:
        np.testing.assert_array_equal(again.series[name], record.series[name])


def test_a_cut_or_altered_byte_is_never_read_as_a_number(record, path):
    """At any place of the file: it is refused, or the change lies where nothing stands and the record is the same."""
    whole, chance = path.read_bytes(), random.Random(1)
    for _ in range(60):
        path.write_bytes(whole[: chance.randrange(len(whole))])
        refused(path)
    for _ in range(60):
        place = chance.randrange(len(whole))
        path.write_bytes(whole[:place] + bytes([whole[place] ^ (1 << chance.randrange(8))]) + whole[place + 1 :])
        try:
            again = tl.Record.load(path)
        except TerralabError:
            refused(path)
            continue
        assert again.raw.flow.tobytes() == record.raw.flow.tobytes()
        assert again.raw.zones.tobytes() == record.raw.zones.tobytes()
        assert again.box == record.box


def test_a_number_changed_with_the_usual_tools_is_noticed(path):
    kept = parts(path)
    kept["water"] = kept["water"] * 1.01
    np.savez(path, **kept)
    assert "altered" in refused(path)
    assert "tl.simulate(box, 1)" in refused(path)


def test_another_box_in_the_same_record_is_noticed(path):
    kept = parts(path)
    kept["about"] = about(kept, box=tl.dumps(tl.load("fern-hollow")))
    np.savez(path, **kept)
    assert "altered" in refused(path)


@pytest.mark.parametrize("other", ["version", "no sum", "a flow more", "a flow less", "an array less", "rows"])
def test_a_record_of_another_version_is_named_as_one(path, other):
    kept = parts(path)
    if other == "version":
        kept["about"] = about(
            kept, settings={**json.loads(bytes(kept["about"]).decode())["settings"], "version": "0.0.9"}
        )
    elif other == "no sum":
        del kept["sum"]
    elif other == "an array less":
        del kept["surface"]
    elif other == "rows":
        kept["head"] = kept["head"][:-1]
    else:
        names = [*kept["flow"].dtype.names]
        names = [*names, "heat of tomorrow"] if other == "a flow more" else names[:-1]
        kept["flow"] = np.zeros(len(kept["flow"]), [(name, float) for name in names])
    np.savez(path, **kept)
    said = refused(path)
    assert ("0.0.9" if other == "version" else "another terralab") in said
    assert "tl.simulate(box, 1)" in said


def test_nothing_in_a_record_is_carried_out(path, tmp_path):
    """Python's own pickles run what their writer put into them; numpy would read them if it were let."""

    class Command:
        def __reduce__(self):
            return os.mkdir, (str(tmp_path / "ran"),)

    kept = parts(path)
    kept["water"] = np.array([Command()], dtype=object)
    np.savez(path, **kept)
    refused(path)
    path.write_bytes(pickle.dumps(Command()))
    refused(path)
    assert not (tmp_path / "ran").exists()


def test_files_that_are_something_else_are_refused(path, tmp_path):
    bomb = io.BytesIO()
    with zipfile.ZipFile(bomb, "w") as held:
        # a head that promises a hundred terabytes
        held.writestr(
            "about.npy",
            b"\x93NUMPY\x01\x00v\x00"
            + b"{'descr':'<f8','fortran_order':False,'shape':(10000000000000,)}".ljust(117)
            + b"\n",
        )
    for data in (b"", b"PK\x05\x06" + 18 * b"\0", b"\x93NUMPY", b"<html>", bomb.getvalue()):
        path.write_bytes(data)
        refused(path)
    refused(tmp_path)
    assert "no file" in refused(tmp_path / "nowhere.npz")


def test_a_record_that_was_packed_is_not_unpacked(path):
    """A packed file of a few kB may unpack to any size; terralab packs none."""
    np.savez_compressed(path, **parts(path))
    assert "Nothing of it was read" in refused(path)


def test_the_sum_covers_how_bytes_are_read():
    """The same bytes as another shape or type would be other numbers."""
    one = {name: np.arange(6.0) for name in record_file.ARRAYS}
    other = {**one, "t": np.arange(6.0).reshape(2, 3)}
    text = np.zeros(3, np.uint8)
    assert record_file._sum(text, one).tobytes() != record_file._sum(text, other).tobytes()
    other = {**one, "t": np.arange(6.0).view(np.int64)}
    assert record_file._sum(text, one).tobytes() != record_file._sum(text, other).tobytes()
