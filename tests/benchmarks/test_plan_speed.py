"""What an evening's plan costs: the evening, its spread, its sheet, and a redraw each second."""

from datetime import date

from lowsun import scenes, sky
from lowsun.fieldwork import plan as planning
from lowsun.fieldwork.camera import Camera
from lowsun.stage.evening_plan.sheet import sheet
from lowsun.stage.player import live
from timing import median_ms, report

LIGHTHOUSE = sky.Place("the lighthouse", 52.1, -10.4, 95.0)
KIT = planning.Kit(Camera(400.0, 5.6, 4.0, (6000, 4000)))
DAY = date(2027, 3, 20)


def test_one_evening_and_its_files():
    plan = planning.plan(LIGHTHOUSE, DAY, kit=KIT)
    one_ms = median_ms(lambda: planning.plan(LIGHTHOUSE, DAY, kit=KIT))
    sunset_ms = median_ms(lambda: sky.sunset(LIGHTHOUSE, DAY))
    airs_ms = median_ms(lambda: planning.spread(LIGHTHOUSE, DAY, count=20))
    sheet_ms = median_ms(lambda: sheet(plan))
    report("an evening's plan [ms]", plan=one_ms, sunset=sunset_ms, sheet=sheet_ms)
    report("its spread [ms]", air=airs_ms / 20)


def test_a_redraw_each_second():
    stage = live(scenes.named("evening_plan"))
    stage.follow()
    each_ms = median_ms(stage._show)
    report("following the clock", ms_a_second=each_ms, percent_of_a_core=each_ms / 10)
