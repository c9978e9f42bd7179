"""The twilight sky, the Earth's shadow and the arch."""

from functools import cache

from lowsun.phenomena import earth_shadow
from lowsun.physics.scattering import Air, horizontal_illuminance_lx, illuminance_parts_lx
from lowsun.proof.measures.register import measure

EYE_M = 95.0


@measure("light on level ground", "lx")
def twilight_lx(sun_altitude_deg):
    return horizontal_illuminance_lx(Air(), sun_altitude_deg)


@measure("the sky's share of daylight")
def sky_share(sun_altitude_deg):
    direct, diffuse = illuminance_parts_lx(Air(), sun_altitude_deg)
    return diffuse / (direct + diffuse)


@measure("width of the antitwilight arch", "°")
def arch_width_deg(depression_deg):
    return earth_shadow.seen(Air(), -depression_deg, eye_height_m=EYE_M).pink_width_deg


@measure("depression at which arch and dark segment part most", "°")
def arch_at_its_best_deg():
    return _course().pinkest_deg


@measure("depression at which the dark segment's edge is gone", "°")
def segment_fades_deg():
    return _course().edge_fades_deg


@cache
def _course():
    return earth_shadow.course(Air(), eye_height_m=EYE_M)
