"""Words that keepers use, and what terralab calls the same thing (common practice, no source).

Looked at before letters are compared, so that "tree frogs" leads to the frogs and not to a moss. A word may lead to
several names, the most usual first; only those that are allowed where it was written count. Words are in the singular
and in small letters; plurals find them too. Entries of a description are named by their word in the file.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

#: our name -> words of the trade for it
_SAID: Mapping[str, str] = {
    # animal groups
    "rainforest-floor small frogs": "dart frog, poison dart frog, poison frog, mantella, terrestrial frog, frog",
    "arboreal temperate and subtropical frogs": "tree frog, treefrog, frog",
    "humid-forest geckos": "crested gecko, day gecko, gargoyle gecko, gecko",
    "montane lizards": "chameleon, mountain chameleon, lizard",
    "tropical-forest snakes": "snake, boa, python, tree python, tree boa",
    "temperate and grassland reptiles": "corn snake, rat snake, garter snake, tortoise, box turtle, skink",
    "arid lizards": "bearded dragon, leopard gecko, desert lizard, lizard",
    "temperate salamanders": "salamander, newt, fire salamander",
    "clean-up crew": "springtail, isopod, woodlouse, woodlice, cleanup crew, snail, millipede",
    "any reptile": "reptile",
    "mosses": "moss",
    "orchids": "orchid, vanda",
    # soil mixes
    "fine coir mix": "coir, coco coir, coconut, coconut fibre, coconut fiber, coco fibre, coco fiber, coco peat, cocopeat",
    "coarse coir mix": "coir, coco chip, coconut chip, coco husk, coconut husk",
    "peat-based mix": "peat, peat moss, bog soil",
    "bark-rich mix": "abg, abg mix, tropical mix, orchid bark, bark mix",
    "loam topsoil": "topsoil, garden soil, potting soil, earth, soil, clay soil",
    "sandy mix": "desert mix, sand mix, desert soil",
    "washed sand": "play sand, quartz sand, sand",
    "sphagnum moss": "long fibre moss, long fiber moss, white moss",
    "sheet moss": "moss, carpet moss, cushion moss, pillow moss, forest moss",
    # drainage layers, covers, plants
    "expanded clay 8-16 mm": "leca, clay ball, clay pebble, clay granule, hydro ball, expanded clay, expanded clay aggregate",
    "gravel 8-15 mm": "pea gravel, pebble, gravel, stone",
    "leaf litter": "leaf, leaves, oak leaf, oak leaves, litter, dry leaves",
    "bark pieces": "bark, bark chip, bark mulch, mulch",
    "foliage plants": "houseplant, tropical plant, calathea, maranta, plant, leafy plant",
    "aroids": "aroid, pothos, philodendron, anthurium, monstera, peace lily, spathiphyllum, epipremnum, scindapsus, syngonium",
    "spikemosses": "spikemoss, spike moss, selaginella, club moss",
    "soft shade herbs": "fittonia, pilea, begonia, peperomia, episcia, nerve plant, shade herb",
    "creeping figs and ivy": "creeping fig, ficus, ficus pumila, ivy, hedera",
    "day-opening bromeliads": "bromeliad, guzmania, vriesea, werauhia",
    "night-opening bromeliads": "bromeliad, neoregelia, aechmea, billbergia, tillandsia, air plant",
    "night-opening succulents": "succulent, cactus, cacti, jade plant, crassula, hoya, kalanchoe",
    "night-opening orchids": "orchid, phalaenopsis, dendrobium, cattleya",
    "palms": "palm",
    # lamps and heaters
    "led bar outside lid": "led, led strip, led bar, led panel, grow light",
    "led bar inside": "led, led strip, led bar",
    "metal halide": "hqi, cdm, mh, mercury vapour lamp, mercury vapor bulb, hid, uv metal halide",
    "compact fluorescent": "cfl, energy saver, energy saving lamp, uvb compact",
    "fluorescent tube": "t5, t8, tube, uvb, uvb tube, neon tube, strip light",
    "incandescent or halogen spot": "halogen, spot, spotlight, basking lamp, basking bulb, heat lamp, bulb, floodlight",
    "ceramic emitter": "che, ceramic heater, ceramic heat emitter, ceramic bulb, heat emitter",
    "heat panel": "radiant heat panel, infrared panel, deep heat projector",
    "heat mat under floor": "heat mat, heating mat, heat pad, heat tape",
    "heat cable under floor": "heat cable, heating cable, heat cord",
    # meshes, backgrounds, what is under a lamp
    "window screen": "fly screen, flyscreen, insect screen, mosquito net, fibreglass screen, fiberglass screen, fibreglass mesh",
    "fine insect mesh": "gauze, steel gauze, fruit fly mesh, no see um mesh, noseeum mesh, micro mesh, fine mesh, thrips net",
    "metal lid mesh": "steel mesh, metal mesh, screen lid, screen top, wire mesh, woven steel, steel lid mesh",
    "coarse wire mesh": "hardware cloth, chicken wire, welded mesh, rabbit wire, bird wire, aviary mesh, wire grid",
    "perforated sheet": "perforated metal, perforated plastic, perforated strip, punched sheet, punched metal, vent strip",
    "cork board": "cork, cork tile, pressed cork, expanded cork",
    "cork bark": "cork, virgin cork, cork slab, cork tube",
    "foam board": "foam, styrofoam, styrofoam board, polystyrene, xps, polystyrene board",
    "coated foam": "foam, carved foam, sprayed foam, expanding foam, pu foam, 3d background, rock background",
    "fibre mat": "fiber mat, coir mat, coco mat, coco panel, xaxim, tree fern panel, tree fern board",
    "wood board": "wood, plywood",
    "stone slab": "stone, slate, rock, sandstone, basking rock",
    "ceramic tile": "tile, slate tile",
    "branch or log": "wood, branch, log, driftwood, perch",
    # processes of the table of defaults
    "wood buffer": "wood, driftwood, cork, cork bark, cork background",
    "fogger": "humidifier, ultrasonic fogger, fog machine, nebuliser, nebulizer",
    "mister": "misting system, rain system, mist system, spray nozzle",
    "glass pane": "glass, pane",
    "leakage": "gap, door gap",
    "usual room": "draught, draft, air current",
    "calm room": "draught, draft, still air",
    "draughty room": "draught, draft, drafty room",
    "mesh exchange": "mesh, screen, mesh lid",
    # entries of a description
    "group": "animal, species, inhabitant, pet, livestock, kept for, for, frog, reptile",
    "layers": "substrate, soil, ground, bedding, mix, layer",
    "cover": "leaf litter, moss, mulch, topping",
    "drainage": "false bottom, reservoir, leca, drainage layer, hydro ball",
    "mesh_barrier": "barrier, mesh barrier, weed fabric, fabric, separator, substrate mesh",
    "wood_area": "wood, branch, branches, driftwood, root",
    "background_area": "cork, background, backdrop, back wall, cork background",
    "background": "backdrop, back wall, back panel, 3d background, cork wall, insulation",
    "hide": "cave, moist hide, humid hide, wet box, cork tube, shelter, hut, nest box, burrow",
    "basking": "basking place, basking spot, hot spot, sun spot, basking site, basking area, warm spot",
    "draught": "draft, air current",
    "window": "daylight",
    "sun": "sunlight, sunshine, sun patch, direct sun",
    "par_at_plants": "par, ppfd, umol, par reading, light reading",
    "lux_at_plants": "lux, lux reading, light meter",
    "to_plants": "lamp height, hanging height",
    "rock": "hardscape, sealed wood",
    "bare_floor": "bare glass, no soil",
    "bare_soil": "open soil",
    "open_share": "porosity, openness, open area",
    "thread": "wire, wire thickness, thread thickness, strand, wire gauge",
    "openings": "opening, vent, ventilation, hole, lid, door, mesh, screen, window",
    "plants": "plant, planting, fern, foliage",
    "dish": "bowl, water bowl, water dish, pond, pool",
    "tube": "siphon tube, access tube, pipe, corner tube",
    "front_to_back": "depth, deep, length",
    "width": "length, wide, breadth",
    "height": "tall, high",
    "pours": "pour, water, watering, irrigation",
    "sprays": "spray, hand spray, misting, hand misting",
    "mists": "mist, mister, fogger, fog, humidifier, misting system, mist system, rain system, nebuliser, nebulizer",
    "lamps": "lamp, light, lighting, bulb, led, uvb, basking lamp",
    "heaters": "heater, heating, heat mat, heat cable, ceramic emitter",
    "fans": "fan, ventilator, blower, ventilation",
    "siphons": "siphon, pump, drain",
    "timer": "hours, schedule, on, times, time",
    "control": "thermostat, hygrostat, sensor, controller",
    "power": "watt, wattage, power w",
    "flow": "rate, output",
    "temperature": "temp, heat",
    "humidity": "rh, relative humidity, moisture",
    "material": "mix, substrate, type, kind",
    "kind": "type, material, species",
    "leaf_area": "leaves, leaf, area, foliage",
    "amount": "volume, ml, water, quantity",
    "covered": "closed, shut, cover",
    "start": "begin, initial",
}


def _turned() -> dict[str, tuple[str, ...]]:
    out: dict[str, tuple[str, ...]] = {}
    for name, words in _SAID.items():
        for word in words.split(", "):
            out[word] = (*out.get(word, ()), name.strip())
    return out


#: word of the trade -> our names for it
TRADE_WORDS: Mapping[str, tuple[str, ...]] = MappingProxyType(_turned())

#: names that entries of the tables once had -> what to write instead
ONCE: Mapping[str, str] = MappingProxyType(
    {
        "bromeliads and succulents": 'This kind was split. Write "day-opening bromeliads" for Guzmania or Vriesea, '
        '"night-opening bromeliads" for Neoregelia, Aechmea or Tillandsia, "night-opening succulents" for succulents.',
        "mosses only": 'Write kind = "mosses".',
    }
)


def singular(word: str) -> str:
    """A word without the ending of its plural, roughly: enough to find it in a list.

    >>> singular("frogs"), singular("mosses"), singular("moss"), singular("glass")
    ('frog', 'moss', 'moss', 'glass')
    """
    if word.endswith("sses") and len(word) > 5:
        return word[:-2]
    return word[:-1] if word.endswith("s") and not word.endswith("ss") and len(word) > 3 else word


def in_our_words(said: str) -> tuple[str, ...]:
    """What terralab calls a thing that a keeper named `said` (small letters, single spaces); empty where unknown."""
    text = said.replace("_", " ").replace("-", " ")
    one = " ".join([*text.split()[:-1], singular(text.split()[-1])]) if text.split() else ""
    return TRADE_WORDS.get(text) or TRADE_WORDS.get(one) or ()
