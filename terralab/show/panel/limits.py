"""How far each slider may go: only as far as the box allows, and why two of them do not go together."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import ceil, floor
from typing import Any

from terralab.describe.box import Box
from terralab.describe.part import cautions_untold
from terralab.errors import TerralabError
from terralab.quantities import pretty
from terralab.show.panel.controls import Choice, Scale, Slide, with_values

Controls = tuple[Slide | Choice, ...]


def fits(box: Box, controls: Controls, values: Mapping[str, Any]) -> bool:
    """Whether the box can be described with these values. Nothing is run for it."""
    try:
        with cautions_untold():
            with_values(box, controls, values)
    except TerralabError:
        return False
    return True


def allowed(box: Box, controls: Controls, slide: Slide, good: float, others: Mapping[str, Any]) -> tuple[float, float]:
    """Least and most of a slider [its first scale's unit], `others` being as they are; with `good` the box can be."""
    fit = lambda value: fits(box, controls, {**others, slide.key: value})  # noqa: E731
    scale = slide.metric
    return _end(fit, scale, good, up=False), _end(fit, scale, good, up=True)


def _end(fit: Callable[[float], bool], scale: Scale, good: float, up: bool) -> float:
    """The last step of a scale that fits, from a good value on. What is between two that fit is taken to fit as well."""
    far = scale.high if up else scale.low
    if (good >= far) if up else (good <= far):
        return good
    if fit(far):
        return far
    at = lambda n: scale.low + n * scale.step  # noqa: E731
    yes, no = (good - scale.low) / scale.step, (far - scale.low) / scale.step
    yes, no = floor(yes + 1e-6) if up else ceil(yes - 1e-6), round(no)
    best = good
    while abs(no - yes) > 1:
        middle = (yes + no) // 2
        if fit(at(middle)):
            yes, best = middle, at(middle)
        else:
            no = middle
    return best


def ends_shown(slide: Slide, system: str, low: float, high: float, value: float) -> tuple[float, float]:
    """The ends of a slider in the units shown, on the steps of its scale; `value` (in those units) lies between."""
    scale = slide.scale(system)
    steps = lambda x: (slide.shown(x, system) - scale.low) / scale.step  # noqa: E731
    at = lambda n: float(f"{scale.low + n * scale.step:.10g}")  # noqa: E731
    first, last = max(scale.low, at(ceil(steps(low) - 1e-6))), min(scale.high, at(floor(steps(high) + 1e-6)))
    return min(first, value), max(last, value)


def clash(
    box: Box, controls: Controls, moved: Mapping[str, Any], control: Slide | Choice, good: Any, system: str
) -> str:
    """Why a control cannot be as it was just moved while others are as they are, and how far it may go; "" where it cannot
    be by itself either. `good`: what it was, when the box could be.
    """
    others = {key: value for key, value in moved.items() if key != control.key}
    by_key = {one.key: one for one in controls}
    if not others or not fits(box, controls, others):
        return ""
    alone = [key for key in others if fits(box, controls, {k: v for k, v in moved.items() if k != key})]
    held = " and ".join(
        f"“{by_key[key].words}” is {_said(by_key[key], others[key], system)}" for key in alone or others
    )
    words = f"“{control.words}” cannot be {_said(control, moved[control.key], system)} while {held}."
    if isinstance(control, Slide):
        low, high = allowed(box, controls, control, good, others)
        if moved[control.key] > high:
            words += f" As things are, it can be {_said(control, high, system)} at most."
        elif moved[control.key] < low:
            words += f" As things are, it can be {_said(control, low, system)} at least."
    return f"{words} Move one of them back."


def _said(control: Slide | Choice, value: Any, system: str) -> str:
    """A value of a control in words, in the units shown."""
    if isinstance(control, Choice):
        return f"“{next((words for words, one in control.options if one == value), str(value))}”"
    scale = control.scale(system)
    return f"{control.shown(value, system):.{scale.digits}f} {pretty(scale.unit)}"


__all__ = ["allowed", "clash", "ends_shown", "fits"]
