"""What does my box's own log tell? Its hidden numbers as far as a hygrometer, a diary and a scale narrow them."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

import numpy as np

from terralab.answers.common.answer import Answer
from terralab.answers.common.balance import budget_ml
from terralab.answers.common.cautions import for_box
from terralab.answers.common.humidity_target import target_of
from terralab.answers.common.measure_next import measure_sentence
from terralab.answers.common.rationale import assumptions_of, sources_of
from terralab.answers.common.seen_air import seen_air
from terralab.answers.learn.given import Given, given
from terralab.answers.learn.measured_next import next_measurements
from terralab.answers.learn.misfit import UNIT_OF, WHICH, by_clock, missed, together
from terralab.answers.learn.to_weigh import hardly_any, uncounted_words, with_ways
from terralab.answers.learn.words import Shown, learn_statements, ml_span, ml_words, reason_words
from terralab.describe.box import Box
from terralab.describe.learned_fields import FEWEST, MOST
from terralab.describe.needed import needs_box
from terralab.describe.number_words import may_be_shown, number_words
from terralab.describe.system import speaks_us
from terralab.errors import TerralabError, quoted
from terralab.learning.case import case_of
from terralab.learning.fit import LOSS, Course, Fit, Narrowed, Refusal
from terralab.learning.from_log import BANK, MEMBERS, SEED
from terralab.learning.from_log import fit as learned_from
from terralab.learning.learned_box import learned_box
from terralab.learning.predict import predict
from terralab.logs.diary import Diary
from terralab.logs.log import Log
from terralab.logs.salt_test import SaltTest
from terralab.quantities import marked, said
from terralab.simulation.record import Record
from terralab.simulation.simulate import run_job
from terralab.uncertainty.sampling import MOST_MEMBERS
from terralab.validate import whole

SOIL = "The log was computed with the room that was logged and with what was poured and sprayed then; how wet the soil was at its beginning was learned too."


@dataclass(frozen=True, eq=False)
class Learned(Answer):
    """What a log told, as an Answer whose value, low and high are the water lost as vapour over the log, in ml a day.

    `box`: the description with what was learned, for every other question; None where nothing was. `fit`: all numbers behind it.
    details: "results" and "numbers" before and after, "sensors" (how far each is off), "misfit", "held_out", "refused".
    """

    box: Box | None = None
    fit: Fit | None = None

    @property
    def lost_words(self) -> str:
        """The water lost with its range, in words; "" where it is not told."""
        if self.value is None or self.low is None or self.high is None:
            return ""
        return f"Water lost: {ml_words(self.value)} a day, likely {ml_span(self.low, self.high)}"

    def foretell(
        self,
        log: Log | str | os.PathLike,
        *,
        room: Log | str | os.PathLike | None = None,
        diary: Diary | str | os.PathLike | None = None,
    ) -> tuple[Course, ...]:
        """Return what the learned box would have read in the days of another `log`, beside what was read; room, diary as in `learn`.

        One Course a sensor and quantity: `after` is (low, middle, high) hour by hour, `missed()` the root mean square by which the
        middle misses, in C or % RH. A log that holds the learned days too, and goes on, foretells best, since soil remembers; then
        `missed("held_out")` counts the later days alone. Raises TerralabError where nothing was learned, or for files that cannot be read.
        """
        if self.fit is None:
            raise TerralabError("Nothing was learned, so nothing can be foretold.")
        read = given(self.fit.box, log, room, diary, None)
        return predict(self.fit, read.log, room=read.room, diary=read.diary)


def learn(
    box: Box,
    log: Log | str | os.PathLike,
    *,
    room: Log | str | os.PathLike | None = None,
    diary: Diary | str | os.PathLike | None = None,
    salts: Mapping[str, SaltTest] | SaltTest | None = None,
    until: str | None = None,
    bank: int = BANK,
    members: int = MEMBERS,
    seed: int = SEED,
    progress: Callable[[int, int], None] | None = None,
) -> Learned:
    """Learn the hidden numbers of `box` from its log, and say what was learned, what was not, and what to weigh.

    log: what hygrometers in the box read, a Log or the path of a logger's file; read it with `tl.read_log` where the file
    needs a word on how. room: the same of the room, where `log` holds no sensor of it; without either the described room
    counts. diary: what was poured, sprayed, siphoned and weighed, a Diary or the path of one. salts: a salt test of the
    sensor in the box, or tests by place ({"box": test, "room": test}). until: learn from what comes before this time alone,
    "2026-08-12" or "2026-08-12 18:00", such as to hold the rest against `Learned.foretell`. `bank` (64 to 8192) runs with numbers from the tables, and
    `members` (16 to 1024) with what was learned; `progress` is called with how many are done, and of how many. Same seed,
    same result. `Learned.box` is the description for all other questions; a log that cannot tell the ml a day says so, and
    what to weigh. Raises TerralabError for files that cannot be read or do not fit the box, RunError where its runs fail.
    """
    needs_box(box, "learn")
    bank, members = whole("bank", bank, 64, MOST_MEMBERS), whole("members", members, FEWEST, MOST)
    seed = whole("seed", seed, 0, 2**31)
    if progress is not None and not callable(progress):
        raise TerralabError(
            f"progress must be a function of how many are done and of how many; {quoted(progress)} was given."
        )
    end = None if until is None else _moment(until)
    read = given(box, log, room, diary, salts)
    fit = learned_from(
        box,
        read.log,
        room=read.room,
        diary=read.diary,
        salts=read.salts,
        until=end,
        bank=bank,
        members=members,
        seed=seed,
        progress=None if progress is None else _counted(progress, bank, members),
    )
    fit = replace(fit, clock_shift_min=read.shift.minutes, refusals=(*fit.refusals, *_contradictions(read)))
    return told(box, fit, _run_in_the_middle(box, fit, read), read)


def _moment(until: object) -> np.datetime64:
    """The time up to which is learned."""
    try:
        return np.datetime64(datetime.fromisoformat(until), "s")  # type: ignore[arg-type]
    except (TypeError, ValueError):
        raise TerralabError(f'until must be a time such as "2026-08-12 18:00"; {quoted(until)} was given.') from None


def _contradictions(read: Given) -> tuple[Refusal, ...]:
    """What the log says otherwise than the description."""
    if not read.shift.contradicts:
        return ()
    return (Refusal("contradiction", "lamp", read.shift.words, "Then learn again."),)


def _clock(read: Given | None) -> str | None:
    """What is said of the logger's clock; "" where lamps contradict the description, which is said elsewhere."""
    return None if read is None else "" if read.shift.contradicts else read.shift.words


def _counted(progress: Callable[[int, int], None], bank: int, members: int) -> Callable[[str, int, int], None]:
    """Tell how many of all runs are done, whichever kind of them is under way."""
    done_before: dict[str, int] = {}

    def tell(what: str, done: int, of: int) -> None:
        done_before[what] = done
        progress(min(sum(done_before.values()), bank + members), bank + members)

    return tell


def told(box: Box, fit: Fit, record: Record, read: Given | None = None) -> Learned:
    """The answer that a fit of `box` gives; `record`: the run of the member in the middle; `read`: what was learned from."""
    uncounted = "" if read is None or hardly_any(fit) else read.uncounted
    fit = with_ways(box, fit, uncounted)
    understood = () if read is None else read.understood
    rows = np.flatnonzero(record.times_h > fit.hours[0] - 0.5)
    seen = seen_air(record, rows)
    loss = fit.results.get(LOSS)
    known = loss is not None and fit.usable and not loss.refused
    shown = Shown(
        box,
        with_marks(fit),
        seen,
        known,
        understood,
        read is not None and read.salts is not None,
        _clock(read),
        uncounted,
    )
    low, value, high = loss.after if known else (None, None, None)
    budget = budget_ml(record, rows)
    answer = Learned(
        us=speaks_us(box),
        question="learn",
        value=value,
        low=low,
        high=high,
        unit="ml a day",
        reason=said(reason_words(shown)),
        spread={"share": 0.8, **{name: fit.settings[name] for name in ("bank", "members") if name in fit.settings}},
        measure_next=next_measurements(box, fit, record, None if read is None else read.diary)
        if known and not uncounted and not hardly_any(fit)
        else (),
        details={**_details(box, fit, understood), "uncounted": uncounted},
        table=tuple(_number(box, one) for one in (*fit.results.values(), *fit.numbers) if may_be_shown(one.name)),
        budget_ml_per_day={name: round(float(ml), 1) for name, ml in budget.items()},
        assumptions=assumptions_of(box, target_of(box)[1], budget["sprayed and misted"], record.zone_names, SOIL),
        sources=sources_of(box),
        cautions=for_box(box, "water"),
        record=record,
        box=None,
        fit=fit,
        **seen.fields(),
    )
    verdict, statements = learn_statements(answer, shown)
    # a description keeps the one sentence on what to measure in metric words
    measure = said(measure_sentence(answer.measure_next)) or uncounted_words(uncounted)
    held = learned_box(fit, box, measure_next=measure) if fit.usable else None
    return replace(answer, verdict=verdict, statements=statements, box=held)


def with_marks(fit: Fit) -> Fit:
    """The fit whose reasons keep the marks of their quantities, so that each face says them in its own units."""
    refusals = tuple(replace(one, why=marked(one.why), ask=marked(one.ask)) for one in fit.refusals)
    results = {name: replace(one, refused=marked(one.refused)) for name, one in fit.results.items()}
    return replace(fit, refusals=refusals, results=results)


def _number(box: Box, one: Narrowed) -> dict[str, Any]:
    return {
        "name": one.name,
        "words": number_words(box, one.name) if "." in one.name else one.name,
        "unit": one.unit,
        "before": list(one.before),
        "after": list(one.after),
        "width_left": round(one.width_left, 3),
        "refused": said(one.refused),
    }


def _details(box: Box, fit: Fit, understood: Sequence[str]) -> Mapping[str, Any]:
    """All numbers behind the sentences, as plain data."""
    quantities = {name: unit for name, unit in UNIT_OF.items() if any(one.quantity == name for one in fit.courses)}
    return {
        "usable": fit.usable,
        "days": round(float(fit.hours[-1] - fit.hours[0]) / 24.0, 2),
        "first_day": fit.first_day.isoformat(),
        "weighed": fit.weighed,
        "results": {name: _number(box, one) for name, one in fit.results.items()},
        "sensors": [
            {
                "place": one.place,
                "quantity": one.quantity,
                "unit": UNIT_OF[one.quantity],
                "reads_too_high_by": list(one.offset),
                "missed": {which: _rounded(missed(one, which).rms) for which in WHICH},
                "missed_by_clock": {str(hour): _rounded(each.mean) for hour, each in by_clock(fit, one)},
            }
            for one in fit.courses
        ],
        "missed": {
            f"{name} [{unit}]": {which: _rounded(together(fit, name, which).rms) for which in WHICH}
            for name, unit in quantities.items()
        },
        "misfit": round(float(fit.misfit), 3),
        "widened": round(float(fit.widened), 3),
        "clock_shift_min": fit.clock_shift_min,
        "refused": [{"kind": r.kind, "what": r.what, "why": said(r.why), "ask": said(r.ask)} for r in fit.refusals],
        "understood": list(understood),
        "settings": dict(fit.settings),
    }


def _rounded(value: float) -> float | None:
    return round(value, 3) if np.isfinite(value) else None


def _run_in_the_middle(box: Box, fit: Fit, read: Given) -> Record:
    """The run of the member in the middle in the logged room, as every member ran; of the tables' where nothing was learned."""
    values: Mapping[str, float] = {}
    if fit.typical:
        key = next(iter(fit.typical))
        middle = fit.draws[key].index(fit.typical[key])
        values = {name: held[middle] for name, held in fit.members.items()}
    return run_job(case_of(box, read.log, read.room, read.diary).logged.job(values))
