"""The panels without a browser: sliders change the box, words keep their units, files are kept, bad input gives no number."""

from __future__ import annotations

import inspect
import re
from pathlib import Path

import ipywidgets as w
import pytest

import terralab as tl
from terralab import show
from terralab.errors import TerralabError, UnknownName
from terralab.quantities import METRIC, SYSTEMS, US
from terralab.show.panel import controls, limits
from terralab.show.panel import panel as frame
from terralab.show.panel.asleep import AGAIN
from tests.describe.test_as_typed import US_BOX

PANELS = ("water_panel", "start_panel", "fans_panel", "drainage_panel", "sure_panel")
EVERY = [value for value in vars(controls).values() if isinstance(value, controls.Slide | controls.Choice)]


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whole answers from few draws: here it is the panel that is looked at, not the range."""
    from terralab.show.panel import questions as panel_questions

    monkeypatch.setattr(panel_questions, "_water", lambda box: tl.daily_water(box, members=2))
    for name in ("WATER_MEMBERS", "FAN_MEMBERS", "BOTTOM_MEMBERS", "ROUGH_MEMBERS"):
        monkeypatch.setattr(panel_questions, name, 2)


@pytest.fixture
def panel(quick: None) -> frame.Panel:
    return show.water_panel("moss-jar")


def picture(panel: frame.Panel) -> str:
    return re.search(r'src="data:image/png;base64,([^"]+)"', panel._image.value)[1]


def test_a_box_on_a_mixture_opens_and_shows_it(monkeypatch):
    monkeypatch.setattr(frame.Panel, "_look_now", lambda panel: False)
    mix = "2 parts fine coir mix, 1 part sphagnum moss"
    panel = show.start_panel(tl.load("fern-hollow").change(**{"enclosure.layers.1.material": mix}))
    made = panel._slider(controls.SOIL)
    assert mix in [value for _, value in made.options]


@pytest.mark.parametrize("demo", tl.demos())
@pytest.mark.parametrize("control", EVERY, ids=lambda control: control.key)
@pytest.mark.filterwarnings("ignore::terralab.TerralabWarning")
def test_what_a_control_reads_it_writes_back(control, demo):
    box = tl.load(demo)
    value = control.read(box)
    if value is None:
        return
    if isinstance(control, controls.Slide):
        assert controls.with_values(box, (control,), {control.key: value}) == box or control is controls.FAN_MINUTES
        other = (
            min(value + control.metric.step, control.metric.high)
            if value < control.metric.high
            else value - control.metric.step
        )
        assert control.read(controls.with_values(box, (control,), {control.key: other})) == pytest.approx(other)
    else:
        for _, other in control.options:
            if control.key.endswith("_known") or control in (controls.GRAINS, controls.POURED):
                continue
            assert control.read(controls.with_values(box, (control,), {control.key: other})) == other


def test_a_slider_at_nothing_takes_the_entry_away_and_one_from_nothing_adds_it():
    fern, jar = tl.load("fern-hollow"), tl.load("moss-jar")
    assert controls.with_values(fern, (controls.SPRAY,), {"spray": 0.0}).routine.sprays == ()
    assert controls.with_values(jar, (controls.POUR,), {"pour": 50.0}).routine.pours[0].amount_ml == 50.0
    both = controls.with_values(fern, (controls.FAN_FLOW, controls.FAN_MINUTES), {"fan_flow": 2.0, "fan_minutes": 0})
    assert both.routine.fans == ()


def test_a_room_that_is_measured_hour_by_hour_is_moved_as_a_whole():
    course = {"hours": [0, 6, 15, 24], "values": [18, 17, 23, 18]}
    box = tl.load("fern-hollow").change(**{"room.temperature": course})
    assert controls.ROOM_NIGHT.read(box) is None
    warmer = controls.with_values(box, (controls.ROOM_DAY,), {"room_day": 25.0})
    assert warmer.room.now.temperature.range() == (19.0, 25.0)


def test_a_range_of_ones_own_goes_when_its_entry_is_moved_and_comes_back_when_measured():
    box = tl.load("fern-hollow").change(
        ranges=[{"of": "enclosure.plants.leaf_area", "low": "3300 cm2", "high": "3700 cm2"}]
    )
    assert controls.LEAVES_KNOWN.read(box) == "measured"
    moved = controls.with_values(box, (controls.LEAVES,), {"leaves": 6000.0})
    assert moved.ranges == ()
    known = controls.with_values(
        box, (controls.LEAVES, controls.LEAVES_KNOWN), {"leaves": 6000.0, "leaves_known": "measured"}
    )
    assert [(r.low, r.high) for r in known.ranges] == [("4800 cm2", "7200 cm2")]


@pytest.mark.parametrize("slide", [c for c in EVERY if isinstance(c, controls.Slide)], ids=lambda slide: slide.key)
def test_both_systems_of_units_span_about_the_same(slide):
    for system in SYSTEMS:
        scale = slide.scale(system)
        assert scale.low < scale.high
        assert 0 < scale.step <= (scale.high - scale.low) / 10
    low, high = (slide.inside(x, US) for x in (slide.scale(US).low, slide.scale(US).high))
    span = slide.metric.high - slide.metric.low
    assert low == pytest.approx(slide.metric.low, abs=0.05 * span)
    assert high == pytest.approx(slide.metric.high, abs=0.06 * span)
    assert slide.inside(slide.shown(12.5, US), US) == pytest.approx(12.5)


@pytest.mark.parametrize("slide", [c for c in EVERY if isinstance(c, controls.Slide)], ids=lambda slide: slide.key)
def test_a_round_trip_by_the_steps_of_us_sliders_reads_as_before(slide):
    """A slider shows, and may send, the step nearest to a value: 45 cm must not come back as 44."""
    metric, us = slide.metric, slide.scale(US)
    for number in range(round((metric.high - metric.low) / metric.step) + 1):
        value = metric.low + number * metric.step
        stepped = us.low + round((slide.shown(value, US) - us.low) / us.step) * us.step
        assert abs(slide.inside(stepped, US) - value) < 0.5 * metric.step + 1e-9
        # untouched, nothing is rounded at all
        assert slide.inside(slide.shown(value, US), US) == pytest.approx(value, rel=1e-9, abs=1e-9)


def test_a_box_typed_in_us_units_opens_in_them_and_is_saved_in_them(quick, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    box = tl.loads(US_BOX)
    panel = show.start_panel(box)
    assert panel.units == US
    assert panel._sliders["width"].value == 17.5
    assert panel._sliders["soil_depth"].value == 3.25
    assert panel.box == box
    panel.move(width=18.5)
    panel._saved("mine")
    text = Path("mine.toml").read_text(encoding="utf-8")
    for typed in ("18.5 in", "18 in", "2 ft", "3.25 in", "70 F", "64 F", "310 in2"):
        assert f'"{typed}"' in text
    panel.units = METRIC
    assert panel._sliders["width"].value == pytest.approx(46.99)
    monkeypatch.setattr(frame.Panel, "_look_now", lambda panel: False)
    assert show.start_panel("fern-hollow").units == METRIC


@pytest.mark.parametrize(
    ("name", "demo"),
    [*((name, "moss-jar") for name in PANELS), pytest.param("drainage_panel", "dry-ledge", marks=pytest.mark.slow)],
)
def test_every_panel_answers_for_every_kind_of_box(quick, name, demo):
    panel = getattr(show, name)(demo)
    assert panel.answer is not None
    assert len(panel.alt) > 60
    before, words = picture(panel), panel.words
    first = next(one for one in panel._sliders.values() if hasattr(one, "step"))
    first.value = first.value + first.step
    assert panel._answer is None
    assert "first look" in panel.words
    assert 'aria-busy="true"' in panel._text.value
    panel.release()
    assert panel.answer is not None
    assert 'aria-busy="false"' in panel._text.value
    assert (picture(panel), panel.words) != (before, words)
    panel.units = US
    shown = re.sub("<[^>]*>", " ", panel.words + panel.alt)
    assert not re.search(r"\d (ml|l|litres|cm|°?C|cm2|kg)\b", shown), shown


def test_a_water_panel_takes_as_many_draws_as_the_question_itself(monkeypatch):
    """So that panel, command and report say the same number; and panels of one box share it, and do not work it out again."""
    from terralab.show.panel import questions

    taken = []

    def few(box, *, members):
        taken.append(members)
        return tl.daily_water(box, members=2)

    monkeypatch.setattr(questions, "daily_water", few)
    for open_panel in (show.water_panel, show.start_panel, show.sure_panel):
        open_panel("moss-jar")
    usual = inspect.signature(tl.daily_water).parameters["members"].default
    assert taken == [usual]


def test_fans_and_drainage_are_asked_as_the_question_itself_and_the_pour_is_the_recommended_one_until_it_is_moved(
    monkeypatch,
):
    """So that panel, command and report say the same number of the same box."""
    from terralab.show.panel import questions

    asked = []

    def refuses(box, **how):
        asked.append(how)
        raise TerralabError("not worked out here")

    for name in ("fan_schedules", "drainage"):
        monkeypatch.setattr(questions, name, refuses)
    for open_panel, ask in ((show.fans_panel, tl.fan_schedules), (show.drainage_panel, tl.drainage)):
        panel = open_panel("moss-jar")
        usual = inspect.signature(ask).parameters
        assert asked[-1] == {name: usual[name].default for name in asked[-1]}
    panel.move(pour=40).release()
    assert asked[-1]["pour"] == "described"
    assert panel._sliders["poured"].value == "described"
    panel.move(poured="recommended").release()
    assert asked[-1]["pour"] == "recommended"
    assert panel.box.routine.pours[0].amount_ml == 40.0


def test_the_alternative_text_says_whether_it_is_a_preview(panel):
    assert "preview" not in panel.alt
    panel.move(room_humidity=60)
    assert panel.alt.endswith("A preview of one run.")
    assert f'alt="{panel.alt}"' in panel._image.value


def test_moving_back_brings_the_answer_back_without_work(panel, monkeypatch):
    answer, words = panel.answer, panel.words
    panel.move(room_humidity=60)
    monkeypatch.setattr(panel, "_begin", lambda **_: pytest.fail("nothing needs to be worked out"))
    panel.move(room_humidity=45)
    assert panel.answer is answer
    assert panel.words == words


def test_what_the_page_sends_back_rounded_is_no_move(panel):
    """A browser rounds to the steps of a slider as it likes: 59.99999999999999 for 60."""
    answer, slider = panel._answer, panel._sliders["soil_depth"]
    slider.value *= 1.0 - 1e-15
    assert panel._answer is answer
    assert panel._moved == {}


def test_the_switch_of_units_changes_no_box(panel):
    box, answer = panel.box, panel.answer
    metric = panel.words
    panel.units = US
    assert panel.box == box
    assert panel.answer is answer
    assert panel.words != metric
    assert panel._sliders["room_day"].description == "Room by day, °F"
    assert panel._sliders["room_day"].value == pytest.approx(69.8)
    panel.move(room_day=77)
    assert panel.box.room.now.temperature.day == pytest.approx(25.0)
    panel.units = METRIC
    assert panel._sliders["room_day"].value == pytest.approx(25.0)


@pytest.mark.parametrize("name", PANELS)
@pytest.mark.parametrize("demo", tl.demos())
def test_no_value_of_a_slider_alone_is_refused_and_all_that_can_be_are_there(name, demo, monkeypatch):
    """A slider that ends in the middle of its scale ends where the box does: one step further could not be described."""
    monkeypatch.setattr(frame.Panel, "_look_now", lambda panel: False)
    panel = getattr(show, name)(demo)
    kinds = panel.question.controls
    for system in SYSTEMS:
        panel.units = system
        for control in kinds:
            slider = panel._sliders.get(control.key)
            if not isinstance(control, controls.Slide) or slider is None:
                continue
            scale, (low, high) = control.scale(system), panel._ends[control.key]
            for end, beyond, short in (
                (slider.min, -1, low > control.metric.low),
                (slider.max, 1, high < control.metric.high),
            ):
                assert limits.fits(panel.box, kinds, {control.key: control.inside(end, system)}), (control.key, end)
                if short and system == METRIC:
                    further = control.inside(end + beyond * scale.step, system)
                    assert not limits.fits(panel.box, kinds, {control.key: further}), (control.key, end)


def test_two_sliders_that_do_not_go_together_are_told_in_words_of_the_panel(quick):
    panel = show.start_panel("moss-jar")
    panel.move(height=panel._sliders["height"].min)
    assert panel.answer is not None
    panel.move(soil_depth=panel._sliders["soil_depth"].max)
    assert panel.answer is None
    assert "<img" not in panel._image.value
    assert not re.search(r"\d", panel.words)
    told = re.sub("<[^>]*>", "", panel._note.value)
    assert told.startswith("“Soil, depth of top layer” cannot be")
    assert "while “Glass, height” is" in told
    assert "vent" not in told
    most = float(re.search(r"it can be ([0-9.]+) cm at most", told)[1])
    panel.move(soil_depth=most)
    assert panel.answer is not None


def test_a_box_is_saved_opened_again_and_never_written_over(panel, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    panel.move(room_humidity=61)
    panel._saved("mine")
    assert tl.load("mine.toml") == panel.box
    before = Path("mine.toml").read_bytes()
    panel.move(room_humidity=33)
    panel._saved("mine.toml")
    assert Path("mine.toml").read_bytes() == before
    assert "already there and was kept" in panel._note.value
    assert "overwrite" not in panel._note.value
    assert "mine.toml" in panel._open.options
    panel._opened("mine.toml")
    assert panel.box == tl.load("mine.toml")
    assert panel._sliders["room_humidity"].value == 61


def test_a_file_that_is_no_box_leaves_the_panel_as_it_was(panel, tmp_path):
    bad = tmp_path / "bad.toml"
    bad.write_text('name = "<b>x</b>"\n', encoding="utf-8")
    box, words = panel.box, panel.words
    for name in (str(bad), "no-such-box", ""):
        panel._opened(name)
        assert "Not opened" in panel._note.value
    assert (panel.box, panel.words) == (box, words)
    panel._saved(str(tmp_path / "nowhere" / "x.toml"))
    assert "Not saved" in panel._note.value


def test_a_name_full_of_signs_is_shown_as_text(quick, tmp_path):
    box = tl.load("moss-jar").change(name='<img src=x onerror="a()"> $5 & more')
    panel = show.water_panel(box)
    assert "<img src=x" not in panel._image.value
    assert "<img src=x" not in panel._text.value


def test_a_panel_that_sleeps_says_how_to_wake_it(panel):
    assert panel._repr_mimebundle_()["text/plain"] == repr(panel) == AGAIN
    assert "Run > Run All Cells" in AGAIN


def test_slips_by_code_are_named(panel):
    with pytest.raises(UnknownName, match="room_humidity"):
        panel.move(room_humidty=50)
    with pytest.raises(TerralabError, match="must be 15 to 85"):
        panel.move(room_humidity=99)
    with pytest.raises(UnknownName, match="metric"):
        panel.units = "imperial"


@pytest.mark.parametrize("kind", [True, "window screen"])
def test_the_quick_look_at_the_range_moves_with_any_mesh(kind):
    """A mesh that nobody named passes a guessed share, a known one holds back by its law: both have a low and a high end."""
    from terralab.show.panel import questions as panel_questions

    places = ("enclosure.openings.lid.mesh", "enclosure.openings.front vent.mesh")
    guess, _ = panel_questions._see_range(tl.load("fern-hollow").change(**dict.fromkeys(places, kind)))
    low, typical, high = guess.pours_ml
    assert 0.97 * typical > low
    assert high > 1.03 * typical


def test_the_first_look_is_one_slider_over_one_picture_and_says_what_the_water_panel_says(quick):
    panel, whole = show.lid_panel("moss-jar"), show.water_panel("moss-jar")
    assert [*panel._sliders] == ["covered"]
    buttons = lambda one: [x for x in [one, *getattr(one, "children", ())] if isinstance(x, w.Button)]  # noqa: E731
    assert not [b for child in panel.children for b in buttons(child)]
    assert [b for child in whole.children for b in buttons(child)]
    assert panel.words == whole.words
    assert panel.alt == whole.alt
