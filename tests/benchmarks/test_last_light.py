"""What a simulated frame costs, and a whole last minute beside the time it lasts."""

from concurrent.futures import ThreadPoolExecutor
from datetime import date
from time import perf_counter

from lowsun.fieldwork import exposures, frame
from lowsun.fieldwork.camera import Camera
from lowsun.phenomena import flash_light, low_sun
from lowsun.phenomena.evening import evening
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import HAZE
from lowsun.physics.medium import Air
from lowsun.scenes import catalogue, where_to_stand
from lowsun.sky import Place
from timing import median_ms, report

CAMERA = Camera(400.0, 5.6, 4.0, (6000, 4000), filter_density=1.8)
CLIFF = evening(
    Place("the lighthouse", 52.1, -10.4, 95.0), date(2027, 3, 20), Atmosphere.standard()
)
FRAMES_PER_S = 10


def shot(seconds=-200.0, exposure_s=1 / 8000):
    sun = CLIFF.sun(seconds)
    return frame.expose(CLIFF.curve, sun.true_altitude_deg, CAMERA, exposure_s)


def test_frame_of_1500_by_1000_pixels():
    taken = median_ms(shot, repeats=5)
    developed = median_ms(lambda: shot().rgb, repeats=5)
    report("camera frame 1500 x 1000 x 24", raw_ms=taken, developed_ms=developed)
    assert shot().rgb.shape == (1000, 1500, 3)


def test_last_minute_at_ten_frames_a_second():
    # Every tenth frame of the minute, two at a time: the eye's picture and the developed frame.
    def both(seconds):
        sun = CLIFF.sun(seconds)
        low_sun.picture(CLIFF.curve, sun.true_altitude_deg)
        return shot(seconds).rgb

    instants = range(-60, 0)
    begins = perf_counter()
    with ThreadPoolExecutor(2) as pool:
        frames = list(pool.map(both, instants))
    spent_s = perf_counter() - begins
    report(
        "last minute, eye and camera, two threads",
        ms_a_frame=1e3 * spent_s / len(frames),
        of_real_time=len(frames) / FRAMES_PER_S / spent_s,
    )
    assert len(frames) == 60


def test_light_of_the_last_minute_and_ladder():
    sun = CLIFF.sun([-60 + k * 0.25 for k in range(260)]).true_altitude_deg
    report(
        "last light",
        sliver_260_instants_ms=median_ms(lambda: flash_light.sliver(CLIFF.curve, sun), 3),
        ladder_ms=median_ms(lambda: exposures.ladder(CAMERA, exposures.subjects(CLIFF)), 3),
    )
    assert sun.size == 260


def test_where_to_stand_beside_its_draft():
    # Thirty heights for an inversion of 2 K, and half of them while a hand moves.
    case = (
        Air(Atmosphere.standard().with_inversion(40.0, 40.0, 2.0), HAZE["clear"]),
        catalogue.INSTRUMENTS["the naked eye"],
    )
    where_to_stand.sketch(*case)  # the sky's table is made once for each haze
    whole_ms, draft_ms = (
        median_ms(lambda search=search: search(*case), 3)
        for search in (where_to_stand.search, where_to_stand.sketch)
    )
    report("where to stand", whole_ms=whole_ms, draft_ms=draft_ms, ratio=whole_ms / draft_ms)
    assert where_to_stand.search(*case).seen.is_seen
