"""What a log says that can be read in two ways is asked, never guessed; what is odd in it is named."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import numpy as np
import openpyxl
import pandas
import pytest

import terralab as tl
from terralab.errors import FileError, TerralabError, UnknownName
from terralab.psychrometrics import dew_point_c, vapour_density_kg_m3

START = dt.datetime(2026, 5, 1)


def log_of(
    tmp_path, head: str, row: Callable, rows: int = 200, step_min: float = 30, start: dt.datetime = START, **options
) -> tl.Log:
    """The log of a file whose line k is `row(time, k)`."""
    lines = [row(start + dt.timedelta(minutes=step_min * k), k) for k in range(rows)]
    path = tmp_path / "log.csv"
    path.write_text(head + "\n" + "\n".join(lines) + "\n", encoding="utf-8")
    return tl.read_log(path, **options)


class TestTwoReadings:
    """Each names both readings and the option that says which; with it, the log is read."""

    def test_day_or_month(self, tmp_path):
        row = lambda t, k: f"{t:%d/%m/%Y %H:%M},21,60"  # noqa: E731
        start = dt.datetime(2026, 4, 3)
        with pytest.raises(TerralabError, match=r"3 April 2026 or 4 March 2026|4 March 2026 or 3 April 2026") as caught:
            log_of(tmp_path, "time,temp,rh", row, 40, start=start)
        assert "day_first=True" in str(caught.value)
        assert log_of(tmp_path, "time,temp,rh", row, 40, start=start, day_first=True).first_day == dt.date(2026, 4, 3)
        assert log_of(tmp_path, "time,temp,rh", row, 40, start=start, day_first=False).first_day == dt.date(2026, 3, 4)

    def test_two_days_that_follow_each_other_tell(self, tmp_path):
        log = log_of(
            tmp_path, "time,temp,rh", lambda t, k: f"{t:%m/%d/%Y %H:%M},21,60", 60, start=dt.datetime(2026, 4, 3)
        )
        assert log.first_day == dt.date(2026, 4, 3)
        assert "month first, since only so does one day follow the other" in log.understood

    def test_celsius_or_fahrenheit(self, tmp_path):
        row = lambda t, k: f"{t:%Y-%m-%d %H:%M},{44 + k % 3},60"  # noqa: E731
        with pytest.raises(TerralabError, match=r"45 °C, or 45 °F, which is 7\.2 °C") as caught:
            log_of(tmp_path, "time,temp,rh", row)
        assert 'unit="C" or unit="F"' in str(caught.value)
        assert log_of(tmp_path, "time,temp,rh", row, unit="F").sensors["box"].temperature_c[1] == pytest.approx(65 / 9)
        assert log_of(tmp_path, "time,temp,rh", row, unit="C").sensors["box"].temperature_c[1] == 45

    def test_a_comma_in_numbers_or_between_columns(self, tmp_path):
        with pytest.raises(TerralabError, match="21,5"):
            log_of(tmp_path, "time,temp,rh", lambda t, k: f"{t:%Y-%m-%d %H:%M},21,5,60,2")

    def test_a_comma_for_decimals_or_thousands(self, tmp_path):
        row = lambda t, k: f"{t:%Y-%m-%d %H:%M};21,5;60,2;{'1,200' if k % 3 else '0'}"  # noqa: E731
        with pytest.raises(TerralabError, match=r"can be 1.200 or 1200"):
            log_of(tmp_path, "time;temp;rh;lamp mW", row, devices={"lamp": ("lamp mW", "1500 W")})

    def test_percent_or_watts(self, tmp_path):
        row = lambda t, k: f"{t:%Y-%m-%d %H:%M},21,60,{24 if 8 <= t.hour < 20 else 0}"  # noqa: E731
        with pytest.raises(TerralabError, match="percent or watts") as caught:
            log_of(tmp_path, "time,temp,rh,lamp", row, devices={"plant light": "lamp"})
        assert '("lamp", "24 W")' in str(caught.value)
        for full, load in (("24 W", 1.0), ("100 %", 0.24)):
            log = log_of(tmp_path, "time,temp,rh,lamp", row, devices={"plant light": ("lamp", full)})
            assert log.devices["plant light"].max() == pytest.approx(load)

    def test_which_of_two_sensors(self, tmp_path):
        row = lambda t, k: f"{t:%Y-%m-%d %H:%M},21,60,19,40"  # noqa: E731
        with pytest.raises(TerralabError, match='"1": "box"') as caught:
            log_of(tmp_path, "time,temp 1,rh 1,temp 2,rh 2", row)
        assert "Temp" not in str(caught.value)
        log = log_of(tmp_path, "time,temp 1,rh 1,temp 2,rh 2", row, sensors={"1": "box high", "2": "leave out"})
        assert set(log.sensors) == {"box high"}

    def test_weather_stations_call_the_room_indoor(self, tmp_path):
        """Indoor may be the room or the box, outdoor the room or the garden."""
        with pytest.raises(TerralabError, match="Where some sensors hang is not clear"):
            log_of(
                tmp_path,
                "time,indoor temp,indoor rh,outdoor temp,outdoor rh",
                lambda t, k: f"{t:%Y-%m-%d %H:%M},21,60,9,80",
            )

    def test_utc_or_the_clock_on_the_wall(self, tmp_path):
        row = lambda t, k: f"{t:%Y-%m-%dT%H:%MZ},21,60"  # noqa: E731
        with pytest.raises(TerralabError, match='time_zone="Europe/Berlin"'):
            log_of(tmp_path, "time,temp,rh", row)
        log = log_of(tmp_path, "time,temp,rh", row, time_zone="America/New_York")
        assert log.times[0] == np.datetime64("2026-04-30T20:00")
        assert "4 hours behind UTC" in log.understood

    def test_twelve_hours_without_am_and_pm(self, tmp_path):
        with pytest.raises(TerralabError, match="without am or pm"):
            log_of(tmp_path, "time,temp,rh", lambda t, k: f"{t:%Y-%m-%d %I:%M},21,60")

    def test_times_of_day_without_dates(self, tmp_path):
        with pytest.raises(TerralabError, match='first_date="2026-05-01"'):
            log_of(tmp_path, "time,temp,rh", lambda t, k: f"{t:%H:%M},21,60")

    def test_dates_without_times(self, tmp_path):
        with pytest.raises(TerralabError, match="no column holds the time of day"):
            log_of(tmp_path, "date,temp,rh", lambda t, k: f"{t:%Y-%m-%d},21,60", step_min=1440)

    def test_names_that_say_nothing(self, tmp_path):
        with pytest.raises(TerralabError, match=r'columns=\{"its name": "temperature"\}'):
            log_of(tmp_path, "time,a,b", lambda t, k: f"{t:%Y-%m-%d %H:%M},21,60")

    def test_dew_point_alone(self, tmp_path):
        with pytest.raises(TerralabError, match="only with the temperature"):
            log_of(tmp_path, "time,dew point C", lambda t, k: f"{t:%Y-%m-%d %H:%M},12")


class TestHumidityWorkedOut:
    """Against an independent library's dew point and vapour density; it knows frost points below 0 °C, so these are left aside."""

    AIR = [(20 + k % 15, 35 + k % 60) for k in range(200)]  # noqa: RUF012

    @pytest.mark.parametrize(("head", "of"), [
        ("dew point C", lambda c, h: dew_point_c(c, h)), ("absolute humidity g/m3", lambda c, h: 1000 * vapour_density_kg_m3(c, h)),
    ])  # fmt: skip
    def test_it_is_the_humidity_that_was_there(self, tmp_path, head, of):
        made = lambda t, k: f"{t:%Y-%m-%d %H:%M},{self.AIR[k][0]},{of(*self.AIR[k]):.5f}"  # noqa: E731
        held = log_of(tmp_path, f"time,temp C,{head}", made).sensors["box"].humidity
        np.testing.assert_allclose(held, [h for _, h in self.AIR], rtol=2e-3)


def wall(zone_rows: list[tuple[dt.datetime, int]], tmp_path, form: str = "%Y-%m-%d %H:%M", **options) -> tl.Log:
    path = tmp_path / "log.csv"
    path.write_text("time,temp,rh\n" + "".join(f"{t:{form}},{20 + k % 7},{60 + k % 9}\n" for t, k in zone_rows))
    return tl.read_log(path, **options)


class TestSummerTime:
    """Times go by the clock that stood on the wall at the first row: even, whatever the logger's clock did."""

    @staticmethod
    def rows(first_utc: dt.datetime, step_min: int = 15, days: int = 3) -> list[tuple[dt.datetime, int]]:
        import zoneinfo

        berlin = zoneinfo.ZoneInfo("Europe/Berlin")
        n = days * 1440 // step_min
        every = [(first_utc + dt.timedelta(minutes=step_min * k)).replace(tzinfo=dt.UTC) for k in range(n)]
        return [(t.astimezone(berlin), k) for k, t in enumerate(every)]

    @pytest.mark.parametrize("options", [{}, {"time_zone": "Europe/Berlin"}], ids=["unsaid", "zone said"])
    @pytest.mark.parametrize(("first", "local"), [
        (dt.datetime(2026, 10, 23, 22), "2026-10-24T00:00"), (dt.datetime(2026, 3, 27, 23), "2026-03-28T00:00")
    ], ids=["autumn", "spring"])  # fmt: skip
    def test_a_logger_that_is_set_with_the_clocks_gives_even_times(self, tmp_path, options, first, local):
        log = wall(self.rows(first), tmp_path, **options)
        assert (np.diff(log.times).astype(int) == 900).all()
        assert log.times[0] == np.datetime64(local)
        assert "an hour within the log" in log.understood

    @pytest.mark.parametrize("form", ["%Y-%m-%dT%H:%M%z", "%Y-%m-%dT%H:%M %Z"])
    def test_offsets_in_the_rows_tell(self, tmp_path, form):
        log = wall(self.rows(dt.datetime(2026, 10, 23, 22)), tmp_path, form)
        assert (np.diff(log.times).astype(int) == 900).all()
        assert log.times[0] == np.datetime64("2026-10-24T00:00")

    @pytest.mark.parametrize("first", [dt.datetime(2026, 10, 23, 22), dt.datetime(2026, 3, 27, 23)])
    def test_a_logger_in_utc_gives_the_same(self, tmp_path, first):
        utc = [(t.astimezone(dt.UTC), k) for t, k in self.rows(first)]
        even = wall(utc, tmp_path, "%Y-%m-%dT%H:%MZ", time_zone="Europe/Berlin")
        again = wall(self.rows(first), tmp_path)
        np.testing.assert_array_equal(even.times, again.times)
        apart = wall(utc, tmp_path, time_zone="Europe/Berlin", log_zone="UTC")
        np.testing.assert_array_equal(even.times, apart.times)

    @pytest.mark.parametrize("first", [dt.datetime(2026, 10, 24), dt.datetime(2026, 3, 28)])
    def test_a_logger_that_knows_no_summer_time_is_left_as_it_is(self, tmp_path, first):
        rows = [(first + dt.timedelta(minutes=15 * k), k) for k in range(288)]
        log = wall(rows, tmp_path, time_zone="Europe/Berlin")
        np.testing.assert_array_equal(log.times, np.array([t for t, _ in rows], dtype="datetime64[s]"))
        assert "did not follow" in log.understood

    def test_timers_that_follow_keep_the_wall_clock_and_its_double_hour_once(self, tmp_path):
        rows = self.rows(dt.datetime(2026, 10, 23, 22))
        for made, options in (
            ("%Y-%m-%d %H:%M", {}),
            ("%Y-%m-%dT%H:%M%z", {}),
            ("%Y-%m-%d %H:%M", {"time_zone": "Europe/Berlin"}),
        ):
            log = wall(rows, tmp_path, made, timers_shift=True, **options)
            assert len(log.times) == 288 - 4
            assert log.times[-1] == np.datetime64("2026-10-26T22:45")
            assert "kept once (4 rows left out)" in log.understood

    def test_a_gap_of_an_hour_on_another_day_is_a_gap(self, tmp_path):
        rows = [(START + dt.timedelta(minutes=15 * k + (60 if k > 100 else 0)), k) for k in range(288)]
        log = wall(rows, tmp_path)
        assert np.diff(log.times).astype(int).max() == 4500


class TestOddReadings:
    def test_what_no_air_has_is_left_out_and_counted(self, tmp_path):
        log = log_of(
            tmp_path, "time,temp,rh", lambda t, k: f"{t:%Y-%m-%d %H:%M},{850 if k == 5 else 21},{-5 if k == 9 else 60}"
        )
        box = log.sensors["box"]
        assert np.isnan(box.temperature_c[5])
        assert np.isnan(box.humidity[9])
        assert "2 readings that no air has" in log.understood

    def test_humidity_of_99_and_more_counts_as_that_at_least(self, tmp_path):
        log = log_of(tmp_path, "time,temp,rh", lambda t, k: f"{t:%Y-%m-%d %H:%M},21,{min(99.9, 90 + k / 10):.1f}")
        box = log.sensors["box"]
        np.testing.assert_array_equal(box.at_least, box.humidity >= 99)
        assert "99 % or above in 55 % of the rows and counts there as that at least" in log.understood

    def test_a_sensor_that_ends_below_99_is_seen(self, tmp_path):
        wave = lambda k: min(95.0, 88 + 12 * np.sin(k / 9))  # noqa: E731
        log = log_of(tmp_path, "time,temp,rh", lambda t, k: f"{t:%Y-%m-%d %H:%M},21,{wave(k):.1f}")
        np.testing.assert_array_equal(log.sensors["box"].at_least, log.sensors["box"].humidity == 95)

    def test_a_box_that_is_steadily_damp_is_no_sensor_at_its_end(self, tmp_path):
        chance = np.random.default_rng(3)
        log = log_of(tmp_path, "time,temp,rh", lambda t, k: f"{t:%Y-%m-%d %H:%M},21,{95 + chance.normal(0, 0.4):.0f}")
        assert not log.sensors["box"].at_least.any()

    def test_more_than_100_is_100_at_least(self, tmp_path):
        box = log_of(tmp_path, "time,temp,rh", lambda t, k: f"{t:%Y-%m-%d %H:%M},21,{104 if k % 2 else 80}").sensors[
            "box"
        ]
        assert box.humidity.max() == 100
        assert box.at_least.sum() == 100

    def test_a_frozen_sensor_is_named_and_left_out(self, tmp_path):
        def row(t, k):
            c, h = 21 + 4 * np.sin(k / 7.6), 60 + 9 * np.cos(k / 7.6)
            return f"{t:%Y-%m-%d %H:%M},{c:.1f},{63.2 if 60 <= k < 120 else h:.1f}"

        log = log_of(tmp_path, "time,temp,rh", row)
        held = log.sensors["box"].humidity
        assert np.isnan(held[60:120]).all()
        assert np.isfinite(held[:60]).all()
        assert (
            "the humidity stood still for 29.5 hours from 2 May 2026 06:00 while others moved, and was left out"
            in log.understood
        )

    @pytest.mark.parametrize(("reads", "kept"), [("55", False), ("95", True)])
    def test_one_single_humidity_for_days_of_moving_warmth_is_no_coarse_step(self, tmp_path, reads, kept):
        """Air that is not steadily wet never keeps its humidity while it warms and cools by many kelvin; a shut wet jar may."""

        def row(t, k):
            return f"{t:%Y-%m-%d %H:%M},{21 + 4 * np.sin(k / 7.6):.1f},{reads}"

        if kept:
            assert np.isfinite(log_of(tmp_path, "time,temp,rh", row, rows=14 * 48).sensors["box"].humidity).all()
            return
        with pytest.raises(TerralabError, match=r'"rh".*55 %.*seems stuck.*leave out'):
            log_of(tmp_path, "time,temp,rh", row, rows=14 * 48)
        rest = log_of(tmp_path, "time,temp,rh", row, rows=14 * 48, columns={"rh": "leave out"})
        assert np.isfinite(rest.sensors["box"].temperature_c).all()

    def test_a_coarse_sensor_that_got_stuck_is_left_out_from_then_on(self, tmp_path):
        def row(t, k):
            damp = 5 * round((60 + 12 * np.cos(k / 7.6)) / 5) if k < 200 else 55
            return f"{t:%Y-%m-%d %H:%M},{21 + 4 * np.sin(k / 7.6):.1f},{damp}"

        log = log_of(tmp_path, "time,temp,rh", row, rows=14 * 48)
        assert np.isfinite(log.sensors["box"].humidity[:190]).all()
        assert np.isnan(log.sensors["box"].humidity[200:]).all()
        assert "left out: the sensor seems stuck" in log.understood

    def test_a_coarse_sensor_that_steps_at_times_is_kept(self, tmp_path):
        def row(t, k):
            return f"{t:%Y-%m-%d %H:%M},{21 + 4 * np.sin(k / 7.6):.1f},{55 if k % 130 < 120 else 60}"

        log = log_of(tmp_path, "time,temp,rh", row, rows=14 * 48)
        assert np.isfinite(log.sensors["box"].humidity).all()

    def test_a_steady_jar_is_not_frozen(self, tmp_path):
        log = log_of(tmp_path, "time,temp,rh", lambda t, k: f"{t:%Y-%m-%d %H:%M},21.5,87.5")
        assert "stood still" not in log.understood
        assert np.isfinite(log.sensors["box"].humidity).all()

    def test_gaps_are_told(self, tmp_path):
        log = log_of(tmp_path, "time,temp,rh", lambda t, k: "" if 50 <= k < 90 else f"{t:%Y-%m-%d %H:%M},21,60")
        assert log.missing_share == pytest.approx(0.2)
        assert "20.0 % of the rows are missing, the longest gap is 20.5 hours from 2 May 2026 00:30" in log.understood

    def test_a_logger_that_writes_when_it_likes_misses_nothing(self, tmp_path):
        chance = np.random.default_rng(2)
        late = chance.uniform(0, 25, 200)
        log = log_of(
            tmp_path, "time,temp,rh", lambda t, k: f"{t + dt.timedelta(minutes=late[k]):%Y-%m-%d %H:%M:%S},21,60"
        )
        assert log.missing_share < 0.01

    def test_hours_of_their_own_beside_the_date(self, tmp_path):
        log = log_of(tmp_path, "date,hour,temp,rh", lambda t, k: f"{t:%Y-%m-%d},{t.hour},21,60", step_min=60)
        assert (np.diff(log.times).astype(int) == 3600).all()

    def test_a_clock_that_lost_the_date_costs_only_its_rows(self, tmp_path):
        log = log_of(
            tmp_path, "time,temp,rh", lambda t, k: f"{dt.datetime(2000, 1, 1) if k == 3 else t:%Y-%m-%d %H:%M},21,60"
        )
        assert log.first_day == START.date()
        assert "1 row months away from the rest" in log.understood

    def test_same_time_other_reading_is_counted(self, tmp_path):
        log = log_of(tmp_path, "time,temp,rh", lambda t, k: f"{t:%Y-%m-%d %H:%M},21,60\n{t:%Y-%m-%d %H:%M},22,60")
        assert (log.sensors["box"].temperature_c == 21).all()
        assert "200 rows whose time was there already (200 with other readings)" in log.understood


class TestDevices:
    @pytest.mark.parametrize(
        ("on", "off"), [("on", "off"), ("1", "0"), ("TRUE", "FALSE"), ("an", "aus"), ("100 %", "0 %"), ("1.0", "0.0")]
    )
    def test_words_and_shares(self, tmp_path, on, off):
        log = log_of(
            tmp_path, "time,temp,rh,Lamp", lambda t, k: f"{t:%Y-%m-%d %H:%M},21,60,{on if 8 <= t.hour < 20 else off}", devices={"plant light": "lamp"}
        )  # fmt: skip
        hours = np.array([8 <= moment.item().hour < 20 for moment in log.times])
        np.testing.assert_array_equal(log.devices["plant light"], hours.astype(float))
        assert '"plant light" from "Lamp"' in log.understood

    def test_the_column_of_a_lamp_is_no_sensor(self, tmp_path):
        row = lambda t, k: f"{t:%Y-%m-%d %H:%M},21,60,{50 if k % 2 else 0}"  # noqa: E731
        log = log_of(tmp_path, "time,temp,rh,fan %", row, devices={"fan": "fan %"})
        assert set(log.devices) == {"fan"}
        assert log.devices["fan"].max() == 0.5


class TestSpreadsheetsAndTables:
    def book(self, path, sheets: dict[str, list[list]]) -> None:
        book = openpyxl.Workbook()
        book.remove(book.active)
        for title, rows in sheets.items():
            sheet = book.create_sheet(title)
            for row in rows:
                sheet.append(row)
        book.save(path)

    def rows(self, kind: str) -> list[list]:
        every = [START + dt.timedelta(minutes=30 * k) for k in range(100)]
        head = [["Serial", "17"], [], ["Time", "Temp (°C)", "RH (%)"]]
        if kind == "date and time apart":
            return [["Date", "Time", "Temp", "RH"], *([t.date(), t.time(), 21.5, 60.25] for t in every)]
        return head + [[t if kind == "dates" else f"{t:%d.%m.%Y %H:%M}", 21.5, 60.25] for t in every]

    @pytest.mark.parametrize("kind", ["dates", "texts", "date and time apart"])
    def test_a_spreadsheet_is_read_like_a_text(self, tmp_path, kind):
        path = tmp_path / "log.xlsx"
        self.book(path, {"About": [["Logger 9"], ["made by nobody"]], "Data": self.rows(kind)})
        log = tl.read_log(path)
        assert len(log.times) == 100
        assert log.times[1] == np.datetime64("2026-05-01T00:30")
        assert (log.sensors["box"].humidity == 60.25).all()

    def test_days_that_a_spreadsheet_took_for_months_are_noticed(self, tmp_path):
        """3 May became 5 March, 13 May stayed a text."""
        every = [START + dt.timedelta(hours=3 * k) for k in range(200)]
        turned = [t.replace(month=t.day, day=t.month) if t.day <= 12 else f"{t:%d/%m/%Y %H:%M}" for t in every]
        self.book(tmp_path / "log.xlsx", {"a": [["time", "temp", "rh"], *([t, 21.5, 60] for t in turned)]})
        with pytest.raises(TerralabError, match="exchanged day and month"):
            tl.read_log(tmp_path / "log.xlsx")

    def test_percent_cells(self, tmp_path):
        book = openpyxl.Workbook()
        book.active.append(["time", "temp", "humidity"])
        for k in range(50):
            book.active.append([START + dt.timedelta(hours=k), 21.5, 0.655])
            book.active.cell(k + 2, 3).number_format = "0.0%"
        book.save(tmp_path / "log.xlsx")
        assert (tl.read_log(tmp_path / "log.xlsx").sensors["box"].humidity == 65.5).all()

    def test_two_sheets_of_readings_are_asked_about(self, tmp_path):
        path = tmp_path / "log.xlsx"
        self.book(path, {"May": self.rows("dates"), "June": self.rows("dates")})
        with pytest.raises(TerralabError, match='sheet="May"'):
            tl.read_log(path)
        assert len(tl.read_log(path, sheet="June").times) == 100
        with pytest.raises(UnknownName, match="July"):
            tl.read_log(path, sheet="July")

    @pytest.mark.parametrize("zone", [None, "Europe/Berlin"])
    def test_a_table_of_pandas(self, zone):
        times = pandas.date_range("2026-05-01", periods=100, freq="30min", tz=zone)
        frame = pandas.DataFrame({"temp": 21.5, "rh": 60.25}, index=times)
        for one in (
            frame,
            frame.reset_index(names="time"),
            frame.reset_index(names="time").astype({"temp": "float32"}),
        ):
            log = tl.read_log(one, place="room")
            assert set(log.sensors) == {"room"}
            assert log.times[1] == np.datetime64("2026-05-01T00:30")
            assert (log.sensors["room"].temperature_c == 21.5).all()

    def test_two_rows_of_names(self):
        times = pandas.date_range("2026-05-01", periods=50, freq="h")
        names = pandas.MultiIndex.from_product([["box", "room"], ["temp", "rh"]])
        log = tl.read_log(pandas.DataFrame([[21, 80, 19, 45]] * 50, index=times, columns=names))
        assert set(log.sensors) == {"box", "room"}


class TestFiles:
    def test_no_such_file(self, tmp_path):
        with pytest.raises(FileError, match="There is no file"):
            tl.read_log(tmp_path / "none.csv")
        with pytest.raises(FileError, match="is a folder"):
            tl.read_log(tmp_path)

    @pytest.mark.parametrize(("content", "said"), [
        (b"", "empty"), (b"\x00" * 5000, "empty"), (b"\xd0\xcf\x11\xe0" + b"x" * 100, "Save it as .xlsx"), (b"\x1f\x8bxxxx", "Unpack"),
        (bytes(range(256)) * 20, "not a text file"), (b"\x89PNG\r\n\x1a\n" + bytes(range(256)), "not a text file"), (b"hello world\n", "no rows"),
        (b"PK\x03\x04 no zip", "cannot be read as a spreadsheet"),
    ])  # fmt: skip
    def test_what_is_no_log_is_refused(self, tmp_path, content, said):
        (tmp_path / "log.csv").write_bytes(content)
        with pytest.raises(TerralabError, match=said):
            tl.read_log(tmp_path / "log.csv")

    def test_a_header_without_rows(self, tmp_path):
        with pytest.raises(TerralabError, match="no rows with a time and a reading"):
            log_of(tmp_path, "time,temp,rh", lambda t, k: "", 3)

    @pytest.mark.parametrize(("option", "bad"), [
        ("sensors", {"nothing like it": "box"}), ("sensors", {"temp": "attic"}), ("columns", {"temp": "wind"}), ("columns", {"wind": "temperature"}),
        ("devices", {"lamp": "wind"}), ("devices", {"lamp": 3}), ("time_zone", "Berlin"), ("separator", "comma "), ("place", "attic"),
    ])  # fmt: skip
    def test_options_that_name_nothing(self, tmp_path, option, bad):
        with pytest.raises(TerralabError):
            log_of(tmp_path, "time,temp,rh", lambda t, k: f"{t:%Y-%m-%d %H:%M},21,60", **{option: bad})
