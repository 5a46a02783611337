"""The report on paper: printed by the very command, on A4 and on US Letter, and read back.

It is read by pypdf: which text stands on which page, where, and how large.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, replace
from html import unescape

import pytest
from pypdf import PdfReader

from terralab import show
from terralab.cli import pdf
from terralab.show.figures.style import TEXT_PT, WIDTH_IN
from terralab.show.report import page as report
from tests.asked import asked
from tests.browser.lab import browser_path

PAPERS = {"A4": (595, 842), "letter": (612, 792)}
LEAST_PT = 9.0
MARGIN_PT = 40.0


@dataclass(frozen=True)
class Run:
    """Some letters on a page: where they begin, in points from the lower left, and how large they are."""

    text: str
    x: float
    y: float
    points: float


@dataclass(frozen=True)
class Sheet:
    """A printed page; `pictures`: the width of each on the page, in points."""

    width: float
    height: float
    runs: tuple[Run, ...]
    pictures: tuple[float, ...]

    @property
    def text(self) -> str:
        return " ".join(" ".join(run.text for run in self.runs).split())

    def lines(self) -> list[Run]:
        """The lines of text from above; what stands on one height in one half of the page is one line."""
        rows: dict[tuple[bool, int], list[Run]] = {}
        for run in self.runs:
            rows.setdefault((run.x > self.width / 2, round(run.y / 2)), []).append(run)
        joined = [replace(row[0], text=" ".join("".join(run.text for run in row).split())) for row in rows.values()]
        return sorted(joined, key=lambda line: -line.y)


def read(path) -> list[Sheet]:
    out = []
    for page in PdfReader(path).pages:
        runs: list[Run] = []
        wide: list[float] = []

        def place(operator, operands, cm, tm, wide=wide):
            if operator == b"Do":  # a picture is one unit wide before the page's own matrix
                wide.append(abs(cm[0]))

        def visit(text, cm, tm, font, size, runs=runs):
            if text.strip():
                # the letters' own matrix, then that of the page
                x, y = (tm[4] * cm[i] + tm[5] * cm[2 + i] + cm[4 + i] for i in (0, 1))
                # some faces print "fi" as one sign
                runs.append(Run(unicodedata.normalize("NFKC", text), x, y, size * abs(tm[3] * cm[3])))

        page.extract_text(visitor_text=visit, visitor_operand_before=place)
        out.append(Sheet(float(page.mediabox.width), float(page.mediabox.height), tuple(runs), tuple(wide)))
    return out


@pytest.fixture(scope="module")
def page() -> str:
    return show.report_page(asked("all_answers", "moss-jar", members=4), "3 May 2026")


@pytest.fixture(scope="module", params=PAPERS)
def sheets(request, page, tmp_path_factory) -> list[Sheet]:
    """The pages of the jar's report on one paper."""
    browser_path()
    text = page.replace("size: A4", f"size: {request.param}")
    path = pdf.print_to_pdf(text, tmp_path_factory.mktemp("print") / "report.pdf", pdf.needs_browser())
    found = read(path)
    assert {(round(sheet.width), round(sheet.height)) for sheet in found} == {PAPERS[request.param]}
    return found


def headings(page: str) -> list[str]:
    """The headings that are printed."""
    folded = re.sub(r'<details>.*?</details>|<section id="used">.*?</section>', "", page, flags=re.DOTALL)
    found = re.findall(r"<h[123][^>]*>(.*?)</h[123]>", folded)
    return [" ".join(unescape(re.sub("<[^>]+>", "", text)).split()) for text in found]


def test_the_answer_and_the_plan_have_a_page_each(sheets, page):
    first, second, third = sheets[:3]
    for words in ("What to do", "What the plan comes to", "Left alone", "veterinary advice"):
        assert words in first.text
        assert words not in second.text
    assert "Do, and tick" not in first.text
    assert second.lines()[0].text == "Moss Jar: the week's plan"
    for words in ("Do, and tick", "Poured, g", "Humidity by night", "When in doubt, feel the soil first"):
        assert words in second.text
    assert third.lines()[0].text == "Winter beside summer"


def test_the_whole_is_a_few_full_pages(sheets):
    assert len(sheets) <= 6
    for number, sheet in enumerate(sheets, 1):
        assert len(sheet.text) > 200, f"page {number} is as good as blank"
        assert all(MARGIN_PT / 2 < run.x < sheet.width - MARGIN_PT / 2 for run in sheet.runs), number
        if 2 < number < len(sheets):
            lowest = min(run.y for run in sheet.runs)
            assert lowest < 0.4 * sheet.height, f"page {number} is half empty"


def test_nothing_is_smaller_than_nine_points(sheets):
    small = {
        (run.text.strip()[:30], round(run.points, 2))
        for sheet in sheets
        for run in sheet.runs
        if run.points < LEAST_PT - 0.02
    }
    assert not small


def test_letters_inside_pictures_are_no_smaller_than_eight_points(sheets):
    """A picture is 8 in wide and its smallest letters are 9.5 points; on paper both shrink alike."""
    printed = [wide for sheet in sheets for wide in sheet.pictures]
    assert printed
    assert all(TEXT_PT * wide / (72.0 * WIDTH_IN) >= 8.0 for wide in printed), printed


def test_paper_sends_nobody_to_a_terminal(sheets):
    told = " ".join(sheet.text for sheet in sheets)
    assert not re.findall(r"`terralab [^`]*`|terralab (?:away|fails|soak|material|water)\b", told)


def test_no_heading_is_left_at_the_foot_of_a_page(sheets, page):
    """Nor at the foot of a column."""
    known = headings(page)
    assert len(known) > 10
    told = " ".join(sheet.text for sheet in sheets)
    for heading in known:
        assert heading in told, heading
    for number, sheet in enumerate(sheets, 1):
        for right in (False, True):
            half = [line for line in sheet.lines() if (line.x > sheet.width / 2) is right]
            assert not half or half[-1].text not in known, f"page {number}: {half[-1].text}"


def test_every_part_is_printed_in_its_order(sheets, page):
    """Cautions before the box and what is taken for granted; the list of all numbers is for the screen, and paper says so."""
    told = " ".join(sheet.text for sheet in sheets)
    answers = asked("all_answers", "moss-jar", members=4)
    places = [
        told.index(words)
        for words in ("How much water a day?", "Which fan schedule?", "Take care", "Taken for granted")
    ]
    assert places == sorted(places)
    assert f"{len(answers.used)} numbers of the tables" in told
    assert "What the grades mean" not in told
    assert "What the grades mean" in page
    assert "Every schedule that was tried" not in told
    assert set(report.APPENDIX) < set(report.PARTS)
