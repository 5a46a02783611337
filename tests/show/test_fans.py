"""The fan pictures: groups as rows, differences from today, the lid below; they can be read, and say the same in words."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from matplotlib.text import Text

import terralab as tl
from terralab import show
from terralab.answers.fans.alike import groups_of
from terralab.answers.fans.choice import inside
from terralab.answers.fans.faults import Fault, FaultKind
from terralab.errors import TerralabError
from terralab.show.panel.air_picture import AirPicture
from terralab.show.panel.fan_bars import FanBars
from terralab.show.panel.questions import _see_air
from tests.asked import asked
from tests.show.looking import needs_words_inside_and_apart

LEAST_PT = 9.0


@pytest.fixture(scope="module")
def answers() -> list[tl.Answer]:
    """A box with a band, and one without band, spray or fan, with a dollar in its name."""
    fern = tl.load("fern-hollow")
    bare = fern.change(**{"group": "", "routine.sprays": [], "routine.fans": [], "name": "Cost $5 & more"})
    both = asked("all_answers", "fern-hollow", members=4)  # as `tests/answers/test_one_number.py` asks
    return [both.fans, tl.fan_schedules(bare, members=2, pour_members=2)]


def written(picture) -> list[str]:
    return [text.get_text() for text in picture.findobj(Text) if text.get_visible() and text.get_text().strip()]


@pytest.mark.parametrize("us", [False, True])
@pytest.mark.parametrize("which", [0, 1])
def test_each_group_is_a_row_of_differences_from_today(answers: list[tl.Answer], which: int, us: bool) -> None:
    answer = replace(answers[which], us=us)
    picture = show.fans_picture(answer)
    needs_words_inside_and_apart(picture)
    assert min(text.get_fontsize() for text in picture.findobj(Text) if text.get_text().strip()) >= LEAST_PT
    words = written(picture)
    pairs = groups_of(answer)
    for row, group in pairs:
        assert any(row["name"] in one or (group["today"] and "today" in one) for one in words), row["name"]
        assert f"{row['name']}: " in picture.alt
        if answer.details["target"]:
            assert f"{row['name']}: {inside(row['now']):.1f} h inside" in picture.alt
    assert sum(one.startswith("▶ ") for one in words) == 1
    unit = "fl oz" if us else "ml"
    assert unit in words
    assert f" {unit} a day" in picture.alt
    assert ("°F" if us else "°C") in picture.alt
    assert re.search(r"\d °C|\d ml|\d cm", " ".join(words) + picture.alt) is None or not us


def test_the_lid_stands_below_with_its_knee_and_today(answers: list[tl.Answer]) -> None:
    answer = answers[0]
    text = " ".join(written(show.fans_picture(answer))).replace("\n", " ")
    assert f"the knee at {100 * answer.details['knee']:.0f} %" in text
    assert "your lid today, 50 %" in text
    straight = replace(answer, details={**answer.details, "knee": None})
    assert "knee" not in " ".join(written(show.fans_picture(straight)))
    none = replace(answer, details={**answer.details, "covers": []})
    assert "lid" not in show.fans_picture(none).alt


def test_a_difference_one_could_tell_is_bold_and_differs_in_grey(answers: list[tl.Answer]) -> None:
    """More is a mark to the right, less one to the left, and what nobody could tell is a dot: no colour is needed."""
    picture = show.fans_picture(answers[0])
    marks = {line.get_marker() for axes in picture.axes for line in axes.lines}
    assert {"<", ">", "o"} <= marks
    bold = {t.get_text() for t in picture.findobj(Text) if t.get_weight() == "bold"}
    least = min(
        abs(float(t.replace("\N{MINUS SIGN}", "-"))) for t in bold if re.fullmatch(r"[+\N{MINUS SIGN}][\d.]+", t)
    )
    assert least > 0.3


def test_a_sign_before_a_name_is_explained_where_it_stands_and_nowhere_else(answers: list[tl.Answer]) -> None:
    """A ! that nobody explains frightens; its words are those of the faults, in the picture and in what it says."""
    answer = answers[1]
    calm = tuple({**row, "now": {**row["now"], "faults": []}} for row in answer.table)
    fault = Fault(FaultKind.FRONT_ALL_DAY).to_dict()
    marked = ({**calm[0], "now": {**calm[0]["now"], "faults": [fault]}}, *calm[1:])
    for table, there in ((calm, False), (marked, True)):
        picture = show.fans_picture(replace(answer, table=table))
        text = " ".join(written(picture)).replace("\n", " ")
        assert ("A ! before a name: the front pane stays wet all day" in text) == there
        assert ("! today: no fan" in text) == there
        assert ("but the front pane stays wet all day" in picture.alt) == there


def test_danger_stands_before_what_is_recommended(answers: list[tl.Answer]) -> None:
    answer = answers[0]
    warned = "Too hot for these animals: the air reaches 31 °C, 28 °C is the very most; it is so. Move them out."
    hot = replace(answer, first=(warned,), heat={**answer.heat, "verdict": "dangerous"})
    words = written(show.fans_picture(hot))
    assert "Too hot for these animals" in words
    assert "The air reaches 31 °C, 28 °C is the very most." in words
    assert not any(one.startswith("Recommended") for one in words)


def test_words_do_not_collide_however_large_the_amounts_are(answers: list[tl.Answer]) -> None:
    groups = [
        {**group, "than_today": dict.fromkeys(group["than_today"], (-123.4, 1234.5, 2345.6))}
        for group in answers[0].details["groups"]
    ]
    needs_words_inside_and_apart(
        show.fans_picture(replace(answers[0], details={**answers[0].details, "groups": groups}))
    )


def test_a_day_of_the_recommended_schedule(answers: list[tl.Answer]) -> None:
    for answer in answers:
        picture = show.fan_day(answer)
        picture.canvas.draw()
        assert np.asarray(picture.canvas.buffer_rgba()).std() > 5.0
        assert answer.details["choice"] in picture.alt


def test_the_bars_of_the_panel_show_the_same_groups_on_a_scale_that_stays(answers: list[tl.Answer]) -> None:
    """The first look and the answer speak of the same thing on the same scale, so nothing jumps when the answer comes."""
    box = tl.load("fern-hollow")
    seen, _ = _see_air(box)
    picture = AirPicture(FanBars())
    _, first = picture.draw(seen, None, "metric")
    scale = picture.right.get_xlim()
    _, alt = picture.draw(seen, answers[0], "metric")
    assert picture.right.get_xlim() == pytest.approx(scale)
    assert "hours a day as humid as wanted: as set " in first
    best, group = groups_of(answers[0])[0]
    alike = "" if len(group["names"]) == 1 else " and "
    assert f"wanted: {best['name']}{alike}" in alt
    assert f"{inside(best['now']):.1f} h" in alt
    assert "…" not in alt
    bars = picture.side.bars  # the longest words behind the longest bar stay inside too
    room = picture.right.get_xlim()[1] / 24.0
    bars.show(["no fan"], [24.0], ["24.0 h (+18 alike)"], pale=False, room=room)
    assert bars.texts[0].get_window_extent().x1 < picture.pixels.shape[1]


@pytest.mark.parametrize("name", ["fans_picture", "fan_day"])
def test_other_things_are_refused(name: str) -> None:
    with pytest.raises(TerralabError, match="fan_schedules"):
        getattr(show, name)("an answer")
