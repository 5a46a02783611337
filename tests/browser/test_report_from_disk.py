"""The report, opened from disk by a real browser that has no network."""

from __future__ import annotations

import terralab as tl
from terralab import show
from terralab.answers.common.provenance import numbers_used
from terralab.answers.together.all_answers import Answers
from terralab.answers.together.plan import week_plan
from tests.asked import asked
from tests.browser.lab import browser_path, chromium


def test_a_report_opens_from_disk_without_a_network(tmp_path):
    browser_path()
    box = tl.load("fern-hollow")
    water = asked("all_answers", "fern-hollow", members=4).water
    # the other answers look alike and take half a minute more
    left_out = {"the other questions": "They are left out here."}
    pours = {"now": water.value, **{season: found["value"] for season, found in water.seasons.items()}}
    plan = week_plan(box, pours, None)
    answers = Answers(box, water, None, None, None, None, plan, numbers_used(box), left_out, pours, ())
    path = show.save_report(show.report_page(answers, "3 May 2026"), tmp_path / "report.html")
    with chromium(offline=True) as (page, seen):
        page.goto(path.as_uri())
        assert "Fern Hollow" in page.title()
        assert page.locator("h1").count() == 1
        pictures = page.evaluate("() => [...document.images].map(i => [i.naturalWidth, i.alt.length])")
        assert pictures
        assert all(width > 100 and words > 30 for width, words in pictures)
        wide = page.evaluate("() => document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert wide <= 0, "the page is wider than the window"
        assert seen == {"errors": [], "abroad": []}
