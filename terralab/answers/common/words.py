"""The watering answers as plain sentences."""

from __future__ import annotations

from collections.abc import Mapping

from terralab.answers.common.answer import Answer
from terralab.answers.common.draws import left_out_words
from terralab.answers.common.rounding import LITRE_ML, jug
from terralab.answers.water.unpoured import unpoured_words
from terralab.describe.box import Box, HumidityTarget
from terralab.describe.seasons import room_in_words
from terralab.describe.wanted import DRY, soil_wanted
from terralab.measured import Measured, with_unit
from terralab.simulation.where_it_goes import ways_out

DRY_NOW = "The soil is described as dry now. Soak it once first (terralab soak); this pour holds from then on."


def ml(value: float) -> str:
    """A volume the way a keeper would say it: rounded to what a kitchen jug can show."""
    rounded = jug(value)
    return f"{rounded:.0f} ml" if rounded < LITRE_ML else f"{rounded / LITRE_ML:.1f} l"


def as_typed(value_ml: float) -> str:
    """A described volume [ml]: in the words of the keeper where it was typed in another unit, else as `ml` says it."""
    return with_unit(value_ml, "volume", "ml") if isinstance(value_ml, Measured) else ml(value_ml)


def amount(value: float, unit: str) -> str:
    """A value of an answer with the first word of its unit, as a keeper would say it."""
    if unit.startswith("ml"):
        return ml(value)
    return f"{value:.1f} {unit.split()[0]}"


def likely(low: str, high: str, join: str = "between {} and {}") -> str:
    """The central range of an answer, of two ends as they are said; one word where they read the same.

    >>> likely("5 ml", "10 ml"), likely("0 ml", "0 ml")
    ('likely between 5 ml and 10 ml', 'in nearly all cases drawn')
    """
    return "in nearly all cases drawn" if low == high else f"likely {join.format(low, high)}"


def target_in_words(target: HumidityTarget) -> str:
    """The humidity wanted, with the hours that count as day."""
    return (
        f"{target.day_low:g} to {target.day_high:g} % by day ({target.day_from} to {target.day_to}), {target.night_low:g} to "
        f"{target.night_high:g} % by night"
    )


def _likely(rh: Mapping[str, float]) -> str:
    return f"{rh['mean_low']:.0f} to {rh['mean_high']:.0f} %"


def water_sentences(
    a: Answer, box: Box, target: HumidityTarget | None, to_measure: str = "", warmth: str = ""
) -> tuple[str, ...]:
    """The daily-water answer, a line each.

    `to_measure` is the sentence on what would narrow its range, `warmth` the one on the temperature.
    """
    room = room_in_words(box.room.now)
    lines = [
        f"{box.name}: how much water a day?",
        f"  Pour {ml(a.value)} a day ({likely(ml(a.low), ml(a.high))}) in the room as described ({room})."
        if a.value >= 0.5
        else f"  0 ml: nothing needs to be poured (at most {ml(a.high)}) in the room as described ({room}).",
        *([f"  {DRY_NOW}"] if box.start.soil == "dry" and soil_wanted(box) != DRY else []),
        f"  Why: {a.reason}",
        f"  The range holds 80 of 100 boxes that fit this description: {a.spread['uncertain_inputs']} numbers that nobody can read off a "
        f"box were drawn {a.spread['members']} times, each within its own range.",
    ]
    if a.spread["failed"]:
        lines.append(f"  {left_out_words(a.spread)}")
    if to_measure:
        lines.append(f"  What to measure next: {to_measure}")
    w = a.window
    if w["least"] is None:
        lines.append(f"  No daily pour works for {w['days']} days: {w['why']}.")
    else:
        end = f"at least {ml(w['most'])}" if w["most_is_open"] else ml(w["most"])
        lines.append(
            f"  Anything from {ml(w['least'])} to {end} a day works for {w['days']} days. It keeps: {w['keeps']}."
        )
        if not w["most_is_open"] and a.value > w["most"]:
            lines.append(
                f"  Mind that {ml(a.value)} is more than that: it replaces what the soil gives off, but over {w['days']} days the "
                "roots lose their air or the water below comes near the mesh. Pour less, or draw water off below more often."
            )
        if w["least_is_none"]:
            lines.append(f"  {unpoured_words(w['unpoured'], bool(box.routine.sprays or box.routine.mists))}")
    lines.append(
        f"  Humidity then: {a.rh_day['mean']:.0f} % at {a.temp_day['mean']:.1f} °C by day (likely {_likely(a.rh_day)}, and over the day from "
        f"{a.rh_day['low']:.0f} to {a.rh_day['high']:.0f}), {a.rh_night['mean']:.0f} % at {a.temp_night['mean']:.1f} °C by night (likely {_likely(a.rh_night)}, "
        f"and over the night from {a.rh_night['low']:.0f} to {a.rh_night['high']:.0f})."
    )
    if warmth:
        lines.append(f"  {warmth}")
    if target is not None:
        h = a.hours_in_target
        lines.append(
            f"  Wanted: {target_in_words(target)}. "
            f"Hours a day inside: {h['day inside']:.1f} of the day, {h['night inside']:.1f} of the night "
            f"(too dry {h['day too dry'] + h['night too dry']:.1f}, too damp {h['day too damp'] + h['night too damp']:.1f})."
        )
        lines.append(f"  {a.alternative}")
    lines.append(
        "  By season: "
        + "; ".join(
            f"{season} ({s['room']}{'' if s['own'] else ', a default'}) {ml(s['value'])} a day "
            f"({likely(ml(s['low']), ml(s['high']), '{} to {}')}), "
            f"{s['rh_day']:.0f} % at {s['temp_day']:.1f} °C by day, {s['rh_night']:.0f} % at {s['temp_night']:.1f} °C by night"
            for season, s in a.seasons.items()
        )
        + "."
    )
    lines += [
        f"  {left_out_words(s['draws'], f'draws in {season}')}"
        for season, s in a.seasons.items()
        if s["draws"]["failed"]
    ]
    b = a.budget_ml_per_day
    gone = ", ".join(f"{ml(b[key])} {words}" for key, words in ways_out().items() if b.get(key, 0.0) >= 0.5)
    lines.append(
        f"  Where it goes, a day: {gone or 'almost nothing leaves'}; {ml(b['condensed and returned'])} condense on the glass "
        f"and come back; {ml(b['drained into the reservoir'])} drain into the reservoir."
        if box.enclosure.drainage is not None
        else f"  Where it goes, a day: {gone or 'almost nothing leaves'}; {ml(b['condensed and returned'])} condense on the "
        "glass and come back. There is no reservoir."
    )
    lines.append("  Taken for granted: " + " ".join(a.assumptions))
    lines.append("  Take care: " + " ".join(a.cautions))
    return tuple(lines)
