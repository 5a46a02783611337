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
    "salt_points": "The air over a salt solution is not computed. Keepers use it to check a hygrometer.",
}
