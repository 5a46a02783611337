"""The glass and what stands in it: derived sizes, and one refusal for every way it cannot be."""

import dataclasses

import pytest

from terralab.describe import Cover, Dish, Drainage, Enclosure, Layer, Opening, Plants, Tube


def test_derived_sizes(glass):
    enclosure = glass(cover=Cover("leaf litter", 2), openings=(Opening("vent", "front", 40, 3, bottom_cm=22),))
    assert enclosure.floor_area_m2 == pytest.approx(0.27)
    assert enclosure.soil_depth_cm == 10
    assert enclosure.soil_top_cm == 16
    assert enclosure.surface_cm == 18
    assert enclosure.air_height_cm == 42
    assert enclosure.air_volume_m3 == pytest.approx(0.27 * 0.42)
    assert enclosure.free_space_ml == pytest.approx(2700 * 4)


def test_without_a_wall_opening_the_brim_is_the_limit(glass):
    assert glass().free_space_ml == pytest.approx(2700 * 44)


def test_values_are_cleaned(glass):
    enclosure = glass(layers=[Layer("  Fine COIR  mix", 10)])
    assert enclosure.layers == (Layer("fine coir mix", 10.0),)
    assert type(enclosure.width_cm) is float
    with pytest.raises(dataclasses.FrozenInstanceError):
        enclosure.width_cm = 3


@pytest.mark.parametrize(
    ("changes", "field", "part"),
    [
        ({"width_cm": -60}, "enclosure.width", "cannot be negative"),
        ({"width_cm": 60_000}, "enclosure.width", "Check the unit."),
        ({"width_cm": "60 cm"}, "enclosure.width", "In Python give a plain number"),
        ({"width_cm": float("nan")}, "enclosure.width", "not a usable number"),
        ({"width_cm": float("inf")}, "enclosure.width", "not a usable number"),
        ({"width_cm": 10**400}, "enclosure.width", "not a usable number"),
        ({"width_cm": True}, "enclosure.width", "not a number"),
        ({"width_cm": None}, "enclosure.width", "not a number"),
        ({"glass_mm": 0}, "enclosure.glass", "1 mm to 30 mm"),
        ({"mesh_barrier": "yes"}, "enclosure.mesh_barrier", "true or false"),
        ({"layers": ()}, "enclosure.layers", "given 0 of them"),
        ({"layers": "fine coir mix"}, "enclosure.layers", "a list of 1 to 10 parts"),
        ({"layers": (Layer("loam topsoil", 1),) * 11}, "enclosure.layers", "given 11 of them"),
        ({"layers": ({"material": "loam topsoil"},)}, "enclosure.layers.1", "a Layer"),
        ({"layers": (Layer("loam topsoil", 60),)}, "enclosure.height", "66 cm deep"),
        ({"cover": Cover("leaf litter", 30), "height_cm": 46.5}, "enclosure.height", "at least 47 cm"),
        ({"cover": "leaf litter"}, "enclosure.cover", "Build it with Cover(...)."),
        ({"drainage": None, "tube": Tube(3)}, "enclosure.tube", "without a drainage layer"),
        ({"drainage": Drainage("gravel 8-15 mm", 5, 15.5)}, "enclosure.drainage.level", "0 to 15 cm"),
        (
            {"tube": Tube(20), "width_cm": 30, "front_to_back_cm": 30, "openings": ()},
            "enclosure.tube.diameter",
            "a quarter",
        ),
        ({"openings": (Opening("lid", "lid", 61, 35),)}, "enclosure.openings.lid.width", "at most 60 cm"),
        ({"openings": (Opening("lid", "lid", 50, 46),)}, "enclosure.openings.lid.height", "at most 45 cm"),
        (
            {"openings": (Opening("vent", "left", 46, 3, 20),)},
            "enclosure.openings.vent.width",
            "at most 45 cm",
        ),
        (
            {"openings": (Opening("vent", "front", 40, 41, 20),)},
            "enclosure.openings.vent.height",
            "at most 40 cm",
        ),
        (
            {"openings": (Opening("vent", "front", 40, 3, 15),)},
            "enclosure.openings.vent.bottom",
            "at least 16 cm",
        ),
        (
            {"openings": (Opening("a", "lid", 50, 35), Opening("a", "front", 5, 3, 20))},
            "enclosure.openings.a.name",
            "twice",
        ),
        (
            {"openings": (Opening("a", "lid", 60, 40), Opening("b", "lid", 60, 40))},
            "enclosure.openings",
            "wall lid",
        ),
        ({"plants": Plants("ferns", 60_000)}, "enclosure.plants.leaf_area", "20 floors"),
        ({"dish": Dish(2600, 3)}, "enclosure.dish.area", "at most 2430 cm2"),
        ({"dish": Dish(100, 50), "height_cm": 40}, "enclosure.dish.depth", "height of the glass"),
        ({"background_area_cm2": 13_000}, "enclosure.background_area", "all four walls"),
        ({"leakage_ach": -1}, "enclosure.leakage", "0 per hour to 100 per hour"),
        ({"runoff_to_soil": 1.5}, "enclosure.runoff_to_soil", "given 150 %"),
        ({"air_speed_cm_s": 900}, "enclosure.air_speed", "0 cm/s to 200 cm/s"),
    ],
)
def test_an_enclosure_that_cannot_be_is_refused(changes, field, part, glass, refusal):
    error = refusal(glass, **changes)
    assert error.field == field
    assert part in str(error)
    assert error.given
    assert error.allowed


@pytest.mark.parametrize(
    ("build", "field", "part"),
    [
        (lambda: Layer("coconut", 10), "layer.material", 'Did you mean "fine coir mix"? Known: '),
        (lambda: Layer("fine coir mx", 10), "layer.material", 'Did you mean "fine coir mix"?'),
        (lambda: Layer(["fine coir mix"], 10), "layer.material", "a known soil mix"),
        (lambda: Layer("fine coir mix", 0), "layer.depth", "0.5 cm to 200 cm"),
        (lambda: Cover("litter", 2), "cover.material", 'Did you mean "leaf litter"?'),
        (lambda: Drainage("expanded clay", 6), "drainage.material", 'Did you mean "expanded clay 8-16 mm"?'),
        (lambda: Drainage("expanded clay 8-16 mm", 0.5), "drainage.depth", "at least 0.8 cm"),
        (lambda: Drainage("expanded clay 8-16 mm", 6, -1), "drainage.level", "0 cm to 300 cm"),
        (lambda: Opening("lid", "roof", 5, 5), "opening.wall", "Known: lid, front, back, left, right."),
        (lambda: Opening("lid", "lid", 5, 5, bottom_cm=2), "opening.bottom", "0 cm in the lid"),
        (lambda: Opening("lid", "lid", 5, 5, covered=1.2), "opening.covered", "given 120 %"),
        (lambda: Opening("", "lid", 5, 5), "opening.name", "empty text"),
        (lambda: Opening("a.b", "lid", 5, 5), "opening.name", "without a dot"),
        (lambda: Opening("2", "lid", 5, 5), "opening.name", "not a number"),
        (lambda: Opening("a\nb", "lid", 5, 5), "opening.name", "cannot be printed"),
        (lambda: Opening(3, "lid", 5, 5), "opening.name", "not a text"),
        (lambda: Plants("oak", 100), "plants.kind", "Known: "),
        (lambda: Plants("ferns", -100), "plants.leaf_area", "cannot be negative"),
    ],
)
def test_a_part_that_cannot_be_is_refused(build, field, part, refusal):
    error = refusal(build)
    assert error.field == field
    assert part in str(error)


def test_all_problems_are_listed_together(refusal):
    error = refusal(Enclosure, -60, 45, 9999, (), glass_mm=0)
    fields = [problem.field for problem in error.problems]
    assert fields == ["enclosure.width", "enclosure.height", "enclosure.layers", "enclosure.glass"]


def test_a_sealed_floor_without_drainage_is_fine(glass):
    assert glass(drainage=None, mesh_barrier=False).soil_top_cm == 10
