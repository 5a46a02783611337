"""One question has one number, in every face: words, data, pictures and what they say, the plan, the report."""

from __future__ import annotations

import html
import json
import re
import warnings
from dataclasses import dataclass
from typing import Any

import pytest
from matplotlib.text import Text

import terralab as tl
from terralab import show
from terralab.answers.away.words import longest_cell, longest_words, season_words
from terralab.answers.common.recommended import seen_rows
from terralab.answers.common.rounding import jug
from terralab.answers.common.statement import Kind
from terralab.answers.common.words import amount_span
from terralab.answers.common.words import ml as ml_mark
from terralab.answers.drainage.words import too_thin_after
from terralab.answers.fans.choice import inside
from terralab.answers.fans.water_cost import own_name
from terralab.quantities import said
from terralab.show.report.parts import escape
from tests.asked import asked


def ml(value: float) -> str:
    """A volume as every face says it, in metric."""
    return said(ml_mark(value))


MEMBERS = (
    4  # few draws: what is compared here is not how good a number is but whether it is the same; others ask for as many
)
ROOMS = ("now", "winter", "summer")


@dataclass(frozen=True)
class Faces:
    """All answers of a box, and each face of them as plain text."""

    answers: tl.Answers
    terminal: str
    data: dict[str, Any]
    page: str
    rows: dict[str, list[str]]
    water_picture: str
    fans_picture: str
    section_picture: str

    def row(self, name: str) -> dict[str, Any]:
        return next(row for row in self.answers.fans.table if row["name"] == name)


def written(picture: Any) -> str:
    """All that is written in a picture, and what it says of itself."""
    return "\n".join([*(text.get_text() for text in picture.findobj(Text)), picture.alt])


def plain(text: str) -> str:
    return html.unescape(re.sub(r"<[^>]+>", "|", text)).replace("\u00a0", " ")


def table_rows(page: str) -> dict[str, list[str]]:
    """Every row of every table by its first cell; of equal ones the first."""
    out: dict[str, list[str]] = {}
    for line in re.findall(r"<tr[^>]*>(.*?)</tr>", page, flags=re.DOTALL):
        cells = [plain(cell).strip("|") for cell in re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", line, flags=re.DOTALL)]
        # the plan has seven days, the table of seasons three rooms
        out.setdefault(
            cells[0] + (", by season" if cells[0] == "Pour on the soil" and len(cells) == 4 else ""), cells[1:]
        )
    return out


@pytest.fixture(
    scope="module",
    # the tall one and the dry one take longer than the others together; keepers' boxes are asked of their like
    params=[
        pytest.param(name, marks=pytest.mark.slow if name in ("tall-glen", "dry-ledge") else ()) for name in tl.demos()
    ],
)
def faces(request: pytest.FixtureRequest) -> Faces:
    """Everything about one demo, asked once."""
    answers = asked("all_answers", request.param, members=MEMBERS)
    assert answers.missing == {}
    page = show.report_page(answers)
    return Faces(
        answers,
        "\n".join(one.text("all") for one in answers.each),
        {one.question: json.loads(one.json()) for one in answers.each},
        plain(page),
        table_rows(page),
        written(show.water_picture(answers.water.record, answers.water)),
        written(show.fans_picture(answers.fans)) + written(show.fan_day(answers.fans)),
        written(show.section_picture(answers.drainage.record)),
    )


def test_panes_and_airs_are_one_number(faces: Faces) -> None:
    """When each pane fogs and how the airs are: data, sentences and page say the same of the recommended pour."""
    water = faces.answers.water
    data = faces.data["daily water"]["details"]
    for pane, seen in data["panes"].items():
        assert seen["hours"] == pytest.approx(water.record.fogged_hours_a_day(pane, seen_rows(water.record)), abs=0.006)
    for kind in (Kind.GLASS, Kind.PLACES):
        for one in water.of_kind(kind):
            assert one.said() in faces.terminal
            for line in one.lines():
                assert re.sub(r"^[A-Z][a-z ]+: ", "", line.strip()) in faces.page
    for zone, parts in data["airs"].items():
        for part, seen in parts.items():
            assert seen["rh_low"] <= seen["rh"] <= seen["rh_high"]
            if part == "day" and zone == "whole":
                assert seen["rh"] == pytest.approx(water.rh_day["mean"], abs=0.51)


def pours_of(answer: tl.Answer) -> dict[str, float]:
    return {"now": answer.value, **{season: answer.seasons[season]["value"] for season in ROOMS[1:]}}


def test_the_pour_is_one_number(faces: Faces) -> None:
    """Headline, sentence, data, strip and bars of the picture, report, fan table, drainage: all say what water says."""
    water = faces.answers.water
    value = water.value
    assert value == jug(value)
    assert faces.data["daily water"]["value"] == value
    if value == 0.0:
        assert "0 ml: nothing needs to be poured" in faces.terminal
        assert "Pour nothing" in faces.page
        assert "poured 0" not in faces.water_picture
    else:
        assert f"Pour {ml(value)} a day (likely between {ml(water.low)} and {ml(water.high)})" in faces.terminal
        assert f"Pour {ml(value)} a day (likely between {ml(water.low)} and {ml(water.high)})" in faces.page
        assert f"Answer: {ml(value)} a day" in faces.water_picture
        assert f"poured {value:.0f} ml" in faces.water_picture  # the strip
        assert re.search(rf"poured {value:.0f}\b(?! ml)", faces.water_picture)  # the bar
        assert f"likely between {ml(water.low)} and {ml(water.high)}" in faces.water_picture
    assert water.budget_ml_per_day["poured"] == pytest.approx(value, abs=0.05)
    pours = pours_of(water)
    for room, cell in zip(ROOMS, faces.rows["Pour on the soil, by season"], strict=True):
        assert cell.startswith(f"{ml(pours[room])} a day" if pours[room] else "none"), room
    bottom = faces.answers.drainage
    assert bottom.details["pour_ml_per_day"] == pours
    if value:
        with_unit = f"{ml(pours['now'])} in the room as described, {ml(pours['winter'])} in winter, {ml(pours['summer'])} in summer"
        assert said(with_unit) in bottom.text("all")
        own = faces.row(own_name(faces.answers.box))
        assert {room: own[room]["water_ml"] for room in ROOMS} == pours


def test_a_question_asked_alone_has_the_number_of_the_report() -> None:
    """Of the jar alone: the same lines put every box's questions together."""
    answers, few = asked("all_answers", "moss-jar", members=MEMBERS), MEMBERS
    box = answers.box
    for one, alone in (
        (answers.water, tl.daily_water(box, members=few)),
        (answers.drainage, tl.drainage(box, members=few, pour_members=few)),
        (answers.soak, tl.first_soak(box, members=few)),
    ):
        assert one.text("all") == alone.text("all")
        assert one.to_dict() == alone.to_dict()


def test_the_plan_does_what_is_recommended(faces: Faces) -> None:
    """The fans of the plan are the recommended schedule, its pour is what water says for a box with those fans."""
    answers = faces.answers
    choice, box = answers.fans.details["choice"], answers.box
    plan = {chore.what: chore for chore in answers.plan}
    blown = [what for what, chore in plan.items() if what.startswith("Fan: ") and chore.days[0] != "off"]
    if choice == "no fan":
        assert blown == []
        assert {chore.days for what, chore in plan.items() if what.startswith("Fan: ")} <= {("off",) * 7}
        assert not box.routine.fans or "Run no fan" in " ".join(answers.changes)
    else:
        assert len(blown) >= 1
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        planned = box.change(**{"routine.fans": [fan.write() for fan in answers.fans.record.box.routine.fans]})
    pours = pours_of(tl.daily_water(planned, members=MEMBERS))
    best = faces.row(choice)
    if max(pours.values()) > 0.0:
        names = ("Pour on the soil", "in winter, pour instead", "in summer, pour instead")
        for room, name in zip(ROOMS, names, strict=True):
            assert set(plan[name].days) == {ml(pours[room]) if pours[room] else "none"}, room
            assert best[room]["water_ml"] == pours[room], room
        low, middle, high = answers.fans.details["ranges"][choice]["water ml a day"]
        assert (low, middle, high) == (jug(low), pours["now"], jug(high))
        assert f"{ml(middle)} a day ({said(amount_span(low, high, 'ml'))})" in faces.terminal
        assert f"{choice}: " in faces.fans_picture
        with_unit = re.search(
            rf"^(?:.*\n)*?{re.escape(choice)}: .*? (\d+) ml a day", faces.fans_picture.replace(". ", ".\n"), re.M
        )
        assert with_unit
        assert float(with_unit[1]) == pours["now"]
        assert answers.fans.seasons["winter"]["water_ml"] == pours["winter"]
    else:
        assert set(plan["Pour on the soil"].days) == {"none"}
    for line in answers.changes:
        assert escape(line).replace("\u00a0", " ") in html.escape(faces.page) or line in faces.page
    today = sum(p.amount_ml / p.every_days for p in box.routine.pours if p.into == "soil")
    assert any("the routine as described pours" in line for line in answers.changes) == (jug(today) != pours["now"])


def test_humidity_is_one_number(faces: Faces) -> None:
    """The described routine in its three rooms: water's words and data, the fan table and the report."""
    water, own = faces.answers.water, faces.row(own_name(faces.answers.box))
    for part, seen in (("day", water.rh_day), ("night", water.rh_night)):
        cells = faces.rows[f"Humidity by {part}"]
        said = {"now": seen["mean"], **{s: water.seasons[s][f"rh_{part}"] for s in ROOMS[1:]}}
        for room, cell in zip(ROOMS, cells, strict=True):
            assert f"{said[room]:.0f}" == f"{own[room][f'rh_{part}']['mean']:.0f}", (part, room)
            assert cell == f"{said[room]:.0f} %", (part, room)
            assert re.search(rf"\b{said[room]:.0f} % at [\d.]+ °C by {part}", faces.terminal)
        assert faces.data["daily water"][f"rh_{part}"]["mean"] == said["now"]
    if water.hours_in_target:
        hours = water.hours_in_target["day inside"] + water.hours_in_target["night inside"]
        assert hours == pytest.approx(inside(own["now"]), abs=0.1)
        assert faces.rows["Inside the humidity wanted"][0] == f"{inside(own['now']):.1f} h a day"


def test_the_fan_answer_is_one_number(faces: Faces) -> None:
    fans = faces.answers.fans
    choice = fans.details["choice"]
    best = faces.row(choice)
    assert fans.value == round(inside(best["now"]), 1) == faces.data["fan schedule"]["value"]
    assert f"{choice}: {fans.value:.1f} h a day inside ({fans.low:.1f} to {fans.high:.1f})" in faces.terminal
    assert fans.low <= fans.value <= fans.high
    for part, seen in (("day", fans.rh_day), ("night", fans.rh_night)):
        assert f"{seen['mean']:.0f}" == f"{best['now'][f'rh_{part}']['mean']:.0f}"
    cells = faces.rows[f"{choice} (recommended)"]
    warm = [f"{best['now'][f'temperature_{part}_c']:.0f}" for part in ("day", "night")]
    assert cells[:5] == [f"{fans.rh_day['mean']:.0f}", f"{fans.rh_night['mean']:.0f}", *warm, f"{fans.value:.1f}"]
    assert float(cells[-2]) == best["now"]["water_ml"]  # the last is how many come out alike
    assert f"{fans.value:.1f} h inside" in faces.fans_picture
    line = next(line for line in fans.sentences if line.strip().startswith("*") and choice[:20] in line)
    assert line.split()[-1] == f"{best['now']['water_ml']:.0f}"


def test_siphoning_is_one_number(faces: Faces) -> None:
    bottom = faces.answers.drainage
    plan = bottom.window
    chore = next((one for one in faces.answers.plan if one.what == "Water below the mesh"), None)
    if not plan:
        assert "None needed" in bottom.text("all")
        assert chore is None or "siphon before it reaches the mesh" in chore.when
        return
    if plan["too_thin"]:
        assert "every 1 day" not in faces.page
        assert faces.rows["Siphon"][1:] == [too_thin_after(plan)] * 2
        return
    gap, litres = f"{plan['when_gap_below_cm']:.1f} cm", f"{plan['litres']:.1f}"
    assert f"Siphon when the gap under the mesh is less than {gap}" in faces.terminal
    assert f"{litres} litres a time" in faces.terminal
    assert f"Siphon when the gap under the mesh is less than {gap}" in faces.page
    assert chore.when == f"siphon {litres} l when less than {gap} are left under the mesh"
    assert faces.data["drainage layer"]["window"]["litres"] == plan["litres"]


def test_the_wet_band_drawn_is_the_one_printed(faces: Faces) -> None:
    bottom = faces.answers.drainage
    if not bottom.window:
        return
    row = bottom.table[0]
    assert f"{row['wet_band_cm']:.1f} cm at its foot hold less than 10 % air" in faces.section_picture
    if row["wet_band_cm"] > 0.05:
        assert f"wet band, {row['wet_band_cm']:.1f} cm" in faces.section_picture
    assert f"gap, {row['gap_cm']:.1f} cm" in faces.section_picture
    assert faces.rows[row["name"]][2] == f"{row['wet_band_cm']:.1f}"
    top, _, low = row["air_percent"]
    assert f"{top:.0f} % air in its top third" in faces.section_picture
    assert f"{low:.0f} % air in its bottom third" in faces.section_picture


def test_the_first_day_is_one_number(faces: Faces) -> None:
    soak = faces.answers.soak
    if not soak.value:
        assert "litres (likely" not in soak.text("all")
        assert "there is nothing to soak" in faces.page
        return
    words = f"{soak.value:.1f} litres (likely between {soak.low:.1f} and {soak.high:.1f} litres)"
    assert words in faces.terminal
    assert words in faces.page
    if "First soak" in faces.rows:  # on the first sheet, where the soil is dry now
        assert faces.rows["First soak"][:2] == [f"{soak.value:.1f} litres", f"{soak.low:.1f} to {soak.high:.1f} litres"]
    assert faces.data["first soak"]["value"] == soak.value


def test_the_absence_is_one_number(faces: Faces) -> None:
    """Page, table of seasons, picture and data say the same days and the same chances."""
    found = faces.answers.away
    for season in ROOMS[1:]:
        assert said(season_words(found[season])).partition(": ")[2] in faces.page
    now = found["now"]
    assert faces.rows["Left alone and out of danger, 90 of 100"] == [longest_cell(found[s]) for s in ROOMS]
    assert said(longest_words(now)) in faces.page
    days = now.window["longest_days"]
    assert faces.rows["Left alone"][0].startswith(f"{days} day" if days else "not for a day")
    (table,) = now.of_kind(Kind.TABLE)
    for line in (now.of_kind(Kind.DO)[-1].said(), *(said(line) for line in table.under)):
        assert line.partition(": ")[2] in faces.page
    drawn = written(show.away_picture(now))
    data = json.loads(now.json())
    for which in ("as_asked", "prepared"):
        share = data["details"]["by_day"][which]["as with you there"][-1]
        assert share == data["details"]["chances"][which]["as with you there"]
        assert f"{100 * share:.0f}" in drawn


def test_two_pours_on_one_page_are_told_apart(faces: Faces) -> None:
    """The first sheet and the plan are for the fans recommended, the water's own part for those described; where the pours
    differ both say so."""
    answers = faces.answers
    planned, kept = answers.pours["now"], answers.water.value
    sheet, rest = faces.page.split(": the week's plan", 1)
    if planned >= 0.5:
        assert f"Pour {ml(planned)} a day (likely " in sheet
        assert f"|{ml(planned)}|" in sheet
    assert (f"With the fans of the week's plan pour {ml(planned)} a day" in rest) == (planned != kept)
    assert any(f"pour {ml(kept)} a day instead" in line for line in answers.changes) == (planned != kept)
    assert (f"pour {ml(kept)} a day instead" in sheet) == (planned != kept)
