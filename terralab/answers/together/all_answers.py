"""All questions for one box at once: what a report prints."""

from __future__ import annotations

import warnings
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from terralab.answers.away.away import DAYS as AWAY_DAYS
from terralab.answers.away.away import MEMBERS as AWAY_MEMBERS
from terralab.answers.away.away import away
from terralab.answers.common.answer import Answer
from terralab.answers.common.provenance import Used, numbers_used
from terralab.answers.common.recommended import recommended
from terralab.answers.common.rich import answers_html
from terralab.answers.common.room_log import in_typical_room
from terralab.answers.drainage.layer import drainage
from terralab.answers.drainage.sizing import SIZED_BY
from terralab.answers.fails.fails import fails
from terralab.answers.fails.runs import FULL
from terralab.answers.fans.fan_schedules import MEMBERS as FAN_MEMBERS
from terralab.answers.fans.fan_schedules import fan_schedules
from terralab.answers.fans.schedules import with_fans
from terralab.answers.forecast.forecast import MEMBERS as FORECAST_MEMBERS
from terralab.answers.forecast.forecast import forecast
from terralab.answers.mister.mister import MEMBERS as MISTER_MEMBERS
from terralab.answers.mister.mister import mister
from terralab.answers.soak.first_soak import first_soak
from terralab.answers.together.plan import Chore, before_a_season, changes, first_of_all, lid_order, week_plan
from terralab.answers.water.daily_water import daily_water
from terralab.answers.water.words import first_drain
from terralab.describe.box import Box
from terralab.describe.needed import needs_box
from terralab.describe.routine import Fan
from terralab.describe.seasons import SEASONS
from terralab.errors import RunError, TerralabError, TerralabWarning, fault_words, quoted
from terralab.uncertainty.inputs import AS_TYPED
from terralab.uncertainty.sampling import MEMBERS, MOST_MEMBERS
from terralab.validate import whole

Step = Callable[[int, int, str], None]
WATER, SOAK, FANS, DRAINAGE = (
    "how much water a day",
    "how much on the first day",
    "which fan schedule",
    "how deep a drainage layer",
)
MISTER, AHEAD, ALONE, FAILING = (
    "which automatic watering",
    "what comes if one goes on as now",
    "can it be left alone",
    "what if a device fails",
)
PLAN, USED = "the week's plan", "every number and its source"


@dataclass(frozen=True, eq=False)
class Answers:
    """All answers for one box. An answer that cannot be given is None (`plan` and `used`: empty), and `missing` says why.

    `away`: two weeks alone, by season, what to prepare for the room as described. `fails`: in the room as described.
    `plan`: the week in ml and minutes, with the pour and the fan schedule that are recommended;
    `pours`: that pour by season [ml a day]; `changes`: what the plan does otherwise than the described routine. `used`:
    every number of the tables behind it. `missing`: by question, why it has no answer. `faults`: by question, the
    exception of a fault in terralab itself.
    """

    box: Box
    water: Answer | None
    soak: Answer | None
    fans: Answer | None
    drainage: Answer | None
    away: Mapping[str, Answer] | None
    plan: tuple[Chore, ...]
    used: tuple[Used, ...]
    missing: Mapping[str, str]
    pours: Mapping[str, float] = field(default_factory=dict)
    changes: tuple[str, ...] = ()
    faults: Mapping[str, Exception] = field(default_factory=dict)
    mister: Answer | None = None
    forecast: Answer | None = None
    fails: Answer | None = None

    @property
    def each(self) -> tuple[Answer, ...]:
        """The answers that could be given, the daily water first; of an absence that in the room as described."""
        alone = None if self.away is None else self.away["now"]
        every = (self.water, self.soak, self.fans, self.drainage, self.mister, self.forecast, alone, self.fails)
        return tuple(one for one in every if one is not None)

    def _repr_html_(self) -> str:
        """Return what a notebook shows: what each answer says to do, the rest folded."""
        return answers_html(self.box.name, self.each, self.missing.values())


@in_typical_room
def all_answers(box: Box, *, members: int = MEMBERS, step: Step | None = None) -> Answers:
    """Ask everything about `box` and return its `Answers`; takes about a minute.

    `members` (2 to 8192): draws of everything uncertain behind each range; fans, drainage and all after them take no more
    than they take alone; failures are asked in the room as described.
    `step(number, of, question)` is called before each question. A question that fails takes no other with it: it is left
    out, and `missing` says why. Where it fails by a fault in terralab itself, a warning says so too. Raises RunError when
    no question at all can be answered.
    """
    needs_box(box, "all_answers")
    members = whole("members", members, 2, MOST_MEMBERS)
    if step is not None and not callable(step):
        raise TerralabError(f"step must be a function of (number, of, question); {quoted(step)} was given.")
    found: dict[str, Any] = {}
    missing: dict[str, str] = {}
    faults: dict[str, Exception] = {}
    errors: list[TerralabError] = []

    def attempt(question: str, ask: Callable[[], Any]) -> Any:
        try:
            return ask()
        except TerralabError as error:
            missing[question] = str(error)
            errors.append(error)
        except MemoryError:
            raise
        except Exception as error:
            missing[question] = fault_words(error)
            faults[question] = error
            warnings.warn(f"{box.name}, {question}: {missing[question]}", TerralabWarning, stacklevel=3)
        return None

    few = lambda most: min(members, most)  # noqa: E731
    asks = {
        WATER: lambda: daily_water(box, members=members),
        SOAK: lambda: first_soak(box, members=members),
        FANS: lambda: fan_schedules(box, members=few(FAN_MEMBERS), pour_members=members),
        DRAINAGE: lambda: drainage(box, members=few(SIZED_BY), pour_members=members),
        MISTER: lambda: mister(box, members=few(MISTER_MEMBERS)),
        AHEAD: lambda: forecast(box, members=few(FORECAST_MEMBERS), pour_members=members),
        ALONE: lambda: {season: _alone(box, season, few(AWAY_MEMBERS)) for season in SEASONS},
        FAILING: lambda: fails(box, ("now",), members=few(FULL.members)),
    }
    for number, (question, ask) in enumerate(asks.items(), 1):
        if step is not None:
            step(number, len(asks), question)
        found[question] = attempt(question, ask)
    if errors and all(answer is None for answer in found.values()):
        raise RunError(f"{box.name}: no question about this box can be answered. {errors[0]}") from errors[0]
    water, soak, blown, bottom, misted, ahead, alone, failing = (found[question] for question in asks)
    plan, pours, differs = attempt(PLAN, lambda: _planned(box, water, blown, bottom, soak, members)) or ((), {}, ())
    used = attempt(USED, lambda: numbers_used(box)) or ()
    return Answers(
        box, water, soak, blown, bottom, alone, plan, used, missing, pours, differs, faults, misted, ahead, failing
    )


def _alone(box: Box, season: str, members: int) -> Answer:
    """Two weeks alone; what to prepare is asked for the room as described."""
    return away(box, AWAY_DAYS, season, prepare=season == "now", members=members)


def _as_typed(box: Box, fans: tuple[Fan, ...]) -> tuple[Fan, ...]:
    """The fans of a run with the flows and powers of the description, which a run of a logged box takes as they were learned."""
    own = {fan.name: fan for fan in box.routine.fans}
    typed = lambda fan: {word: getattr(own[fan.name], word) for word in AS_TYPED if hasattr(fan, word)}  # noqa: E731
    return tuple(replace(fan, **typed(fan)) if box.learned and fan.name in own else fan for fan in fans)


def _planned(
    box: Box, water: Answer | None, blown: Answer | None, bottom: Answer | None, soak: Answer | None, members: int
) -> tuple[tuple[Chore, ...], Mapping[str, float], tuple[str, ...]]:
    """The week's plan, the pours in it by season, and what it does otherwise than the described routine."""
    fans = None if blown is None else _as_typed(box, blown.record.box.routine.fans)
    asked = (water, blown, bottom, soak)
    first, later = first_of_all(asked), before_a_season(asked)
    heat = next((answer.heat for answer in (water, blown, bottom) if answer is not None), None)
    more = {"soak": soak, "first": first, "later": later, "heat": heat, "lid": lid_order(box, blown)}
    if water is None:
        return week_plan(box, None, bottom, fans, **more), {}, ()
    planned = box if fans is None else with_fans(box, *fans)
    pours = {season: recommended(planned, season, members).ml for season in SEASONS}
    given = water.budget_ml_per_day["sprayed and misted"]
    wait = bool(first_drain(water))
    plan = week_plan(box, pours, bottom, fans, given, drained_first=wait, **more)
    return plan, pours, changes(box, pours, fans, water.value)
