"""Many runs by any standard executor: processes give to the last bit what a run alone gives."""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

import numpy as np
import pytest

import terralab as tl
from terralab.uncertainty import ensemble


def test_a_process_pool_gives_what_a_run_alone_gives() -> None:
    box = tl.load("moss-jar")
    jobs = [tl.Job(box, 1, overrides=overrides, accuracy="preview") for overrides in ensemble(box, 3).overrides]
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        records = tl.run_many(jobs, executor=pool)
        # it is left open for more
        assert pool.submit(abs, -1).result() == 1
    for job, record in zip(jobs, records, strict=True):
        alone = tl.simulate(box, 1, overrides=job.overrides, accuracy="preview")
        np.testing.assert_array_equal(record.raw.water, alone.raw.water)
        np.testing.assert_array_equal(record.relative_humidity, alone.relative_humidity)
        assert record.closure_water < 1e-9


def test_an_impossible_member_is_none_in_a_pool_too() -> None:
    box = tl.load("moss-jar")
    jobs = [tl.Job(box, 1, accuracy="preview"), tl.Job(box, 1, overrides={"box.enclosure.width_cm": -1.0})]
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        good, bad = tl.run_many(jobs, executor=pool, failed="none")
        assert good is not None
        assert bad is None
        with pytest.raises(tl.DescriptionError):
            tl.run_many(jobs, executor=pool)
