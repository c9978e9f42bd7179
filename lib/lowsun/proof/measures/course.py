"""The Sun's course: where it stands, how fast it sinks, when it is gone."""

from datetime import UTC, date, datetime, timedelta

from lowsun.phenomena.polar_sunset import contacts, nearest_passage
from lowsun.proof.measures.register import measure
from lowsun.sky import Place, bodies, sun, sunset

HOUR = timedelta(hours=1)


@measure("true altitude of the Sun", "°")
def sun_altitude_deg(latitude_deg, longitude_deg, utc):
    return sun(Place("there", latitude_deg, longitude_deg), _instant(utc)).true_altitude_deg


@measure("azimuth of the Sun", "°")
def sun_azimuth_deg(latitude_deg, longitude_deg, utc):
    return sun(Place("there", latitude_deg, longitude_deg), _instant(utc)).azimuth_deg


@measure("true altitude of another body", "°")
def body_altitude_deg(body, latitude_deg, longitude_deg, utc):
    seen = bodies(Place("there", latitude_deg, longitude_deg), _instant(utc))
    return next(each.true_altitude_deg for each in seen if each.name == body)


@measure("sunset, the centre at −50′, in seconds of the UTC day", "s")
def sunset_s(latitude_deg, longitude_deg, day):
    found = sunset(Place("there", latitude_deg, longitude_deg), date.fromisoformat(day)).almanac
    return (found - _instant(f"{found:%Y-%m-%d}")).total_seconds()


@measure("sunset at the South Pole, in hours of 22 March UTC", "h")
def south_pole_sunset_h(year):
    return (contacts(-90, date(int(year), 3, 22)).almanac - _instant(f"{year:.0f}-03-22")) / HOUR


@measure("speed of sinking at altitude 0", "″/s")
def sinking_arcsec_per_s(latitude_deg, day):
    place = Place("there", latitude_deg, 0)
    level = nearest_passage(place, _instant(day) + 12 * HOUR, 0.0, later=True)
    return -sun(place, level).vertical_speed_arcsec_per_s


@measure("time the disc takes to set", "s")
def disc_s(latitude_deg, day):
    return contacts(latitude_deg, date.fromisoformat(day)).length_s


@measure("time the disc takes to set at a pole", "h")
def polar_disc_h(latitude_deg, day):
    return disc_s(latitude_deg, day) / 3600.0


def _instant(text):
    return datetime.fromisoformat(text).replace(tzinfo=UTC)
