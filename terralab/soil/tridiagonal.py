"""Equations in a chain: each row knows its neighbours only, as cells of a soil column and its layers of warmth do."""

from terralab.jit import inner


@inner
def thomas(lower, diagonal, upper, right, x, rows):
    """Solve lower[i] x[i-1] + diagonal[i] x[i] + upper[i] x[i+1] = right[i] for the first `rows` of x.

    Elimination downwards, then back upwards (the method named after L. H. Thomas, from memory). `diagonal` and `right` are used up.
    """
    for i in range(1, rows):
        factor = lower[i] / diagonal[i - 1]
        diagonal[i] -= factor * upper[i - 1]
        right[i] -= factor * right[i - 1]
    x[rows - 1] = right[rows - 1] / diagonal[rows - 1]
    for i in range(rows - 2, -1, -1):
        x[i] = (right[i] - upper[i] * x[i + 1]) / diagonal[i]
