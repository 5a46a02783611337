"""The units on the axes of a picture: metric, or those of the US where the box was described in them.

>>> axes = Scales(us=True)
>>> axes.word("cm"), axes.of("cm", 25.4), axes.of("°C", 20.0)
('in', 10.0, 68.0)
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from terralab.quantities import quantity, said, unit_word, us_unit
from terralab.units import convert


@dataclass(frozen=True)
class Scales:
    """How numbers and units stand on axes. `us`: those of the US; sentences beside them use `said(text, us)`."""

    us: bool = False

    def word(self, unit: str) -> str:
        """The unit that is written on the axis for a metric one, such as "in" for "cm"."""
        return self.said(unit_word(unit))

    def said(self, text: str) -> str:
        """A sentence with its marked quantities said in these units."""
        return said(text, self.us)

    def words(self, unit: str, form: str, *values: float) -> str:
        """One number or a range with its unit, rounded by the format `form`, such as "2.0 to 2.5 in"."""
        return self.said(quantity(unit, form, *values))

    def of(self, unit: str, values: Any) -> Any:
        """Numbers (one, or an array of any shape) given in the metric `unit`, as they stand on the axis."""
        if not self.us:
            return values
        kind, start, end = us_unit(unit)
        if not kind:
            return values
        # every one of these scales is a straight line, and two points tell it
        zero, one = (convert(x, kind, start, end.removeprefix("°")) for x in (0.0, 1.0))
        turned = zero + (one - zero) * np.asarray(values, float)
        return float(round(turned, 9)) if turned.ndim == 0 else turned
