"""Numbers that may not exist, said in one way: a dry-out time where nothing dries, an end of a range no draw reached.

Everything that may be None goes through here before it is formatted, in words, tables and pictures alike.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

NOT_SPRAYED, NOT_DRY = "nothing is sprayed", "not dry before the next spray"


def known(value: float | None) -> bool:
    """Whether there is such a number: neither None nor NaN.

    >>> known(0.0), known(None), known(float("nan"))
    (True, False, False)
    """
    return value is not None and not math.isnan(value)


def said(value: float | None, form: str = ".1f", missing: str = "-") -> str:
    """The number in the format `form`, or the word for what is missing.

    >>> said(2.345), said(None), said(None, missing="not known")
    ('2.3', '-', 'not known')
    """
    return format(value, form) if known(value) else missing


def between(span: Sequence[float | None] | None, form: str = ".0f", missing: str = "") -> str:
    """The outer ends of (low, ..., high) as "low to high"; `missing` where there is no such range.

    >>> between((1.2, 2.0, 3.9)), between((None, None, None), missing="not known")
    ('1 to 4', 'not known')
    """
    if span is None or not (known(span[0]) and known(span[-1])):
        return missing
    return f"{span[0]:{form}} to {span[-1]:{form}}"


def dry_cell(seen: Mapping[str, Any], never: str = "wet") -> str:
    """The dry-out time of a fan schedule or lid for a table: "-" where nothing is sprayed, `never` where it stays wet."""
    return "-" if not seen["sprays"] else said(seen["dry_out_h"], missing=never)


def dry_words(seen: Mapping[str, Any]) -> str:
    """The same as part of a sentence: "dry 1.5 h after a spray", "not dry before the next spray", "nothing is sprayed"."""
    if not seen["sprays"]:
        return NOT_SPRAYED
    return f"dry {seen['dry_out_h']:.1f} h after a spray" if known(seen["dry_out_h"]) else NOT_DRY
