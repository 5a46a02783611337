"""Rows of data/*.csv that the model cannot represent, each with the reason. This is the one place."""

LEFT_OUT = {
    "sorptivity_exact_class": "It prescribes how water diffuses in a soil of a form that terralab does not have. "
    "Soaking without gravity is checked by `sorptivity_dry_soil`, a prescribed diffusion by `stage_one_end`.",
    "rosetta3_ssc": "terralab does not guess a soil from its sand, silt and clay. It ships measured mixes and "
    "published means of classes.",
    "ross_bound": "A sloping contact leads water sideways. The soil here has no left and right.",
    "lee_pielke": "No resistance of the soil's surface is used. Thin top cells carry the drying; "
    "`stage_two_loam` and `dry_crust` check that.",
    "van_de_griend_owe": "As `lee_pielke`.",
    "side_by_side": "Zones of air lie one above the other here. Side by side they would differ by no more than 1.3 K under "
    "10 W: a warm and a cool end are surfaces.",
    "palm_hot": "Heat, dryness and days in a sealed wet pot cannot be told apart. Dryness counts to 2.5 kPa only.",
    "palm_dryhot": "As `palm_hot`.",
    "palm_co2_800": "Carbon dioxide does not move the leaves' pores here.",
    "palm_am_pm": "A leaf has no memory of the day here.",
    "palm_leaf_minus_air": "It needs the speed of the chamber's air, which the row does not hold. The wet leaf in the tunnel "
    "is checked by its balance of heat.",
    "gmin_coleus": "A leaf cut off and drying; no kind of the table of plants is like it. Living leaves in the dark leak "
    "eight times as much (`gdark_vs_gmin`).",
    "gmin_alocasia": "One side of the leaf with its pores sealed: the skin alone.",
    "gdark_vs_gmin": "Means over all kinds of plants, which no kind of the table stands for.",
    "office_plants": "Leaf area, light and room of those plants are not printed.",
    "two_leaf_error": "Growth is not computed. Two classes of leaves are checked against the sum over all depths in "
    "`tests/physics/test_leaves_and_light.py`.",
    "no_sun_shade_error": "As `two_leaf_error`.",
    "feddes_wet": "Limits by suction. Roots here go by air, which the source itself asks for.",
    "pot_suction": "A drained column at rest is checked by the rows of `retention_and_column_equilibrium.csv`.",
    "moss_store": "The water that moss holds stands in the tables of mixes and covers, from other sources.",
    "free_water": "A mean deviation over data that are not printed. `free_water_numbers` checks the relation itself.",
    "showcase_leak": "Leakage is not computed: it is typed, measured, or taken from its default.",
    "showcase_class": "As `showcase_leak`.",
    "vessel_leak": "As `showcase_leak`.",
    "cage_filter_top": "Number and size of the animals in the cages are not printed, and animals give off no vapour here.",
    "salt_points": "The air over a salt solution is not computed. Keepers use it to check a hygrometer.",
}
