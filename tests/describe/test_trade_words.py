"""A keeper's own word leads to the entry that is meant, in few words, never to something merely spelt alike."""

import re

import pytest

import terralab as tl
from terralab import __main__ as cli
from terralab import materials
from terralab.describe.places import places
from terralab.errors import HANDFUL, DescriptionError, closest, suggestion
from terralab.trade_words import TRADE_WORDS, in_our_words

MATERIALS = [name for table in materials.tables() for name in materials.names(table)]
GOOD = tl.dumps(tl.load("fern-hollow"))


def test_every_word_of_the_trade_leads_to_a_name_there_is():
    entries = {*places(), "kind", "material", "timer", "control", "power", "flow", "width", "height", "amount"}
    entries |= {"front_to_back"}  # of the glass and of a hide
    entries |= {"par_at_plants", "lux_at_plants"}  # of a lamp and of the window
    for word, names in TRADE_WORDS.items():
        assert word == word.lower().strip()
        assert set(names) <= {*MATERIALS, *entries}, word


@pytest.mark.parametrize(
    ("said", "table", "found"),
    [
        ("tree frogs", "groups", "arboreal temperate and subtropical frogs"),
        ("Tree Frog", "groups", "arboreal temperate and subtropical frogs"),
        ("poison dart frogs", "groups", "rainforest-floor small frogs"),
        ("crested geckos", "groups", "humid-forest geckos"),
        ("bearded dragons", "groups", "arid lizards"),
        ("springtails", "groups", "clean-up crew"),
        ("moss", "groups", "mosses"),
        ("ABG mix", "substrates", "bark-rich mix"),
        ("coco coir", "substrates", "fine coir mix"),
        ("LECA", "aggregates", "expanded clay 8-16 mm"),
        ("oak leaves", "covers", "leaf litter"),
        ("halogen", "lamps", "incandescent or halogen spot"),
        ("T5", "lamps", "fluorescent tube"),
        ("heat mats", "heaters", "heat mat under floor"),
        ("cork", "defaults", "wood buffer"),
        ("fly screens", "meshes", "window screen"),
        ("hardware cloth", "meshes", "coarse wire mesh"),
        ("gauze", "meshes", "fine insect mesh"),
        ("cork", "backgrounds", "cork board"),
        ("Styrofoam", "backgrounds", "foam board"),
        ("slate", "basking", "stone slab"),
    ],
)
def test_words_of_the_trade_find_our_names(said, table, found):
    assert closest(said, materials.names(table))[0] == found


@pytest.mark.parametrize(("said", "never"), [("tree frogs", "sheet moss"), ("cork", "wick"), ("concrete", "ferns")])
def test_what_is_merely_spelt_alike_is_not_offered(said, never):
    assert never not in suggestion(said, MATERIALS)
    assert never not in closest(said, MATERIALS)


@pytest.mark.parametrize("name", ["cork", "tree frogs", "tree frogz", "gravel", "xyzzy"])
def test_an_unknown_material_is_answered_in_a_few_names_and_the_command_that_lists_them(name, capsys):
    assert cli.main(["material", *name.split()]) == cli.REFUSED
    said = " ".join(capsys.readouterr().err.split())
    assert "`terralab material` lists all" in said
    named = [one for one in set(MATERIALS) if len(one) > 8 and one not in materials.tables() and f'"{one}"' in said]
    assert len(named) <= HANDFUL
    assert len(said) < 500


@pytest.mark.parametrize("table", materials.tables())
def test_no_error_lists_more_than_a_handful_of_a_long_table(table):
    with pytest.raises(tl.UnknownName) as caught:
        materials.get(table, "nothing of the kind")
    shown = [name for name in materials.names(table) if name in str(caught.value).partition("Known: ")[2].split("`")[0]]
    if len(materials.names(table)) > HANDFUL + 2:
        assert "more" in str(caught.value)
        assert f"`terralab material {table}` lists them all." in str(caught.value)
        # one name may be part of another, as "sand" is of "sandy loam"
        assert str(caught.value).partition("Known: ")[2].count(",") < HANDFUL
    else:
        assert len(shown) == len(materials.names(table))


def wrong(old: str, new: str) -> DescriptionError:
    assert old in GOOD
    with pytest.raises(DescriptionError) as caught:
        tl.loads(GOOD.replace(old, new, 1))
    return caught.value


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("group = ", "animals = ", 'Did you mean "group"? `terralab material groups` lists them.'),
        ("[enclosure]", '[enclosure]\nanimals = "frogs"', "the entry group at the top of the file"),
        ("[[routine.lamps]]", "[[routine.foggers]]", 'Did you mean "mists"?'),
        ("[[routine.lamps]]", "[[routine.lights]]", 'Did you mean "lamps"?'),
        ("[[enclosure.layers]]", "[[enclosure.substrate]]", 'Did you mean "layers"?'),
        ("[enclosure]", '[enclosure]\ncork = "4000 cm2"', 'Did you mean "background_area"?'),
        ("[enclosure]", '[enclosure]\nlamps = "24 W"', "[[routine.lamps]]"),
        ("[enclosure]", '[enclosure]\ncave = "1 l"', 'Did you mean "hide"?'),
        ("[enclosure]", '[enclosure]\nbasking_spot = "35 C"', 'Did you mean "basking"?'),
        ("[enclosure]", '[enclosure]\ndraught = "calm"', "Write it as the entry draught below [room]."),
        ("[room]", '[room]\ndraft = "calm"', 'Did you mean "draught"?'),
        ("name = ", 'covered = "50 %"\nname = ', "below [[enclosure.openings]]"),
    ],
)
def test_an_entry_by_another_word_or_in_another_part_is_led_to_its_place(old, new, said):
    error = wrong(old, new)
    assert any(said in str(problem) for problem in error.problems), str(error)
    stray = next(problem for problem in error.problems if "not known here" in problem.given)
    assert stray.allowed.count(",") >= 4  # what may stand there is listed


@pytest.mark.parametrize("part", ["mists", "lamps", "heaters", "fans"])
def test_a_missing_timer_is_asked_for_as_the_line_that_works(part):
    """What the hint says to add is added, and then the file is right."""
    device = {
        "mists": 'flow = "1 ml/min"',
        "lamps": 'kind = "led bar inside"\npower = "5 W"',
        "heaters": 'kind = "heat panel"\npower = "5 W"',
        "fans": 'mode = "circulate"\nair_speed = "10 cm/s"',
    }[part]
    text = f'{GOOD}\n[[routine.{part}]]\nname = "new one"\n{device}\n'
    with pytest.raises(DescriptionError) as caught:
        tl.loads(text)
    assert len(caught.value.problems) == 1
    assert "[routine" not in caught.value.hint
    line = re.search("`(.+)`", caught.value.hint)[1]
    assert len(getattr(tl.loads(f"{text}{line}\n").routine, part)) >= 1


def test_plurals_are_the_same_word():
    assert in_our_words("tree frogs") == in_our_words("tree frog") != ()
    assert in_our_words("") == ()


def test_a_part_goes_before_an_entry_of_the_same_name():
    """`cover` is litter on the soil and the share below plants: at the wrong place it is taken for the litter."""
    assert places()["cover"] == "Write it as a part that begins with [enclosure.cover]."
    assert places()["rock"] == "Write it as the entry rock below [enclosure.ground]."
