"""The other lever, the lid: what changing it would do where no fan reaches the humidity wanted, and how sure that is."""

from __future__ import annotations

from collections.abc import Sequence

from terralab.answers.common.at_the_lid import hours_for_spraying, lid_words
from terralab.answers.common.balance import kept_dry
from terralab.answers.common.draws import left_out_words
from terralab.answers.common.optional import between, dry_words, known
from terralab.answers.common.temperature import degrees
from terralab.answers.common.words import ml
from terralab.answers.fans.compared import Compared, Row
from terralab.answers.fans.schedules import NO_FAN
from terralab.answers.water.alternatives import HOURLY
from terralab.describe.box import Box
from terralab.describe.hot import hot_at_lid, hot_words
from terralab.quantities import quantity


def air_of(seen: Row) -> str:
    """Humidity and temperature by day and by night, side by side."""
    return (
        f"{seen['rh_day']['mean']:.0f} % at {degrees(seen['temperature_day_c'])} by day and "
        f"{seen['rh_night']['mean']:.0f} % at {degrees(seen['temperature_night_c'])} by night"
    )


def first_lid_words(box: Box, lid: Row, gap: float, fan: bool = True) -> str:
    """What to do with the lid of `box` first, as an order, and with which `fan`; `lid` as `first_lid` finds it for this `gap`."""
    share = f"{100 * lid['covered']:.0f} %"
    with_fan = (", with no fan" if lid["fan"] == NO_FAN else ", with your fans as they are") if fan else ""
    if gap < 0:
        part = lid_words(box)
        return f"cover {share} of {'the mesh' if part == 'the mesh lid' else part} first{with_fan}"
    if lid["covered"] == 0.0:
        return f"open the whole lid first{with_fan}"
    return f"open the lid down to {share} covered first{with_fan}"


def alternative_in_short(c: Compared) -> str:
    """What else there is where no schedule reaches what is wanted, in one sentence for the short screen."""
    lid = c.first_lid
    if lid is not None:
        mind = f", but {' and '.join(fault.words() for fault in lid['faults'])}" if lid["faults"] else ""
        return f"With the lid so: {air_of(lid)}{mind}."
    if c.details["blocked"]:
        return "An exchange fan moves nothing while no air can come in."
    if hot_at_lid(c.box):
        return f"The lid at {hot_words(c.box)} must stay open; see terralab water."
    if (refused := next((one for one in c.covers if one["refused"]), None)) is not None:
        return f"A lid that is {_state(refused)} would reach it now, but {refused['refused']}."
    return "Nor does the lid reach it; see terralab water." if c.covers else "See terralab water for what else helps."


def alternative_words(c: Compared, reachable: bool | None) -> str:
    """What the lid would do where no schedule reaches what is wanted; "" where one does."""
    if reachable is not False or c.details["blocked"]:
        return ""
    lid = c.first_lid
    if lid is not None:
        return f"The lid does what no fan can. {_with_lid(lid, c.water)} {_how_sure(c.details['first_lid'], c.gap < 0)}"
    allowed = [one for one in c.covers if one["allowed"]]
    if hot_at_lid(c.box) and (not allowed or c.gap < 0):
        ways = ["less spraying", "a drier room"]
        if c.gap < 0:
            ways = ["spraying while that is off and cold"] if hours_for_spraying(c.box, HOURLY) else []
            ways += [] if kept_dry(c.box) or c.box.enclosure.cover is not None else ["moss or litter on the soil"]
            ways += ["a more humid room"]
        return (
            f"The lid is no lever here: {hot_words(c.box)} is there, and it must stay open. What "
            f"is left is {', '.join(ways[:-1])}{' or ' if ways[1:] else ''}{ways[-1]} (terralab water)."
        )
    if not allowed and c.covers:
        nearest = min(c.covers, key=lambda one: abs(one["gap_points"]))
        return (
            f"The lid is no lever here: however it is set, the temperatures wanted are left. {_state(nearest).capitalize()}, "
            f"{nearest['why_not']}. See terralab water."
        )
    if not allowed:
        return "There is no lid opening to change; the room's humidity or the watering is the other lever."
    refused = next((one for one in c.covers if one["refused"]), None)
    if refused is not None:
        return (
            f"A lid that is {_state(refused)} would reach it now ({air_of(refused)}), but {refused['refused']}: so it is not "
            "recommended. Watering and the room are what is left (terralab water)."
        )
    nearest = min(allowed, key=lambda one: abs(one["gap_points"]))
    fans = "no fan" if nearest["fan"] == NO_FAN else "fans as described"
    return (
        f"The lid alone does not reach it either: nearest is {_state(nearest)}, {fans}, {air_of(nearest)}. "
        "Then watering and the room are what is left (terralab water)."
    )


def _at(span: Sequence[float | None] | None) -> str:
    """The range of a temperature with a blank before it; that it is not known where an end is missing."""
    if span is None or not (known(span[0]) and known(span[-1])):
        return " at a temperature not known"
    return f" at {quantity('°C', '.1f', span[0], span[-1])}"


def _state(lid: Row) -> str:
    return "all open" if lid["covered"] == 0.0 else f"{100 * lid['covered']:.0f} % covered"


def _with_lid(lid: Row, water: str) -> str:
    """What comes with the lid, the bad sides too."""
    dry = f", leaves and front pane {dry_words(lid)}" if lid["sprays"] else ""
    mind = f" Mind that then {' and '.join(fault.words() for fault in lid['faults'])}." if lid["faults"] else ""
    return (
        f"With the lid so it is {air_of(lid)}, with "
        f"{lid['front_fogged_h']:.1f} h a day of fog on the front pane{dry}, and {ml(lid['water_ml'])} {water} a day.{mind}"
    )


def _how_sure(found: Row, damper: bool) -> str:
    """How sure the recommended lid is, and how to go there; `found` as `lid_ranges` gives it."""
    if not found["ranges"]:
        return f"How sure that is, is not known, since too few draws could be run. {left_out_words(found)}"
    spans = {name: between(span, missing="not known") for name, span in found["ranges"].items()}
    warm = {part: _at(found["ranges"][f"C by {part}"]) for part in ("day", "night")}
    wet = f"{found['front_all_day']:.0f} of {found['ran']:.0f} draws the front pane then stays wet all day"
    never = f", and in {found['never_dry']:.0f} nothing dries before the next spray" if found["never_dry"] else ""
    also = left_out_words(found)
    steps = ""
    if damper and found["step_before"] is not None:
        steps = (
            f" So go there in steps, from {100 * found['step_before']:.0f} % covered on: look at the front glass for some days "
            "at each, and go back a step when it stays wet."
        )
    return (
        f"How sure that is: {spans['rh by day']} %{warm['day']} by day, {spans['rh by night']} %{warm['night']} by night, {spans['front pane fogged h']} h a day "
        f"of fog on the front pane; in {wet}{never}.{f' {also}' if also else ''}{steps} Ask again then: the closer a box, the more a fan "
        "does."
    )
