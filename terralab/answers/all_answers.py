"""All questions for one box at once: what a report prints."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from terralab.answers.answer import Answer
from terralab.answers.away import MEMBERS as AWAY_MEMBERS
from terralab.answers.away import Away, away
from terralab.answers.drainage import drainage
from terralab.answers.fans import MEMBERS as FAN_MEMBERS
from terralab.answers.fans import fan_schedules
from terralab.answers.fans_schedules import with_fans
from terralab.answers.plan import Chore, changes, week_plan
from terralab.answers.recommended import recommended
from terralab.answers.soak import first_soak
from terralab.answers.used import Used, numbers_used
from terralab.answers.water import daily_water
from terralab.describe.box import Box
from terralab.errors import TerralabError
from terralab.seasons import SEASONS
from terralab.uncertain.members import MEMBERS

Step = Callable[[int, int, str], None]
QUESTIONS = ("how much water a day", "how much on the first day", "which fan schedule", "how deep a drainage layer")
ALONE = "how long without watering"


@dataclass(frozen=True, eq=False)
class Answers:
    """All answers for one box. `soak`, `fans`, `drainage` and `away` are None, and `missing` says why, where one fails.

    `away`: by season. `plan`: the week in ml and minutes, with the pour and the fan schedule that are recommended;
    `pours`: that pour by season [ml a day]; `changes`: what the plan does otherwise than the described routine. `used`:
    every number of the tables behind it.
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
    pours: Mapping[str, float]
    changes: tuple[str, ...]

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
        lambda: fan_schedules(box, members=min(members, FAN_MEMBERS), pour_members=members),
        lambda: drainage(box, pour_members=members),
    )
    for number, (question, ask) in enumerate(zip(QUESTIONS, asks, strict=True), 1):
        if step is not None:
            step(number, of, question)
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
        alone = {season: away(box, season, min(members, AWAY_MEMBERS)) for season in SEASONS}
    except TerralabError as error:
        missing[ALONE] = str(error)
    water, soak, blown, bottom = (found.get(question) for question in QUESTIONS)
    fans = None if blown is None else blown.record.box.routine.fans
    planned = box if fans is None else with_fans(box, *fans)
    pours = {season: recommended(planned, season, members).ml for season in SEASONS}
    plan = week_plan(box, pours, bottom, fans, water.budget_ml_per_day["sprayed and misted"])
    differs = changes(box, pours, fans, water.value)
    return Answers(box, water, soak, blown, bottom, alone, plan, numbers_used(box), missing, pours, differs)
