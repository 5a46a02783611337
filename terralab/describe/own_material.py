"""A material of one's own, from the weights of one filled pot: dry, soaked and drained."""

# entry() does nothing but call dataclasses.field(), which is the allowed call here.
from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import ClassVar

from terralab.describe.fields import Words, entry, listed, measure
from terralab.describe.part import Described
from terralab.errors import Problem, quoted
from terralab.materials.number import Entry
from terralab.materials.recipe import OwnName, is_recipe
from terralab.units import show

_SEPARATORS = re.compile(r"[,;:+%/]|\band\b|^\d", re.ASCII)


@dataclass(frozen=True, slots=True)
class MaterialName(Words):
    """A field for the name of a material: small letters, nothing by which parts of a mix are told apart."""

    def check(self, value: object, place: str) -> str:
        return " ".join(Words.check(self, value, place).split()).lower()


@dataclass(frozen=True, slots=True)
class OwnMaterial(Described):
    """A soil mix that its keeper has weighed, to be named in layers and in parts of a mix.

    `name` 1 to 40 characters, not that of a material of the tables; `pot_volume_ml` 20 to 50,000 ml, filled to the brim;
    `dry_g`, `soaked_g` and `drained_g` 1 to 100,000 g: the same filled pot after drying, in water up to its brim, and
    after dripping off; `pot_height_cm` 2 to 60 cm, of the filling; `like`: the mix of "substrates" that it resembles;
    `pot_g`: the empty pot (None: not weighed, so that the dry weight is that of `like`). Dry is below drained, and
    drained at most soaked.
    """

    word: ClassVar[str] = "material"

    name: str = entry(MaterialName(40, empty=False, label=True))
    pot_volume_ml: float = measure("volume", "ml", 20, 5e4)
    pot_height_cm: float = measure("length", "cm", 2, 60)
    dry_g: float = measure("weight", "g", 1, 1e5)
    soaked_g: float = measure("weight", "g", 1, 1e5)
    drained_g: float = measure("weight", "g", 1, 1e5)
    like: str = listed("soil mix", "substrates")
    pot_g: float | None = measure("weight", "g", 0.1, 1e5, None)

    @property
    def entry(self) -> Entry:
        """Its numbers, each with range, source and grade."""
        from terralab.materials.pot import weighed_entry  # late: the curves take time to load

        return weighed_entry(self._weighed())

    @property
    def as_material(self) -> OwnName:
        """What a layer keeps of it."""
        return OwnName(self.name, {self.name: self.entry})

    def _weighed(self):
        from terralab.materials.pot import Weighed  # late, as above

        g = 1e-3
        return Weighed(
            self.name, self.pot_volume_ml * 1e-6, self.pot_height_cm / 100.0, self.dry_g * g, self.soaked_g * g,
            self.drained_g * g, None if self.pot_g is None else self.pot_g * g, self.like,
        )  # fmt: skip

    def conflicts(self) -> Iterable[Problem]:
        wrong = [*self._wrong_name(), *self._wrong_order()]
        yield from wrong or self._impossible()

    def _wrong_name(self) -> Iterable[Problem]:
        from terralab import materials  # late: tables are read only when a description needs them

        held = next((table for table in materials.tables() if self.name in materials.names(table)), None)
        if held is not None:
            yield self.problem(
                "name",
                f"given {quoted(self.name)}, which the table {held} holds",
                "a name of its own",
                f"Rename it, for example {quoted('my ' + self.name[:30])}.",
            )
        elif is_recipe(self.name) or _SEPARATORS.search(self.name):
            yield self.problem(
                "name",
                f"given {quoted(self.name)}",
                'words without signs, without "and", and without a number in front',
                'Parts of a mix are told apart by these. Write for example "my coir".',
            )

    def _wrong_order(self) -> Iterable[Problem]:
        grams = lambda value: show(value, "weight", "g", 6)  # noqa: E731
        if self.drained_g <= self.dry_g:
            yield self.problem(
                "drained",
                f"given {grams(self.drained_g)}",
                f"more than dry, {grams(self.dry_g)}",
                "Weigh the same filled pot both times.",
            )
        if self.drained_g > self.soaked_g:
            yield self.problem(
                "drained",
                f"given {grams(self.drained_g)}",
                f"at most soaked, {grams(self.soaked_g)}",
                "Weigh it soaked before it drips, then again when nothing drips any more.",
            )
        if self.pot_g is not None and self.pot_g >= self.dry_g:
            yield self.problem(
                "pot",
                f"given {grams(self.pot_g)}",
                f"less than dry, {grams(self.dry_g)}",
                "pot is the empty pot; the other three are the filled pot.",
            )

    def _impossible(self) -> Iterable[Problem]:
        from terralab.materials import pot  # late, as above
        from terralab.materials.schema import schema

        weighed, spec = self._weighed(), schema("substrates", self.name)["theta_s"]
        full = pot.pore_space(weighed)
        percent = f"{100.0 * full:.0f} %"
        took = show(self.soaked_g - self.dry_g, "weight", "g", 6)
        if not spec.lowest <= full <= spec.highest or pot.too_full(weighed):
            yield self.problem(
                "soaked",
                f"given {show(self.soaked_g, 'weight', 'g', 6)}: {took} of water in {show(self.pot_volume_ml, 'volume', 'ml', 6)} "
                f"make a pore space of {percent}",
                f"a pore space of {100 * spec.lowest:g} % to {100 * spec.highest:g} %, with room left for what is solid",
                "Check the volume of the pot, and that it was the same pot each time.",
            )
            return
        least = pot.least_filled(weighed)
        if pot.filled_when_drained(weighed) < least:
            yield self.problem(
                "drained",
                f"given {show(self.drained_g, 'weight', 'g', 6)}, {100 * pot.filled_when_drained(weighed):.0f} % of what it held soaked",
                f"{100 * least:.0f} % or more for a material like {self.like}",
                "Choose a coarser like, or weigh again: it may have dried after it had dripped off.",
            )
