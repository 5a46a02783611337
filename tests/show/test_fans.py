"""The fan pictures: they draw every schedule, say the same in words, and refuse what is no fan answer."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from matplotlib.text import Text

import terralab as tl
from terralab import show
from terralab.answers.fans.faults import Fault, FaultKind
from terralab.errors import TerralabError
from terralab.show.figures.fans import states_of
from terralab.show.figures.style import png
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


def test_a_sign_before_a_name_is_explained_where_it_stands_and_nowhere_else(answers: list[tl.Answer]) -> None:
    """A ! that nobody explains frightens; its words are those of the faults, in the picture and in what it says."""
    answer = answers[1]
    calm = tuple({**row, "now": {**row["now"], "faults": []}} for row in answer.table)
    fault = Fault(FaultKind.FRONT_ALL_DAY).to_dict()
    marked = ({**calm[0], "now": {**calm[0]["now"], "faults": [fault]}}, *calm[1:])
    for table, there in ((calm, False), (marked, True)):
        picture = show.fans_picture(replace(answer, table=table))
        written = " ".join(text.get_text() for text in picture.findobj(Text)).replace("\n", " ")
        assert ("A ! before a name: the front pane stays wet all day" in written) == there
        assert ("! no fan" in written) == there
        assert ("but the front pane stays wet all day" in picture.alt) == there


def test_words_do_not_collide(answers: list[tl.Answer]) -> None:
    """However large the amounts are: every number stands beside its bar and clear of the next."""
    for answer in answers:
        much = tuple(
            {**row, "now": {**row["now"], "water_ml": 12345.0, "dry_out_h": 23.5, "front_fogged_h": 24.0}}
            for row in answer.table
        )
        picture = show.fans_picture(replace(answer, table=much))
        png(picture)
        boxes = [
            (t.get_text(), Text.get_window_extent(t))
            for t in picture.findobj(Text)
            if t.get_text().strip() and t.get_visible()
        ]
        for number, (words, a) in enumerate(boxes):
            assert a.x1 <= 1201, words
            for other, b in boxes[:number]:
                over = min(a.x1, b.x1) - max(a.x0, b.x0), min(a.y1, b.y1) - max(a.y0, b.y0)
                assert over[0] <= 2 or over[1] <= 2, (words, other)


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
