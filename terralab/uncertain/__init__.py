"""What nobody can read off a box: which numbers are uncertain, how far, and a fair sample of what they may be."""

from terralab.uncertain.members import Ensemble, ensemble
from terralab.uncertain.spread import middle_range, quantile
from terralab.uncertain.unknowns import Unknown, asked, unknowns

__all__ = ["Ensemble", "Unknown", "asked", "ensemble", "middle_range", "quantile", "unknowns"]
