"""What a keeper is asked to weigh where a log alone does not tell the ml a day: what this box allows, and no more."""

from __future__ import annotations

from dataclasses import replace

from terralab import materials
from terralab.answers.drainage.weight import weight
from terralab.describe.box import Box
from terralab.learning.fit import LOSS, Fit
from terralab.learning.refusals import WEIGH
from terralab.logs.diary_blank import LIFT
from terralab.logs.diary_weighed import WEIGH_TANK
from terralab.quantities import Text, marked, quantity

FEW_ML = 3.0  # ml a day: a spoonful in a week hardly matters to anyone, and no weighing at home tells parts of it
HARDLY_ANY = Text(
    f"By the description it is below {quantity('ml', '.0f', FEW_ML)} a day, too little to weigh at home, so nothing need be measured."
)


def ways_to_weigh(box: Box) -> str:
    """Return what to weigh, in words: the box only where a scale of the household bears it, siphoned water only where there is any.

    The box alone tells nothing where a switch decides how much a mister gives: then its tank is weighed too.
    """
    bears = lambda scale: materials.get("defaults", scale).typical("bears")  # noqa: E731
    total = weight(box).total
    scale = next((one for one in ("kitchen scale", "bathroom scale") if total <= bears(one)), "")
    bottle = f"everything you fill from (bottle, sprayer, tank) for two weeks{_siphoned(box)}"
    if any(one.control is not None for one in box.routine.mists):
        return f"Weigh {bottle}. {WEIGH_TANK.replace('its tank', 'the tank of the mister')}"
    if not scale:
        return f"Weigh {bottle}."
    return (
        f"Weigh the box on a {scale} two days apart with nothing poured between, or {bottle}. To weigh the box: {LIFT}"
    )


def bottle_words(box: Box) -> str:
    """Return the shortest words on what to weigh: the bottle alone, and siphoned water where there is any."""
    return f"weigh the watering bottle before and after each use for two weeks{_siphoned(box)}"


def _siphoned(box: Box) -> str:
    return ", and what you siphon off" if box.enclosure.drainage is not None else ""


def hardly_any(fit: Fit) -> bool:
    """Whether all that is likely of the water lost is so little that nothing measured at home would change what a keeper does."""
    loss = fit.results.get(LOSS)
    return loss is not None and max(loss.after[2], loss.before[2] if loss.refused or not fit.usable else 0.0) < FEW_ML


def uncounted_words(uncounted: str) -> str:
    """That what was weighed does not count, why, and what to write down for it; "" where it counts."""
    return f"What you weighed does not count yet: {uncounted}" if uncounted else ""


def uncounted_brief(uncounted: str) -> str:
    """The same in a line or two, for the short screen."""
    if not uncounted:
        return ""
    reason = uncounted.split(". ")[0].split(", since")[0].rstrip(".")
    what = "Weigh its tank too." if uncounted.endswith(WEIGH_TANK) else "See --why."
    return f"What you weighed does not count yet: {reason}. {what}"


def with_ways(box: Box, fit: Fit, uncounted: str = "") -> Fit:
    """Return the fit whose refusals ask for what can be weighed of this box; `uncounted`: why what was weighed does not count."""
    ways = HARDLY_ANY if hardly_any(fit) else uncounted_words(uncounted) or ways_to_weigh(box)
    asked = [replace(one, ask=Text(marked(one.ask).replace(WEIGH, marked(ways)))) for one in fit.refusals]
    return replace(fit, refusals=tuple(asked)) if any(WEIGH in one.ask for one in fit.refusals) else fit
