"""What the name of a column says: the quantity, its unit, and the place of the sensor."""

from __future__ import annotations

import re

from terralab.logs.cells import plain_text, words_of
from terralab.logs.log import BOX, HIDE, HIGH, LOW, ROOM

TEMPERATURE, HUMIDITY, DEW_POINT, VAPOUR = "temperature", "humidity", "dew point", "absolute humidity"
QUANTITIES = (TEMPERATURE, HUMIDITY, DEW_POINT, VAPOUR)

#: Columns of other things, which no sensor of the air is.
_OTHER = words_of(
    "vpd pressure druck luftdruck press hpa mbar kpa baro barometer battery batt akku volt voltage co2 voc aqi pm25 lux light licht par ppfd "
    "wetbulb bulb heatindex index feels apparent windchill wind rain uv soil boden substrate bodenfeuchte bodentemperatur moisture water wasser "
    "leaf blatt surface oberflache setpoint target soll sollwert min max minimum maximum alarm alert rssi signal lqi status no nr row record "
    "error count delta difference diff elapsed duration noise marker event comment note ec ph weight power watt watts energy "
    "enthalpy mixing ratio altitude latitude longitude mold mould cpu"
)
_DEW = words_of("dew dewpoint dewpt dewp taupunkt taupunkttemperatur rosee rocio rugiada dauwpunt dp")
_ABSOLUTE = words_of("abs absolute absolut absoluta absolue assoluta ah")
_HUMID = ("humid", "feuch", "humed", "umidit", "vocht", "fukt", "wilgot")
_HUMID_WORDS = words_of("rh hum rf hr rel h luftf humi")
_TEMP = ("temp", "celsius", "fahrenheit", "thermo")
_TEMP_WORDS = words_of("t tmp ta tair lufttemperatur")
_UNIT_WORDS = words_of(
    "c f k degc degf deg degree degrees grad percent prozent pct celsius fahrenheit kelvin g m m3 gm3"
)
_FILLER = words_of(
    "air luft sensor probe value reading readings data log mean average avg mittel mittelwert current relative relativ rel the of and for s "
    "point ambient wert messwert n°"
)

_ROOM = words_of(
    "room rooms zimmer raum wohnzimmer outside out outer aussen ausserhalb exterior habitacion piece stanza kamer"
)
_BOX = words_of(
    "inside in inner innen box terrarium vivarium viv tank enclosure cage jar glass paludarium terra interior becken tub vitrine setup"
)
_HIGH = words_of("high top upper oben up hoch canopy lid haut")
_LOW = words_of("low bottom lower unten floor ground tief base bas")
_HIDE = words_of("hide cave shelter hohle versteck den burrow humidbox")
_PLACES = ((ROOM, _ROOM), (HIDE, _HIDE), (HIGH, _HIGH), (LOW, _LOW), (BOX, _BOX))

_TOKEN = re.compile(r"[A-Z]+(?![a-z])|[A-Z]?[a-z]+|\d+")


def tokens(name: str) -> list[str]:
    """Return the words of a column's name in small letters, numbers apart.

    >>> tokens("InsideTemp_2 [°C]"), tokens("RHroom"), tokens("t_in")
    (['inside', 'temp', '2', 'c'], ['rh', 'room'], ['t', 'in'])
    """
    kept = re.sub(r"\b[iI]n\s+(?=[°\[(%]|[cCfFkK]\b|g/|[gG]rad|[dD]eg|[cC]el|[fF]ahr|[pP]ro?z?e?r?[cz])", " ", name)
    kept = "".join(_folded(letter) for letter in kept)
    kept = re.sub(r"(?<![A-Za-z])(RH|rh)(?=[A-Za-z])", "rh ", kept).replace("R.H.", "rh ").replace("r.h.", "rh ")
    kept = re.sub(r"\bCO2\b|\bco2\b", "coo ", kept)
    return ["co2" if one == "coo" else one for one in (found.lower() for found in _TOKEN.findall(kept))]


def _folded(letter: str) -> str:
    if letter.isascii():
        return letter
    plain = plain_text(letter)
    return plain.upper() if letter.isupper() else plain if plain.isascii() else " "


def unit_in(text: str) -> str:
    """Return the unit that a name, or the cell below it, gives: "C", "F", "K", "%", "g/m3", "W" or empty."""
    low = plain_text(text)
    if re.search(r"g\s?/\s?m\s?(\^?3|³)|g\s?m-3|gm-3|gm3", low):
        return "g/m3"
    if re.search(r"°\s*c\b|[?�]c\b|â°c|\bdeg\.?\s*c\b|celsius|℃|\bcentigrade\b", low):
        return "C"
    if re.search(r"°\s*f\b|[?�]f\b|\bdeg\.?\s*f\b|fahrenheit|℉", low):
        return "F"
    if "%" in low or re.search(r"\bpercent\b|\bprozent\b|\bpct\b", low):
        return "%"
    found = re.search(r"(?:^|[\s,\[(/_])([cfkw])(?:$|[\s\])])", low)
    if found and (
        low.strip("[]() ") == found[1] or re.search(r"[\[(,/_]\s*[cfkw]\s*[\])]?\s*$|\btemp\w*\s+[cfk]$", low)
    ):
        return found[1].upper()
    if re.search(r"\bkelvin\b", low):
        return "K"
    return "W" if re.search(r"\bwatts?\b", low) else ""


def quantity_in(name: str, unit: str) -> str | None:
    """Return which of `QUANTITIES` a column tells of, by its name and unit; None where it is another thing, or not said."""
    words = tokens(name)
    held = set(words)
    joined = "".join(words)
    if held & _DEW or "dewpoint" in joined or "taupunkt" in joined:
        return DEW_POINT
    if held & _OTHER or any(one in joined for one in ("setpoint", "wetbulb", "heatindex", "feelslike")):
        return None
    humid = any(_tells_humidity(word) for word in words)
    if (held & _ABSOLUTE and (humid or unit == "g/m3")) or unit == "g/m3":
        return VAPOUR
    warm = any(_tells_temperature(word) for word in words)
    if humid and not warm:
        return HUMIDITY
    if warm and not humid:
        return TEMPERATURE
    if humid and warm:
        return HUMIDITY if unit == "%" else TEMPERATURE if unit in ("C", "F", "K") else None
    return HUMIDITY if unit == "%" else TEMPERATURE if unit in ("C", "F") else None


def _tells_humidity(word: str) -> bool:
    return word in _HUMID_WORDS or any(stem in word for stem in _HUMID)


def _tells_temperature(word: str) -> bool:
    return word in _TEMP_WORDS or word.startswith(_TEMP) or "temperatur" in word


def key_of(name: str) -> str:
    """Return what is left of a name without quantity and unit: which sensor it is.

    >>> key_of("Temp 1 (°C)"), key_of("RH inside top %"), key_of("Humidity")
    ('1', 'inside top', '')
    """
    kept = []
    for word in tokens(name):
        air = _tells_humidity(word) or _tells_temperature(word)
        if not (air or word in _UNIT_WORDS or word in _FILLER or word in _DEW or word in _ABSOLUTE):
            kept.append(word)
    return " ".join(kept)


def place_in(key: str) -> str | None:
    """Return the place that the words of a key tell, one of `PLACES`; None where they tell none, or two.

    >>> place_in("inside top"), place_in("2"), place_in("room")
    ('box high', None, 'room')
    """
    words = set(key.split())
    hit = [place for place, known in _PLACES if words & known]
    if ROOM in hit and len(hit) > 1:
        return None
    return hit[0] if hit else None
