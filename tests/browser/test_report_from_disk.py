"""The report, opened from disk by a real browser that has no network."""

from __future__ import annotations

from terralab import show
from tests.asked import asked
from tests.browser.lab import browser_path, chromium

#: Tables that are wider than the box they scroll in, where that does not scroll.
SMALL_TABLES = """() => [...document.querySelectorAll("table")].filter(t => t.scrollWidth > t.parentElement.clientWidth + 1
    && getComputedStyle(t.parentElement).overflowX !== "auto").map(t => t.caption.textContent)"""
LOOKS = """() => ({page: getComputedStyle(document.body).backgroundColor,
    picture: getComputedStyle(document.images[0]).backgroundColor,
    padding: parseFloat(getComputedStyle(document.images[0]).paddingLeft)})"""


def test_a_report_opens_from_disk_without_a_network(tmp_path):
    browser_path()
    answers = asked("all_answers", "moss-jar", members=4)
    path = show.save_report(show.report_page(answers, "3 May 2026"), tmp_path / "report.html")
    with chromium(offline=True) as (page, seen):
        page.goto(path.as_uri())
        assert "Moss Jar" in page.title()
        assert page.locator("h1").count() == 1
        pictures = page.evaluate("() => [...document.images].map(i => [i.naturalWidth, i.alt.length])")
        assert pictures
        assert all(width > 100 and words > 30 for width, words in pictures)
        # on a screen what few need is folded away, and opens without a script; as wide as it is, the page stays in its window
        assert page.locator("details[open]").count() == 0
        page.evaluate("() => document.querySelectorAll('details').forEach(one => { one.open = true })")
        for width in (1280, 390):
            page.set_viewport_size({"width": width, "height": 800})
            over = page.evaluate("() => document.documentElement.scrollWidth - document.documentElement.clientWidth")
            assert over <= 0, f"the page is wider than a window of {width}"
            inside = page.evaluate(SMALL_TABLES)
            assert inside == [], f"a table does not stay in its own box at {width}"
        page.emulate_media(color_scheme="dark")
        looks = page.evaluate(LOOKS)
        assert looks["page"] != looks["picture"] == "rgb(255, 255, 255)"
        assert looks["padding"] >= 4.0
        assert page.locator("main").count() == page.locator("nav[aria-label]").count() == 1
        assert page.locator("section:not([aria-labelledby]) > h2").count() + 1 == page.locator("section").count()
        assert seen == {"errors": [], "abroad": []}
