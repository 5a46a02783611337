"""What would narrow the ml a day most once a log is learned from: read off the members that fit it, without a further run."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from terralab import materials
from terralab.answers.common.ensemble import EnsembleResults
from terralab.answers.common.measure_next import WITH_THE_BOX, measure_next
from terralab.answers.common.weighed import BOTTLE
from terralab.answers.drainage.weight import weight
from terralab.describe.box import Box
from terralab.learning.fit import EXCHANGE, LOSS, Fit
from terralab.logs.diary import Diary
from terralab.simulation.record import Record
from terralab.uncertainty import Ensemble, uncertain_inputs

DAYS = 14.0  # of weighing


def next_measurements(box: Box, fit: Fit, record: Record, diary: Diary | None) -> tuple[dict[str, Any], ...]:
    """Home measurements by how much each would narrow the range of the water lost, what was done already left out."""
    inputs = tuple(one for one in uncertain_inputs(box) if one.key in fit.draws)
    outcomes = {name: np.asarray(fit.outcomes.get(name, ()), float) for name in (LOSS, EXCHANGE)}
    if not inputs or not all(len(values) for values in outcomes.values()):
        return ()
    values = np.column_stack([np.asarray(fit.draws[one.key], float) for one in inputs])
    sample = EnsembleResults(Ensemble(inputs, values), {"loss": outcomes[LOSS], "exchange": outcomes[EXCHANGE]})
    return measure_next(sample, "loss", "ml a day", weighed=errors(box, outcomes[LOSS], record, diary))


def errors(box: Box, loss: np.ndarray, record: Record, diary: Diary | None) -> Mapping[str, np.ndarray]:
    """How far two weeks of weighing would be off [ml a day, one standard deviation], for what was not weighed yet.

    The box itself, where a kitchen scale bears it: two readings of the scale and what is poured meanwhile. The bottle alone:
    what the soil may have gained or lost without its keeper feeling it is not told from what left.
    """
    typical = lambda entry, prop: materials.get("defaults", entry).typical(prop)  # noqa: E731
    out: dict[str, np.ndarray] = {}
    done = () if diary is None else diary.entries
    on_scale = any(one.what == "box weighs" for one in done)
    given = lambda entry: 0.5 * materials.get("measurements", entry).typical("relative_error") * loss  # noqa: E731
    if not on_scale and weight(box).total <= typical("kitchen scale", "bears"):
        scale = np.sqrt(2.0) * 0.5e3 * typical("kitchen scale", "error") / DAYS
        out[WITH_THE_BOX] = np.hypot(scale, given(WITH_THE_BOX))
    if not on_scale and not any(one.what in ("poured", "bottle weighs") for one in done):
        soil = 1000.0 * float(record.stored_kg["soil"].mean())
        out[BOTTLE[-1]] = np.hypot(0.5 * typical("soil judged by feel", "share") * soil / DAYS, given(BOTTLE[-1]))
    return out
