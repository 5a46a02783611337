"""The small pictures of the panels. Each keeps its figure and only moves what is in it, so that it follows a slider."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from terralab.answers.common.answer import Answer
from terralab.answers.common.fair_rows import fair_days
from terralab.answers.common.temperature import heat_of, last_days
from terralab.quantities import US
from terralab.quantities import said as in_units
from terralab.show.figures.scales import Scales
from terralab.show.figures.settled import danger_of, with_danger
from terralab.show.figures.style import LINE, ORANGE, SKY, plain_look
from terralab.show.panel.small import Small


@dataclass(frozen=True)
class Guess:
    """What a preview saw of an answer's range: the pour with the mesh at its low, typical and high end [ml a day].

    `danger`: what of the warmth is dangerous, in a few words; "" where nothing is.
    """

    name: str
    pours_ml: tuple[float, float, float]
    danger: str = ""


class SurePicture(Small):
    """The boxes that fit the description, by what they need, beside what each home measurement leaves of the range."""

    def __init__(self) -> None:
        super().__init__(right_from=0.72)
        self._build()

    @plain_look
    def _build(self) -> None:
        self.columns = self.left.bar(range(16), [0.0] * 16, color=SKY, edgecolor="white")
        self.outline = self.left.plot([], [], color=SKY, linewidth=0.0)[0]  # what the ghost follows
        self.ends = [self.left.axvline(0.0, color=LINE, linestyle="--", linewidth=1.2) for _ in range(2)]
        self.guesses = self.left.plot([], [], color=ORANGE, marker="D", linestyle="-", linewidth=1.2)[0]
        self.moves(*self.columns, self.outline, *self.ends, self.guesses)
        self.follow(self.outline)
        self.bars = self.add_bars(self.right, 5)
        self.say(self.left, y="boxes that fit")

    def draw(self, seen: Guess, answer: Answer | None, system: str) -> tuple[bytes, str]:
        """The picture as PNG and in words."""
        axes = Scales(system == US)
        danger = (
            seen.danger
            if answer is None
            else danger_of(heat_of(answer.record, last_days(answer.record, fair_days(answer.record.box))))
        )
        warned = self.warn(in_units(with_danger(danger, answer), system == US))
        unit, turn = axes.word("ml"), lambda x: axes.of("ml", np.asarray(x, float))
        write = lambda x: f"{float(turn(x)):.0f}" if unit == "ml" else f"{float(turn(x)):.1f}"  # noqa: E731
        pours = np.array([]) if answer is None else answer.sample.results["pour"]
        pours = pours[np.isfinite(pours)]
        spread, heights = self.before(self.outline)
        last = max([0.0, *spread[heights > 0.0]])
        self.fit(self.left, "x", 0.0, max(1.1 * float(turn(max([1.0, *seen.pours_ml, *pours]))), last))
        counts = self._columns(turn(pours))
        self.fit(self.left, "y", 0.0, max(4.0, int(counts.max()) + 1, *heights))
        self.guesses.set_data(turn(seen.pours_ml), [0.08 * self.left.get_ylim()[1]] * 3)
        low, middle, high = (write(x) for x in seen.pours_ml)
        said = f"with the mesh at its low, typical and high end it needs {low}, {middle} and {high} {unit} a day"
        beside = "; diamonds: the mesh alone" if answer else " (diamonds: the mesh alone)"
        self.say(self.left, f"Boxes that fit{beside}", x=f"pour, {unit} a day")
        for end in self.ends:
            end.set_visible(answer is not None)
        self.show(self.right, answer is not None)
        if answer is None:
            return self.png(), f"{warned}{seen.name}: {said}. A preview of three runs."
        for end, x in zip(self.ends, (answer.low, answer.high), strict=True):
            end.set_xdata([float(turn(x))] * 2)
        ranked = answer.measure_next[:5]
        left = [100.0 * (1.0 - max(0.0, one["narrows_by"])) for one in ranked]
        self.say(self.right, "% of range left if measured")
        self.bars.show([one["what"] for one in ranked], left, [f"{x:.0f}" for x in left], False)
        alt = (
            f"{seen.name}: {len(pours)} boxes that fit the description; 80 of 100 need {write(answer.low)} to {write(answer.high)} {unit} a day; "
            f"{said}. Left of the range after measuring: "
            + ", ".join(f"{one['what']} {x:.0f} %" for one, x in zip(ranked, left, strict=True))
            + "."
        )
        return self.png(), f"{warned}{alt}"

    def _columns(self, pours: np.ndarray) -> np.ndarray:
        """Draw how many boxes need how much; give the counts."""
        edges = np.linspace(0.0, self.left.get_xlim()[1], len(self.columns) + 1)
        counts, _ = np.histogram(pours, edges)
        for column, count, edge in zip(self.columns, counts, edges, strict=False):
            column.set_x(edge)
            column.set_width(edges[1])
            column.set_height(count)
        if len(pours):
            self.outline.set_data(np.repeat(edges, 2), np.r_[0, np.repeat(counts, 2), 0])
        return counts


__all__ = ["Guess", "SurePicture"]
