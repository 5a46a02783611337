"""The mister's picture: every way that was tried and every named choice, the same in words, and nothing without runs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from matplotlib.collections import PathCollection

import terralab as tl
from terralab import show
from terralab.errors import TerralabError
from tests.asked import asked
from tests.show.looking import needs_us_units


def test_all_that_was_tried_is_drawn_and_said() -> None:
    answer = asked("mister", "fern-hollow", members=4)
    picture = show.mister_picture(answer)
    picture.canvas.draw()
    assert np.asarray(picture.canvas.buffer_rgba()).std() > 5.0
    wet, water = picture.axes
    for axes, name in ((wet, "wet_h"), (water, "ml")):
        marks = np.vstack([one.get_offsets() for one in axes.collections if isinstance(one, PathCollection)])
        expected = sorted((row[name], row["inside_h"]) for row in answer.table)
        assert sorted(map(tuple, marks.tolist())) == expected
        assert len(axes.containers) == len(answer.details["choices"])
    assert "wet" in wet.get_xlabel()
    assert "ml" in water.get_xlabel()
    assert f"{len(answer.table)} ways" in picture.alt
    for one in answer.details["choices"]:
        assert f"{one['inside_h'][1]:.1f} h in the band" in picture.alt
    needs_us_units(show.mister_picture(replace(answer, us=True)))


def test_what_was_not_tried_cannot_be_drawn() -> None:
    with pytest.raises(TerralabError, match="no mister was tried"):
        show.mister_picture(asked("mister", "moss-jar", members=4))
    with pytest.raises(TerralabError):
        show.mister_picture(tl.load("moss-jar"))
