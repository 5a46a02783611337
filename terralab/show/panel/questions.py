"""The panels, one a question: which sliders, what one quick run shows of it, and the whole answer."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from terralab import wording
from terralab.answers import Answer, daily_water, drainage, fan_schedules
from terralab.answers.common.balance import AIR_WANTED, balancing_ml, budget_ml, kept_dry, with_pour
from terralab.answers.common.ensemble import SETTLE_DAYS, last_day
from terralab.answers.common.fair_rows import fair_rows_min
from terralab.answers.common.heat_words import first_lines
from terralab.answers.common.humidity_target import humidity, target_of
from terralab.answers.common.temperature import Heat, degrees, heat_of
from terralab.answers.common.words import ml
from terralab.answers.drainage.bottoms import overwatered, row_of, soil_span_cm
from terralab.answers.drainage.sizing import SIZED_BY
from terralab.answers.fans.fan_schedules import MEMBERS as SCHEDULE_MEMBERS
from terralab.describe.box import Box
from terralab.show.figures.profile import profile_of
from terralab.show.figures.settled import settled_day_of
from terralab.show.panel import controls as c
from terralab.show.panel.air_picture import Air, AirPicture, lost_ml
from terralab.show.panel.bottom import Bottom, BottomPicture
from terralab.show.panel.fan_bars import FanBars
from terralab.show.panel.once import once
from terralab.show.panel.panel import Panel, Question
from terralab.show.panel.pictures import Guess, SurePicture
from terralab.simulation.simulate import Job, run_job, run_many
from terralab.uncertainty.sampling import MEMBERS

#: Draws behind the whole answers: as many as the questions take by themselves, so that panel and command line say the same.
WATER_MEMBERS, FAN_MEMBERS, BOTTOM_MEMBERS = MEMBERS, SCHEDULE_MEMBERS, SIZED_BY
ROUGH_MEMBERS = 16  # draws behind a rough answer, which comes first
AFTER_DAYS = 14
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
        lambda box: fan_schedules(box, members=FAN_MEMBERS, pour_members=WATER_MEMBERS),
        AirPicture(FanBars()),
        rough=lambda box: fan_schedules(box, members=ROUGH_MEMBERS, pour_members=ROUGH_MEMBERS),
    )
    return Panel(question, box)


def drainage_panel(box: Box | str = "fern-hollow") -> Panel:
    """The panel of "how deep a drainage layer, and when to siphon?". `box` as in `water_panel`.

    The pour is one of its sliders, so its answer is that of `drainage` with `pour="described"`.
    """
    question = Question(
        "How deep a drainage layer?",
        (c.LAYER, c.LEVEL, c.GRAINS, c.SOIL, c.SOIL_DEPTH, c.POUR, c.ROOM_HUMIDITY, c.COVERED),
        _see_bottom,
        lambda box: drainage(box, members=BOTTOM_MEMBERS, pour="described"),
        BottomPicture(),
        rough=lambda box: drainage(box, members=ROUGH_MEMBERS, pour="described"),
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
    """The last of six days with the pours as described, and the pour that would have balanced it."""
    poured = sum(p.amount_ml / p.every_days for p in box.routine.pours if p.into == "soil")
    record = run_job(
        Job(with_pour(box, poured), SETTLE_DAYS, accuracy="preview", record_every_min=fair_rows_min(box, 30.0))
    )
    rows = last_day(record)
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


def _see_bottom(box: Box) -> tuple[Bottom, str]:
    """Two weeks after one over-watering, without siphoning."""
    record = run_job(Job(overwatered(box), AFTER_DAYS, accuracy="preview", record_every_min=60))
    e = box.enclosure
    row = row_of("", record)
    depth, air = record.depth_cm, 100.0 * record.air_space[-1]
    shown = np.interp(np.linspace(*soil_span_cm(record), 60), depth, air)  # without a moss cover, computed as soil
    layer = e.drainage.depth_cm if e.drainage else 0.0
    gap = record.gap_below_mesh_cm if record.has_reservoir else None
    level = 0.0 if gap is None else layer - float(gap[-1])
    bottom = Bottom(box.name, shown, e.soil_depth_cm, layer, level, record.times_days, gap, row.wet_band_cm)
    words = f"At a first look: {row.wet_band_cm:.1f} cm of soil hold less than {100 * AIR_WANTED:.0f} % air"
    below = "." if gap is None else f", and two weeks after a mishap the water stands {wording.level(float(gap[-1]))}."
    return bottom, f"{words}{below}{_warned(box, heat_of(record))}"


def _see_range(box: Box) -> tuple[Guess, str]:
    """The balancing pour with the mesh at its low, typical and high end."""
    poured = sum(p.amount_ml / p.every_days for p in box.routine.pours if p.into == "soil")
    run = with_pour(box, poured)
    ends = ("low", "typical", "high")
    # a mesh that nobody named lets pass a guessed share; a known one holds back by its law, the other way round
    jobs = [
        Job(
            run,
            SETTLE_DAYS,
            overrides={"mesh exchange.factor": passes, "mesh law.factor": held_back},
            accuracy="preview",
            record_every_min=60,
        )
        for passes, held_back in zip(ends, reversed(ends), strict=True)
    ]
    dry = kept_dry(box)
    pours = [0.0 if dry else balancing_ml(record, last_day(record)) for record in run_many(jobs)]
    words = (
        f"At a first look: {ml(pours[0])} to {ml(pours[2])} a day by the mesh alone, {ml(pours[1])} when it is typical."
    )
    return Guess(box.name, tuple(pours)), words


__all__ = ["drainage_panel", "fans_panel", "lid_panel", "start_panel", "sure_panel", "water_panel"]
