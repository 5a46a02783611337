"""Where an entry belongs that stands in the wrong part of a file, or goes by a word of the trade."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import fields
from functools import cache

from terralab.describe.fields import Part, Parts, key_of
from terralab.errors import quoted
from terralab.trade_words import in_our_words

_PART = "Write it as a part that begins with"
_LISTED = {"group": " `terralab material groups` lists them."}


def where_it_belongs(key: str, known: Collection[str]) -> str:
    """A sentence that leads from the unknown entry `key`, in a part with the entries `known`, to the right one.

    Empty where the word means nothing elsewhere either.
    """
    word = " ".join(key.split()).lower()
    meant = (word.replace(" ", "_"), *in_our_words(word))
    here = next((name for name in meant if name in known), None)
    if here is not None:
        return f"Did you mean {quoted(here)}?{_LISTED.get(here, '') if here != word else ''}"
    there = next((name for name in meant if name in places()), None)
    if there is None:
        return ""
    return f"{places()[there]}{_LISTED.get(there, '')}"


@cache
def places() -> dict[str, str]:
    """Where each entry that stands in one place only is written, in a sentence, by its word in the file."""
    from terralab.describe.box import Box  # late: the box holds every part, and each part asks here

    found: dict[str, list[str]] = {}
    _collect(Box, "", False, found)
    # "name" or "width" belong to many parts, so they lead nowhere; a part goes before an entry of its name ("cover")
    parts = {key: [one for one in where if one.startswith(_PART)] for key, where in found.items()}
    return {key: (parts[key] or where)[0] for key, where in found.items() if 1 in (len(where), len(parts[key]))}


def _collect(cls: type, place: str, many: bool, found: dict[str, list[str]]) -> None:
    for field in fields(cls):
        kind = field.metadata.get("kind")
        if kind is None:
            continue
        # the entries of the room now stand in the room itself
        key = key_of(field)
        inner = f"{place}.{key}" if place else key
        part = kind.cls if isinstance(kind, (Part, Parts)) and hasattr(kind.cls, "__dataclass_fields__") else None
        if getattr(part, "computed", False):
            continue  # nobody writes that by hand
        if part is None or hasattr(part, "line"):
            above = f"[[{place}]]" if many else f"[{place}]"
            where = f"below {above}" if place else "at the top of the file, before the first [ ]"
            found.setdefault(key, []).append(f"Write it as the entry {key} {where}.")
        elif isinstance(kind, Parts):
            found.setdefault(key, []).append(f"{_PART} [[{inner}]].")
            _collect(part, inner, True, found)
        elif key in ("now", "winter", "summer"):
            if key == "now":
                _collect(part, place, False, found)
        else:
            found.setdefault(key, []).append(f"{_PART} [{inner}].")
            _collect(part, inner, many, found)
