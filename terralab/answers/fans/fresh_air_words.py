"""Whether fans are needed for fresh air, and how fast the air of the box is renewed, in sentences."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from terralab import materials
from terralab.answers.common.optional import known
from terralab.answers.fans.fresh_air import OXYGEN_PERCENT, STUFFY_PPM, WORK_LIMIT_PPM, matters_below
from terralab.answers.fans.schedules import NO_FAN
from terralab.describe.box import Box
from terralab.describe.wanted import PLANTS
from terralab.quantities import quantity


def fresh_air_words(
    box: Box, source: Mapping[str, Any], none: Mapping[str, Any], chosen: Mapping[str, Any], name: str
) -> list[str]:
    """What breathes, what gathers without a fan and what the chosen schedule does, in sentences.

    `none` and `chosen`: those two schedules in the room now; `name`: the name of the chosen one.
    """
    marks = matters_below(box, source["all"])
    still = none["air_changes"]["mean"]
    grams = source["animals_g"]
    who = f"soil life, leaves in the dark and {grams:.0f} g of animals" if grams else "soil life and leaves in the dark"
    whose = "" if grams or source["asked"] else f" No animals are counted{_kept_for(box)}."
    biggest = max(("soil", "leaves in the dark", "animals"), key=lambda part: source[part]["typical"])
    lines = [
        f"Fresh air: {who} give off about {_gas(source, 'typical')} of carbon dioxide an hour "
        f"({_gas(source, 'low', 'high')}), most of it "
        f"from the {biggest}.{whose} Without a fan, at {still:.1f} air changes an hour, the air holds {_ppm(none, 'co2')} ppm "
        f"({_ppm(none, 'co2_low')} to {_ppm(none, 'co2_high')}) and {none['oxygen_percent']:.2f} % oxygen, of "
        f"{OXYGEN_PERCENT:g} % in the room."
    ]
    if source["asked"]:
        lines.append(_asks(source, none))
    if name != NO_FAN:
        lines.append(
            f"With {name}: {chosen['co2_ppm']:.0f} ppm and {chosen['oxygen_percent']:.2f} % oxygen, at "
            f"{chosen['air_changes']['mean']:.1f} air changes an hour."
        )
    lines.append(
        f"Exchange begins to matter for the air's quality below about {marks['stuffy, typical']:.1f} air changes an hour "
        f"(stuffy, {STUFFY_PPM:.0f} ppm; {marks['stuffy, high']:.1f} if everything breathes at the high end), and in "
        f"earnest below {marks['work limit, typical']:.2f} ({WORK_LIMIT_PPM:.0f} ppm, the limit for people at work). No "
        "such figure was found for frogs or reptiles."
    )
    lines.append(("As far as soil and leaves go: " if source["asked"] else "") + _verdict(still, marks, none))
    return lines


def _gas(source: Mapping[str, Any], *ends: str) -> str:
    """Carbon dioxide that is given off an hour, the unit with a single number only."""
    return quantity("ml", ".0f", *(1000.0 * source["all"][end] for end in ends), bare=len(ends) > 1)


def _ppm(row: Mapping[str, Any], name: str) -> str:
    return f"{row[f'{name}_ppm']:.0f}"


def _kept_for(box: Box) -> str:
    return f", since the box is kept for {box.group}" if box.group in PLANTS else ""


def _asks(source: Mapping[str, Any], none: Mapping[str, Any]) -> str:
    """What animals would add, and the question how heavy they are: a description does not say."""
    room = materials.get("defaults", "room air").typical("carbon_dioxide")
    a_litre = (none["co2_ppm"] - room) / source["all"]["typical"]  # ppm for each l/h, without a fan
    low, typical, high = (10.0 * a_litre * source["gram"][end] for end in ("low", "typical", "high"))
    return (
        f"Animals are not counted yet, since a description does not say what lives in the box: every 10 g of them add about "
        f"{typical:.0f} ppm at rest without a fan ({low:.0f} to {high:.0f}, the high end without a pause in full motion). Weigh "
        "yours in a tub on a kitchen scale and ask again with --animals-g GRAMS (animals_g in Python)."
    )


def _verdict(still: float, marks: Mapping[str, float], none: Mapping[str, Any]) -> str:
    gone = OXYGEN_PERCENT - none["oxygen_percent"]
    oxygen = f"Oxygen is no reason for a fan: without one {gone:.2f} points of {OXYGEN_PERCENT:g} are missing"
    if gone > 1.0:
        oxygen = f"Oxygen itself runs short here: without a fan {gone:.1f} points of {OXYGEN_PERCENT:g} are missing"
    if still > marks["stuffy, high"]:
        rest = "vents and gaps alone keep the carbon dioxide low, even if everything breathes at the high end"
    elif still > marks["stuffy, typical"]:
        rest = "vents and gaps alone most likely keep the carbon dioxide low; a hand-held meter would tell"
    else:
        rest = "but carbon dioxide gathers, so open a vent a little or exchange some air"
    moves = "A circulating fan changes neither; what it does is dry leaves and glass and mix the air."
    return f"{oxygen}; {rest}. {moves}"


def renewal_words(seen: Mapping[str, Any]) -> str:
    """How often the air is changed and how old it is under a schedule, and whether it falls out below."""
    rates = seen["air_changes"]
    parts = [f"{rates['mean']:.1f} air changes an hour on average"]
    if known(rates["running"]) and known(rates["resting"]):
        parts.append(f"{rates['resting']:.1f} times while the fan rests and {rates['running']:.1f} times while it runs")
    parts.append(f"the air is {_age(seen['age_min'])} old on average ({_age(seen['oldest_min'])} at most)")
    falling = ""
    if seen["falling_h"] >= 0.5:
        falling = (
            f" For {seen['falling_h']:.1f} h a day the air of the box is heavier than the room's: it falls out below and "
            "room air enters above, the other way round than usual, and a mesh lid then passes little."
        )
    return f"Air: {', '.join(parts)}. {_nights(seen['night_drop_k'])}{falling}"


def _nights(drop_k: float) -> str:
    """How much cooler the night is than the day."""
    return f"Night is {quantity('K', '.1f', abs(drop_k))} {'cooler' if drop_k >= 0.0 else 'warmer'} than day."


def _age(minutes: float) -> str:
    return f"{minutes:.0f} minutes" if minutes < 90.0 else f"{minutes / 60.0:.1f} hours"
