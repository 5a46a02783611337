"""The first soak of a box whose soil is to stay dry: there is none, whatever the soil could hold."""

from __future__ import annotations

from terralab.answers.answer import Answer
from terralab.answers.cautions import for_box
from terralab.describe.box import Box

REASON = "The soil of this box is to stay dry, so there is nothing to soak."


def nothing_to_soak(box: Box) -> Answer:
    """The answer of 0 litres, with its reason."""
    return Answer(
        question="first soak",
        value=0.0,
        low=0.0,
        high=0.0,
        unit="litres",
        reason=REASON,
        seasons={season: {"value": 0.0, "low": 0.0, "high": 0.0, "portions": 0} for season in ("winter", "summer")},
        reachable=True,
        cautions=for_box(box, "soak"),
        sentences=(
            f"{box.name}: how much water on day one?",
            f"  None. {REASON} Say in the description what moisture is wanted if that is not so.",
        ),
    )
