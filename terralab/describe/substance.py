"""What a layer of soil may be made of: a mix of the tables, parts of several, or a material of one's own."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import ClassVar

from terralab.errors import DescriptionError, TerralabError, advice, quoted
from terralab.materials.number import Entry
from terralab.materials.recipe import OwnName, is_recipe, recipe, written
from terralab.trade_words import ONCE

_LISTS = "`terralab material substrates`"
_OWN: ContextVar[Mapping[str, Entry | None]] = ContextVar("own materials of the box that is being read")
_NONE: Mapping[str, Entry | None] = {}


@contextmanager
def own_materials(entries: Mapping[str, Entry | None]) -> Iterator[None]:
    """While this lasts, layers that are read may name these; None stands for one whose own entries are at fault."""
    token = _OWN.set(entries)
    try:
        yield
    finally:
        _OWN.reset(token)


def renewed(material: str, entries: Mapping[str, Entry]) -> str:
    """The same name with the numbers that `entries` holds for its own materials."""
    if not isinstance(material, OwnName):
        return material
    return OwnName(str(material), {name: entries.get(name, held) for name, held in material.entries.items()})


@dataclass(frozen=True, slots=True)
class SoilMix:
    """A field that names what a layer is made of: it keeps a recipe in its one written form."""

    needs: ClassVar[str] = f"a known soil mix, as {_LISTS} lists them, or parts of several"

    def check(self, value: object, place: str) -> str:
        from terralab.materials import names  # late, so that describing a box does not read tables it never names

        if hasattr(value, "as_material"):  # a material of one's own, built in Python
            value = value.as_material
        own = {**_OWN.get(_NONE), **(value.entries if isinstance(value, OwnName) else {})}
        known = (*names("substrates"), *own)
        word = " ".join(value.split()).lower() if isinstance(value, str) else value
        shares = [word]
        if isinstance(word, str) and word not in known and is_recipe(word):
            try:
                parts = recipe(word)
            except TerralabError as error:
                raise DescriptionError.of(
                    place, f"given {quoted(value)}, which cannot be mixed", self.needs, str(error)
                ) from None
            word, shares = written(parts), list(parts)
        for name in shares:
            if not isinstance(name, str) or name not in known:
                given = f"given {quoted(value)}" if name == word else f"given {quoted(name)} as a part of a mix"
                hint = (ONCE.get(name) if isinstance(name, str) else None) or advice(name, known, _LISTS)
                raise DescriptionError.of(place, given, "a known soil mix", hint)
        mine = {name: own[name] for name in shares if own.get(name) is not None}
        if any(name in own and own[name] is None for name in shares):
            return names("substrates")[0]  # stands in: the box is refused for its own material
        return OwnName(word, mine) if mine else word

    def read(self, raw: object, place: str, bare: bool) -> str:
        return self.check(raw, place)

    def write(self, value: str) -> str:
        return str(value)
