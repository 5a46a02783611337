"""The answer to a question that has no number for this box: nothing is to be poured, no layer fits."""

from __future__ import annotations

from typing import Any

from terralab.answers.common.answer import Answer
from terralab.answers.common.brief import brief, from_box, nothing_today
from terralab.answers.common.cautions import for_box
from terralab.answers.common.heat_words import clauses, warmth_line
from terralab.answers.common.seen_air import seen_air
from terralab.answers.common.statement import EVERYWHERE, Kind, Statement, Verdict, state
from terralab.describe.box import Box
from terralab.describe.system import speaks_us
from terralab.simulation.record import Record


def without_number(
    box: Box,
    about: str,
    question: str,
    unit: str,
    asked: str,
    do: str,
    does: str,
    reason: str,
    record: Record,
    *,
    value: float | None = None,
    verdict: Verdict | None = None,
    more: tuple[Statement, ...] = (),
    details: dict[str, Any] | None = None,
) -> Answer:
    """The `Answer` that says why there is none, with the air of `record` (the box as it is) and the warnings for the box.

    `asked`: the heading; `do`: what to do, for the short screen; `does`: what is said in place of a number, such as "No
    layer fits."; `reason`: why. `value`: 0
    where that is the number after all, None where there is none. `verdict`: what is most wrong, where the box is right.
    """
    seen = seen_air(record)
    found, wrong = from_box(seen.first)
    if not wrong and verdict is not None:
        found, wrong = verdict, clauses(reason)
    elif not wrong and seen.outside:
        found, wrong = (Verdict.TOO_DRY if seen.dry else Verdict.TOO_DAMP), [seen.outside]
    elif not wrong:
        found, wrong = nothing_today(seen.first, seen.heat)
    cautions = for_box(box, about)
    out = state(Kind.TITLE, f"{box.name}: {asked}", views=EVERYWHERE)
    out += brief(box, about, do, "", seen.lines(), wrong, first=seen.heat.hot or seen.heat.cold, warm=seen.minds)
    out += state(Kind.WARNING, *seen.first)
    out += state(Kind.HOT_PLACE, *seen.minds)
    out += state(Kind.DO, f"{does} {reason}")
    out += more
    out += state(Kind.AIR, seen.sentence())
    out += state(Kind.WARMTH, warmth_line(seen.heat))
    out += state(Kind.CAUTION, "Take care: " + " ".join(cautions))
    return Answer(
        us=speaks_us(box),
        question=question,
        value=value,
        low=value,
        high=value,
        unit=unit,
        reason=reason,
        statements=tuple(out),
        verdict=found,
        details=details or {},
        cautions=cautions,
        record=record,
        **seen.fields(),
    )
