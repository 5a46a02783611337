"""What a log taught about one box: the part `[learned]` of its file, which terralab computes and nobody writes by hand.

It holds what the log narrowed, and draws of every uncertain number that belong together: what one log taught of two numbers
hangs together, so none of them may be drawn alone. Numbers go by the names of the tables ("leakage.ach"), and those of the
description by "box." and its fields joined by dots, the items of a list by their own names ("box.routine.fans.small.flow_m3_h").
"""

# entry() does nothing but call dataclasses.field(), which is the allowed call here.
# ruff: noqa: RUF009
from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, fields, is_dataclass
from datetime import date
from typing import TYPE_CHECKING, ClassVar

from terralab.describe.fields import Measure, OneOf, Parts, Words, entry
from terralab.describe.learned_fields import FORGET, ByName, Day, Draws, Plain, Span, Values, as_kept
from terralab.describe.number_words import number_words
from terralab.describe.part import Described
from terralab.errors import Problem, quoted
from terralab.materials import Number
from terralab.materials.limits import ROOM, bound, contradiction, limits, limits_of
from terralab.materials.schema import schema
from terralab.quantities import quantity
from terralab.validate import is_real

if TYPE_CHECKING:
    from terralab.describe.box import Box

#: Results that a log may narrow, with their unit.
LOSS, POUR, EXCHANGE = "loss", "pour", "exchange"
RESULTS = {LOSS: "ml a day", POUR: "ml a day", EXCHANGE: "air changes an hour"}
#: Where a sensor may hang.
PLACES = ("box", "box low", "box high", "hide", "room")
GRADE = "D"  # of numbers fitted to what was seen


@dataclass(frozen=True, slots=True)
class LearnedResult(Described):
    """One result before and after: low, middle and high of the central 80 %, in the unit that `RESULTS` gives to its `name`.

    `at_least`, `at_most`: a bound on one side (nine of ten lie within) where the log told no more than that.
    """

    word: ClassVar[str] = "result"

    name: str = entry(OneOf("result", lambda: tuple(RESULTS)))
    before: tuple[float, float, float] = entry(Span())
    after: tuple[float, float, float] = entry(Span())
    at_least: float | None = entry(Plain(optional=True), None)
    at_most: float | None = entry(Plain(optional=True), None)

    @property
    def told(self) -> bool:
        """Whether the log told this result: one that it did not tell keeps the range it had."""
        return self.after != self.before


@dataclass(frozen=True, slots=True)
class LearnedSensor(Described):
    """By how much a sensor reads too high (`offset`: low, middle, high), and by how much what is computed misses it.

    `place`: one of `PLACES`; `quantity`: "temperature" [K] or "humidity" [points]. `missed`: root mean square, None where it
    was not compared.
    """

    word: ClassVar[str] = "sensor"

    place: str = entry(OneOf("place of a sensor", lambda: PLACES))
    quantity: str = entry(OneOf("quantity", lambda: ("temperature", "humidity")))
    offset: tuple[float, float, float] = entry(Span())
    missed: float | None = entry(Plain(0.0, 100.0, optional=True), None)


@dataclass(frozen=True, slots=True)
class NotLearned(Described):
    """Something the log could not tell: `what`, `why`, and what to `ask` or look at, in sentences."""

    word: ClassVar[str] = "refused"

    what: str = entry(Words(200, empty=False))
    why: str = entry(Words(1000, empty=False))
    ask: str = entry(Words(1000), "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned(Described):
    """What a log of `days` from the day `began` taught about a box.

    `weighed`: how many weighed quantities counted. `clock_shift_min`: how far the logger's clock is ahead of the routine's.
    `results`, `sensors`, `refused`: see there. `measure_next`: what would help most now, a sentence.
    `typical`: the member in the middle, a value by name of each uncertain number; `draws`: 16 to 1024 values by the same names,
    those in one place belonging together, in an order in which the first few stand for all. `described`: what the description
    said of its own numbers then; one that was changed since is no longer the one that was learned.
    Numbers keep five digits. Raises `DescriptionError` for what cannot be.
    """

    word: ClassVar[str] = "learned"
    computed: ClassVar[bool] = True

    began: str = entry(Day())
    days: float = entry(Plain(0.01, 3660.0))
    weighed: int = entry(Plain(0, 1000, whole=True), 0)
    clock_shift_min: float | None = entry(Plain(-1440.0, 1440.0, optional=True), None)
    measure_next: str = entry(Words(1000), "")
    results: tuple[LearnedResult, ...] = entry(Parts(LearnedResult, most=len(RESULTS)), ())
    sensors: tuple[LearnedSensor, ...] = entry(Parts(LearnedSensor, most=2 * len(PLACES)), ())
    refused: tuple[NotLearned, ...] = entry(Parts(NotLearned, most=100), ())
    described: ByName[float] = entry(Values(), ByName())
    typical: ByName[float] = entry(Values())
    draws: ByName[tuple[float, ...]] = entry(Draws())

    @property
    def size(self) -> int:
        """How many draws there are."""
        return len(next(iter(self.draws.values())))

    @property
    def log_words(self) -> str:
        """The log in words: how many days, and from which on."""
        first = date.fromisoformat(self.began)
        return f"{self.days:.3g} days from {first.day} {first:%B %Y}"

    def number(self, name: str, unit: str) -> Number:
        """What was learned of one number: the ends of its draws, the value in the middle, and where it comes from."""
        draws, typical = self.draws[name], self.typical[name]
        source = f"learned from your log of {self.log_words}"
        return Number(min(*draws, typical), typical, max(*draws, typical), unit, GRADE, source)

    def conflicts(self) -> Iterable[Problem]:
        if not self.draws:
            yield self.problem("draws", "given none", "draws of some uncertain numbers", FORGET)
            return
        if set(self.typical) != set(self.draws):
            odd = sorted(set(self.typical) ^ set(self.draws))[0]
            yield self.problem(
                "typical", f"{quoted(odd)} is not in both", "the same names in typical and draws", FORGET
            )
            return
        own = {name for name in self.draws if name.startswith("box.")}
        if own != set(self.described):
            odd = sorted(own ^ set(self.described))[0]
            yield self.problem("described", f"{quoted(odd)} is not in both",
                               'the names in draws that begin with "box."', FORGET)  # fmt: skip
            return
        wrong = list(self._outside())
        yield from wrong or self._contradictions()

    def _each(self, name: str) -> Iterator[tuple[str, tuple[float, ...]]]:
        yield f"typical.{name}", (self.typical[name],)
        yield f"draws.{name}", self.draws[name]

    def _outside(self) -> Iterable[Problem]:
        """Names that no table holds, and values that cannot be real; those of the description are for the box to check."""
        for name in self.draws:
            if name.startswith("box."):
                continue
            ends = _limits(name)
            if ends is None:
                yield self.problem(
                    f"draws.{name}",
                    "which is no uncertain number",
                    "names of the tables, of the room or of the box",
                    FORGET,
                )
                continue
            for place, values in self._each(name):
                yield from self.beyond(place, values, *ends)

    def beyond(self, place: str, values: tuple[float, ...], lowest: float, highest: float) -> Iterable[Problem]:
        """A problem where some of the values are not within the limits."""
        low, high = min(values), max(values)
        if not lowest <= low <= high <= highest:
            shown = low if low < lowest else high
            yield self.problem(place, f"given {shown:g}", f"{lowest:g} to {highest:g}", FORGET)

    def _contradictions(self) -> Iterable[Problem]:
        """The first draw whose numbers cannot stand together."""
        known = [name for name in self.draws if name in limits() and bound(name)]
        if wrong := contradiction({name: self.typical[name] for name in known}):
            yield self.problem("typical", wrong.rstrip("."), "numbers that can stand together", FORGET)
        for place, row in enumerate(zip(*(self.draws[name] for name in known), strict=True), 1):
            if wrong := contradiction(dict(zip(known, row, strict=True))):
                yield self.problem(
                    f"draws, number {place}", wrong.rstrip("."), "numbers that can stand together", FORGET
                )
                return


def _limits(name: str) -> tuple[float, float] | None:
    """The least and the most that a number of a table or of the room may be; None for no number.

    A mix of the keeper's own may no longer be in the box; its numbers are those of any mix.
    """
    if name in ROOM:
        return ROOM[name][:2]
    if (known := limits().get(name)) is not None:
        return known.lowest, known.highest
    entry_, _, prop = name.rpartition(".")
    spec = schema("substrates", entry_).get(prop)
    return None if spec is None else (spec.lowest, spec.highest)


def standing(box: Box) -> dict[str, str]:
    """The key of each number that was learned and still holds, by its name in `Box.learned`.

    Left out are numbers of a part or a mix that the box no longer has, and what the description says otherwise since.
    """
    learned = box.learned
    if learned is None:
        return {}
    own = {str(layer.material): layer.material for layer in box.enclosure.layers}
    found = {}
    for name in learned.draws:
        if name in ROOM:
            found[name] = name
        elif not name.startswith("box."):
            if limits_of(name, own) is not None:
                found[name] = name
        elif (place := place_of(box, name)) is not None:
            key, _, value = place
            # a run holds the typical values in its box
            if as_kept(value) in (learned.described[name], learned.typical[name]):
                found[name] = key
    return found


def place_of(box: Box, name: str) -> tuple[str, object, float] | None:
    """(key, kind of field, value as described) of a "box." name; None where the box has no such number.

    Raises LookupError where no box can have it.
    """
    steps, part, kind = ["box"], box, None
    for step in name.split(".")[1:]:
        if isinstance(part, tuple):
            index = next((i for i, item in enumerate(part) if getattr(item, "name", str(i)) == step), None)
            if index is None:
                return None
            steps.append(str(index))
            part = part[index]
            continue
        declared = {field.name: field for field in fields(part)} if is_dataclass(part) else {}
        if step not in declared:
            raise LookupError(step)
        steps.append(step)
        kind, part = declared[step].metadata.get("kind"), getattr(part, step)
        if part is None or isinstance(part, str):
            return None
    if not is_real(part):
        raise LookupError(steps[-1])
    return ".".join(steps), kind, float(part)


def wrong_learned(box: Box) -> Iterable[Problem]:
    """What of a learned part can be of no box: numbers that no description has, and values that it does not allow."""
    learned = box.learned
    for name in () if learned is None else learned.described:
        try:
            place = place_of(box, name)
        except LookupError:
            yield learned.problem(f"draws.{name}", "which is no number of a description", "numbers of this box", FORGET)
            continue
        kind = None if place is None else getattr(place[1], "speed", place[1])
        if isinstance(kind, Measure):
            for where, values in (
                (f"typical.{name}", (learned.typical[name],)),
                (f"draws.{name}", learned.draws[name]),
            ):
                yield from learned.beyond(where, values, kind.lowest, kind.highest)


def learned_doubts(box: Box) -> Iterable[str]:
    """One caution on numbers that were learned and no longer hold."""
    if box.learned is None:
        return
    gone = sorted(set(box.learned.draws) - set(standing(box)))
    if gone:
        first = ", ".join(gone[:3]) + (f" and {len(gone) - 3} more" if len(gone) > 3 else "")
        yield (
            f"{box.name}: what a log taught of {first} is left out, since the box no longer has it or describes it "
            "otherwise. What else was learned still counts. After a change of lid, plants or soil, learn again."
        )


#: How a result is called in a sentence.
RESULT_WORDS = {
    LOSS: "water that leaves as vapour",
    POUR: "the daily pour that keeps the soil as wet as it was",
    EXCHANGE: "exchange of air",
}


def learned_words(box: Box) -> str:
    """A paragraph on what was learned, with its quantities as marks; "" where nothing was."""
    learned = box.learned
    if learned is None:
        return ""
    weighed = (
        f" and {learned.weighed} weighed quantit{'y' if learned.weighed == 1 else 'ies'}" if learned.weighed else ""
    )
    said = [
        f"From a log of {learned.log_words}{weighed} {len(standing(box))} numbers that nobody can read off a box were "
        "learned together, and every answer uses them."
    ]
    said += [
        f"{RESULT_WORDS[one.name].capitalize()}: {result_span(one.name, one.after)}, before the log {result_span(one.name, one.before)}."
        for one in learned.results
        if one.told
    ]
    said += [
        f"{RESULT_WORDS[one.name].capitalize()}: {bound_words(one)}." for one in learned.results if bound_words(one)
    ]
    said += [f"Not learned: {refused_words(box, one)}. {one.why} {one.ask}".strip() for one in learned.refused]
    return " ".join(said)


def refused_words(box: Box, one: NotLearned) -> str:
    """What was not learned, in the words of a keeper."""
    names = [name.strip() for name in one.what.split(",")]
    return ", ".join(RESULT_WORDS.get(name) or (number_words(box, name) if "." in name else name) for name in names)


def bound_words(one: LearnedResult) -> str:
    """The bound of a result of which no more is known, as marks: "at most 40 ml a day"; "" where there is none."""
    ends = (("at least", one.at_least), ("at most", one.at_most))
    return " and ".join(f"{word} {_amount(one.name, value)}" for word, value in ends if value is not None)


def _amount(name: str, *values: float) -> str:
    if name == EXCHANGE:
        return f"{' to '.join(f'{value:.2g}' for value in values)} air changes an hour"
    return f"{quantity('ml', amount_form(max(values)), *values)} a day"


def amount_form(high: float) -> str:
    """How amounts up to `high` ml a day are written: a shut jar loses less than a millilitre, which is not nothing."""
    return ".2f" if 0.005 <= high < 1.0 else ".0f"


def result_span(name: str, span: tuple[float, float, float]) -> str:
    """The ends of a result's range with its unit, as marks."""
    return _amount(name, span[0], span[2])
