"""The kinds of surfaces inside a box, and which way they face: plain numbers, since kernels compare them."""

LEAF, PANE, LID, DISH, BASKING, SHELL, COVER, SOIL = 0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0
UPRIGHT, UPWARDS, DOWNWARDS = 0.0, 1.0, 2.0
