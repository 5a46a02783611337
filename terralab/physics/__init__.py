"""One physical idea a file: plain scalar functions, SI units in and out, formula and source in each docstring.

Nothing here knows what an enclosure is. The engine calls these very functions, compiled.

Kernels never raise. Given NaN, or a number outside the range its docstring states, a function gives NaN. The few in
`INSIDE` are asked millions of times by the engine and work on what has been checked: a row of numbers that
`terralab.soil.hydraulics` or the loader of the tables made, or what a neighbour computed. There NaN gives NaN, and no more is
promised; the checked door to them is `terralab.Soil`.
"""

#: Functions that trust what they are given but for NaN.
INSIDE = frozenset(
    {
        "conductivity.conductivity",
        "conductivity.conductivity_at",
        "conductivity.conductivity_scale",
        "conductivity.hydraulics",
        "conductivity.mualem_bracket",
        "conductivity.pores",
        "moist_air.lightness",
        "retention.log_of_one_and",
        "retention.saturation",
        "retention.saturation_and_slope",
        "retention.scaled_suction",
        "retention.water_at",
        "retention.water_content",
        "wick.wetness",
        "wick.wick_flow",
    }
)
