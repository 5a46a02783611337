"""The report's table of winter beside summer: one column a room."""

from __future__ import annotations

from typing import Any

from terralab.answers.away.words import longest_cell
from terralab.answers.common.words import amount_span, ml
from terralab.answers.drainage.words import days_words, too_thin_after
from terralab.answers.fans.choice import inside
from terralab.answers.fans.water_cost import own_name
from terralab.answers.together.all_answers import Answers
from terralab.describe.seasons import SEASONS, room_in_words, room_of
from terralab.quantities import marked, quantity
from terralab.show.report.parts import section, table


def _schedule(answers: Answers, name: str) -> Any:
    return next(row for row in answers.fans.table if row["name"] == name)


def seasons_table(answers: Answers) -> str:
    """The section with humidity, temperature and water of each room; empty where no water answer could be given."""
    water = answers.water
    if water is None:
        return ""
    rooms = {"now": None, **water.seasons}
    rows: list[tuple[str, ...]] = [
        ("The room", *(_room(answers, season) for season in SEASONS)),
        ("Pour on the soil", *(_pour(*_value(water, s)) for s in rooms.values())),
        *_with_other_fans(answers),
        ("Humidity by day", *(f"{(water.rh_day['mean'] if s is None else s['rh_day']):.0f} %" for s in rooms.values())),
        ("Humidity by night",
         *(f"{(water.rh_night['mean'] if s is None else s['rh_night']):.0f} %" for s in rooms.values())),
        ("Temperature by day", *(quantity("°C", ".1f", water.temp_day["mean"] if s is None else s["temp_day"]) for s in rooms.values())),
        ("Temperature by night",
         *(quantity("°C", ".1f", water.temp_night["mean"] if s is None else s["temp_night"]) for s in rooms.values())),
        ("Warmth", *((water.heat if s is None else s["heat"])["verdict"] for s in rooms.values())),
    ]  # fmt: skip
    if answers.fans is not None:
        own = _schedule(answers, own_name(answers.box))
        if answers.fans.details["target"]:
            rows.append(("Inside the humidity wanted", *(f"{inside(own[season]):.1f} h a day" for season in SEASONS)))
        rows.append(("Front pane fogged", *(f"{own[season]['front_fogged_h']:.1f} h a day" for season in SEASONS)))
    if answers.drainage is not None and answers.drainage.window and answers.box.enclosure.drainage is not None:
        plan = answers.drainage.window
        every = (
            too_thin_after(plan) if plan["too_thin"] else days_words(plan["every_days"][s], "about every")
            for s in SEASONS[1:]
        )
        rows.append(("Siphon", "-", *every))
    if answers.away is not None:
        rows.append(("Left alone and out of danger, 90 of 100", *(longest_cell(answers.away[s]) for s in SEASONS)))
    caption = "The same box in three rooms, each with its recommended pour and else the routine as described. One plan is not right all year."
    return section("seasons", "Winter beside summer", table(caption, ("", "Now", "Winter", "Summer"), rows))


def _with_other_fans(answers: Answers) -> list[tuple[str, ...]]:
    """The pours of the week's plan, where its fans are others than those described."""
    if not answers.pours or answers.pours["now"] == answers.water.value:
        return []
    poured = (ml(value) + " a day" if value >= 0.5 else "none" for value in (answers.pours[s] for s in SEASONS))
    return [("Pour with the fans of the week's plan", *poured)]


def _value(water: Any, season: Any) -> tuple[float, float, float]:
    return (water.value, water.low, water.high) if season is None else (season["value"], season["low"], season["high"])


def _room(answers: Answers, season: str) -> str:
    if season == "now":
        return room_in_words(room_of(answers.box, "now"))
    kept = answers.water.seasons[season]
    return marked(kept["room"]) + ("" if kept["own"] else " (a default; your description gives none)")


def _pour(value: float, low: float, high: float) -> str:
    if high < 0.5:
        return "none"
    return f"{ml(value)} a day ({amount_span(low, high, 'ml')})" if value >= 0.5 else f"none (at most {ml(high)} a day)"
