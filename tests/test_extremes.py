"""Answers for boxes at the edge: a number with its range, or None with a reason; never a NaN."""

from __future__ import annotations

import json

import pytest

import terralab as tl

BOXES = {
    "no spray to dry from": {"routine.sprays": []},
    "nothing but soil": {
        "enclosure.openings": [], "enclosure.plants": None, "enclosure.drainage": None, "enclosure.tube": None,
        "enclosure.cover": None, "group": "", "routine.pours": [], "routine.sprays": [], "routine.lamps": [],
        "routine.siphons": [],
    },
    "a cold dry room": {"room.temperature": "-10 C", "room.humidity": "5 %"},
}  # fmt: skip


def refuse(word: str):
    pytest.fail(f"{word} is no answer")


@pytest.mark.parametrize("name", BOXES)
@pytest.mark.filterwarnings("ignore::terralab.errors.TerralabWarning")
def test_an_answer_at_the_edge_is_numbers_and_words(name):
    box = tl.load("moss-jar").change(**BOXES[name])
    for ask in (
        lambda: tl.daily_water(box, members=4),
        lambda: tl.first_soak(box, members=4),
        lambda: tl.fan_schedules(box, members=2, pour_members=4),
    ):
        answer = ask()
        assert answer.reason
        data = json.loads(answer.json(), parse_constant=refuse)
        assert data["value"] is None or data["low"] <= data["value"] <= data["high"]
        assert "nan" not in answer.text("all").lower().split()
