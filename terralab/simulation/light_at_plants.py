"""The light at the plants over a day, from the same lamps and daylight that a run takes: a by-product of the description."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from terralab.describe.box import Box
from terralab.engine.layout import Overrides
from terralab.engine.light import daylight, lamp_light
from terralab.physics.light import lux_of_light
from terralab.uncertainty.inputs import UncertainInput, asked_by
from terralab.uncertainty.learned import with_learned
from terralab.uncertainty.overrides import changed
from terralab.units import DAY_S, HOUR_S

UMOL = 1e6  # in a mol


@dataclass(frozen=True)
class LightAtPlants:
    """Light on a level place at the top of the plants, the mean over the floor.

    `umol`: its mean while it is light [umol/m2/s]; `lux`: the same as a lux meter shows it; `hours`: how long it is light,
    from any lamp or from the window; `mol_a_day`: the sum of a day [mol/m2]. All 0 where nothing shines.
    """

    umol: float
    lux: float
    hours: float
    mol_a_day: float


def light_at_plants(
    box: Box, overrides: Mapping[str, float | str] | None = None, season: str = "now"
) -> LightAtPlants | None:
    """Return the light of lamps and window at the plants of `box` on a day of `season`; None: neither is described.

    A lamp on a thermostat counts for all hours of its timer. A patch of sun is left out: it lights a part of the plants
    for a while. `overrides` as `simulate` takes them.
    """
    numbers = with_learned(box, overrides or {}, season)
    return _light(changed(box, numbers), Overrides(numbers), season)


def light_inputs(box: Box, season: str = "now") -> tuple[UncertainInput, ...]:
    """Return the uncertain numbers of the tables that decide the light; a run of a box without leaves asks for none."""
    return asked_by(lambda pick: _light(box, pick, season))


def _light(box: Box, pick: Overrides, season: str) -> LightAtPlants | None:
    if not box.routine.lamps and box.room.window is None:
        return None
    lit = []  # light, lux a umol of it, and when it is on
    for lamp in box.routine.in_season(season).lamps:
        lit.append((lamp_light(box.enclosure, lamp, pick), pick("lamps", lamp.kind, "lux_per_umol"), lamp.timer))
    ends = {0.0, DAY_S} | {t for *_, timer in lit for period in timer.periods_s() for t in period}
    sky = None
    if box.room.window is not None:
        sky = daylight(box, season, pick, 0.0)
        ends |= set(sky.times.tolist())
    times = np.array(sorted(ends))
    spans, middle = np.diff(times), 0.5 * (times[1:] + times[:-1])
    umol, lux = np.zeros(len(spans)), np.zeros(len(spans))
    for light, lux_per_umol, timer in lit:
        on = np.array([timer.runs_at(time) for time in middle])
        umol += on * light
        lux += on * lux_of_light(light, lux_per_umol)
    if sky is not None:
        here = sky.row["par"] * sky.loads[np.searchsorted(sky.times, middle, "right") - 1]
        umol += here
        lux += [lux_of_light(one, pick("defaults", "daylight", "lux_per_umol")) for one in here]
    lasts = float(spans[umol > 0.0].sum())
    if lasts == 0.0:
        return LightAtPlants(0.0, 0.0, 0.0, 0.0)
    day = float(umol @ spans)
    return LightAtPlants(day / lasts, float(lux @ spans) / lasts, lasts / HOUR_S, day / UMOL)
