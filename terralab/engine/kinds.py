"""The kinds of surfaces inside a box, which way they face, and what they are called: plain numbers, since kernels compare them."""

LEAF, PANE, LID, DISH, BASKING, SHELL, COVER, SOIL = 0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0
UPRIGHT, UPWARDS, DOWNWARDS = 0.0, 1.0, 2.0
FRONT, SIDES, BACK = 0.0, 1.0, 2.0  # walls of panes

_WALLS = {FRONT: "front", SIDES: "sides", BACK: "back"}
_NAMES = {
    LEAF: "leaves",
    LID: "lid",
    DISH: "dish",
    BASKING: "basking place",
    SHELL: "hide",
    COVER: "cover",
    SOIL: "soil",
}


def name_of(kind: float, wall: float) -> str:
    """Return what a surface is called, in whatever zone it lies: "front", "back", "lid", "leaves", "dish" and so on."""
    return _WALLS[wall] if kind == PANE else _NAMES[kind]
