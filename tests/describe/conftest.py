"""Small parts that the tests of the descriptions share."""

import pytest

from terralab.describe import Box, Drainage, Enclosure, Layer, Opening, Room, RoomState, Routine, load
from terralab.errors import DescriptionError


@pytest.fixture(scope="session")
def fern():
    """The default demo."""
    return load("fern-hollow")


@pytest.fixture
def glass():
    """Build an enclosure, 60 x 45 x 60 cm with 10 cm of coir over 6 cm of clay, with some entries changed."""

    def build(**changes):
        given = {
            "width_cm": 60,
            "front_to_back_cm": 45,
            "height_cm": 60,
            "layers": (Layer("fine coir mix", 10),),
            "drainage": Drainage("expanded clay 8-16 mm", 6, 2),
            "openings": (Opening("lid", "lid", 50, 35, covered=0.5),),
        }
        return Enclosure(**(given | changes))

    return build


@pytest.fixture
def box(glass):
    """Build a box around that enclosure, with a routine."""

    def build(enclosure=None, **routine):
        return Box(
            name="Test",
            enclosure=enclosure or glass(),
            room=Room(RoomState(21, 45)),
            routine=Routine(**routine),
        )

    return build


@pytest.fixture
def refusal():
    """Call something that must be refused, and give the error."""

    def call(function, *args, **kwargs):
        with pytest.raises(DescriptionError) as caught:
            function(*args, **kwargs)
        return caught.value

    return call
