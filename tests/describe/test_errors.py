"""Errors carry field, given, allowed and hint, and find the nearest good name."""

import pickle

import pytest

from terralab.errors import DescriptionError, Problem, TerralabError, UnknownName, nearest, quoted

MIXES = ("peat-based mix", "fine coir mix", "coarse coir mix", "sphagnum moss")


@pytest.mark.parametrize(
    ("name", "found"),
    [
        ("fine coir mx", "fine coir mix"),
        ("FINE COIR MIX", "fine coir mix"),
        ("coir", "fine coir mix"),
        ("sphagnum", "sphagnum moss"),
        ("concrete", None),
        ("", None),
        (7, None),
        ("x" * 100_000, None),
    ],
)
def test_the_nearest_name(name, found):
    assert nearest(name, MIXES) == found


def test_an_unknown_name_lists_the_known_ones():
    error = UnknownName.among("soil mix", "fine coir mx", MIXES)
    assert str(error) == (
        'There is no soil mix called "fine coir mx". Did you mean "fine coir mix"? '
        "Known: peat-based mix, fine coir mix, coarse coir mix, sphagnum moss."
    )
    assert isinstance(error, TerralabError)
    assert isinstance(error, ValueError)


def test_one_problem_is_one_sentence_and_many_are_a_list():
    one = DescriptionError.of("enclosure.width", "given -3 cm", "5 cm to 500 cm", "Check the unit.")
    assert str(one) == "enclosure.width: given -3 cm. Allowed: 5 cm to 500 cm. Check the unit."
    assert (one.field, one.given, one.allowed, one.hint) == (
        "enclosure.width",
        "given -3 cm",
        "5 cm to 500 cm",
        "Check the unit.",
    )
    two = DescriptionError([*one.problems, Problem("room", "humidity", "given 140 %", "0 % to 100 %")])
    assert str(two).splitlines()[0] == "2 entries need a change:"
    assert "  - room.humidity: given 140 %. Allowed: 0 % to 100 %." in str(two)


def test_an_error_can_be_moved_and_sent_to_another_process():
    error = DescriptionError.of("layer.depth", "given -3 cm", "more").under("enclosure.layers.1")
    assert error.field == "enclosure.layers.1.depth"
    assert str(pickle.loads(pickle.dumps(error))) == str(error)


def test_an_error_without_a_problem_is_a_mistake():
    with pytest.raises(ValueError, match="at least one problem"):
        DescriptionError([])


def test_long_values_are_cut_in_messages():
    assert len(quoted("y" * 5000)) == 80
