"""The kinds of surfaces inside a box, which way they face, and what they are called: plain numbers, since kernels compare them."""

LEAF, PANE, LID, DISH, BASKING, COVER, SOIL = 0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0
SHELL, MOSS, HIDDEN_SOIL = (
    7.0,
    8.0,
    9.0,
)  # of a hide: its walls and roof, damp moss on its floor, or the box's own soil there
# on the ground beside the soil: rock and other dry things, a carpet of moss, the bare floor of the glass; and moss on wood
STONE, CARPET, BARE, HANGING = 10.0, 11.0, 12.0, 13.0
PATCHES = (STONE, CARPET, BARE, HANGING)
UPRIGHT, UPWARDS, DOWNWARDS = 0.0, 1.0, 2.0
FRONT, SIDES, BACK = 0.0, 1.0, 2.0  # walls of panes

_WALLS = {FRONT: "front", SIDES: "sides", BACK: "back"}
_NAMES = {
    LEAF: "leaves",
    LID: "lid",
    DISH: "dish",
    BASKING: "basking place",
    COVER: "cover",
    SOIL: "soil",
    SHELL: "hide walls",
    MOSS: "hide moss",
    HIDDEN_SOIL: "hide soil",
    STONE: "rock",
    CARPET: "moss",
    BARE: "bare floor",
    HANGING: "moss on wood",
}


def name_of(kind: float, wall: float) -> str:
    """Return what a surface is called, in whatever zone it lies: "front", "back", "lid", "leaves", "dish" and so on."""
    return _WALLS[wall] if kind == PANE else _NAMES[kind]
