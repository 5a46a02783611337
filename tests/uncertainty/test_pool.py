"""Many runs by any standard executor: processes give to the last bit what a run alone gives."""

from __future__ import annotations

import pickle
import re
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from dataclasses import fields
from multiprocessing import get_context
from pathlib import Path

import numpy as np
import pytest
from distributed import Client, LocalCluster

import terralab as tl
from terralab.uncertainty import ensemble


@pytest.fixture(scope="module")
def pool() -> Iterator[Executor]:
    """One process of its own, which takes two seconds to begin."""
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as one:
        yield one


def test_a_process_pool_gives_what_a_run_alone_gives(pool: Executor) -> None:
    box = tl.load("moss-jar")
    jobs = [tl.Job(box, 1, overrides=overrides, accuracy="preview") for overrides in ensemble(box, 3).overrides]
    records = tl.run_many(jobs, executor=pool)
    # it is left open for more
    assert pool.submit(abs, -1).result() == 1
    for job, record in zip(jobs, records, strict=True):
        alone = tl.simulate(box, 1, overrides=job.overrides, accuracy="preview")
        np.testing.assert_array_equal(record.raw.water, alone.raw.water)
        np.testing.assert_array_equal(record.relative_humidity, alone.relative_humidity)
        assert record.closure_water < 1e-9


def test_an_impossible_member_is_none_in_a_pool_too(pool: Executor) -> None:
    box = tl.load("moss-jar")
    jobs = [tl.Job(box, 1, accuracy="preview"), tl.Job(box, 1, overrides={"box.enclosure.width_cm": -1.0})]
    good, bad = tl.run_many(jobs, executor=pool, failed="none")
    assert good is not None
    assert bad is None
    with pytest.raises(tl.DescriptionError):
        tl.run_many(jobs, executor=pool)


@pytest.fixture(scope="module")
def cluster(tmp_path_factory) -> Iterator[LocalCluster]:
    """A cluster of two processes, which speak to each other inside this machine only."""
    inside = {
        "host": "127.0.0.1",
        "dashboard_address": None,
        "local_directory": str(tmp_path_factory.mktemp("cluster")),
    }
    with LocalCluster(n_workers=2, threads_per_worker=1, processes=True, **inside) as two:
        yield two


@pytest.fixture
def executor(cluster: LocalCluster) -> Iterator[Executor]:
    with Client(cluster) as client:
        yield client.get_executor()


def test_the_lines_of_the_readme_run_on_a_cluster(cluster: LocalCluster) -> None:
    readme = (Path(__file__).resolve().parents[2] / "README.md").read_text(encoding="utf-8")
    (lines,) = re.findall(r"^```python\n(from dask.*?)^```", readme, re.MULTILINE | re.DOTALL)
    here, found = re.subn(r'"tcp://[\d.:]+"', repr(cluster.scheduler_address), lines)
    assert found == 1
    names = {"tl": tl, "box": tl.load("moss-jar")}
    exec(here, names)
    assert [record.season for record in names["records"]] == ["winter", "summer"]


def test_a_cluster_gives_what_a_run_alone_gives(executor: Executor) -> None:
    box = tl.load("moss-jar")
    jobs = [tl.Job(box, 1, overrides=overrides, accuracy="preview") for overrides in ensemble(box, 4).overrides]
    for job, record in zip(jobs, tl.run_many(jobs, executor=executor), strict=True):
        alone = tl.simulate(box, 1, overrides=job.overrides, accuracy="preview")
        np.testing.assert_array_equal(record.raw.water, alone.raw.water)
        np.testing.assert_array_equal(record.relative_humidity, alone.relative_humidity)
    # an error comes back as what it was, and spoils no other run
    wrong = tl.Job(box, 1, overrides={"box.enclosure.width_cm": -1.0})
    good, bad = tl.run_many([jobs[0], wrong], executor=executor, failed="error")
    assert isinstance(good, tl.Record)
    assert isinstance(bad, tl.DescriptionError)
    with pytest.raises(tl.DescriptionError, match="width"):
        tl.run_many([wrong], executor=executor)


@pytest.mark.parametrize("name", tl.demos())
def test_what_travels_between_processes_is_small(name: str) -> None:
    """A job goes as its description; a record as the arrays of the engine, without what is worked out from them."""
    box = tl.load(name)
    job = tl.Job(box, 14, overrides=ensemble(box, 2).overrides[0])
    assert len(pickle.dumps(job)) < 8_000
    record = tl.simulate(box, 14, accuracy="preview", record_every_min=60)
    held = [getattr(record.raw, one.name) for one in fields(record.raw)]
    held = [*record.raw.end.arrays.values(), *(one for one in held if isinstance(one, (np.ndarray, np.void)))]
    arrays = sum(one.nbytes for one in held)
    assert len(record.series) > 20
    assert len(pickle.dumps(record)) < 1.05 * arrays
