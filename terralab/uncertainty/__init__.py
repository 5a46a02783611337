"""What nobody can read off a box: which numbers are uncertain, how far, and a fair sample of what they may be."""

from terralab.uncertainty.inputs import UncertainInput, asked, uncertain_inputs
from terralab.uncertainty.sampling import Ensemble, ensemble
from terralab.uncertainty.spread import middle_range, quantile

__all__ = ["Ensemble", "UncertainInput", "asked", "ensemble", "middle_range", "quantile", "uncertain_inputs"]
