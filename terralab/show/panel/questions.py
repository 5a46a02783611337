"""The panels, one a question: which sliders, what one quick run shows of it, and the whole answer."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import Any

from terralab import wording
from terralab.answers import Answer, daily_water, drainage, fan_schedules
from terralab.answers.common.balance import (
    AIR_WANTED,
    balancing_ml,
    begun_as_kept,
    budget_ml,
    kept_dry,
    with_pour,
)
from terralab.answers.common.ensemble import settled_rows
from terralab.answers.common.fair_rows import fair_rows_min
from terralab.answers.common.heat_words import first_lines
from terralab.answers.common.humidity_target import humidity, target_of
from terralab.answers.common.recommended import described_ml, described_words
from terralab.answers.common.temperature import Heat, degrees, heat_of
from terralab.answers.common.words import ml
from terralab.answers.drainage.bottoms import overwatered, with_bottom
from terralab.answers.drainage.sizing import SIZED_BY
from terralab.answers.drainage.statements import DESCRIBED, RECOMMENDED, pour_words
from terralab.answers.fans.fan_schedules import MEMBERS as SCHEDULE_MEMBERS
from terralab.describe.box import Box
from terralab.show.figures.profile import profile_of
from terralab.show.figures.settled import danger_of, settled_day_of
from terralab.show.panel import controls as c
from terralab.show.panel.air_picture import Air, AirPicture, lost_ml
from terralab.show.panel.bottom import AFTER_DAYS, Bottom, BottomPicture, bottom_of
from terralab.show.panel.fan_bars import FanBars
from terralab.show.panel.once import once
from terralab.show.panel.panel import Panel, Question
from terralab.show.panel.pictures import Guess, SurePicture
from terralab.simulation.simulate import Job, run_job, run_many
from terralab.uncertainty.sampling import MEMBERS

#: Draws behind the whole answers: as many as the questions take by themselves, so that panel and command line say the same.
WATER_MEMBERS, FAN_MEMBERS, BOTTOM_MEMBERS = MEMBERS, SCHEDULE_MEMBERS, SIZED_BY
ROUGH_MEMBERS = 16  # draws behind a rough answer, which comes first
# A moving slider waits for a first look: shorter runs than an answer's, and fewer cells where nothing is drawn by depth.
LOOK_DAYS, QUICK_DAYS, QUICK_CELLS = 4, 2, 20
_ROOM = (c.ROOM_DAY, c.ROOM_NIGHT, c.ROOM_HUMIDITY, c.COVERED)


def water_panel(box: Box | str = "fern-hollow") -> Panel:
    """The panel of "how much water a day?". `box`: a Box, the name of a demo, or a file.

    Its answer is that of `daily_water`, to the last digit. Raises TerralabError for a box that cannot be read.
    """
    controls = (*_ROOM, c.LEAVES, c.SOIL_DEPTH, c.SPRAY, c.FAN_MINUTES)
    return Panel(_about_water("How much water a day?", controls), box)


def lid_panel(box: Box | str = "fern-hollow") -> Panel:
    """One slider over one picture: how far the mesh of the lid is covered, and what that does. `box` as in `water_panel`."""
    return Panel(replace(_about_water("How far to cover the lid?", (c.COVERED,)), bare=True), box)


def start_panel(box: Box | str = "fern-hollow") -> Panel:
    """The first panel: the room and the covered mesh, then the box, and what it needs. `box` as in `water_panel`."""
    size = (c.WIDTH, c.FRONT_TO_BACK, c.HEIGHT, c.SOIL_DEPTH, c.LEAVES, c.SOIL, c.FOR_WHOM)
    return Panel(_about_water("Your room, your box", (*_ROOM, *size), leads_on=True), box)


def fans_panel(box: Box | str = "fern-hollow") -> Panel:
    """The panel of "which fan schedule?". `box` as in `water_panel`. Its answer is that of `fan_schedules`."""
    question = Question(
        "Which fan schedule?",
        (*_ROOM, c.FAN_FLOW, c.FAN_MINUTES, c.SPRAY),
        _see_air,
        lambda box: once(fan_schedules, box, members=FAN_MEMBERS, pour_members=WATER_MEMBERS),
        AirPicture(FanBars()),
        rough=lambda box: once(fan_schedules, box, members=ROUGH_MEMBERS, pour_members=ROUGH_MEMBERS),
    )
    return Panel(question, box)


def drainage_panel(box: Box | str = "fern-hollow") -> Panel:
    """The panel of "how deep a drainage layer, and when to siphon?". `box` as in `water_panel`.

    Its answer is that of `drainage`: with the recommended pour, and with `pour="described"` once the pour has been moved.
    """
    question = Question(
        "How deep a drainage layer?",
        (c.LAYER, c.LEVEL, c.GRAINS, c.SOIL, c.SOIL_DEPTH, c.POURED, c.POUR, c.ROOM_HUMIDITY, c.COVERED),
        _see_bottom,
        lambda box, pour: once(drainage, box, members=BOTTOM_MEMBERS, pour=pour, pour_members=WATER_MEMBERS),
        BottomPicture(),
        rough=lambda box, pour: once(drainage, box, members=ROUGH_MEMBERS, pour=pour, pour_members=ROUGH_MEMBERS),
        how=lambda values: {"pour": values["poured"]},
        before=_which_pour,
    )
    return Panel(question, box)


def sure_panel(box: Box | str = "fern-hollow") -> Panel:
    """The panel of "how sure are we?": what is known how well, and what that leaves of the range. `box` as above."""
    question = Question(
        "How sure are we?",
        (c.ROOM_HUMIDITY, c.COVERED, c.LEAVES, c.LEAVES_KNOWN, c.COVER_KNOWN, c.FLOW_KNOWN),
        _see_range,
        _water,
        SurePicture(),
        rough=_roughly,
    )
    return Panel(question, box)


def _about_water(title: str, controls: tuple, leads_on: bool = False) -> Question:
    return Question(title, controls, _see_air, _water, AirPicture(), leads_on, rough=_roughly)


def _water(box: Box) -> Answer:
    return once(daily_water, box, members=WATER_MEMBERS)


def _roughly(box: Box) -> Answer:
    return once(daily_water, box, members=ROUGH_MEMBERS)


def _see_air(box: Box) -> tuple[Air, str]:
    """The last of some days with the pours as described, and the pour that would have balanced it."""
    record = run_job(
        Job(
            with_pour(box, described_ml(box)),
            LOOK_DAYS,
            accuracy="preview",
            record_every_min=fair_rows_min(box, 30.0),
        )
    )
    rows = settled_rows(record)
    target, _ = target_of(box)
    pour = 0.0 if kept_dry(box) else balancing_ml(record, rows)
    budget = budget_ml(record, rows)
    seen, heat = humidity(record, rows, target), heat_of(record, rows)
    air = Air(
        name=box.name,
        day=settled_day_of(record, rows=rows),
        soil=profile_of(record, rows),
        humidity_target=target,
        pour_ml=pour,
        lost_ml=lost_ml(budget),
        mean_day=seen["day"]["mean"],
        mean_night=seen["night"]["mean"],
    )
    return air, (
        f"At a first look: about {ml(pour)} a day, {air.mean_day:.0f} % humidity at {degrees(heat.day['mean'])} by day and "
        f"{air.mean_night:.0f} % at {degrees(heat.night['mean'])} by night.{_warned(box, heat)}"
    )


def _warned(box: Box, heat: Heat) -> str:
    """What a first look must say of the warmth; "" where it is right, or nobody knows what is."""
    warned = next((line for line in first_lines(box, heat) if heat.hot or heat.cold), None)
    return "" if warned is None else f" {warned.short[0]}"


def _which_pour(box: Box, answer: Answer) -> str:
    """Which pour a drainage answer is for, in a sentence, beside the other one."""
    if "pour" not in answer.details:
        return ""  # no layer fits, whatever is poured
    asked = pour_words(answer.details, box)
    other = "every other page asks with the recommended one"
    if answer.details["pour"] == RECOMMENDED:
        other = f"on the slider stands {described_words(box)} a day"
    return f"{asked}; {other}."


def _see_bottom(box: Box, pour: str = RECOMMENDED) -> tuple[Bottom, str]:
    """A week after one over-watering, without siphoning; the recommended pour is guessed from a short run."""
    poured = begun_as_kept(box) if pour == DESCRIBED else with_pour(box, _quick_pour(box))
    record = run_job(Job(overwatered(poured), AFTER_DAYS, accuracy="preview", record_every_min=60.0))
    bottom, gap = bottom_of(record), record.gap_below_mesh_cm if record.has_reservoir else None
    words = f"At a first look: {bottom.wet_band_cm:.1f} cm of soil hold less than {100 * AIR_WANTED:.0f} % air"
    below = "." if gap is None else f", and a week after a mishap the water stands {wording.level(float(gap[-1]))}."
    return bottom, f"{words}{below}{_warned(box, heat_of(record))}"


def _quick(box: Box, days: int, **more: Any) -> Job:
    """A run for a first look of which only the pour counts."""
    return Job(box, days, accuracy="preview", cells=QUICK_CELLS, record_every_min=60.0, **more)


def _quick_pour(box: Box) -> float:
    """The pour [ml a day] that a box about needs, whatever is under its soil."""
    return 0.0 if kept_dry(box) else _quick_balance(with_pour(with_bottom(box, None), described_ml(box)))


@lru_cache(maxsize=16)
def _quick_balance(poured: Box) -> float:
    record = run_job(_quick(poured, QUICK_DAYS))
    return balancing_ml(record, settled_rows(record))


def _see_range(box: Box) -> tuple[Guess, str]:
    """The balancing pour with the mesh at its low, typical and high end."""
    run = with_pour(box, described_ml(box))
    ends = ("low", "typical", "high")
    # a mesh that nobody named lets pass a guessed share; a known one holds back by its law, the other way round
    jobs = [
        _quick(run, QUICK_DAYS, overrides={"mesh exchange.factor": passes, "mesh law.factor": held_back})
        for passes, held_back in zip(ends, reversed(ends), strict=True)
    ]
    dry, records = kept_dry(box), run_many(jobs)
    pours = [0.0 if dry else balancing_ml(record, settled_rows(record)) for record in records]
    words = (
        f"At a first look: {ml(pours[0])} to {ml(pours[2])} a day by the mesh alone, {ml(pours[1])} when it is typical."
    )
    heat = heat_of(records[1], settled_rows(records[1]))
    return Guess(box.name, tuple(pours), danger_of(heat)), f"{words}{_warned(box, heat)}"


__all__ = ["drainage_panel", "fans_panel", "lid_panel", "start_panel", "sure_panel", "water_panel"]
