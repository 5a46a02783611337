"""Write a description's table as TOML text.

Written here, and not with a library, because a keeper edits the file by hand: parts come in a fixed order
with a comment above each, short parts stay on one line, and notes keep their lines. Reading is Python's own
`tomllib`.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping

from terralab.units import plain

HEADER = """\
# A terralab box. Change the values between the quotes and keep the words on the left.
# Every measure has its unit: "60 cm" or "24 in", "22 C" or "72 F", "500 ml", "2 l" or "17 fl oz" ("gal" is
# the US gallon), "2 m3/h" or "1.2 cfm", "70 %". Times are "08:00" or "8:00 am". Plain numbers in a list of
# values are C or %. A timer is a list such as ["08:00-20:00", "5 min every 1 h", "not 13:00-14:00"]. It may hang on
# another device, ['from 1 h before "plant light" until 1 h after']; timer_winter and timer_summer are of a season.
"""

_COMMENTS = {
    "band": "The humidity you want, in place of the animal group's.",
    "start": 'Soil at the start: "drained-moist", "dry" or "wet"; and what was measured.',
    "start.readings": "A probe in the soil: suction or water (share of the volume), at a depth or in a layer.",
    "enclosure": "The glass, inside sizes.",
    "materials": "A soil mix you weighed: the same filled pot dry, soaked and drained; like is the mix it resembles.",
    "enclosure.layers": "Soil, from the top down.",
    "enclosure.cover": "What lies on the soil.",
    "enclosure.drainage": "The coarse layer under the mesh; level is the water in it at the start.",
    "enclosure.openings": "An opening; in the lid its height runs from front to back. mesh is true, false, or its kind.",
    "enclosure.background": "A board inside or behind the glass; walls are back, left, right.",
    "enclosure.hide": 'A place to hide; its floor is "soil", "damp moss" or "dry".',
    "enclosure.basking": "A place under a lamp; measured is what a thermometer there shows.",
    "enclosure.plants": "All plants together: leaf_area counts one side of every leaf; or cover, the share of floor below them.",
    "enclosure.ground": "Shares of the floor that are not planted soil; bare_floor has no soil at all.",
    "enclosure.dish": 'A dish or pond of open water; refill is "1 d" (every day), more days, or "never".',
    "room": 'The room now, and in the seasons; its draught may be "calm", "usual", "draughty" or a speed.',
    "room.window": 'The window; faces is "north", "east", "south" or "west". Without it no daylight is counted.',
    "room.sun": 'Sun straight on the box. Dangerous: a closed glass overheats within minutes. wall is "front", "lid" ...',
    "routine.pours": "Water poured.",
    "routine.sprays": "Water sprayed by hand.",
    "routine.mists": 'A mister or fogger; flow of all its nozzles. onto = "soil" is a drip; tank is what feeds it.',
    "routine.lamps": "A lamp; power is electrical. par_at_plants or lux_at_plants is what a meter shows there.",
    "routine.heaters": "A heater; power is electrical.",
    "routine.fans": 'A fan; "exchange" swaps air with the room, "circulate" only moves it.',
    "routine.siphons": "Water drawn off below.",
    "routine.doors": "A door opened to feed or spray; open is how long.",
    "learned": "Computed from a log of this box, from here to the end of the file. Change nothing here; take all of it out to forget it.",
}
_INLINE = ("control", "temperature", "humidity", "timer", "timer_winter", "timer_summer")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+", re.ASCII)


def to_toml(table: Mapping[str, object]) -> str:
    """Return the whole file as text, with its heading. `table` is what `Box.write` gives."""
    lines = [HEADER.rstrip()]
    _write(table, "", lines)
    return "\n".join(lines) + "\n"


def _write(table: Mapping[str, object], place: str, lines: list[str]) -> None:
    """Write plain entries first: in TOML they would otherwise fall into the part above them."""
    parts = {key: value for key, value in table.items() if _is_part(key, value)}
    lines += [f"{_key(key)} = {_value(value)}" for key, value in table.items() if key not in parts]
    for key, value in parts.items():
        name = f"{place}.{key}" if place else key
        for part, brackets in ((value, "[{}]"),) if isinstance(value, dict) else [(item, "[[{}]]") for item in value]:
            plain_entries = any(not _is_part(k, v) for k, v in part.items())
            if plain_entries or not part:
                lines.append("")
                if name in _COMMENTS and not any(line.endswith(brackets.format(name)) for line in lines):
                    lines.append(f"# {_COMMENTS[name]}")
                lines.append(brackets.format(name))
            _write(part, name, lines)


def _is_part(key: str, value: object) -> bool:
    if isinstance(value, dict):
        return key not in _INLINE
    return isinstance(value, list) and bool(value) and isinstance(value[0], dict)


def _key(key: str) -> str:
    return key if _BARE_KEY.fullmatch(key) else _text(key)


def _value(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{_key(key)} = {_value(item)}" for key, item in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(_value(item) for item in value) + "]"
    # A float that looks whole is fine as a TOML integer: terralab reads both alike.
    return plain(value)


def _text(text: str) -> str:
    # The escapes of JSON are escapes of TOML too. Signs that only TOML forbids never get into a description.
    if '"' in text and "'" not in text and "\n" not in text and "\\" not in text:
        return f"'{text}'"  # a name in quotes inside a text stays readable
    if "\n" not in text:
        return json.dumps(text, ensure_ascii=False)
    return '"""\n' + "\n".join(json.dumps(line, ensure_ascii=False)[1:-1] for line in text.split("\n")) + '"""'
