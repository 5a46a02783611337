"""What a panel asks, and what its picture has to know."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Protocol

from terralab.answers.common.answer import Answer
from terralab.describe.box import Box
from terralab.show.panel.controls import Choice, Slide


class Drawn(Protocol):
    """A panel's picture, such as a `Small` with a `draw` of its own."""

    def draw(self, seen: Any, answer: Answer | None, system: str) -> tuple[bytes, str]:
        """Give the PNG of what a preview saw, and it in words; `answer` is None while only the preview is there."""

    def halves(self) -> tuple[bytes, bytes]:
        """Give what was drawn last in two parts, for a narrow page."""

    def widths(self) -> tuple[int, int]:
        """Give the widths of both parts on the page [pixels]."""

    def height(self) -> int:
        """Give the height of both parts on the page [pixels]."""

    def keep(self) -> None:
        """Make what is drawn the ghost of the state before: sliders begin to move."""

    def rest(self) -> None:
        """Let scales fit again: the answer has come to rest."""

    def reset(self) -> None:
        """Forget ghost and scales: another box, or other units."""


@dataclass(frozen=True)
class Question:
    """What one panel asks. `preview` runs a box once and gives what its picture needs and a sentence; `answer` works it out.

    `rough`: the same from few draws, shown until the whole one is there; None: there is no faster way. All three run beside
    the page, so they draw and print nothing, and take the box and what `how` makes of the values of the controls: that which
    is asked for and is no part of the box. `before`: a sentence to go before the answer, about what was asked.
    `leads_on`: link the other notebooks. `bare`: neither units nor files above and below, for a first look.
    """

    title: str
    controls: tuple[Slide | Choice, ...]
    preview: Callable[..., tuple[Any, str]]
    answer: Callable[..., Answer]
    picture: Drawn
    leads_on: bool = False
    rough: Callable[..., Answer] | None = None
    bare: bool = False
    how: Callable[[Mapping[str, Any]], dict[str, Any]] = lambda values: {}
    before: Callable[[Box, Answer], str] = lambda box, answer: ""
