"""An opening in a wall or in the lid: a vent, a slot between panes, a meshed lid; and the mesh that spans it.

>>> Opening("slot", "front", 60.0, 0.2, 40.0, mesh=False).area_cm2
12.0
"""

# entry() does nothing but call dataclasses.field(), which is the allowed call here.
from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import ClassVar

from terralab.describe.fields import Words, choice, entry, measure
from terralab.describe.part import Described
from terralab.describe.sizes import cm
from terralab.errors import DescriptionError, Problem, advice, quoted

_LIST = "`terralab material meshes`"


@dataclass(frozen=True, slots=True)
class MeshField:
    """A field that holds true, false, or the name of a kind of mesh of the table "meshes"."""

    needs = f"true, false, or a kind of mesh, as {_LIST} lists them"

    def check(self, value: object, place: str) -> bool | str:
        from terralab.materials import names  # late: tables are read only when a description needs them

        if isinstance(value, bool):
            return value
        word = " ".join(value.split()).lower() if isinstance(value, str) else value
        if isinstance(word, str) and word in names("meshes"):
            return word
        hint = advice(value, names("meshes"), _LIST)
        if word in ("true", "false"):
            hint = f"Write {word} without quotes."
        raise DescriptionError.of(place, f"given {quoted(value)}", "true, false, or a known kind of mesh", hint)

    def read(self, raw: object, place: str, bare: bool) -> bool | str:
        return self.check(raw, place)

    def write(self, value: bool | str) -> bool | str:
        return value


@dataclass(frozen=True, slots=True)
class Opening(Described):
    """A vent, gap or mesh area in one wall.

    `wall` is "lid", "front", "back", "left" or "right". `width_cm` and `height_cm` 0.1 to 500 cm; in the
    lid `height_cm` runs from front to back. `bottom_cm`, 0 to 300 cm, is its lower edge above the floor (0
    in the lid). A gap between sliding panes is an opening too, 0.2 cm wide and as high as the panes, without mesh.

    `mesh`: false where none spans it, the kind of mesh (table "meshes"), or true for one that nobody has named: then a
    wide guess stands for it. `open_share`, 0.05 to 0.96, the free part of the mesh, and `thread_mm`, 0.02 to 2 mm, the
    thickness of its threads, outrank those of the kind; both together need no kind. `covered`: the closed share of the
    opening, 0 to 1. `name` is used to point at it.
    """

    word: ClassVar[str] = "opening"

    name: str = entry(Words(60, empty=False, label=True))
    wall: str = choice("wall", "lid", "front", "back", "left", "right")
    width_cm: float = measure("length", "cm", 0.1, 500)
    height_cm: float = measure("length", "cm", 0.1, 500)
    bottom_cm: float = measure("length", "cm", 0, 300, 0.0)
    mesh: bool | str = entry(MeshField(), True)
    covered: float = measure("share", "share", 0, 1, 0.0)
    open_share: float | None = measure("share", "share", 0.05, 0.96, None)
    thread_mm: float | None = measure("length", "mm", 0.02, 2, None)

    def conflicts(self) -> Iterable[Problem]:
        if self.wall == "lid" and self.bottom_cm:
            yield self.problem(
                "bottom",
                f"given {cm(self.bottom_cm)} for an opening in the lid",
                "0 cm in the lid",
                "Leave this entry out.",
            )
        own = {"open_share": self.open_share, "thread": self.thread_mm}
        typed = [key for key, value in own.items() if value is not None]
        if not typed or (isinstance(self.mesh, str) and self.threads):
            return
        if self.mesh is False:
            yield self.problem(typed[0], "given without a mesh", "no such entry", "Say mesh = true, or leave it out.")
        elif isinstance(self.mesh, str):
            if self.thread_mm is not None:
                yield self.problem(
                    "thread",
                    f'given for mesh = "{self.mesh}", which has round holes in place of threads',
                    "no such entry for this kind",
                    "Leave it out; open_share may stay.",
                )
        elif len(typed) == 1:
            lacking = next(key for key in own if key not in typed)
            yield self.problem(
                lacking,
                f"nothing given beside {typed[0]}",
                "both open_share and thread, or a named mesh",
                f'Add {lacking}, or name the kind, as in mesh = "window screen": {_LIST} lists them.',
            )

    @property
    def threads(self) -> bool:
        """True for a woven mesh, or one that nobody named; false for a sheet with holes and where there is no mesh."""
        from terralab.materials import get  # late: tables are read only when a description needs them

        return self.mesh is True or (isinstance(self.mesh, str) and "thread_mm" in get("meshes", self.mesh))

    @property
    def mesh_is_known(self) -> bool:
        """True where the mesh has a kind or numbers of its own, so that its loss follows from a law and not from a guess."""
        return isinstance(self.mesh, str) or (self.mesh and self.open_share is not None and self.thread_mm is not None)

    @property
    def area_cm2(self) -> float:
        """Its whole area in cm2, the covered share included."""
        return self.width_cm * self.height_cm
