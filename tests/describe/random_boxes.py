"""Random boxes that are right, for hypothesis."""

from dataclasses import replace

from hypothesis import strategies as st

from terralab import materials
from terralab.describe import (
    Background,
    Basking,
    Box,
    Control,
    Cover,
    Dish,
    Drainage,
    Enclosure,
    Fan,
    Ground,
    Heater,
    Hide,
    HumidityTarget,
    Lamp,
    Layer,
    Mist,
    Opening,
    OwnMaterial,
    Plants,
    Pour,
    Reading,
    Room,
    RoomState,
    Routine,
    Signal,
    Siphon,
    Spray,
    Start,
    Sun,
    Timer,
    Tube,
    Window,
)
from terralab.describe.substance import SoilMix
from terralab.errors import DescriptionError
from terralab.materials.recipe import OwnName
from terralab.units import clock

NAMES = st.text(
    st.characters(codec="utf-8", categories=("L", "N", "P", "S"), exclude_characters="."),
    min_size=1,
    max_size=12,
)
LABELS = NAMES.filter(lambda name: not name.isdigit())
NOTES = st.lists(
    st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "S", "Zs")), max_size=30), max_size=3
).map(lambda lines: "\n".join(lines).strip())
SHARES = st.floats(0, 1)
MAYBE_SHARES = st.none() | SHARES
CLOCKS = st.integers(0, 1439).map(lambda minute: clock(60 * minute))
SECONDS = st.integers(0, 86_399)
DAYS = st.integers(1, 366)


def named(table):
    """Names out of a material table."""
    return st.sampled_from(materials.names(table))


def numbers(lowest, highest):
    """Floats of the range with all their digits."""
    return st.floats(lowest, highest, allow_subnormal=False)


@st.composite
def timers(draw):
    """Timers of one to three entries."""
    spans = st.tuples(CLOCKS, CLOCKS).filter(lambda span: span[0] != span[1]).map("-".join)
    cycles = st.tuples(st.integers(1, 30), st.integers(30, 600)).map(lambda pair: f"{pair[0]} min every {pair[1]} min")
    entries = draw(st.lists(spans | cycles | st.sampled_from(["always", "never"]), min_size=1, max_size=2))
    return Timer(entries + draw(st.lists(spans.map("not {}".format), max_size=1)))


@st.composite
def logs(draw):
    """Logs of a device, some repeated, the others longer than any run of these boxes."""
    hours = sorted(draw(st.sets(st.integers(1, 200), min_size=1, max_size=4)))
    loads = draw(st.lists(SHARES, min_size=len(hours) + 2, max_size=len(hours) + 2))
    return Timer.logged([0, *hours, 300], loads, draw(st.booleans()))


@st.composite
def timings(draw, others):
    """The timers of a device beside these others: of all seasons, hanging on one or not, or a log."""
    label = draw(st.sampled_from(others)) if others else ""
    hung = []
    if others and "'" not in label and '"' not in label:
        hung = [
            f'with "{label}"',
            f"from 1 h before '{label}' until 30 min after",
            f'"{label}" off to 2 h after "{label}" off',
        ]
    kinds = timers() | logs() if not hung else timers() | st.sampled_from(hung).map(Timer)
    season = st.none() | timers()
    return {"timer": draw(kinds), "timer_winter": draw(season), "timer_summer": draw(season)}


CONTROLS = st.none() | st.one_of(
    st.builds(
        Control,
        st.just("temperature"),
        st.sampled_from(["below", "above"]),
        numbers(-10, 60),
        numbers(0.1, 20),
        numbers(0, 1440),
    ),
    st.builds(
        Control,
        st.just("humidity"),
        st.sampled_from(["below", "above"]),
        numbers(2, 100),
        numbers(0.5, 50),
        numbers(0, 1440),
    ),
)


@st.composite
def signals(draw, lowest, highest):
    """Signals of all three forms."""
    values = numbers(lowest, highest)
    form = draw(st.sampled_from(["steady", "day", "series"]))
    if form == "steady":
        return Signal.constant(draw(values))
    if form == "day":
        start, length = draw(st.integers(0, 1439)), draw(st.integers(60, 1380))
        end = (start + length) % 1440
        return Signal.day_night(draw(values), draw(values), clock(60 * start), clock(60 * end))
    hours = sorted(draw(st.sets(st.floats(0, 1000), min_size=2, max_size=6)))
    held = draw(st.lists(values, min_size=len(hours), max_size=len(hours)))
    held[-1] = held[0]
    if hours[-1] - hours[0] >= 24 and draw(st.booleans()):
        return Signal.series(hours, held, repeat=True)
    # one that is not repeated has to last as long as any run of these boxes
    late = sorted({300.0 + hour for hour in hours})
    return Signal.series([0.0, *late], [held[0], *held[: len(late)]])


STATES = st.builds(RoomState, signals(-10, 60), signals(2, 100))


OWN_SHARE, OWN_THREAD = numbers(0.05, 0.95), numbers(0.02, 2)
MESHES = st.one_of(
    st.fixed_dictionaries({"mesh": st.booleans()}),
    st.fixed_dictionaries({"mesh": st.just(True), "open_share": OWN_SHARE, "thread_mm": OWN_THREAD}),
    st.fixed_dictionaries({"mesh": named("meshes")}, optional={"open_share": OWN_SHARE}),
    st.fixed_dictionaries({"mesh": st.just("window screen")}, optional={"thread_mm": OWN_THREAD}),
)
DRAUGHTS = st.none() | st.sampled_from(["calm", "usual", "draughty"]) | numbers(0, 200)
BACKGROUNDS = st.builds(
    Background,
    named("backgrounds"),
    numbers(0.1, 4),
    st.sets(st.sampled_from(["back", "left", "right"]), min_size=1).map(tuple),
    st.booleans(),
)
FLOORS = st.sampled_from(["soil", "damp moss", "dry"])
HIDES = st.none() | st.one_of(
    st.builds(Hide, numbers(0.3, 2), numbers(0.3, 2), numbers(10, 500), floor=FLOORS),
    st.builds(
        Hide,
        numbers(0.3, 2),
        numbers(0.3, 1),
        width_cm=numbers(1, 15),
        front_to_back_cm=numbers(1, 15),
        height_cm=numbers(1, 4),
        floor=FLOORS,
    ),
)

READINGS = st.one_of(
    st.just({}),
    st.fixed_dictionaries({"par_at_plants": numbers(0, 2500)}),
    st.fixed_dictionaries({"lux_at_plants": numbers(0, 150_000)}),
)
SEASONS = st.sets(st.sampled_from(["now", "winter", "summer"]), min_size=1).map(tuple)
WALLS = st.sampled_from(["front", "back", "left", "right", "lid"])
SUNS = st.none() | st.builds(Sun, timers(), st.none() | numbers(1, 1100), st.none() | numbers(0.01, 1), WALLS, SEASONS)


@st.composite
def windows(draw):
    """Windows with or without a reading of a light meter."""
    sides, glazing = st.sampled_from(["north", "east", "south", "west"]), st.sampled_from(["double", "single"])
    return Window(draw(numbers(0, 20)), draw(sides), draw(glazing), **draw(READINGS))


#: How much leaf there is, in both ways.
LEAVES = st.fixed_dictionaries({"leaf_area_cm2": numbers(0, 5000)}) | st.fixed_dictionaries({"cover": SHARES})


@st.composite
def plantings(draw):
    """All plants together."""
    return Plants(
        draw(named("plants")),
        leaf_width_cm=draw(numbers(0.1, 50)),
        root_depth_cm=draw(numbers(0.1, 200)),
        height_cm=draw(st.none() | numbers(0.1, 5)),
        raised_damp=draw(st.none() | st.booleans()),
        **draw(LEAVES),
    )


@st.composite
def grounds(draw, cover, dish):
    """The dish and shares of the floor that fit together, beside a cover."""
    moss = 0.0 if cover is not None and cover.is_moss else draw(numbers(0, 0.15))
    shares = Ground(draw(numbers(0, 0.15)), moss, draw(numbers(0, 0.15)), draw(numbers(0, 0.2)))
    on_floor = dish is not None and dish.area_cm2 <= shares.bare_floor * 400
    return shares, replace(dish, stands_on=draw(st.sampled_from(["", "soil", "bare floor"]))) if on_floor else dish


@st.composite
def own_materials(draw):
    """A material of the keeper's own, from a pot that can be real."""
    volume, full = draw(numbers(50, 5000)), draw(numbers(0.4, 0.8))
    dry = draw(numbers(0.05, 0.3)) * volume
    soaked = dry + full * volume
    drained = dry + draw(numbers(0.7, 1)) * full * volume
    name = draw(st.sampled_from(["my coir", "heap from the shed", "grandmother's earth"]))
    pot = draw(st.none() | st.just(0.1 * dry))
    high, like = draw(numbers(4, 12)), draw(named("substrates"))
    try:
        return OwnMaterial(name, volume, high, dry, soaked, drained, like, pot)
    except DescriptionError:  # a mix as fine as that one lets no pot drain so far: weighed full, it can be
        return OwnMaterial(name, volume, high, dry, soaked, soaked, like, pot)


@st.composite
def mixes(draw, own=()):
    """What a layer is made of: a mix of the table, an own material, or parts of several."""
    one = named("substrates") if not own else st.sampled_from([*materials.names("substrates"), *(m.name for m in own)])
    parts = draw(st.lists(st.tuples(st.integers(1, 9), one), min_size=1, max_size=3))
    text = parts[0][1] if len(parts) == 1 else ", ".join(f"{n} parts {name}" for n, name in parts)
    return SoilMix().check(OwnName(text, {m.name: m.entry for m in own}) if own else text, "layer")


@st.composite
def enclosures(draw, own=()):
    """Enclosures whose parts fit: small parts in a glass of 20 to 100 cm."""
    drainage = draw(st.none() | st.builds(Drainage, named("aggregates"), numbers(1.6, 4), numbers(0, 1.5)))
    side = draw(numbers(20, 100))
    layers = tuple(draw(st.lists(st.builds(Layer, mixes(own), numbers(0.5, 2)), min_size=1, max_size=3)))
    labels = draw(st.lists(LABELS, max_size=3, unique=True))
    openings = tuple(
        Opening(
            label,
            wall,
            draw(numbers(0.1, 5)),
            draw(numbers(0.1, 3)),
            0 if wall == "lid" else 15,
            covered=draw(SHARES),
            **draw(MESHES),
        )
        for label, wall in zip(labels, ("lid", "front", "left"), strict=False)
    )
    board = draw(st.none() | BACKGROUNDS)
    cover = draw(st.none() | st.builds(Cover, named("covers"), numbers(0.2, 3)))
    ground, dish = (
        None,
        draw(st.none() | st.builds(Dish, numbers(1, 100), numbers(0.1, 5), refill_days=DAYS | st.just("never"))),
    )
    if draw(st.booleans()):
        ground, dish = draw(grounds(cover, dish))
    wood = draw(numbers(0, 1000))
    own_face = board is not None and board.inside  # then the face of the board is the background
    return Enclosure(
        side,
        draw(numbers(20, 100)),
        draw(numbers(20, 100)),
        layers,
        glass_mm=draw(numbers(1, 30)),
        cover=cover,
        mesh_barrier=draw(st.booleans()),
        drainage=drainage,
        drain_hole=draw(st.booleans()),
        wood_area_cm2=wood,
        background_area_cm2=0 if own_face else draw(numbers(0, 1000)),
        openings=openings,
        plants=draw(st.none() | plantings()),
        dish=dish,
        ground=ground,
        moss_on_wood_area_cm2=draw(st.none() | numbers(0, wood)),
        tube=draw(st.builds(Tube, numbers(0.5, 5), st.booleans())) if drainage else None,
        leakage_ach=draw(st.none() | numbers(0, 100)),
        air_speed_cm_s=draw(st.none() | numbers(0, 200)),
        runoff_to_soil=draw(MAYBE_SHARES),
        background=board,
        hide=draw(HIDES),
    )


@st.composite
def basking_places(draw, glass, routine):
    """A basking place under one of the lamps or heaters, or none where there is no lamp."""
    lamps = [device.name for device in (*routine.lamps, *routine.heaters)]
    if not lamps:
        return None
    return Basking(
        draw(st.sampled_from(lamps)),
        draw(numbers(1, 300)),
        draw(st.none() | numbers(1, 300)),
        draw(st.none() | numbers(0, 100)),
        draw(st.just("") | named("basking")),
        draw(st.none() | numbers(glass.surface_cm, 0.99 * glass.height_cm)),
    )


@st.composite
def fans(draw):
    """Up to two fans, the second on a timer that may hang on the first."""
    made = []
    for label in draw(st.lists(LABELS.map("fan {}".format), max_size=2, unique=True)):
        clocked = [fan.name for fan in made if not fan.timer.is_log]
        timing = draw(timings(clocked))
        air, control, motor = draw(numbers(0.001, 1000)), draw(CONTROLS), draw(numbers(0, 200))
        made.append(Fan(label, "exchange", control=control, flow_m3_h=air, motor_w=motor, **timing))
    return tuple(made)


@st.composite
def routines(draw, with_drainage):
    """Routines of up to two devices a kind, with little water."""

    def some(build):
        return tuple(build(label) for label in draw(st.lists(LABELS, max_size=2, unique=True)))

    siphons = ()
    if with_drainage:
        by_gap = Siphon(draw(numbers(0, 0.5)), when_gap_below_cm=draw(numbers(0.1, 1)))
        by_day = Siphon(draw(numbers(0, 1.5)), draw(DAYS), draw(SECONDS))
        siphons = (by_gap, by_day)
    return Routine(
        pours=some(lambda _: Pour(draw(SECONDS), draw(numbers(0.1, 100)), draw(numbers(0.1, 60)), draw(DAYS))),
        sprays=some(lambda _: Spray(draw(SECONDS), draw(numbers(0.1, 100)), draw(numbers(0.1, 60)), draw(DAYS))),
        mists=some(
            lambda label: (
                Mist(label, draw(numbers(0.01, 0.1)), draw(timers()), draw(CONTROLS), *draw(MISTS))
                if draw(st.booleans())
                else Mist(
                    label, draw(numbers(0.01, 0.1)), draw(timers()), draw(CONTROLS), None, *draw(TANKS), onto="soil"
                )
            )
        ),
        lamps=some(
            lambda label: Lamp(
                label,
                draw(named("lamps")),
                draw(numbers(0, 2000)),
                draw(timers()),
                draw(CONTROLS),
                *draw(LAMP_SHARES),
                **draw(READINGS),
                to_plants_cm=draw(st.none() | numbers(0.5, 300)),
            )
        ),
        heaters=some(
            lambda label: Heater(label, draw(named("heaters")), draw(numbers(0, 2000)), draw(timers()), draw(CONTROLS))
        ),
        fans=draw(fans()),
        siphons=siphons,
    )


TANKS = st.tuples(numbers(1, 50), st.none() | DAYS) | st.just((None, None))
MISTS = st.tuples(MAYBE_SHARES, TANKS).map(lambda pair: (pair[0], *pair[1]))
LAMP_SHARES = st.tuples(st.floats(0, 0.3), st.floats(0, 0.3), st.floats(0, 0.3)) | st.just((None, None, None))
BANDS = st.none() | st.builds(
    HumidityTarget,
    numbers(2, 40),
    numbers(50, 100),
    numbers(2, 40),
    numbers(50, 100),
    st.just("06:00"),
    CLOCKS.filter(lambda c: c >= "07:00" or c <= "05:00"),
)


@st.composite
def starts(draw, glass):
    """Starts with and without measures."""
    maybe = lambda lowest, highest: draw(st.none() | numbers(lowest, highest))  # noqa: E731
    deep = 100 * sum(thick for _, thick in glass.porous_layers)
    depths = draw(
        st.lists(st.sampled_from([0.0, 0.3, 0.5, 1.0]).map(lambda share: share * deep), max_size=3, unique=True)
    )
    readings = [
        Reading(
            depth,
            **{draw(st.sampled_from(["suction_kpa", "water"])): draw(numbers(0, 0.15))},
            temperature_c=maybe(5, 35),
        )
        for depth in depths
    ]
    if draw(st.booleans()):
        readings.append(Reading(layer="1", suction_kpa=draw(numbers(0, 100_000))))
    return Start(
        draw(st.sampled_from(["drained-moist", "dry", "wet"])),
        maybe(5, 35),
        maybe(2, 100),
        maybe(5, 35),
        maybe(5, 35) if glass.drainage else None,
        maybe(0, 100),
        maybe(0, 100) if glass.plants else None,
        maybe(0, 1000) if glass.cover else None,
        maybe(0, glass.dish.depth_cm) if glass.dish else None,
        tuple(readings),
    )


@st.composite
def boxes(draw):
    """Whole boxes."""
    own = tuple(draw(st.lists(own_materials(), max_size=2, unique_by=lambda one: one.name)))
    enclosure = draw(enclosures(own))
    routine = draw(routines(enclosure.drainage is not None))
    enclosure = replace(enclosure, basking=draw(st.none() | basking_places(enclosure, routine)))
    return Box(
        name=draw(NAMES),
        note=draw(NOTES),
        group=draw(st.just("") | named("groups")),
        humidity_target=draw(BANDS),
        enclosure=enclosure,
        room=Room(
            draw(STATES),
            draw(st.none() | STATES),
            draw(st.none() | STATES),
            draw(DRAUGHTS),
            draw(st.none() | windows()),
            draw(SUNS),
        ),
        routine=routine,
        materials=own,
        start=draw(starts(enclosure)),
    )
