"""What the misters give: by their timers, or as the run shows where a hygrostat or thermostat has the last word."""

from __future__ import annotations

from terralab.answers.common.words import ml
from terralab.describe.box import Box
from terralab.describe.routine import Mist


def allowed_ml(mist: Mist) -> float:
    """What a mister gives a day if its timer alone decides [ml]."""
    return mist.timer.on_s / 60.0 * mist.flow_ml_min


def hand_ml(box: Box) -> float:
    """What is sprayed by hand [ml a day]."""
    return sum(spray.amount_ml / spray.every_days for spray in box.routine.sprays)


def controlled(box: Box) -> bool:
    """Whether a control can keep a mister of the box from running when its timer would let it."""
    return any(mist.control is not None and mist.timer.on_s > 0.0 for mist in box.routine.mists)


def misted_ml(box: Box, given_ml: float) -> float:
    """What all misters gave [ml a day] in a run in which `given_ml` a day were sprayed and misted."""
    return max(0.0, given_ml - hand_ml(box))


def misted_words(box: Box, given_ml: float) -> list[str]:
    """Each mister with its water a day; `given_ml`: what a run of the box shows to be sprayed and misted a day."""
    if not controlled(box):
        return [f"{mist.name}, {ml(allowed_ml(mist))} a day" for mist in box.routine.mists]
    gave = ml(misted_ml(box, given_ml))
    if len(box.routine.mists) == 1:
        (mist,) = box.routine.mists
        return [
            f"{mist.name}, {gave} a day (its timer would allow {ml(allowed_ml(mist))}, its control lets less through)"
        ]
    names = " and ".join(mist.name for mist in box.routine.mists)
    allowed = ml(sum(allowed_ml(mist) for mist in box.routine.mists))
    return [f"{names}, together {gave} a day (their timers would allow {allowed}, a control lets less through)"]


def given_words(box: Box, mist: Mist, given_ml: float | None) -> str:
    """For the plan: the water of one mister on one day; `given_ml` as above, None where no run is at hand."""
    if mist.control is None:
        return ml(allowed_ml(mist))
    if given_ml is None or len(box.routine.mists) > 1:
        return f"{ml(allowed_ml(mist))} at most"
    return f"about {ml(misted_ml(box, given_ml))}"
