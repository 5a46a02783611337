"""A user's file, read by the type checker and never run: every public name in use, then slips that must be reported.

A slip carries a `type: ignore` with the kind of report it must get. The checker complains of an ignore that nothing
needed, so a slip that goes unseen fails the check.
"""

from __future__ import annotations

from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import assert_type

import numpy as np
import numpy.typing as npt

import terralab as tl
from terralab import show
from terralab.answers.drainage.gap import gap_and_humidity


def box_and_files() -> tl.Box:
    first: str = tl.demos()[0]
    box = assert_type(tl.load(first), tl.Box)
    assert_type(tl.loads(tl.dumps(box)), tl.Box)
    assert_type(tl.load(Path("my-box.toml")), tl.Box)
    assert_type(tl.save(box, "my-box.toml", overwrite=True), Path)
    print(box.describe().upper(), box.name, box.enclosure.width_cm, box.room.now, box.routine.pours[0].amount_ml)
    soil = tl.materials.get("substrates", "fine coir mix")
    assert_type(soil.typical("theta_s"), float)
    print(tl.materials.tables(), tl.materials.names("substrates"), tl.materials.GRADES["S"], soil["ks"].source)
    print(tl.__version__.split("."))
    return assert_type(box.change(**{"room.temperature": "18 C", "enclosure.openings.lid.covered": 0.5}), tl.Box)


def own_log() -> None:
    diary = assert_type(tl.read_diary("my-diary.csv", day_first=True, usual_time="18:00"), tl.Diary)
    print(diary.understood, [(one.when, one.what, one.amount) for one in diary.of("poured", "sprayed")])
    found = assert_type(tl.salt_test(["table salt", "magnesium chloride"], ["78 %", 34], "21 C", 24), tl.SaltTest)
    assert_type(found.offset_at(50.0), tuple[float, float])
    print(found.offset, found.error, found.slope, *found.lines())


def runs(box: tl.Box) -> tl.Record:
    record = assert_type(tl.simulate(box, days=3, season="winter", overrides={"leakage.ach": "high"}), tl.Record)
    assert_type(tl.simulate(box, 0.5, start=record, events=[tl.Event("day 4 02:00", 3.25, "power off")]), tl.Record)
    print(record.ran_dry_h)
    measured = tl.Start("dry", air_humidity=70.0, readings=(tl.Reading(depth_cm=5.0, suction_kpa=8.0),))
    assert_type(tl.simulate(box, 0.5, start=measured).box_at(), tl.Box)
    jobs = [tl.Job(box, 3), tl.Job(box, 3, overrides={"leakage.ach": 0.5, "mesh exchange.factor": "low"})]
    assert_type(tl.run_many(jobs), list[tl.Record])
    assert_type(tl.run_many(jobs, threads=1, failed="none"), list[tl.Record | None])
    with ThreadPoolExecutor(2) as pool:
        assert_type(tl.run_many(jobs, executor=pool, failed="error"), list[tl.Record | tl.TerralabError])
    damp: npt.NDArray[np.float64] = record.series["relative humidity %"]
    print(damp.mean(), record.soil_water[-1], record.air_space.min(), record.depth_cm, record.times_h, record.table())
    assert_type(record.closure_water, float)
    assert_type(record.water_budget().closure, float)
    assert_type(record.save("run.npz", overwrite=True), Path)
    return assert_type(tl.Record.load("run.npz"), tl.Record)


def answers(box: tl.Box) -> None:
    water = assert_type(tl.daily_water(box, members=16), tl.Answer)
    assert_type(water.value, float | None)
    misted = tl.mister(box, "winter", 7, nozzles=2, nozzle_ml_min=60.0)
    for each in (tl.first_soak(box), tl.fan_schedules(box, animals_g=20.0), tl.drainage(box), tl.rescue(box), misted):
        print(
            assert_type(each, tl.Answer).low, each.high, each.unit, each.reason, each.to_dict()["seasons"], each.json()
        )
    ahead = assert_type(tl.forecast(box, 14, "winter", start="run.npz", events=[tl.Event(3, 5, "no hand")]), tl.Answer)
    show.save(show.forecast_picture(ahead))
    print(tl.difference(water, tl.daily_water(box)).value + 1.0)
    alone = assert_type(tl.away(box, 21, "summer", [7, 14]), tl.Answer)
    assert_type(show.save_report(show.helper_page(alone), "sheet.html"), Path)
    show.save(show.away_picture(alone))
    print(assert_type(tl.fails(box, ("now", "winter"), mains_h=6.0, members=4), tl.Answer).details["alarms"])
    read = tl.normal(
        box, "82 % 23 C", "2026-08-05 21:30", place="box low", room="20 C 45 %", season="winter", members=16
    )
    print(assert_type(read, tl.Answer).details["standing"])
    changed = tl.normal_log(box, tl.read_log("box.csv"), room=tl.read_log("room.csv", place="room"), members=16)
    print(assert_type(changed, tl.Answer).details["began"])
    shares: Mapping[str, float] = tl.sensitivities(box, "water", samples=64).total
    everything = assert_type(tl.all_answers(box, step=lambda number, of, question: print(question)), tl.Answers)
    for one in everything.each:
        print(assert_type(one, tl.Answer).sentences, shares)
    if everything.water is not None and everything.water.record is not None:
        show.save(show.water_picture(everything.water.record, everything.water))
    assert_type(show.save_report(show.report_page(everything), "page.html"), Path)


def learned_from_it(box: tl.Box) -> tl.Box:
    files = assert_type(tl.demo_log(), dict[str, Path])
    salt = assert_type(tl.salt_test("table salt", "79 %", "21 C", 14), tl.SaltTest)
    log = assert_type(tl.read_log(files["log"], day_first=True), tl.Log)
    mine = assert_type(tl.learn(box, log, diary=files["diary"], salts=salt, bank=64), tl.Learned)
    print(tl.learn(box, "log.csv", room=Path("room.csv"), salts={"box": salt}, progress=print).value, mine.text("why"))
    show.save(show.learned_picture(mine, ["log", "ranges"]))
    if mine.fit is None or mine.box is None:
        return box
    print(mine.fit.results["loss"].width_left, mine.fit.refusals)
    return assert_type(mine.box, tl.Box)


def logs() -> tl.Log:
    log = assert_type(tl.read_log("hygrometer.csv", place="box", unit="F", day_first=True), tl.Log)
    lamps: dict[str, str | tuple[str, str]] = {"plant light": "lamp", "fan": ("fan", "2 W")}
    tl.read_log(
        Path("two.xlsx"), sensors={"1": "box high", "2": None}, devices=lamps, sheet="May", time_zone="Europe/Berlin"
    )
    damp = log.sensors["box"].humidity
    print(
        log.understood.upper(), log.first_day.year, log.days + 1.0, log.hours[-1], None if damp is None else damp.mean()
    )
    return log


def soil_alone() -> None:
    loam = tl.Soil(theta_r=0.078, theta_s=0.43, alpha_per_m=3.6, n=1.56, ks_m_per_s=2.89e-6)
    drawn = tl.ExponentialSoil(theta_r=0.05, theta_s=0.4, alpha_per_m=5.0, ks_m_per_s=1e-5)
    assert_type(loam.water_content(-1.0), float)
    heads = np.array([-1.0, -2.0])
    print(drawn.conductivity(heads).shape, tl.Soil.from_material("loam topsoil").theta_s + 1.0)
    column = tl.Column([("fine coir mix", 10), (loam, 5.0), (drawn, 2)], cell_cm=0.25, start_head_cm=-30)
    run = column.run(hours=6, top_flux_mm_per_h=[(0, 60), (0.25, 0)], bottom="seepage face")
    print(run.entered_mm[-1], run.to_frame(), assert_type(column.after(run), tl.Column).layers[0][0].theta_s)


def pictures(box: tl.Box, record: tl.Record, answer: tl.Answer) -> None:
    drawn = [show.week_picture(record, days=3), show.section_picture(record, look="air"), show.fans_picture(answer)]
    drawn += [show.sections_picture({"now": record}), show.fan_day(answer)]
    drawn += [show.lid_picture(answer), show.courses_picture({"now": record}, 12, 15)]
    drawn += [show.mister_picture(answer), show.fails_picture(answer)]
    drawn += [
        show.members_picture(answer, weighed_ml=(90.0, 130.0)),
        show.measure_picture(answer),
        show.budget_picture(answer.budget_ml_per_day, box.name),
    ]
    drawn += [show.retention_picture({}, {}), show.front_picture(record.depth_cm, record.depth_cm, ([0.0], [0.0]))]
    drawn += [show.balance_picture([60.0], {"mixed": [1.0]}, ([60.0], [1.0]))]
    drawn += [show.drying_picture(record.times_h, record.times_h, {"computed": record.times_h})]
    drawn += [
        show.suction_picture(box),
        show.suction_picture(record),
        show.suction_picture("fine coir mix", depth_cm=12),
    ]
    drawn += [show.gap_picture(gap_and_humidity(box, days=7))]
    print(show.suction_panel(box).move(level=3).words)
    print([picture.alt.upper() for picture in drawn], show.section_film(record, frames=4))
    for panel in (
        show.lid_panel,
        show.start_panel,
        show.water_panel,
        show.fans_panel,
        show.drainage_panel,
        show.sure_panel,
    ):
        panel(box)
        panel("fern-hollow")
    asked = show.guess("Which is damper?", ["the jar", "the box"], lambda: [answer, drawn[0]], right="the jar")
    print(asked.press("the box").shown, show.on_demand("Solution 1", box.describe).press("Solution 1").pressed)


def refusals() -> None:
    try:
        tl.load("no-such-box")
    except (tl.DescriptionError, tl.UnknownName, tl.RunError) as error:
        print(error.args)
    except tl.TerralabError as error:
        print(error)
    print(issubclass(tl.TerralabWarning, UserWarning))


def slips(box: tl.Box, record: tl.Record, answer: tl.Answer) -> None:
    tl.daily_water("fern-hollow")  # type: ignore[arg-type]
    tl.daily_water(box).value + 1.0  # type: ignore[operator]
    tl.simulate(box, "14")  # type: ignore[arg-type]
    tl.simulate(box, day=14)  # type: ignore[call-arg]
    tl.simulate(box).humidity  # type: ignore[attr-defined]
    tl.run_many([box])  # type: ignore[list-item]
    tl.run_many([tl.Job(box)], failed="stop")  # type: ignore[call-overload]
    tl.Job(box, accuracy=1)  # type: ignore[arg-type]
    tl.read_log("log.csv", "room")  # type: ignore[call-arg]
    tl.load(7)  # type: ignore[arg-type]
    tl.save(box)  # type: ignore[call-arg]
    tl.difference(record, record)  # type: ignore[arg-type]
    tl.fan_schedules(box, own=["exchange"])  # type: ignore[arg-type]
    tl.Column("loam topsoil")  # type: ignore[arg-type]
    tl.Column([("loam topsoil", 10)]).run(days="1")  # type: ignore[arg-type]
    tl.Soil(0.078, 0.43, 3.6, 1.56)  # type: ignore[call-arg]
    tl.materials.get("substrates")  # type: ignore[call-arg]
    answer.value = 1.0  # type: ignore[misc]
    record.season = "winter"  # type: ignore[misc]
    show.week_picture(answer)  # type: ignore[arg-type]
    show.water_picture(record, "water")  # type: ignore[arg-type]
    show.measure_picture(record)  # type: ignore[arg-type]
    show.nothing  # type: ignore[attr-defined]
    tl.nothing  # type: ignore[attr-defined]
