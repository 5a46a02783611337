"""Every layout of one week of readings gives the same log, and says how it was read."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

import terralab as tl
from tests.logs.layouts import BOX_ALONE, BOX_AND_ROOM, BOX_C, BOX_RH, ROOM_C, ROOM_RH, TIMES

EXPECTED = np.array(TIMES, dtype="datetime64[s]")


def read(path: Path, content: str | bytes, options: dict) -> tl.Log:
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return tl.read_log(path, **options)


def same(log: tl.Log, room: bool) -> None:
    np.testing.assert_array_equal(log.times, EXPECTED)
    assert set(log.sensors) == ({"box", "room"} if room else {"box"})
    np.testing.assert_allclose(log.sensors["box"].temperature_c, BOX_C, atol=0.011)
    np.testing.assert_allclose(log.sensors["box"].humidity, BOX_RH, atol=0.051)
    if room:
        np.testing.assert_allclose(log.sensors["room"].temperature_c, ROOM_C, atol=0.011)
        np.testing.assert_allclose(log.sensors["room"].humidity, ROOM_RH, atol=0.051)
    assert not log.sensors["box"].at_least.any()
    assert log.missing_share == 0.0
    said = log.understood
    assert "340 rows from 1 May 2026 00:00 to 8 May 2026 01:30, one every 30 minutes" in said
    assert not re.search(r"\bnan\b|None|\bnp\.|<", said), said


@pytest.mark.parametrize("name", BOX_ALONE)
def test_every_layout_of_one_sensor_gives_the_same_log(name, tmp_path):
    same(read(tmp_path / "log.csv", *BOX_ALONE[name]), room=False)


@pytest.mark.parametrize("name", BOX_AND_ROOM)
def test_every_layout_of_two_sensors_gives_the_same_log(name, tmp_path):
    same(read(tmp_path / "log.csv", *BOX_AND_ROOM[name]), room=True)
