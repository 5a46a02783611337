"""The picture of a watering answer: one settled day of the air, the soil, and where the water goes; large, and in a panel."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from types import SimpleNamespace

import numpy as np
import pytest
from matplotlib.colors import to_hex
from PIL import Image

import terralab as tl
from terralab.answers.common.balance import budget_ml
from terralab.answers.common.humidity_target import hours
from terralab.answers.common.recommended import seen_rows
from terralab.answers.common.statement import Verdict
from terralab.answers.common.temperature import judged, last_days
from terralab.answers.drainage.bottoms import wet_band_cm
from terralab.describe import Fan, Pour, Spray, Timer
from terralab.describe.box import HumidityTarget
from terralab.describe.wanted import Temperatures
from terralab.quantities import METRIC, US, said
from terralab.show import water_picture, week_picture
from terralab.show.figures import day_air, day_strips
from terralab.show.figures import style as looks
from terralab.show.figures.budget import number
from terralab.show.figures.profile import profile_of
from terralab.show.figures.settled import SettledDay, Wanted, danger_of, right_or_wrong, settled_day_of, stretches
from terralab.show.figures.style import Picture, add_panel, plain_look
from terralab.show.figures.wanted import draw_outside, draw_wanted
from terralab.show.panel.air_picture import Air, AirPicture
from terralab.show.panel.bottom import BottomPicture
from terralab.show.panel.fan_bars import FanBars
from terralab.show.panel.pictures import SurePicture
from terralab.simulation.simulate import simulate
from tests.answers import faces, us_box
from tests.asked import asked
from tests.show.looking import ALLOWED, drawn, needs_words_inside_and_apart

A4_IN = (
    8.0 * 25.2 / 17.0
)  # a picture of eight inches is set 17 cm wide; so much of a sheet of A4 is as high as it may be


def with_box(answer: tl.Answer, **changes) -> tl.Answer:
    """The same answer and record, said to be of a box with other wants or another routine."""
    record = answer.record
    return replace(answer, record=replace(record, box=replace(record.box, **changes)))


@pytest.fixture(scope="module")
def fern() -> tl.Answer:
    return asked("daily_water", "fern-hollow", members=8)


@pytest.fixture(scope="module")
def answers(fern) -> dict[str, tl.Answer]:
    """Boxes unlike each other; the first three are asked about by other files too, the rest are made of them."""
    desert = asked("daily_water", "dry-ledge", members=8)  # kept dry, a basking lamp, a hide, no drainage layer
    jar = asked("all_answers", "moss-jar", members=4).water  # one air, moss, no fan, sprayed on some days
    busy = replace(
        fern.record.box.routine,
        fans=tuple(
            Fan(
                name=f"circulating fan behind the cork wall {k}",
                mode="circulate",
                timer=Timer("22:00-06:00"),
                air_speed_cm_s=9,
            )
            for k in range(20)
        ),
        pours=(Pour(time_s=8 * 3600, amount_ml=50, every_days=2), Pour(time_s=19 * 3600, amount_ml=9)),
    )
    long = "A box with a name of almost eighty characters, as long as the file allows it"
    return {
        "fern": fern,
        "desert": desert,
        "jar": jar,
        "busy": with_box(fern, routine=busy, name=long),
        "nobody": with_box(desert, group="", humidity_target=None, enclosure=replace(desert.record.box.enclosure, plants=None)),
        "still": with_box(jar, routine=replace(jar.record.box.routine, pours=(), sprays=(), lamps=())),
        "US": replace(fern, us=True),
        "too dry": with_box(fern, humidity_target=HumidityTarget(60, 99, 99.5, 100)),
    }  # fmt: skip


@pytest.fixture(scope="module")
def pictures(answers) -> dict[str, Picture]:
    return {name: water_picture(answer.record, answer) for name, answer in answers.items()}


@pytest.fixture(scope="module")
def written(pictures) -> dict[str, list]:
    """Every text of each picture with its place, painted once."""
    return {name: drawn(picture) for name, picture in pictures.items()}


def words(texts: list) -> list[str]:
    return [text.get_text() for text, _ in texts]


@pytest.mark.parametrize("name", ["fern", "desert", "jar", "busy", "nobody", "still", "US", "too dry"])
def test_it_can_be_read(pictures, written, name) -> None:
    """Letters of nine points and more, none over another or outside, palette colours, and not higher than a sheet."""
    picture = pictures[name]
    assert min(text.get_fontsize() for text, _ in written[name]) >= 9.0
    needs_words_inside_and_apart(picture, written[name])
    width, height = picture.get_size_inches()
    assert width == 8.0
    assert height <= A4_IN
    for axes in picture.axes:
        for filled in axes.collections:
            if filled.get_array() is None or filled.get_array().size == 0:
                assert {to_hex(c[:3]) for c in filled.get_facecolor() if c[3] > 0} <= ALLOWED
        assert {to_hex(line.get_color()) for line in axes.lines} <= ALLOWED
        assert {to_hex(patch.get_facecolor()[:3]) for patch in axes.patches} <= ALLOWED


def test_it_says_what_the_answer_says(answers, pictures, written) -> None:
    """The number and the lines on the air stand in the picture and in its words, letter for letter."""
    for name, answer in answers.items():
        us = name == "US"
        lines = [line.strip() for line in answer.lines("short", us) if line.strip().startswith(("By day", "By night"))]
        assert len(lines) == 2
        for line in lines:
            assert line in words(written[name])
            assert line.rstrip(".") in pictures[name].alt
    assert "Answer: 115 ml a day" in pictures["fern"].alt
    assert "fl oz a day" in pictures["US"].alt


def test_its_line_has_the_mean_of_the_answer(answers) -> None:
    """The day drawn is the very one of which the answer gives the mean, and its band holds it."""
    for name in ("fern", "desert", "jar"):
        answer = answers[name]
        day = settled_day_of(answer.record, answer.details["settled_day"])
        for part, here in (("day", day.by_day), ("night", ~day.by_day)):
            assert round(day.rh.values[here].mean()) == getattr(answer, f"rh_{part}")["mean"]
            assert round(day.c.values[here].mean(), 1) == pytest.approx(
                getattr(answer, f"temp_{part}")["mean"], abs=0.051
            )
        low, high = day_air.band_at(day.hours, day.rh)
        assert (low <= day.rh.values).all()
        assert (day.rh.values <= high).all()


def test_days_that_are_not_alike_are_averaged(answers) -> None:
    """A spray on some days only: the course at each time of the day is the mean of that time on all days."""
    record = answers["jar"].record
    day, rows = settled_day_of(record), last_days(record, 6)
    by_day = record.humidity_shown[rows].reshape(6, -1)
    assert np.ptp(by_day, axis=0).max() > 1.0
    np.testing.assert_allclose(day.rh.values, by_day.mean(axis=0))
    assert day.hours[0] == 0.25
    assert day.hours[-1] == 24.0


def test_too_dry_all_night_is_seen_at_once(answers, pictures, written) -> None:
    answer = answers["too dry"]
    counted = hours(answer.record, answer.record.rows(7, 14), answer.record.box.humidity_target)
    assert counted["night too dry"] == 12.0
    assert "too dry all night" in words(written["too dry"])
    assert "too dry 20:00 to 24:00" in pictures["too dry"].alt
    assert "as wanted" in words(written["fern"])
    assert "too dry all night" not in words(written["fern"])


def test_without_wants_nothing_is_right_or_wrong(pictures, written) -> None:
    assert not {"as wanted", "wanted by day", "wanted by night", "outside it"} & set(words(written["nobody"]))
    assert "nothing is known of what is wanted" in pictures["nobody"].alt


def test_parts_of_the_air_are_named_where_there_are_some(pictures, written) -> None:
    named = {name: {"below", "above", "hide"} & set(words(written[name])) for name in ("fern", "desert", "jar")}
    assert named == {"fern": {"below", "above"}, "desert": {"below", "above", "hide"}, "jar": set()}
    assert "in the hide" in pictures["desert"].alt


def test_a_us_answer_has_no_metric_unit_left(pictures, written) -> None:
    box = tl.loads(us_box.BOX)
    record = simulate(box, 2)
    answer = SimpleNamespace(
        value=50.0, low=30.0, high=70.0, unit="ml a day", reason="", budget_ml_per_day={}, record=record
    )
    week, water = week_picture(record), water_picture(record, answer)
    texts = {picture: words(drawn(picture)) for picture in (week, water)} | {pictures["US"]: words(written["US"])}
    for picture, lines in texts.items():
        text = "\n".join([*lines, picture.alt]).replace(box.name, "")
        assert not faces.METRIC.search(text)
        assert "°C" not in text
        assert "cm" not in text
        assert "°F" in text
    assert "poured 5 fl oz" in texts[week]
    labels = {axes.get_ylabel() for axes in pictures["US"].axes}
    assert {"°F", "in below the surface"} <= labels


def test_a_short_record_and_a_bare_answer_are_drawn_too() -> None:
    """An answer without hours, sentences or a budget: the day of the record, without a band."""
    record = simulate(tl.load("moss-jar"), 1, accuracy="preview", record_every_min=60)
    answer = SimpleNamespace(
        value=None, low=None, high=None, unit="ml a day", reason="No pour works.", budget_ml_per_day={}
    )
    picture = water_picture(record, answer)
    assert "Answer: No pour works" in picture.alt
    assert "8 in 10 boxes like it" not in words(drawn(picture))
    sprayed = budget_ml(record, record.rows(0, 1))["sprayed and misted"]
    assert f"sprayed and misted {sprayed:.0f}" in picture.alt


def test_both_sides_of_the_budget_are_on_one_scale(fern, pictures) -> None:
    """What came in and what left, as the answer counts it; the bars are as long as their numbers."""
    bars = [patch for axes in pictures["fern"].axes[-2:] for patch in axes.patches]
    lengths = [bar.get_width() for bar in bars]
    budget = fern.budget_ml_per_day
    known = (
        "poured",
        "sprayed and misted",
        "vapour lost through gaps",
        "vapour lost through vents",
        "vapour lost by fan",
    )
    assert sorted(lengths) == sorted(budget[name] for name in known)
    assert len({axes.get_xlim() for axes in pictures["fern"].axes[-2:]}) == 1
    assert len({round(axes.get_position().width, 6) for axes in pictures["fern"].axes[-2:]}) == 1
    assert "poured 115, sprayed and misted 40" in pictures["fern"].alt


def test_strips_of_a_day_are_laid_over_each_other(answers) -> None:
    """What runs past midnight is there in the morning too; what is done on some days says on how many."""
    record = answers["jar"].record
    routine = replace(
        record.box.routine,
        sprays=(Spray(time_s=9 * 3600, amount_ml=30, every_days=3),),
        fans=(Fan(name="night fan", mode="circulate", timer=Timer("22:00-06:00"), air_speed_cm_s=9),),
    )
    strips = day_strips.day_strips(replace(record, box=replace(record.box, routine=routine)))
    rows = {said(one.name): one for one in strips}
    assert rows["night fan"].periods == ((0.0, 6.0), (22.0, 24.0))
    assert rows["night fan"].note == "8 h"
    assert rows["sprayed 30 ml"].note in ("on 2 of 7 days", "on 3 of 7 days")
    assert rows["poured 5 ml"].note == "08:00"
    fern = {said(one.name): one.note for one in day_strips.day_strips(answers["fern"].record)}
    assert fern["exchange fan"] == "12 × 15 min"
    assert fern["panel"] == "when needed"
    assert len(day_strips.day_strips(answers["busy"].record)) > day_strips.MOST_ROWS


def test_the_soil_is_that_of_the_record(answers) -> None:
    """On the mean of the days that count, as the section shows it, with the same wet band."""
    for answer in answers.values():
        record, soil = answer.record, profile_of(answer.record)
        np.testing.assert_allclose(soil.water, 100.0 * record.soil_water[seen_rows(record)].mean(axis=0))
        assert (soil.water + soil.air <= 100.0).all()
        assert soil.airless_cm == pytest.approx(wet_band_cm(record, seen_rows(record)))  # what the section says
        assert (soil.layer_cm > 0.0) == record.has_reservoir
    jar = profile_of(answers["jar"].record)
    assert jar.moss_cm > 0.0
    assert not jar.short[jar.edges_cm[1:] <= jar.moss_cm].any()
    assert jar.air[0] < 10.0  # the moss itself would count as short of air


@pytest.mark.parametrize("seed", range(20))
def test_the_bar_tells_every_hour_once(seed) -> None:
    """Whatever the course: no gap, no overlap, and what is too dry or too damp for long is in it as long as it is."""
    rng = np.random.default_rng(seed)
    day_h = tuple(rng.choice(24, 2, replace=False).astype(float))
    wanted = Wanted((60.0, 80.0), (70.0, 90.0), 1.0, "too dry", "too damp")
    times = np.arange(1, 97) / 4.0
    values = 75.0 + np.cumsum(rng.normal(0.0, 3.0, 96))
    found = stretches(times, values, wanted, day_h)
    assert found[0].start == 0.0
    assert found[-1].end == 24.0
    assert all(before.end == after.start for before, after in pairwise(found))
    clock = (times - 0.01) % 24.0
    day = (clock >= day_h[0]) & (clock < day_h[1]) if day_h[0] < day_h[1] else (clock >= day_h[0]) | (clock < day_h[1])
    low = np.where(day, 60.0, 70.0)
    told = sum(one.end - one.start for one in found if one.word == "too dry")
    short = 0.25 * len(found)  # what lasts a quarter of an hour goes with what was before it
    assert abs(told - 0.25 * np.count_nonzero(values < low - 1.0)) <= short
    assert all(one.end - one.start >= 0.5 for one in found[1:])


def test_a_steady_course_is_told_in_two_words() -> None:
    times = np.arange(1, 25, dtype=float)
    wanted = Wanted((60.0, 80.0), (70.0, 90.0), 1.0, "too dry", "too damp")
    for level, words in ((75.0, "as wanted"), (65.0, "too dry all night"), (50.0, "too dry day and night"),
                         (85.0, "too damp all day"), (80.5, "nearly as wanted"), (95.0, "too damp day and night")):  # fmt: skip
        found = stretches(times, np.full(24, level), wanted, (8.0, 20.0))
        assert right_or_wrong(found) == words
        assert any(one.words in words or words == "as wanted" for one in found)
    assert right_or_wrong([]) == ""


# -- what is wanted, seen in grey and by other eyes ---------------------------------------------------------------------

#: Deuteranopia in linear light: Machado, Oliveira & Fernandes, "A physiologically-based model for simulation of color vision
#: deficiency" (2009), severity 1.0; its numbers from memory.
DEUTERANOPIA = np.array(
    [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
)


def as_deuteranope(pixels: np.ndarray) -> np.ndarray:
    """How a picture looks to whoever lacks the green cones, as red, green, blue from 0 to 255."""
    share = pixels / 255.0
    linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    seen = np.clip(linear @ DEUTERANOPIA.T, 0.0, 1.0)
    return 255.0 * np.where(seen <= 0.0031308, 12.92 * seen, 1.055 * seen ** (1 / 2.4) - 0.055)


def grey(pixels: np.ndarray) -> np.ndarray:
    return np.asarray(Image.fromarray(pixels.astype(np.uint8)).convert("L"), float)


@pytest.fixture(scope="module")
def patches() -> dict[str, np.ndarray]:
    """The inside of four areas as pixels: the day wanted, the night wanted on its grey, what is outside, and bare paper."""

    @plain_look
    def painted() -> tuple[np.ndarray, Picture]:
        picture = Picture(3.0)
        axes = add_panel(picture, 0.3, 2.4, "")
        axes.set_xlim(0.0, 4.0)
        axes.set_ylim(0.0, 1.0)
        axes.axvspan(1.0, 2.0, facecolor=looks.NIGHT, edgecolor="none", zorder=0)
        draw_wanted(axes, 0.0, 1.0, 0.0, 1.0, "day")
        draw_wanted(axes, 1.0, 2.0, 0.0, 1.0, "night")
        x = np.linspace(2.0, 3.0, 20)
        draw_outside(axes, x, 0.0 * x, 0.0 * x + 1.0, 0.0 * x + 2.0, x > 0.0, x < 0.0)
        picture.canvas.draw()
        return np.asarray(picture.canvas.buffer_rgba())[..., :3], axes.get_window_extent()

    pixels, box = painted()
    wide, high, top = box.width / 4.0, box.height, pixels.shape[0] - box.y1

    def inside(k: int) -> np.ndarray:
        rows = slice(int(top + 0.15 * high), int(top + 0.85 * high))
        return pixels[rows, int(box.x0 + (k + 0.15) * wide) : int(box.x0 + (k + 0.85) * wide)]

    return {name: inside(k) for k, name in enumerate(("day", "night", "outside", "paper"))}


@pytest.mark.parametrize("eyes", ["grey", "deuteranope", "deuteranope in grey"])
def test_day_and_night_and_outside_are_told_apart_by_every_eye(patches, eyes) -> None:
    """The day is even and darker than paper, the night is hatched; what is outside is darker than both.

    Once both turned the same grey. Ten steps of 255 side by side are seen (a choice).
    """
    see = {
        "grey": grey,
        "deuteranope": lambda x: as_deuteranope(x).mean(axis=2),
        "deuteranope in grey": lambda x: grey(as_deuteranope(x)),
    }[eyes]
    seen = {name: see(x) for name, x in patches.items()}
    assert seen["day"].std() < 1.0
    assert seen["night"].std() > 10.0
    assert seen["paper"].mean() - seen["day"].mean() > 10.0
    assert abs(seen["day"].mean() - seen["outside"].mean()) > 10.0
    assert seen["outside"].std() > 10.0


# -- the same in small, in a panel --------------------------------------------------------------------------------------


def seen_of(answer: tl.Answer) -> Air:
    record = answer.record
    return Air(
        "Box",
        settled_day_of(record),
        profile_of(record),
        record.box.humidity_target,
        100.0,
        {"through gaps": 9.0},
        80.0,
        90.0,
    )


def test_the_panel_shows_the_same_day(answers) -> None:
    """Before the answer a line alone, with it the answer's day and band; what it says of right and wrong is the same."""
    picture, answer = AirPicture(), answers["too dry"]
    _, first = picture.draw(seen_of(answer), None, METRIC)
    assert first.endswith("A preview of one run.")
    assert not picture.humidity.band.get_visible()
    png, alt = picture.draw(seen_of(answers["jar"]), answer, METRIC)
    assert png.startswith(b"\x89PNG")
    assert picture.humidity.band.get_visible()
    assert picture.humidity.verdict.get_text() == "too dry all night"
    for line in day_air.in_words(settled_day_of(answer.record, answer.details["settled_day"]))[:2]:
        assert said(line)[1:] in alt
    assert f"pour {answer.value:.0f} ({answer.low:.0f}–{answer.high:.0f})" in alt
    assert "preview" not in alt
    spent = answer.budget_ml_per_day["vapour lost through vents"]
    assert f"vents and lid {number(spent)}" in alt  # what the answer says, not what one quick run saw
    assert "through gaps 9.0" not in alt


def test_the_words_over_the_panels_picture_stay_apart_and_in_their_half(answers) -> None:
    """On a phone the halves stand one below the other: what runs over the cut would be torn."""
    picture = AirPicture()
    for system in (METRIC, US):
        picture.draw(seen_of(answers["jar"]), answers["jar"], system)
        wide, cut = picture.pixels.shape[1], picture.split * picture.pixels.shape[1]
        extent = lambda text: text.get_window_extent()  # noqa: E731
        for strip in (picture.humidity, picture.temperature):
            strip.verdict.set_text("too damp day and night")  # the longest there is
            strip.verdict.set_weight("bold")
            assert extent(picture._titles[strip.axes]).x1 + 4 < extent(strip.verdict).x0
            assert extent(strip.verdict).x1 < cut
        soil, bars = (picture._titles[axes] for axes in (picture.right, picture.side.bars.axes))
        assert cut < extent(soil).x0
        assert extent(soil).x1 + 4 < extent(bars).x0
        assert extent(bars).x1 < wide
        assert extent(picture.right.yaxis.label).x0 > cut


def test_danger_is_said_first_and_nothing_is_called_as_wanted_beside_it(answers) -> None:
    """The air may be as wanted over ground that burns; and the answer may warn of another thing than the warmth of now."""
    hot = {"air": np.full(24, 24.0), "ground": np.full(24, 60.0), "glass": np.full(24, 24.0)}
    heat = judged(hot, np.arange(24) >= 12, Temperatures(20.0, 26.0, 18.0, 26.0, 10.0, 30.0, 45.0, "made up"))
    assert said(danger_of(heat)) == "the ground reaches 60.0 °C"
    seen, answer = seen_of(answers["jar"]), answers["jar"]
    fine = replace(seen.day, rh_wanted=Wanted((0.0, 100.0), (0.0, 100.0), 1.0, "too dry", "too damp"), c_wanted=None)
    picture = AirPicture()
    assert "as wanted" in picture.draw(replace(seen, day=fine), None, METRIC)[1]
    _, alt = picture.draw(replace(seen, day=replace(fine, danger=danger_of(heat))), None, METRIC)
    assert alt.startswith("Danger: the ground reaches 60.0 °C. ")
    assert "as wanted" not in alt
    assert [strip.verdict.get_text() for strip in (picture.humidity, picture.temperature)] == ["", ""]
    warned = replace(answer, verdict=Verdict.DANGEROUS)
    for small in (AirPicture(), AirPicture(FanBars()), SurePicture(), BottomPicture()):
        assert small.warn("").strip() == ""
        small.warn(said(danger_of(heat), us=True))
        small.png()
        box = small._warning.get_window_extent()
        assert box.x1 < small.split * small.pixels.shape[1]
        assert all(box.y0 > title.get_window_extent().y1 for title in small._titles.values() if title.get_text())
    assert picture.draw(seen, warned, METRIC)[1].startswith("Danger: read the warning first. ")
    assert "as wanted" not in water_picture(answer.record, warned).alt


def test_the_panel_speaks_us_units_and_needs_no_wants(answers) -> None:
    picture = AirPicture()
    for name in ("nobody", "fern", "desert", "jar", "busy"):
        answer = answers[name]
        _, alt = picture.draw(seen_of(answer), answer, US)
        assert "°C" not in alt
        assert not faces.METRIC.search(alt)
        assert "fl oz a day" in alt
        assert picture.warmth.get_ylim()[1] > 50.0
        picture.reset()
    _, alt = picture.draw(seen_of(answers["nobody"]), None, METRIC)
    assert picture.humidity.verdict.get_text() == ""
    assert not any(len(area.get_paths()) for areas in picture.humidity.wanted.values() for area in areas)


def test_scales_stay_while_sliders_move_and_a_ghost_is_left(answers) -> None:
    picture = AirPicture()
    picture.draw(seen_of(answers["fern"]), None, METRIC)
    before = [axes.get_ylim() for axes in (picture.left, picture.warmth)]
    was = picture.humidity.line.get_ydata().copy()
    picture.keep()
    picture.draw(seen_of(answers["desert"]), None, METRIC)
    for (low, high), axes in zip(before, (picture.left, picture.warmth), strict=True):
        assert axes.get_ylim()[0] <= low
        assert axes.get_ylim()[1] >= high
    ghost = dict(picture._ghosts)[picture.humidity.line]
    np.testing.assert_array_equal(ghost.get_ydata(), was)


def test_only_what_moves_is_painted_while_a_slider_moves(answers, monkeypatch) -> None:
    """A step of a slider that changes neither wants nor scales leaves the rest as it was painted: so it is quick."""
    picture, seen = AirPicture(), seen_of(answers["fern"])
    picture.draw(seen, None, METRIC)
    picture.keep()
    whole = []
    monkeypatch.setattr(picture.figure.canvas, "draw", lambda: whole.append(1))
    damper: SettledDay = replace(seen.day, rh=replace(seen.day.rh, values=seen.day.rh.values + 1.0))
    before = picture.pixels.copy()
    picture.draw(replace(seen, day=damper), None, METRIC)
    assert not whole
    assert (picture.pixels != before).any()


def test_the_side_of_the_air_is_an_object(answers) -> None:
    """The fans' panel puts its bars there; a preview has one."""
    picture = AirPicture(FanBars())
    _, alt = picture.draw(seen_of(answers["fern"]), None, METRIC)
    assert "Bars, mean humidity by day: as set 80 %." in alt
    assert picture.right in picture.figure.axes


def test_a_box_with_one_air_and_a_hide_shows_the_hide_beside_it():
    """The one air was taken for a part of its own, which has no line; a report ended in that."""
    hide = {"volume": "400 ml", "opening_width": "4 cm", "opening_height": "3 cm", "floor": "damp moss"}
    record = simulate(tl.load("moss-jar").change(**{"enclosure.hide": hide}), 1)
    day = settled_day_of(record)
    assert list(record.zone_names) == ["whole", "hide"]
    assert list(day.parts) == ["hide"]
    assert [words for _, words in day_air.keys(day)[1]] == ["hide", "room"]
    assert said(day_air.in_words(day)[2]).startswith("In the hide ")
