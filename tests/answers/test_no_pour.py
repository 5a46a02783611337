"""Where no pour works because it is too wet already: every face says first what to do about that, and none pours before."""

from __future__ import annotations

import pytest

import terralab as tl
from terralab import show
from terralab.answers.together import all_answers
from terralab.answers.water.words import first_drain
from terralab.quantities import said

pytestmark = pytest.mark.filterwarnings("ignore::terralab.TerralabWarning")
FIRST = "Pour nothing yet: it is too wet even without a pour"


@pytest.fixture(scope="module")
def answers() -> tl.Answers:
    """A box whose drainage layer is full to the mesh and is not siphoned."""
    full = {"start.soil": "wet", "enclosure.drainage.level": "6 cm", "routine.siphons": []}

    def not_asked(*args: object, **more: object) -> None:
        raise tl.TerralabError("It is not asked here: it says nothing of the water, and takes most of the time.")

    with pytest.MonkeyPatch.context() as few:
        for question in ("fan_schedules", "mister", "forecast", "away", "fails"):
            few.setattr(all_answers, question, not_asked)
        return tl.all_answers(tl.load("fern-hollow").change(**full), members=2)


def test_the_short_and_the_long_answer_say_the_same(answers: tl.Answers) -> None:
    water = answers.water
    assert water.window["least"] is None
    for view in ("short", "why"):
        text = " ".join(water.text(view).split())
        assert FIRST in text
        assert text.index(FIRST) < text.index(f"Pour {water.value:.0f} ml a day")
        assert "o daily pour works" in text


def test_the_plan_and_the_report_say_so_too(answers: tl.Answers) -> None:
    assert any(chore.what == "First of all" and FIRST in chore.when for chore in answers.plan)
    pours = [
        chore for chore in answers.plan if "our" in chore.what and "ml" in chore.days[0] and "pray" not in chore.what
    ]
    assert pours
    assert all(chore.when.startswith("once it has drained") for chore in pours if "mister" not in chore.what.lower())
    assert show.report_page(answers).count(FIRST) >= 2


def test_a_box_that_can_be_poured_on_is_not_told_to_wait() -> None:
    water = tl.daily_water(tl.load("moss-jar"), members=2)
    assert said(first_drain(water)) == ""
