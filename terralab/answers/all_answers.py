"""All questions for one box at once: what a report prints."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from terralab.answers.answer import Answer
from terralab.answers.away import MEMBERS as AWAY_MEMBERS
from terralab.answers.away import Away, away
from terralab.answers.balance import kept_dry
from terralab.answers.drainage import drainage
from terralab.answers.fans import MEMBERS as FAN_MEMBERS
from terralab.answers.fans import fan_schedules
from terralab.answers.plan import Chore, week_plan
from terralab.answers.soak import first_soak
from terralab.answers.used import Used, numbers_used
from terralab.answers.water import daily_water
from terralab.describe.box import Box
from terralab.errors import TerralabError
from terralab.uncertain.members import MEMBERS

Step = Callable[[int, int, str], None]
QUESTIONS = ("how much water a day", "how much on the first day", "which fan schedule", "how deep a drainage layer")
ALONE = "how long without watering"


@dataclass(frozen=True, eq=False)
class Answers:
    """All answers for one box. `soak`, `fans`, `drainage` and `away` are None, and `missing` says why, where one fails.

    `away`: by season. `plan`: the week in ml and minutes. `used`: every number of the tables behind it.
    """

    box: Box
    water: Answer
    soak: Answer | None
    fans: Answer | None
    drainage: Answer | None
    away: Mapping[str, Away] | None
    plan: tuple[Chore, ...]
    used: tuple[Used, ...]
    missing: Mapping[str, str]

    @property
    def each(self) -> tuple[Answer, ...]:
        """The answers that could be given, the daily water first."""
        return tuple(one for one in (self.water, self.soak, self.fans, self.drainage) if one is not None)


def all_answers(box: Box, *, members: int = MEMBERS, step: Step | None = None) -> Answers:
    """Ask everything about `box` and give its `Answers`; takes some twenty seconds.

    `members` (2 to 8192): draws of everything uncertain behind each range; the comparison of fans and the absence take
    no more than they take alone.
    `step(number, of, question)` is called before each question. Raises RunError when the box cannot be run at all;
    another question that this box cannot answer is left out, and `missing` says why.
    """
    found: dict[str, Answer] = {}
    missing: dict[str, str] = {}
    of = len(QUESTIONS) + 1
    asks = (
        lambda: daily_water(box, members=members),
        lambda: first_soak(box, members=members),
        lambda: fan_schedules(box, members=min(members, FAN_MEMBERS)),
        lambda: drainage(box),
    )
    for number, (question, ask) in enumerate(zip(QUESTIONS, asks, strict=True), 1):
        if step is not None:
            step(number, of, question)
        if question == QUESTIONS[1] and kept_dry(box):
            missing[question] = "The soil of this box is to stay dry, so there is nothing to soak."
            continue
        try:
            found[question] = ask()
        except TerralabError as error:
            if question == QUESTIONS[0]:
                raise
            missing[question] = str(error)
    if step is not None:
        step(of, of, ALONE)
    alone = None
    try:
        alone = {season: away(box, season, min(members, AWAY_MEMBERS)) for season in ("now", "winter", "summer")}
    except TerralabError as error:
        missing[ALONE] = str(error)
    water, soak, blown, bottom = (found.get(question) for question in QUESTIONS)
    return Answers(
        box, water, soak, blown, bottom, alone, week_plan(box, water, bottom, soak), numbers_used(box), missing
    )
