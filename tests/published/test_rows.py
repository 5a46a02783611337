"""Every published row, one case a row, named by its source; rows that the model cannot represent say why."""

from __future__ import annotations

import pytest

from tests.published.cases import FILES, Case, Point, all_cases, unread
from tests.published.published_rows import rows

CASES = all_cases()


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.row.named)
def test_row(case: Case) -> None:
    assert case.findings
    for found in case.findings:
        assert found.as_stated, f"{case.row.source}: {found}"


def test_every_row_is_held_against_something_or_has_a_reason() -> None:
    known = [row for file in FILES for row in rows(file)]
    assert len(known) == len(set(known))
    assert sorted([*(case.row.id for case in CASES), *unread()]) == sorted(known)
    assert all(unread().values())


def test_every_row_has_a_source_and_a_grade() -> None:
    for case in CASES:
        assert case.row.source
        assert case.row.grade


def test_a_wrong_number_is_found_out() -> None:
    """The judgement itself: off the mark fails, a note on a misfit that is none fails, and so does a larger misfit."""
    assert Point("", 1.0, 1.009, rel=0.01).as_stated
    assert not Point("", 1.0, 1.02, rel=0.01).as_stated
    assert Point("", 1.0, 1.02, rel=0.01, misfit="known", at_most=0.03).as_stated
    assert not Point("", 1.0, 1.04, rel=0.01, misfit="known", at_most=0.03).as_stated
    assert not Point("", 1.0, 1.0, rel=0.01, misfit="known", at_most=0.03).as_stated
    assert not Point("", 1.0, float("nan"), rel=0.01).as_stated
    assert not Point("", 1.0, float("nan"), rel=0.01, misfit="known", at_most=0.03).as_stated
