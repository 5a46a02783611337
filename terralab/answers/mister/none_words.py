"""Why no mister is recommended, in words."""

from __future__ import annotations

from collections.abc import Sequence

from terralab.answers.mister.below import Below
from terralab.answers.mister.choices import Choice
from terralab.answers.mister.scan import LACKING_H, NO_GAIN, WHY_SHORT, Base, Tried
from terralab.answers.mister.words import plan_words
from terralab.describe.hot import hot_at_lid

ELSE = "The answer on the daily water tells what else there is, such as the lid."


def no_band_words() -> tuple[str, str]:
    """What to do, and why there is no number, where no humidity is wanted."""
    return (
        "Give a group or a band first: without it no watering can be sized for the air.",
        "No humidity is known to be wanted: give the animal group, or a [band] of your own.",
    )


def none_words(base: Base, before: Below, rows: Sequence[Tried]) -> tuple[str, str]:
    """What to do, and why no mister helps."""
    seen = base.seen
    air = (
        f"Without spraying or misting it is {seen.inside_h:.1f} h a day in the band, {seen.dry_h:.1f} h too dry and "
        f"{seen.damp_h:.1f} h too damp"
    )
    if seen.dry_h < LACKING_H:
        more = " More water would only make that worse." if seen.damp_h >= LACKING_H else ""
        drink = " Where animals drink from leaves, one short burst before the lamps come on still serves that (common practice, no source)."
        return (
            f"Leave a mister out: without one the air is {_seldom(seen.dry_h)} too dry.",
            f"{air}.{more}{drink}",
        )
    if before.drowned:
        return (
            "No mister yet: the soil is too wet without one. See to that first (terralab rescue).",
            f"{air}, but {before.drowned}.",
        )
    if not rows:
        why = (
            "no hour in which it is too dry is free of hot glass"
            if hot_at_lid(base.box)
            else "no burst that these nozzles can give is small and large enough for it"
        )
        return "No mister: there is no safe and sensible burst for it.", f"{air}, and {why}."
    return _do_without(base), f"{air}. {_tried_words(base, rows)} {ELSE}"


def few_words(base: Base, best: Choice) -> tuple[str, str]:
    """What to do, and why no mister helps, where the typical box gains and most draws do not."""
    low, middle, high = best.spans["gain_h"]
    return (
        _do_without(base),
        f"In the typical box {plan_words(best.plan)} would bring more hours in the band, but over the draws of everything uncertain "
        f"the best of the ways tried brings {middle:.1f} h a day (from {low:.1f} to {high:.1f} h). {ELSE}",
    )


def _seldom(hours: float) -> str:
    return "never" if hours < 0.05 else f"for no more than {hours:.1f} h a day"


def _do_without(base: Base) -> str:
    return (
        f"No mister helps here: without one the air is in the band for {base.seen.inside_h:.0f} h a day, and none makes that "
        "clearly better."
    )


def _tried_words(base: Base, rows: Sequence[Tried]) -> str:
    """Why none of the ways that were tried may be recommended."""
    reasons = [one.why_not for one in rows]
    refused = [why for why in reasons if why]
    if len(refused) < len(rows):
        soil = sorted({why for why in refused if why not in WHY_SHORT})
        return f"Of {len(rows)} ways tried those that help most are no good for soil or layer: {', '.join(soil)}."
    if set(reasons) == {NO_GAIN}:
        return f"None of {len(rows)} ways tried brings an hour more in the band."
    parts = ", ".join(f"{reasons.count(why)} of them since {why}" for why in sorted(set(reasons)))
    gain = max(one.seen.inside_h for one in rows) - base.seen.inside_h
    most = f"the most any brings is {gain:.1f} h a day" if gain >= 0.1 else "not one brings more hours in the band"
    return f"Of {len(rows)} ways tried none may be recommended ({parts}); {most}."
