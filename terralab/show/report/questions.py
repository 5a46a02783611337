"""The report's part on each question: what to do and why, a picture or a table; all else is folded away."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from terralab.answers.common.answer import Answer
from terralab.answers.common.measure_next import LITTLE
from terralab.answers.common.optional import dry_cell
from terralab.answers.common.statement import Kind, Statement
from terralab.answers.common.words import amount_span, ml
from terralab.answers.fans.alike import groups_of
from terralab.answers.fans.choice import inside
from terralab.answers.fans.schedules import AS_DESCRIBED, NO_FAN
from terralab.answers.together.all_answers import Answers
from terralab.answers.together.plan import lid_order
from terralab.quantities import quantity, unit_word
from terralab.show import water_picture
from terralab.show.figures.fans import fans as fans_picture
from terralab.show.figures.measure_next import measure_picture
from terralab.show.figures.section import section as section_picture
from terralab.show.report.parts import folded, paragraphs, picture, section, table
from terralab.show.report.places import places_table
from terralab.show.report.told import prose, rest

C, ML = unit_word("°C"), unit_word("ml")
MORE = "The rest of this answer"
MIDNIGHT = (
    "The box at the end of two weeks with the recommended pour of the routine as described, and the ground with the air in it. "
    "Air and water below are those of that midnight."
)
_WATER = (Kind.WHY, Kind.AIR, Kind.WARNING, Kind.HOT_PLACE, Kind.WANTED, Kind.WINDOW)
_FANS = (Kind.DO, Kind.WHY, Kind.ALTERNATIVE, Kind.WRONG)
_LAYER = (Kind.DO, Kind.WHY, Kind.SIPHON)
_SOAK = (Kind.DO, Kind.WHY)


def _c(value: float) -> str:
    return quantity("°C", ".0f", value, bare=True)


def _ml(value: float) -> str:
    return quantity("ml", ".0f", value, bare=True)


def water_section(answers: Answers) -> str:
    """How much to pour a day, and where it goes."""
    water = answers.water
    if water is None:
        return ""
    words = "With the recommended pour, and where the water goes."
    drawn = picture(water_picture(water.record, water), words, printed=False)
    return section(
        "water",
        "How much water a day?",
        prose(water, Kind.DO),
        paragraphs([_other_pour(answers)]),
        drawn,
        prose(water, *_WATER),
        paragraphs(one.text for one in levers(answers)),
        folded(
            "The box at one midnight, its ground enlarged, and the rest of this answer",
            picture(section_picture(water.record), MIDNIGHT),
            rest(water, Kind.DO, Kind.ALTERNATIVE, *_WATER),
        ),
    )


def levers(answers: Answers) -> tuple[Statement, ...]:
    """What else would reach the humidity wanted, as the water's answer has it from a few quick runs: lid, fan, spraying, moss.

    It stands on the page only where the fan question, which compares lids and fans at length, leaves it open. Where a schedule
    reaches what is wanted, a lid is to be changed first, or an exchange fan goes on, it might advise against the plan.
    """
    fans = answers.fans
    if answers.water is None:
        return ()
    if fans is not None and (fans.reachable is not False or lid_order(answers.box, fans)):
        return ()
    blown = answers.box.routine.fans if fans is None else fans.record.box.routine.fans
    return () if any(fan.mode == "exchange" for fan in blown) else answers.water.of_kind(Kind.ALTERNATIVE)


def _other_pour(answers: Answers) -> str:
    """That the week's plan pours another amount, since it has other fans; "" where it does not."""
    planned = answers.pours.get("now", answers.water.value)
    if planned == answers.water.value:
        return ""
    kept = "with the fans as described" if answers.box.routine.fans else "without a fan"
    return f"That is {kept}. With the fans of the week's plan pour {ml(planned)} a day."


def fans_section(answers: Answers) -> str:
    """Which fan schedule, beside those nearest to it and beside the lid; all that were tried are folded away."""
    fans = answers.fans
    if fans is None:
        return ""
    named = {NO_FAN, AS_DESCRIBED, *fans.details["best"]}
    groups = [(row, group) for row, group in groups_of(fans) if named & set(group["names"])]
    alike = [len(group["names"]) for _, group in groups]
    return section(
        "fans",
        "Which fan schedule?",
        prose(fans, *_FANS),
        _schedules(
            fans,
            [row for row, _ in groups],
            "The best schedules and what is done today, each for all that come out alike",
            alike,
        ),
        "" if fans.reachable is not False else _lids(fans),  # where a schedule does what is wanted, no lid has to
        folded(
            "Every schedule that was tried, and the rest of this answer",
            picture(fans_picture(fans), "A day under each schedule, in the room as described."),
            _schedules(fans, fans.table, "Every fan schedule, in the room as described"),
            places_table(fans, _chosen(fans, fans.table)),
            _lids(fans) if fans.reachable is not False else "",
            rest(fans, *_FANS),
        ),
    )


def _chosen(fans: Answer, rows: Sequence[Mapping[str, Any]]) -> list[int]:
    """The places of the recommended schedule among some rows."""
    return [number for number, row in enumerate(rows) if row["name"] == fans.details["choice"]]


def _schedules(fans: Answer, shown: Sequence[Mapping[str, Any]], caption: str, alike: Sequence[int] = ()) -> str:
    """A table of some of the schedules; `alike`: how many come out like each of them, itself counted."""
    has_target = bool(fans.details["target"])
    heads = ["Schedule", "Humidity by day, %", "by night, %", f"Air by day, {C}", f"by night, {C}", "Front pane fogged, h a day",
             "Dry after a spray, h", "Air changes an hour", f"Water, {ML} a day"]  # fmt: skip
    if has_target:
        heads.insert(5, "As humid as wanted, h a day")
    rows = []
    for row in shown:
        seen = row["now"]
        line = [row["name"], f"{seen['rh_day']['mean']:.0f}", f"{seen['rh_night']['mean']:.0f}",
                _c(seen["temperature_day_c"]), _c(seen["temperature_night_c"]), f"{seen['front_fogged_h']:.1f}",
                dry_cell(seen, "not dry"), f"{seen['air_changes']['mean']:.1f}", _ml(seen["water_ml"])]  # fmt: skip
        if has_target:
            line.insert(5, f"{inside(seen):.1f}")
        if row["name"] == fans.details["choice"]:
            line[0] += " (recommended)"
        rows.append(line)
    if alike:
        heads.append("Schedules alike")
        rows = [[*line, f"{many}"] for line, many in zip(rows, alike, strict=True)]
    return table(caption, heads, rows, range(1, len(heads)), _chosen(fans, shown))


def _lids(fans: Answer) -> str:
    """The table of the other lever, the lid more or less covered; "" where it has nothing to cover."""
    rows = [
        (f"{100 * one['covered']:.0f} % covered", f"{one['rh_day']['mean']:.0f}", f"{one['rh_night']['mean']:.0f}",
         _c(one["temperature_day_c"]), _c(one["temperature_night_c"]), _ml(one["water_ml"]))
        for one in fans.details["covers"] if one["fan"] == NO_FAN
    ]  # fmt: skip
    heads = ("Lid", "Humidity by day, %", "by night, %", f"Air by day, {C}", f"by night, {C}", f"Water, {ML} a day")
    return table("The other lever: the lid, with no fan", heads, rows, range(1, 6)) if rows else ""


def drainage_section(answers: Answers) -> str:
    """How deep a layer, when to siphon, and other bottoms beside this one."""
    bottom = answers.drainage
    if bottom is None:
        return ""
    rows = []
    for row in bottom.table:
        reserve = "-" if row["reserve_l"] is None else quantity("l", ".1f", row["reserve_l"])
        rows.append((row["name"], f"{row['air_percent'][0]:.0f}", f"{row['air_percent'][2]:.0f}",
                     quantity("cm", ".1f", row["wet_band_cm"], bare=True), f"{row['airless_hours'][2]:.0f}", reserve))  # fmt: skip
    heads = ("Bottom", "Air in the top third, %", "Air in the lowest third, %", f"Wet band, {unit_word('cm')}",
             "Lowest third short of air, h a day", "Room left")  # fmt: skip
    caption = (
        "Other bottoms for the same box: four weeks of the routine without siphoning, one over-watering on the first day. "
        "Wet band: soil with under 10 % air. Room left: what still fits under the mesh."
    )
    return section(
        "drainage",
        "How deep a drainage layer?",
        prose(bottom, *_LAYER),
        folded(
            "Other bottoms, and the rest of this answer",
            table(caption, heads, rows, range(1, 6), [0]) if rows else "",
            rest(bottom, *_LAYER),
        ),
    )


def soak_section(answers: Answers) -> str:
    """How much water on the first day of a box that stood dry."""
    soak = answers.soak
    if soak is None:
        return ""
    told = _SOAK if answers.box.start.soil == "dry" else _SOAK[:1]  # the reason of what is not done now can wait
    return section("soak", "How much on the first day?", prose(soak, *told), folded(MORE, rest(soak, *told)))


def measure_section(answers: Answers) -> str:
    """What to measure next, the most useful first."""
    if answers.water is None:
        return ""
    ranked = answers.water.measure_next
    if not ranked:
        words = "The answer has no range that a measurement could narrow. A kitchen scale under the watering bottle checks it."
        return section("measure", "What to measure next", paragraphs([words]))
    unit = answers.water.unit
    rows = [
        (one["what"], one["how"], one["accuracy"], f"{100 * one['narrows_by']:.0f} %",
         amount_span(*one["range_then"], unit), f"{one['grade']}: {one['source']}")
        for one in ranked if one["narrows_by"] >= LITTLE
    ]  # fmt: skip
    idle = [one["what"] for one in ranked if one["narrows_by"] < LITTLE]
    heads = ("Measurement", "How", "How good", "Narrows the range by", "Range then", "Grade and source of how good")
    caption = "Home measurements, the most useful first, for the daily water."
    return section(
        "measure",
        "What to measure next",
        table(caption, heads, rows, (3,)) if rows else "",
        folded(
            "The same as a picture, and what would hardly help",
            picture(measure_picture(answers.water), "What each measurement would leave of the range."),
            paragraphs([f"These would hardly narrow it: {', '.join(idle)}."] if idle else []),
        ),
    )
