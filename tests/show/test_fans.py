"""The fan pictures: they draw every schedule, say the same in words, and refuse what is no fan answer."""

from __future__ import annotations

import numpy as np
import pytest

import terralab as tl
from terralab import show
from terralab.errors import TerralabError
from terralab.show.figures.fans import states_of
from tests.asked import asked

BAND = {"day_low": 50, "day_high": 80, "night_low": 70, "night_high": 100, "day_from": "08:00", "day_to": "20:00"}


@pytest.fixture(scope="module")
def answers() -> list[tl.Answer]:
    """A box with a band, and one without band, spray or fan."""
    fern = tl.load("fern-hollow")
    bare = fern.change(**{"group": "", "routine.sprays": [], "routine.fans": [], "name": "Cost $5 & more"})
    both = asked("all_answers", "fern-hollow", members=4)  # as `tests/answers/test_one_number.py` asks
    return [both.fans, tl.fan_schedules(bare, members=2, pour_members=2)]


@pytest.mark.parametrize("name", ["fans_picture", "fan_trade_off", "fan_day"])
@pytest.mark.parametrize("which", [0, 1])
def test_pictures_are_drawn_and_described(answers: list[tl.Answer], name: str, which: int) -> None:
    picture = getattr(show, name)(answers[which])
    picture.canvas.draw()
    pixels = np.asarray(picture.canvas.buffer_rgba())
    assert pixels.shape[1] == 1200
    assert pixels.std() > 5.0
    assert len(picture.alt) > 80
    if name == "fans_picture":
        for row in answers[which].table:
            assert row["name"] in picture.alt
    elif name == "fan_day":
        assert answers[which].details["choice"] in picture.alt


def test_half_hours_are_judged_by_day_and_by_night() -> None:
    rh = [60.0] * 48
    states = states_of(rh, BAND)
    assert states[:16] == [-1] * 16
    assert states[16:40] == [0] * 24
    assert states[40:] == [-1] * 8
    assert states_of([101.0] * 48, BAND)[:2] == [1, 1]
    past_midnight = BAND | {"day_from": "20:00", "day_to": "08:00"}
    assert states_of(rh, past_midnight)[0] == 0


@pytest.mark.parametrize("name", ["fans_picture", "fan_trade_off", "fan_day"])
def test_other_things_are_refused(name: str) -> None:
    with pytest.raises(TerralabError, match="fan_schedules"):
        getattr(show, name)("an answer")
