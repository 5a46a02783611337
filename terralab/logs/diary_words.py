"""The words of a diary as people write them: what was done, and how much of it."""

from __future__ import annotations

import re
from collections.abc import Mapping

from terralab.errors import DescriptionError, TerralabError, advice, quoted
from terralab.logs.diary import WHATS
from terralab.unit_table import QUANTITIES
from terralab.units import as_float, convert, parse, plain, written_as

#: What the amount of each unit is, for `units.parse`.
KIND = {"ml": "volume", "cm": "length", "share": "share", "W": "power", "g": "weight"}
#: The widest amounts that can be real, in the unit of the entry.
LIMITS = {"ml": (0.0, 1e6), "cm": (0.0, 300.0), "share": (0.0, 1.0), "W": (0.0, 2000.0), "g": (1.0, 5e6)}
#: As people write it -> what of `WHATS` is meant.
SAID: Mapping[str, str] = {
    **{what: what for what in WHATS},
    **dict.fromkeys(
        (
            *(
                "pour",
                "pours",
                "pouring",
                "water",
                "watered",
                "watering",
                "watered by hand",
                "poured by hand",
                "poured water",
            ),
            *("gave water", "added water", "water added", "irrigated", "hand watered", "water poured", "water given"),
        ),
        "poured",
    ),
    **dict.fromkeys(
        (
            *(
                "spray",
                "sprays",
                "spraying",
                "sprayed by hand",
                "mist",
                "misted",
                "misting",
                "misted by hand",
                "hand misted",
            ),
            *("hand misting", "hand sprayed", "spritzed", "spritz", "water sprayed"),
        ),
        "sprayed",
    ),
    **dict.fromkeys(
        (
            *(
                "siphon",
                "siphoning",
                "syphon",
                "syphoned",
                "syphoning",
                "siphoned off",
                "drawn off",
                "drew off",
                "drained",
            ),
            *("drained off", "water siphoned", "pumped out", "water removed", "removed water"),
        ),
        "siphoned",
    ),
    **dict.fromkeys(("siphoned down to", "syphoned to", "drained to", "drawn off to"), "siphoned to"),
    **dict.fromkeys(
        ("dish", "dish refilled", "filled dish", "refilled dish", "water dish filled", "water dish", "dish topped up"),
        "dish filled",
    ),
    **dict.fromkeys(
        (
            "hide",
            "wetted hide",
            "hide moistened",
            "moss wetted",
            "wetted moss",
            "moss in hide wetted",
            "damp hide wetted",
        ),
        "hide wetted",
    ),
    **dict.fromkeys(
        (
            *(
                "gap",
                "gap under mesh",
                "gap under the mesh",
                "gap below the mesh",
                "level below mesh",
                "level below the mesh",
            ),
            *("level under the mesh", "level under mesh", "air gap", "water below mesh", "water below the mesh"),
        ),
        "gap below mesh",
    ),
    **dict.fromkeys(("depth of water", "water above floor", "level above floor", "depth below mesh"), "water depth"),
    **dict.fromkeys(
        ("lid", "cover", "covered", "lid cover", "lid covering", "lid changed", "lid closed"), "lid covered"
    ),
    **dict.fromkeys(
        ("lamp changed", "lamp power", "light", "light changed", "new lamp", "bulb", "bulb changed", "new bulb"), "lamp"
    ),
    **dict.fromkeys(
        ("box", "box weight", "box weighed", "weighed box", "weight of box", "weight of the box", "box on scale"),
        "box weighs",
    ),
    **dict.fromkeys(
        (
            *(
                "bottle",
                "bottle weight",
                "bottle weighed",
                "weighed bottle",
                "weight of bottle",
                "weight of the bottle",
            ),
            *("bottle before", "bottle after", "watering can weighs", "watering can", "can weighs", "jug weighs"),
        ),
        "bottle weighs",
    ),
    **dict.fromkeys(("wet leaves", "leaves were wet", "leaves still wet", "foliage wet", "leaf wet"), "leaves wet"),
}
#: Words that can mean two things, and what to write in their place.
TWO_WAYS = {
    "level": 'Write "gap below mesh", from the mesh down to the water, or "water depth", from the floor up to it.',
    "water level": 'Write "gap below mesh", from the mesh down to the water, or "water depth", from the floor up to it.',
    "weight": 'Write "box weighs" or "bottle weighs".',
    "weighed": 'Write "box weighs" or "bottle weighs".',
    "weighs": 'Write "box weighs" or "bottle weighs".',
    "lid open": 'Write "lid covered" and the share that is covered.',
    "lid opened": 'Write "lid covered" and the share that is covered.',
    "open": 'Write "lid covered" and the share that is covered.',
    "filled": 'Write "poured", or "dish filled".',
    "refilled": 'Write "poured", or "dish filled".',
}
_PART = re.compile(r"\s*([+-]?\d+(?:[.,]\d+)?)\s*([^\d\s][^\d]*?)\s*(?=\d|$)")
_DIGITS = re.compile(r"\d+(?:[.,](\d+))?")
_WATER_WEIGHT = ("g", "kg", "lb")  # a gram of water is a millilitre; an ounce may be a fluid one


def what_of(text: str) -> tuple[str, str]:
    """Return what of `WHATS` a text means, and the lamp or opening it names after a colon ("lamp: spot"), else "".

    Raises TerralabError with the nearest good words.
    """
    head, _, name = text.partition(":")
    words = " ".join(re.sub(r"[_\-.]+", " ", head.replace("\u00a0", " ")).lower().split())
    if words in SAID:
        return SAID[words], " ".join(name.split())
    if words in TWO_WAYS:
        raise TerralabError(f"{quoted(text)} can mean two things. {TWO_WAYS[words]}")
    near = advice(words, SAID).split(" Known:")[0]
    hint = f"{near} " if near.startswith("Did") else ""
    raise TerralabError(f"{quoted(text)} is not known. {hint}Write one of: {', '.join(WHATS)}.")


def amount_of(what: str, raw: object, unit: str = "") -> tuple[float | None, float | None]:
    """Return the amount of an entry in the unit of `WHATS`, and one of the last digit that was written.

    `raw` is a text such as "120 ml" or "13 lb 4 oz", or a number; `unit` the one that the heading of the column gives to plain
    numbers. Raises TerralabError.
    """
    wanted = WHATS[what]
    text = raw.strip().replace("\u00a0", " ") if isinstance(raw, str) else raw
    if not wanted:
        return None, None
    if what == "lamp" and isinstance(text, str) and text.lower() == "off":
        return 0.0, None
    if what == "lid covered" and isinstance(text, str) and text.lower() in ("open", "fully open", "off"):
        return 0.0, None
    if what == "lid covered" and isinstance(text, str) and text.lower() in ("closed", "shut", "fully covered"):
        return 1.0, None
    kind = KIND[wanted]
    if isinstance(text, str) and _bare(text):
        text = f"{text} {unit}".strip()
    elif unit and not isinstance(text, str):
        text = f"{plain(as_float(text))} {unit}"  # type: ignore[arg-type]
    value, step = _read(text, kind, wanted)
    low, high = LIMITS[wanted]
    if not low <= value <= high:
        hint = "Check the unit." if value > high else "An amount cannot be negative."
        raise TerralabError(f"how much: given {quoted(raw)}; allowed {plain(low)} to {plain(high)} {wanted}. {hint}")
    return value, step


def _bare(text: str) -> bool:
    return re.fullmatch(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)", text) is not None


def _read(text: object, kind: str, wanted: str) -> tuple[float, float | None]:
    """The amount and its last digit; two parts, such as "13 lb 4 oz", are added up."""
    parts = list(_PART.finditer(text)) if isinstance(text, str) else []
    if len(parts) == 2 and "".join(one[0] for one in parts) == text and kind in ("weight", "length", "volume"):
        (first, _), (second, step) = (_one(f"{one[1]} {one[2]}", kind, wanted) for one in parts)
        if not 0.0 <= second < first:
            raise TerralabError(
                f"how much: given {quoted(text)}, whose second part is not the smaller one. Write one number."
            )
        return first + second, step
    return _one(text, kind, wanted)


def _one(text: object, kind: str, wanted: str) -> tuple[float, float | None]:
    place = "how much"
    if kind == "volume" and isinstance(text, str) and (word := re.sub(r"[\d.,\s+-]", "", text).lower()):
        if word in ("oz", "ounce", "ounces"):
            raise TerralabError(
                f'{place}: given {quoted(text)}. Write "fl oz", or weigh it in g; an ounce alone can be either.'
            )
        found = _as_water(text)
        if found is not None:
            return found
    if kind in ("volume", "length", "weight") and (not isinstance(text, str) or _bare(text)):
        # nothing, too, needs its unit: "0,5 l" cut at its comma must not be read as nothing
        raise TerralabError(
            f'{place}: given {quoted(text)} without a unit. Write "{text} {wanted}" if that is the unit you mean; in a file with '
            "commas put a decimal comma between quotes."
        )
    try:
        value = parse(text, kind, wanted, field=place, bare=False)
        typed = written_as(text, kind)
    except DescriptionError as error:
        raise TerralabError(str(error)) from None
    return value, _step(text, kind, wanted, typed[1] if typed else wanted)


def _as_water(text: str) -> tuple[float, float | None] | None:
    """Water that was weighed: as many ml as g; None for what is no weight."""
    try:
        typed = written_as(text, "weight")
    except DescriptionError:
        return None
    if typed is None or typed[1] not in _WATER_WEIGHT:
        return None
    return convert(*_pair(typed), "g"), _step(text, "weight", "g", typed[1])


def _pair(typed: tuple[float, str]) -> tuple[float, str, str]:
    return typed[0], "weight", typed[1]


def _step(text: object, kind: str, wanted: str, unit: str) -> float | None:
    """One of the last digit written, in `wanted`."""
    found = _DIGITS.search(text) if isinstance(text, str) else None
    if found is None or unit not in QUANTITIES[kind]:
        return None
    return abs(convert(10.0 ** -len(found[1] or ""), kind, unit, wanted))
