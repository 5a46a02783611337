"""The report: it stands alone, can be read by everyone, says every number, and never costs the keeper a file."""

from __future__ import annotations

import re
from base64 import b64decode
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from html import unescape
from html.parser import HTMLParser
from itertools import pairwise, takewhile

import numpy as np
import pytest

import terralab as tl
from terralab import __main__ as cli
from terralab import show
from terralab.answers.away.words import assumed, longest_cell
from terralab.answers.common.provenance import numbers_used
from terralab.answers.common.statement import Kind, Statement, Verdict
from terralab.answers.common.words import ml
from terralab.answers.drainage.bottoms import row_of
from terralab.answers.fans.choice import inside
from terralab.answers.fans.water_cost import own_name
from terralab.answers.together.plan import SOAK, week_plan
from terralab.describe.routine import Mist, Pour, Spray
from terralab.describe.seasons import room_of
from terralab.describe.timer import Timer
from terralab.errors import FileError, TerralabError
from terralab.quantities import said
from terralab.show.report import style
from terralab.show.report.answer_sheet import headline
from terralab.show.report.parts import page_said
from terralab.show.report.plan_sheet import plan_sheet
from terralab.show.report.seasons import seasons_table
from tests.asked import asked

#: Which tables of the section on fans these are, counted from its last, where the lid may stand.
ALL_SCHEDULES, BY_PANE = 1, 2
VOID = {"meta", "img", "br"}
LOADS = ("src", "href", "srcset", "data", "action", "poster", "background")


class Reader(HTMLParser):
    """Reads a page as a browser would and keeps what the tests ask for; complains where tags do not match."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: dict[str, list[str]] = {}
        self.faults: list[str] = []
        self.feed(page)
        self.close()
        if self.open:
            self.faults.append(f"never closed: {self.open}")

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.faults.append(f"</{tag}> closes something else")

    def handle_data(self, data):
        if self.open and data.strip():
            self.words.setdefault(self.open[-1], []).append(data.strip())

    def all(self, tag):
        return [attrs for name, attrs in self.tags if name == tag]


@pytest.fixture(scope="module")
def answers():
    """All answers for the smallest demo, from few draws and shared: asking is the slow part."""
    return asked("all_answers", "moss-jar", members=4)  # as `tests/answers/test_one_number.py` asks


@pytest.fixture(scope="module")
def page(answers):
    return show.report_page(answers, "3 May 2026")


@pytest.fixture(scope="module")
def read(page):
    return Reader(page)


def test_the_page_is_well_formed_and_says_its_language(page, read):
    assert read.faults == []
    assert page.startswith("<!DOCTYPE html>")
    assert read.all("html") == [{"lang": "en"}]
    assert {"charset": "utf-8"} in read.all("meta")
    keys = [attrs["id"] for _, attrs in read.tags if "id" in attrs]
    assert len(keys) == len(set(keys))
    assert {attrs["href"].removeprefix("#") for attrs in read.all("a")} <= set(keys)


def test_nothing_is_fetched_and_nothing_runs(page, read):
    names = {name for name, _ in read.tags}
    assert not names & {"script", "iframe", "object", "embed", "link", "form", "video", "audio", "base"}
    for _, attrs in read.tags:
        assert not [name for name in attrs if name.startswith("on")]
        for name in LOADS:
            assert not attrs.get(name) or attrs[name].startswith(("#", "data:image/png;base64,"))
    assert "url(" not in style.css()
    assert "@import" not in style.css()
    assert not re.search(r"https?://", page)


def test_every_picture_is_whole_and_told_in_words(read):
    pictures = read.all("img")
    assert len(pictures) >= 4
    for attrs in pictures:
        assert len(attrs["alt"]) > 80
        assert b64decode(attrs["src"].split(",")[1]).startswith(b"\x89PNG")


def test_paper_does_not_send_its_reader_to_a_terminal_in_passing(page, read):
    text = " ".join(words for said in read.words.values() for words in said)
    assert "--why" not in text
    assert not re.search(r"\(terralab [a-z]+\)", text)
    assert "<p>Soak it first.</p>" in page_said("<p>Soak it first (terralab soak).</p>", False)


def test_a_plan_that_sprays_as_described_says_when_less_would_do(answers):
    assert answers.box.routine.sprays
    told = "It is damper than the band with this watering; less spraying and pouring brings it down (nothing given)."
    lever = Statement(Kind.ALTERNATIVE, told)
    water = replace(answers.water, reachable=True, verdict=Verdict.TOO_DAMP)
    water = replace(water, statements=(*(one for one in water.statements if one.kind is not Kind.ALTERNATIVE), lever))
    damp = replace(answers, water=water, fans=None)
    assert told in plan_sheet(damp)
    dry = replace(damp, box=replace(damp.box, routine=replace(damp.box.routine, sprays=(), mists=())))
    assert told not in plan_sheet(dry)
    assert told not in plan_sheet(replace(damp, water=replace(water, verdict=answers.water.verdict)))


def test_a_plan_that_sprays_says_when_the_air_would_be_right_for_longer_without(answers):
    bare = answers.mister.details["without_typical"]["inside_h"]
    (today,) = (inside(row["now"]) for row in answers.fans.table if row["name"] == "no fan")
    assert bare > today + 1.0
    assert f"for {bare:.1f} h a day without any spraying and for {today:.1f} h with it" in plan_sheet(answers)
    details = {**answers.mister.details, "without_typical": {"inside_h": today}}
    assert "without any spraying" not in plan_sheet(replace(answers, mister=replace(answers.mister, details=details)))


def test_dry_soil_is_soaked_before_it_is_poured_on_and_the_animals_are_out(answers):
    dry = answers.box.change(**{"start.soil": "dry"})
    plan = week_plan(dry, None, None, soak=answers.soak)
    (soak,) = (chore for chore in plan if chore.what == SOAK)
    assert "animals out first" in soak.when
    assert "all over the soil, with a look at the water below after each" in soak.when
    assert headline(replace(answers, box=dry, plan=plan)).startswith("Soak the dry soil first. Then: Pour")
    assert headline(answers).startswith("Pour")


def test_headings_go_down_one_step_at_a_time(read):
    levels = [int(name[1]) for name, _ in read.tags if re.fullmatch(r"h[1-6]", name)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_every_table_names_its_columns_its_rows_and_itself(page, read):
    tables = re.findall(r"<table[^>]*>.*?</table>", page, flags=re.DOTALL)
    assert len(tables) == len(read.all("table")) >= 5
    for text in tables:
        one = Reader(text)
        columns = [attrs for attrs in one.all("th") if attrs.get("scope") == "col"]
        rows = [attrs for attrs in one.all("th") if attrs.get("scope") == "row"]
        groups = [attrs for attrs in one.all("th") if attrs.get("scope") == "rowgroup"]
        assert one.words["caption"]
        # on a narrow screen a table is moved sideways, by keyboard too
        assert f'tabindex="0" role="region" aria-label="{"".join(one.words["caption"])[:20]}' in page
        assert len(columns) > 2
        assert len(rows) == len(one.all("tr")) - 1 - len(groups) > 0
        assert len(one.all("td")) == len(rows) * (len(columns) - 1)


@pytest.mark.parametrize("colours", [style.LIGHT, style.DARK], ids=["light", "dark"])
def test_letters_stand_out_from_what_they_stand_on(colours):
    """Level AA of the Web Content Accessibility Guidelines 2.1 (W3C 2018): 4.5 to 1 for text, 3 to 1 for lines."""
    for one, other in style.PAIRS:
        assert style.contrast(colours[one], colours[other]) >= 4.5, (one, other)
    for one, other in style.LINES:
        assert style.contrast(colours[one], colours[other]) >= 3.0, (one, other)


def test_contrast_is_that_of_the_guidelines():
    # #767676 on white is the palest grey that reaches 4.5 to 1 (W3C, from memory), #777777 just misses it
    assert style.contrast("#767676", "#ffffff") >= 4.5 > style.contrast("#777777", "#ffffff")


def test_the_pairs_tested_are_those_of_the_sheet():
    """Each rule that sets letters or a background uses named colours, and each pair that occurs is a tested one."""
    rules = re.findall(r"([^{}]+)\{([^{}]*)\}", style.css().split("@page")[0])
    used = {
        (kind, name)
        for _, body in rules
        for kind, name in re.findall(r"(?<![-\w])(color|background): var\(--(\w+)\)", body)
    }
    letters = {name for kind, name in used if kind == "color"}
    grounds = {name for kind, name in used if kind == "background"}
    assert letters == {one for one, _ in style.PAIRS}
    assert grounds == {other for _, other in style.PAIRS}
    # the only colour written out is the white behind pictures, whose letters are black
    assert set(re.findall(r"#[0-9a-f]{6}", style.css())) == {*style.LIGHT.values(), *style.DARK.values()}
    assert style.LIGHT["page"] == "#ffffff"


def test_paper_is_light_and_the_first_sheets_have_pages_of_their_own(page):
    sheet = style.css()
    assert "@media screen and (prefers-color-scheme: dark)" in sheet
    paper = sheet[sheet.index("@media print") :]
    assert re.search(r"\.sheet \{[^}]*break-after: page", paper)
    assert re.findall(r'<section id="(\w+)" class="sheet\b', page) == ["answer", "plan"]


def test_the_paper_is_that_of_the_keeper():
    assert "size: A4" in style.css()
    assert "size: letter" in style.css(us=True)


def test_the_page_gives_every_answer_its_range_and_its_reason(page, answers):
    text = " ".join(re.sub(r"<[^>]+>", " ", page).replace("\u00a0", " ").split())
    for one in answers.each:
        lead = one.reason.split("; ")[0].split(". ")[0]
        assert lead.replace('"', "&quot;").replace("'", "&#x27;").replace(" C,", " °C,") in text, one.question
    assert f"Pour {said(ml(answers.water.value))} a day (likely between" in text
    for words in ("Winter", "Summer", "What to measure next", "Take care", "Taken for granted"):
        assert words in text
    for one in numbers_used(answers.box):
        assert one.number.source.split(";")[0].split(",")[0].replace("&", "&amp;")[:20].replace(
            "'", "&#x27;"
        ) in page.replace("\u00a0", " ")
    assert page.count("veterinary advice") == 1
    assert page.count("Salmonella") == 1


def test_no_paragraph_announces_what_does_not_follow(page, answers):
    """A paragraph that ends in a colon has its list right after it, with every line that the answer sets in there."""
    ends = re.findall(r":</(?:strong></)?p>\s*(<[^>]+>)", page)
    assert ends
    assert set(ends) == {"<ul>"}
    text = page.replace("\u00a0", " ").replace("&#x27;", "'")
    lines = list(answers.fans.sentences)
    start = next(i for i, line in enumerate(lines) if "How sure" in line)
    under = list(takewhile(lambda line: line.startswith("    "), lines[start + 1 :]))
    assert len(under) == 3
    for line in under:
        assert f"<li>{line.strip()}</li>" in text


def cells(page: str, key: str, which: int = 0) -> dict[str, list[str]]:
    """A table of the section `key`: its rows by name, headings under ""."""
    part = page[page.index(f'<section id="{key}"') :]
    (text, *_) = re.findall(r"<table[^>]*>.*?</table>", part[: part.index("</section>")], flags=re.DOTALL)[which:]
    rows = [re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row) for row in re.findall(r"<tr[^>]*>(.*?)</tr>", text)]
    rows = [[unescape(one).replace("\u00a0", " ") for one in row] for row in rows]
    return {"": rows[0][1:], **{row[0].removesuffix(" (recommended)"): row[1:] for row in rows[1:]}}


def first_number(cell: str) -> float:
    """The number that a cell begins with."""
    return float(re.match(r"-?[\d.]+", cell)[0])


def test_the_table_of_bottoms_is_that_of_the_answer(page, answers):
    """Every number under its own heading and beside its own bottom; thirds and hours are not mixed up."""
    drawn = cells(page, "drainage")
    heads = drawn.pop("")
    assert list(drawn) == [row["name"] for row in answers.drainage.table]
    differ = 0
    for row in answers.drainage.table:
        seen = dict(zip(heads, drawn[row["name"]], strict=True))
        told = {head: seen[next(h for h in heads if h.startswith(head))] for head in
                ("Air in the top", "Air in the lowest", "Wet band", "Lowest third short of air", "Room left")}  # fmt: skip
        assert first_number(told["Air in the top"]) == pytest.approx(row["air_percent"][0], abs=0.51)
        assert first_number(told["Air in the lowest"]) == pytest.approx(row["air_percent"][2], abs=0.51)
        assert first_number(told["Wet band"]) == pytest.approx(row["wet_band_cm"], abs=0.051)
        assert first_number(told["Lowest third short of air"]) == pytest.approx(row["airless_hours"][2], abs=0.51)
        if row["reserve_l"] is None:
            assert told["Room left"] == "-"
        else:
            assert first_number(told["Room left"]) == pytest.approx(row["reserve_l"], abs=0.051)
        differ += (
            abs(row["airless_hours"][2] - row["airless_hours"][0]) > 2
            and abs(row["air_percent"][2] - row["air_percent"][0]) > 2
        )
    assert differ  # or nothing could be mixed up


def test_hours_without_air_are_those_of_the_run():
    """Read again from a run, cell by cell: hours a day of its last week in which a third holds less than a tenth of air."""
    box = tl.load("moss-jar").change(**{"enclosure.drainage": None, "enclosure.tube": None, "routine.siphons": []})
    record = tl.simulate(box.change(**{"routine.pours": [{"time": "08:00", "amount": "60 ml", "every": "5 d"}]}), 9,
                         accuracy="preview", record_every_min=60)  # fmt: skip
    row = row_of("sealed", record)
    top = 100.0 * record.raw.dz.sum() - box.enclosure.soil_depth_cm
    third = box.enclosure.soil_depth_cm / 3.0
    edges = 100.0 * np.concatenate([[0.0], np.cumsum(record.raw.dz)])
    week = record.raw.t > 2 * 86400.0 + 1.0
    hours, air = [], []
    for k in range(3):
        a, b = top + k * third, top + (k + 1) * third
        share = np.maximum(0.0, np.minimum(edges[1:], b) - np.maximum(edges[:-1], a))
        mean = (record.air_space[week] * share).sum(axis=1) / share.sum()
        hours.append(24.0 * np.mean(mean < 0.1))
        air.append(100.0 * mean.mean())
    assert row.airless_hours == pytest.approx(hours, abs=0.06)
    assert row.air_percent == pytest.approx(air, abs=0.06)
    assert max(hours) > 0.0
    assert min(hours) < 24.0


def test_the_table_of_seasons_is_that_of_the_answers(page, answers):
    """Three rooms, three columns: none takes the number of another room, of the night for the day, or of water for air."""
    drawn = cells(page, "seasons")
    assert drawn.pop("") == ["Now", "Winter", "Summer"]
    water, away_ = answers.water, answers.away
    own = next(row for row in answers.fans.table if row["name"] == own_name(answers.box))
    # the jar's glass is wet all day in every room: told once more with three hours that differ
    wet = {"now": 1.5, "winter": 7.5, "summer": 3.5}
    odd = [row if row is not own else dict(row) | {s: own[s] | {"front_fogged_h": h} for s, h in wet.items()}
           for row in answers.fans.table]  # fmt: skip
    told = cells(seasons_table(replace(answers, fans=replace(answers.fans, table=odd))), "seasons")
    assert [first_number(cell) for cell in told["Front pane fogged"]] == list(wet.values())
    columns = {
        "Pour on the soil": [water.value, *(water.seasons[s]["value"] for s in ("winter", "summer"))],
        **{f"{what} by {part}": [getattr(water, f"{key}_{part}")["mean"],
                                 *(water.seasons[s][f"{key}_{part}"] for s in ("winter", "summer"))]
           for what, key in (("Humidity", "rh"), ("Temperature", "temp")) for part in ("day", "night")},
        "Inside the humidity wanted": [
            sum(own[s]["hours"][f"{part} inside"] for part in ("day", "night")) for s in ("now", "winter", "summer")
        ],
        "Front pane fogged": [own[s]["front_fogged_h"] for s in ("now", "winter", "summer")],
    }  # fmt: skip
    for name, expected in columns.items():
        for cell, value in zip(drawn[name], expected, strict=True):
            if cell.startswith("none"):
                assert value < 0.5
            else:
                assert first_number(cell) == pytest.approx(value, abs=0.51 if "Temp" not in name else 0.051), name
    assert drawn["Warmth"] == [
        one["verdict"] for one in (water.heat, *(water.seasons[s]["heat"] for s in ("winter", "summer")))
    ]
    for s, cell in zip(("now", "winter", "summer"), drawn["The room"], strict=True):
        room = room_of(answers.box, s)
        for value in (*room.temperature.range(), *room.humidity.range()):
            assert f"{value:.0f}" in cell, s
    told = drawn["Left alone and out of danger, 90 of 100"]
    assert told == [longest_cell(away_[s]) for s in ("now", "winter", "summer")]
    for name in ("Temperature by day", "Temperature by night", "The room"):
        assert len(set(drawn[name])) == 3, name  # or a mistaken room would not show


def test_the_table_of_fans_is_that_of_the_answer(page, answers):
    drawn, few = cells(page, "fans", ALL_SCHEDULES), cells(page, "fans")
    heads = drawn.pop("")
    assert few.pop("") == [*heads, "Schedules alike"]
    assert next(iter(few)) == answers.fans.details["choice"]
    assert all(line[:-1] == drawn[name] for name, line in few.items())
    assert 2 <= sum(int(line[-1]) for line in few.values()) <= len(drawn)
    for row in answers.fans.table:
        seen, now = drawn[row["name"]], row["now"]
        expected = [
            now["rh_day"]["mean"],
            now["rh_night"]["mean"],
            now["temperature_day_c"],
            now["temperature_night_c"],
        ]
        if answers.fans.details["target"]:
            expected.append(now["hours"]["day inside"] + now["hours"]["night inside"])
        expected.append(now["front_fogged_h"])
        for cell, value in zip(seen, expected, strict=False):
            assert first_number(cell) == pytest.approx(value, abs=0.51), (row["name"], heads)
        assert first_number(seen[-2]) == pytest.approx(now["air_changes"]["mean"], abs=0.051)
        assert first_number(seen[-1]) == pytest.approx(now["water_ml"], abs=0.51)


def test_the_table_by_pane_and_place_is_that_of_the_answer(page, answers):
    """Each pane under its own heading; the front pane has the hours of the other table and of the seasons."""
    drawn, other = cells(page, "fans", BY_PANE), cells(page, "fans", ALL_SCHEDULES)
    heads, its_heads = drawn.pop(""), other.pop("")
    fog = next(i for i, head in enumerate(its_heads) if head.startswith("Front pane fogged"))
    for row in answers.fans.table:
        seen, now = dict(zip(heads, drawn[row["name"]], strict=True)), row["now"]
        for pane, hours in now["fogged_h"].items():
            assert seen[f"Fogged {pane}, h a day"] == f"{hours:.1f}"
        assert seen["Fogged front, h a day"] == other[row["name"]][fog]
        if now["apart"]:
            assert float(seen["Damper below by day, %"]) == pytest.approx(now["apart"]["day"]["points"], abs=0.51)


def test_numbers_used_have_source_and_grade():
    box = tl.load("fern-hollow")
    used = numbers_used(box)
    assert len(used) > 60
    assert all(one.number.source and one.number.grade in tl.materials.GRADES for one in used)
    names = {one.entry for one in used}
    assert {
        "fine coir mix",
        "fine insect mesh",
        "mesh law",
        "rainforest-floor small frogs",
        "household sensor",
    } <= names
    assert "winter room" not in names  # the description gives its own
    # the guess of a mesh is listed where one is not named, and nowhere else
    assert "mesh exchange" not in names
    one_unnamed = box.change(**{"enclosure.openings.lid.mesh": True})
    assert {"mesh exchange", "fine insect mesh"} <= {one.entry for one in numbers_used(one_unnamed)}


def test_the_plan_has_each_deed_on_its_days(answers):
    box = answers.box
    routine = replace(
        box.routine,
        sprays=(Spray(time_s=9 * 3600, amount_ml=20, every_days=3),),
        pours=(Pour(time_s=10 * 3600, amount_ml=50),),
        mists=(Mist("mister", 30.0, Timer(("1 min every 4 h",))),),
    )
    pours = {"now": 120.0, "winter": 160.0, "summer": 0.0}
    plan = {chore.what: chore for chore in week_plan(replace(box, routine=routine), pours, answers.drainage)}
    assert plan["Pour on the soil"].when == "10:00"
    assert set(plan["Pour on the soil"].days) == {"120 ml"}
    assert plan["in winter, pour instead"].days[0] == "160 ml"
    assert plan["in summer, pour instead"].days[0] == "none"
    assert plan["Spray by hand"].days == ("20 ml", "", "", "20 ml", "", "", "20 ml")
    assert plan["Mister: mister"].days == ("6 min, 180 ml",) * 7
    assert plan["Water below the mesh"].days[-1] == "look"


def test_an_absence_says_what_it_leaves_out(answers, page):
    """Animals eat, rooms have heat waves, and a mister may have the tap behind it: the page says what is not counted."""
    mist = {"name": "mister", "flow": "60 ml/min", "timer": ["1 min every 6 h"]}
    box = answers.box.change(**{"routine.mists": [mist], "group": "humid-forest geckos"})
    bare, full = (" ".join(said(line) for line in assumed(one, 14)) for one in (answers.box, box))
    for word in ("heat wave", "power cut", "nobody pours"):
        assert word in bare
    assert "240 ml a day, 3.4 l in 14 days" in full
    assert "food and the health of animals are not in them" in full
    text = unescape(page.replace("\u00a0", " "))
    for line in assumed(answers.box, 14):
        assert said(line) in text
    part = text[text.index('id="away"') :]
    part = part[: part.index("</section>")]
    found = answers.away["now"]
    for part_of, rh, warm in (("day", found.rh_day, found.temp_day), ("night", found.rh_night, found.temp_night)):
        assert f"{rh['mean']:.0f} % at {warm['mean']:.1f} °C by {part_of}" in part
    assert "--sheet helper.html" in part
    assert "<img" in part


@pytest.fixture
def answered(answers, page, tmp_path, monkeypatch):
    """The report command with its answers and its page ready, in an empty folder."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(show, "report_page", lambda given, made: page, raising=False)
    monkeypatch.setattr(tl, "all_answers", lambda box, step=None: answers)
    return tmp_path


def test_the_command_writes_one_file_and_keeps_the_one_there(answered, capsys):
    assert cli.main(["report", "moss-jar"]) == 0
    (first,) = answered.iterdir()
    assert first.name == "moss-jar-report.html"
    first.write_text("my notes")
    assert cli.main(["report", "moss-jar"]) == 0
    assert first.read_text() == "my notes"
    assert (answered / "moss-jar-report-2.html").read_text().startswith("<!DOCTYPE html>")
    (answered / "mine.html").write_text("mine")
    assert cli.main(["report", "moss-jar", "--file", "mine.html"]) == 0
    assert (answered / "mine.html").read_text() == "mine"
    assert "mine.html is in use and was kept" in " ".join(capsys.readouterr().out.split())
    assert {path.name for path in answered.iterdir()} == {
        "moss-jar-report.html", "moss-jar-report-2.html", "mine.html", "mine-2.html",
    }  # fmt: skip


def test_the_report_is_named_after_the_file_never_after_what_stands_in_it(answered, capsys):
    inner = answered / "inner"
    inner.mkdir()
    tl.save(tl.load("moss-jar").change(name="../../outside"), inner / "box.toml")
    assert cli.main(["report", "inner/box.toml"]) == 0
    assert {path.name for path in answered.rglob("*") if path.is_file()} == {"box.toml", "box-report.html"}


def test_a_bad_place_is_told_before_anything_is_computed(answered, monkeypatch, capsys):
    monkeypatch.setattr(tl, "all_answers", lambda box, step=None: pytest.fail("asked for nothing"))
    assert cli.main(["report", "moss-jar", "--file", "no/such/place.html"]) == cli.REFUSED
    assert "There is no folder" in capsys.readouterr().err


def test_many_reports_at_once_lose_none(page, tmp_path):
    with ThreadPoolExecutor(8) as pool:
        paths = list(pool.map(lambda _: show.save_report(page, tmp_path / "a.html"), range(16)))
    assert len(set(paths)) == 16
    assert all(path.read_text(encoding="utf-8") == page for path in paths)
    assert sorted(tmp_path.iterdir()) == sorted(paths)


def test_a_name_cannot_break_the_page_or_the_file(answers, tmp_path):
    name = "../../<b>&\"evil'"
    odd = replace(answers, box=replace(answers.box, name=name))
    text = show.report_page(odd)
    assert Reader(text).faults == []
    assert "<b>" not in text
    assert show.save_report(text, tmp_path, stem=name).parent == tmp_path


def test_what_is_no_answer_is_refused(tmp_path):
    with pytest.raises(TerralabError, match="all_answers"):
        show.report_page("moss-jar")
    with pytest.raises(FileError, match="no folder"):
        show.save_report("x", tmp_path / "missing" / "a.html")
