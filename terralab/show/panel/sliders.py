"""What every panel does with its sliders and lists: find one for code that moves it, and offer what a box already holds."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import ipywidgets as w

from terralab.errors import TerralabError, UnknownName, quoted
from terralab.show.panel.controls import Choice


def slider_for(sliders: Mapping[str, w.Widget], key: str, value: Any) -> w.Widget:
    """The slider or list `key`, for a `value` in the units shown.

    Raises UnknownName for one that is not there, TerralabError for a value past the ends of a slider.
    """
    if key not in sliders:
        raise UnknownName.among("slider", key, sliders)
    slider = sliders[key]
    if isinstance(slider, w.FloatSlider) and not slider.min <= value <= slider.max:
        raise TerralabError(
            f"{slider.description} must be {slider.min:g} to {slider.max:g}; {quoted(value)} was given."
        )
    return slider


def options_with(control: Choice, held: Any) -> list[tuple[str, Any]]:
    """What can be chosen, and what the box holds: a mixture, or a material of the keeper's own, stands in no table."""
    options = list(control.options)
    return options if held in [value for _, value in options] else [*options, (str(held), held)]
