"""One invented week of readings, written the way loggers and keepers write: each layout is to give the same log.

All layouts are made up here. They imitate no product; they mix what people meet: separators, decimal commas, lines before the
header, units, orders of day and month, clocks of twelve hours, sensors side by side and below each other.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable

import numpy as np

from terralab.physics.constants import GAS_VAPOUR, ZERO_CELSIUS
from terralab.physics.moist_air import saturation_pressure

ROWS, STEP_MIN = 340, 30
FIRST = dt.datetime(2026, 5, 1)
TIMES = [FIRST + dt.timedelta(minutes=STEP_MIN * k) for k in range(ROWS)]
#: One decimal is what most sensors show.
BOX_C = [round(24 + 2.5 * math.sin(k / 7.6) + 0.6 * math.sin(k * 1.7), 1) for k in range(ROWS)]
BOX_RH = [round(82 + 9 * math.cos(k / 7.6) + 1.3 * math.sin(k * 2.3), 1) for k in range(ROWS)]
ROOM_C = [round(20 + 1.5 * math.sin(k / 7.6), 1) for k in range(ROWS)]
ROOM_RH = [round(45 + 5 * math.cos(k / 9.0), 1) for k in range(ROWS)]


def f(c: float) -> float:
    return c * 1.8 + 32


def comma(x: float, digits: int = 1) -> str:
    return f"{x:.{digits}f}".replace(".", ",")


def table(head: str, row: Callable[..., str], end: str = "\n") -> str:
    """The lines of a log: its head, then `row(time, box C, box RH, room C, room RH)` for each time."""
    return head + end.join(row(*each) for each in zip(TIMES, BOX_C, BOX_RH, ROOM_C, ROOM_RH, strict=True)) + end


def dew(c: float, rh: float) -> float:
    """Dew point [C], by halving until the saturation pressure fits."""
    wanted, low, high = rh / 100 * saturation_pressure(c), -40.0, c
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if saturation_pressure(middle) < wanted else (low, middle)
    return low


def vapour(c: float, rh: float) -> float:
    """Grams of vapour in a cubic metre, by the gas law."""
    return 1000 * rh / 100 * saturation_pressure(c) / (GAS_VAPOUR * (c + ZERO_CELSIUS))


#: name -> (text or bytes of the file, options). Each is the box alone.
BOX_ALONE: dict[str, tuple[str | bytes, dict]] = {
    "plain": (table("time,temperature,humidity\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M},{c},{h}"), {}),
    "iso with t and seconds": (table("Timestamp,Temp (C),RH (%)\n", lambda t, c, h, *_: f"{t:%Y-%m-%dT%H:%M:%S},{c},{h}"), {}),
    "parts of a second": (table("Timestamp,Temp (C),RH (%)\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M:%S}.000,{c},{h}"), {}),
    "decimal commas": (table("Zeit;Temperatur [°C];Luftfeuchte [%]\n", lambda t, c, h, *_: f"{t:%d.%m.%Y %H:%M};{comma(c)};{comma(h)}"), {}),
    "commas in quotes": (table("Time,Temp °C,RH %\n", lambda t, c, h, *_: f'"{t:%Y-%m-%d %H:%M}","{comma(c)}","{comma(h)}"'), {}),
    "tabs": (table("Date\tTime\tT\tRH\n", lambda t, c, h, *_: f"{t:%Y/%m/%d}\t{t:%H:%M:%S}\t{c}\t{h}"), {}),
    "bars": (table("| time | temp C | RH % |\n", lambda t, c, h, *_: f"| {t:%Y-%m-%d %H:%M} | {c} | {h} |"), {}),
    "blanks": (table("date time temp rh\n", lambda t, c, h, *_: f"{t:%Y-%m-%d} {t:%H:%M} {c} {h}"), {}),
    "blanks in columns": (
        table("Date and time      Temp (C)   RH (%)\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M}    {c:6.1f}   {h:6.1f}"), {}
    ),
    "fahrenheit and am pm": (
        table("Date,Temperature (°F),Relative Humidity (%)\n", lambda t, c, h, *_: f"{t:%m/%d/%Y %I:%M %p},{f(c):.2f},{h}"), {}
    ),
    "fahrenheit unsaid": (table("when,temp,hum\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M},{f(c):.2f},{h}"), {}),
    "kelvin": (table("time,T [K],RH\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M},{c + 273.15:.2f},{h}"), {}),
    "humidity as a share": (table("time,temp,rh\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M},{c},{h / 100:.3f}"), {}),
    "units in the cells": (table("Time;Temperature;Humidity\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M};{c} °C;{h} %"), {}),
    "fahrenheit in the cells": (table("Time;Temperature;Humidity\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M};{f(c):.2f}°F;{h}%"), {}),
    "a row of units": (table("Time,Temp,Humidity\nyyyy-mm-dd hh:mm,°C,%RH\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M},{c},{h}"), {}),
    "lines before the header": (
        table("Greenhouse logger 9\nSerial no.,A-00017\nInterval,30 min\nDownloaded,2026-05-09 18:22\n\nNo.,Time,Celsius(°C),Humidity(%rh)\n",
              lambda t, c, h, *_: f"{1 + TIMES.index(t)},{t:%Y-%m-%d %H:%M:%S},{c},{h}"), {}
    ),
    "comment signs": (table("# made by a small computer\n# time,temp_c,rh\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M},{c},{h}"), {}),
    "no header": (
        table("", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M},{c},{h}"), {"columns": {"column 2": "temperature", "column 3": "humidity"}}
    ),
    "month first": (table("Date,Time,Temp C,RH\n", lambda t, c, h, *_: f"{t:%m/%d/%Y},{t:%H:%M},{c},{h}"), {}),
    "day first, short years": (table("Date,Time,Temp C,RH\n", lambda t, c, h, *_: f"{t:%d/%m/%y},{t:%H:%M},{c},{h}"), {}),
    "year first, short": (table("Date,Time,Temp C,RH\n", lambda t, c, h, *_: f"{t:%y-%m-%d},{t:%H:%M},{c},{h}"), {}),
    "month as a word": (table("Date,Temp C,RH\n", lambda t, c, h, *_: f"{t.day} {t:%B %Y} {t:%H:%M},{c},{h}"), {}),
    "month as a word first": (table("Date;Temp C;RH\n", lambda t, c, h, *_: f"{t:%b} {t.day}, {t.year} {t.hour % 12 or 12}:{t:%M} {t:%p};{c};{h}"), {}),
    "weekday before": (table("Date;Temp C;RH\n", lambda t, c, h, *_: f"{t:%a, %d %b %Y %H:%M:%S};{c};{h}"), {}),
    "month in German": (table("Datum;Temperatur;Feuchtigkeit\n", lambda t, c, h, *_: f"{t.day}. Mai {t:%Y %H:%M};{comma(c)};{comma(h)}"), {}),
    "French": (table("Date;Heure;Température (°C);Humidité relative (%)\n", lambda t, c, h, *_: f"{t:%d/%m/%Y};{t.hour}h{t:%M};{comma(c)};{comma(h)}"), {}),
    "dots in the time": (table("Päivä;Temp C;RH\n", lambda t, c, h, *_: f"{t.day}.{t.month}.{t.year} {t.hour}.{t:%M};{c};{h}"), {}),
    "one run of digits": (table("date,time,temp,rh\n", lambda t, c, h, *_: f"{t:%Y%m%d},{t:%H%M},{c},{h}"), {}),
    "a half of the day beside 24 hours": (table("time;temp;rh\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M} {'pm' if t.hour > 11 else 'am'};{c};{h}"), {}),
    "exported in UTC": (table("Exported 2026-05-09 10:05 UTC\ntime;temp;rh\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M};{c};{h}"), {}),
    "a time zone above": (table("Time zone;GMT+02:00\ntime;temp;rh\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M};{c};{h}"), {"time_zone": "Europe/Berlin"}),
    "Swedish": (table("Tid;Lufttemperatur;Luftfuktighet\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M};{comma(c)};{comma(h)}"), {}),
    "signs of units alone": (table("时间,温度℃,湿度%\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M},{c},{h}"), {}),
    "a line that names the separator": (table("sep=;\ntime;temp;rh\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M};{c};{h}"), {}),
    "time before the date": (table("stamp;temp;rh\n", lambda t, c, h, *_: f"{t:%H:%M:%S %d/%m/%Y};{c};{h}"), {}),
    "hours to 24": (
        table("date,time,temp,rh\n", lambda t, c, h, *_: f"{t - dt.timedelta(days=1):%Y-%m-%d},24:00,{c},{h}" if not t.hour + t.minute else f"{t:%Y-%m-%d},{t:%H:%M},{c},{h}"), {}
    ),
    "epoch seconds": (
        table("epoch,temp,rh\n", lambda t, c, h, *_: f"{t.replace(tzinfo=dt.UTC).timestamp():.0f},{c},{h}"), {"time_zone": "UTC"}
    ),
    "epoch milliseconds": (
        table("ts,temp,rh\n", lambda t, c, h, *_: f"{(t - dt.timedelta(hours=2)).replace(tzinfo=dt.UTC).timestamp() * 1000:.0f},{c},{h}"), {"time_zone": "Europe/Berlin"}
    ),
    "utc": (table("time (UTC),temp,rh\n", lambda t, c, h, *_: f"{t + dt.timedelta(hours=4):%Y-%m-%d %H:%M},{c},{h}"), {"time_zone": "America/New_York"}),
    "z behind": (table("time,temp,rh\n", lambda t, c, h, *_: f"{t - dt.timedelta(hours=2):%Y-%m-%dT%H:%MZ},{c},{h}"), {"time_zone": "Europe/Berlin"}),
    "offset behind": (table("time,temp,rh\n", lambda t, c, h, *_: f"{t:%Y-%m-%dT%H:%M:%S}+02:00,{c},{h}"), {}),
    "zone word behind": (table("time,temp,rh\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M} CEST,{c},{h}"), {}),
    "offset in the header": (table('"#","Date Time, GMT+02:00","Temp, °C","RH, %"\n', lambda t, c, h, *_: f'{1 + TIMES.index(t)},{t:%m/%d/%y %I:%M:%S %p},{c},{h}'), {}),
    "logger in another zone": (
        table("time,temp,rh\n", lambda t, c, h, *_: f"{t + dt.timedelta(hours=6):%Y-%m-%d %H:%M},{c},{h}"),
        {"time_zone": "Europe/Berlin", "log_zone": "Asia/Shanghai"},
    ),
    "serial days": (table("Date/time;T;RH\n", lambda t, c, h, *_: f"{comma((t - dt.datetime(1899, 12, 30)) / dt.timedelta(days=1), 7)};{comma(c)};{comma(h)}"), {}),
    "times of day alone": (table("time,temp,rh\n", lambda t, c, h, *_: f"{t:%H:%M},{c},{h}"), {"first_date": "2026-05-01"}),
    "dew point": (table("time,temp C,dew point C\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M},{c},{dew(c, h):.4f}"), {}),
    "dew point in fahrenheit": (table("time,temp F,dew point F\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M},{f(c):.3f},{f(dew(c, h)):.4f}"), {}),
    "grams in a cubic metre": (table("time;temp;abs. humidity (g/m³)\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M};{comma(c)};{comma(vapour(c, h), 5)}"), {}),
    "both units": (table("time,Temp C,Temp F,RH\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M},{c},{f(c):.1f},{h}"), {}),
    "many other columns": (
        table("no,time,temp(°C),rh(%),dew point(°C),vpd(kPa),pressure(hPa),battery(V),RSSI,note\n",
              lambda t, c, h, *_: f"{TIMES.index(t)},{t:%Y-%m-%d %H:%M},{c},{h},{dew(c, h):.1f},0.8,1013.2,3.01,-67,"), {}
    ),
    "commas at the ends": (table("time,temp,rh,,\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M},{c},{h},,"), {}),
    "header shorter than rows": (table("time;temp;rh\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M};{c};{h};;"), {}),
    "windows lines": (table("time,temp,rh\r\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M},{c},{h}", "\r\n"), {}),
    "old mac lines": (table("time,temp,rh\r", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M},{c},{h}", "\r"), {}),
    "blank lines between": (table("time,temp,rh\n\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M},{c},{h}\n"), {}),
    "newest first": ("time,temp,rh\n" + "\n".join(table("", lambda t, c, h, *_: f"{t:%d/%m/%Y %H:%M},{c},{h}").split("\n")[::-1]), {}),
    "shuffled": (
        "time,temp,rh\n" + "\n".join(np.random.default_rng(4).permutation(table("", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M},{c},{h}").split("\n"))), {}
    ),
    "two files, one after the other": (
        table("time,temp,rh\n", lambda t, c, h, *_: ("time,temp,rh\n" if TIMES.index(t) == 200 else "") + f"{t:%Y-%m-%d %H:%M},{c},{h}"), {}
    ),
    "rows twice": (table("time,temp,rh\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M},{c},{h}\n{t:%Y-%m-%d %H:%M},{c},{h}"), {}),
    "a foot below": (table("time,temp,rh\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M},{c},{h}") + "\nEnd of data\nmean,24.0,82.0\n", {}),
    "nothing read now and then": (
        table("time,temp,rh\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M},{c},{h}" + ("\n" + f"{t + dt.timedelta(minutes=7):%Y-%m-%d %H:%M},--,-999" if t.hour == 3 else "")), {}
    ),
    "utf-8 with a mark": (b"\xef\xbb\xbf" + table("time,temp °C,rh\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M},{c},{h}").encode(), {}),
    "utf-16": (table("time\ttemp °C\trh\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M}\t{c}\t{h}").encode("utf-16"), {}),
    "utf-16 without a mark": (table("time\ttemp °C\trh\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M}\t{c}\t{h}").encode("utf-16-le"), {}),
    "latin-1": (table("time;temp °C;Feuchte für Box\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M};{c};{h}").encode("latin-1"), {}),
    "fahrenheit in latin-1": (table("time;temp °F;rh\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M};{f(c):.2f};{h}").encode("latin-1"), {}),
    "serial numbers for names": (table("time,Temp (S-N: 10442),RH (S-N: 10443)\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M},{c},{h}"), {}),
    "unit said above": (table("Temperature unit: °F\n\ntime,temp,rh\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M},{f(c):.2f},{h}"), {}),
    "one sensor of three": (
        table("time,temp A,hum A,temp B,hum B,temp C1,hum C1\n", lambda t, c, h, *_: f"{t:%Y-%m-%d %H:%M},1.0,2.0,{c},{h},3,4"), {"sensors": {"B": "box"}}
    ),
}  # fmt: skip

#: The same week with the room beside the box.
BOX_AND_ROOM: dict[str, tuple[str | bytes, dict]] = {
    "words in the names": (
        table("time,Temp inside (C),RH inside,Temp outside (C),RH outside\n", lambda t, c, h, rc, rh: f"{t:%Y-%m-%d %H:%M},{c},{h},{rc},{rh}"), {}
    ),
    "words run together": (table("time,t_in,rh_in,t_out,rh_out\n", lambda t, c, h, rc, rh: f"{t:%Y-%m-%d %H:%M},{c},{h},{rc},{rh}"), {}),
    "capitals run together": (table("time;TempBox;RHBox;TempRoom;RHRoom\n", lambda t, c, h, rc, rh: f"{t:%Y-%m-%d %H:%M};{c};{h};{rc};{rh}"), {}),
    "German": (
        table("Datum;Temperatur innen;Luftfeuchtigkeit innen;Temperatur außen;Luftfeuchtigkeit außen\n",
              lambda t, c, h, rc, rh: f"{t:%d.%m.%Y %H:%M};{comma(c)};{comma(h)};{comma(rc)};{comma(rh)}"), {}
    ),
    "numbered": (
        table("time,Temp 1,Humidity 1,Temp 2,Humidity 2\n", lambda t, c, h, rc, rh: f"{t:%Y-%m-%d %H:%M},{c},{h},{rc},{rh}"),
        {"sensors": {"1": "box", "2": "room"}},
    ),
    "numbered, by whole names": (
        table("time,Temp 1,Humidity 1,Temp 2,Humidity 2\n", lambda t, c, h, rc, rh: f"{t:%Y-%m-%d %H:%M},{c},{h},{rc},{rh}"),
        {"sensors": {"Temp 1": "box", "Humidity 1": "box", "temp 2": "room", "humidity 2": "room"}},
    ),
    "a row of places above": (
        table(",Terrarium,,Living room,\nTime,Temp,RH,Temp,RH\n", lambda t, c, h, rc, rh: f"{t:%Y-%m-%d %H:%M},{c},{h},{rc},{rh}"), {}
    ),
    "places above, units below": (
        table("Time,box,,room,\n,°C,%,°C,%\n", lambda t, c, h, rc, rh: f"{t:%Y-%m-%d %H:%M},{c},{h},{rc},{rh}"), {}
    ),
    "below each other": (
        table("time,sensor,temp,rh\n", lambda t, c, h, rc, rh: f"{t:%Y-%m-%d %H:%M},box,{c},{h}\n{t:%Y-%m-%d %H:%M},room,{rc},{rh}"), {}
    ),
    "below each other, named": (
        table("device;time;temp;rh\n", lambda t, c, h, rc, rh: f"probe A7;{t:%Y-%m-%d %H:%M};{c};{h}\nprobe B2;{t:%Y-%m-%d %H:%M};{rc};{rh}"),
        {"sensors": {"probe A7": "box", "probe B2": "room"}},
    ),
}  # fmt: skip
