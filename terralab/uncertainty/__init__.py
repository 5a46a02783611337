"""What nobody can read off a box: which numbers are uncertain, how far, and a fair sample of what they may be."""

from terralab.uncertainty.inputs import Unknown, asked, unknowns
from terralab.uncertainty.sampling import Ensemble, ensemble
from terralab.uncertainty.spread import middle_range, quantile

__all__ = ["Ensemble", "Unknown", "asked", "ensemble", "middle_range", "quantile", "unknowns"]
