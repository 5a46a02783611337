"""How hot a basking place gets, by how narrow the beam of its lamp is: nobody can read that off a box, and it decides most."""

from __future__ import annotations

from functools import lru_cache

from terralab.describe.box import Box
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_many

DAYS = 3  # short: a stone has its course of the day on the second one
BEAM = "basking lamp.beam"
LEAST_K = 1.0  # ends nearer than that are one number


def hottest_by_beam(record: Record) -> tuple[float, float] | None:
    """The most that the basking place of a record reaches [C]: with the widest and with the narrowest usual beam.

    None without such a place, where a thermometer there has told, where both are the same, or where one cannot be run.
    """
    place = record.box.enclosure.basking
    if not record.has_basking or place is None or place.measured_c is not None:
        return None
    return _hottest(record.box, record.season)


@lru_cache(maxsize=16)
def _hottest(box: Box, season: str) -> tuple[float, float] | None:
    jobs = [Job(box, DAYS, season, overrides={BEAM: end}, accuracy="preview") for end in ("low", "high")]
    records = run_many(jobs, failed="none")
    if any(record is None for record in records):
        return None
    low, high = sorted(float(record.basking_c[record.rows(1.0, DAYS)].max()) for record in records)
    return (low, high) if high - low >= LEAST_K else None
