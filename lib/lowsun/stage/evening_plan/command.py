"""`python -m lowsun plan`: its options, and the plan they ask for."""

import argparse
from datetime import date, datetime
from functools import partial
from pathlib import Path

from lowsun.errors import InputError, require_number, require_range
from lowsun.fieldwork import plan as planning
from lowsun.fieldwork import skyline
from lowsun.fieldwork.camera import Camera, density_of_stops
from lowsun.fieldwork.plan.airs import air_over
from lowsun.physics.medium import Air
from lowsun.scenes import catalogue, evenings_words, plan_words, readiness
from lowsun.sky import Place
from lowsun.stage import air_options
from lowsun.stage.arguments import number
from lowsun.stage.evening_plan import preset
from lowsun.stage.evening_plan.folder import write, write_evenings
from lowsun.stage.paper import PAPERS

DESCRIPTION = (
    "The plan of one evening: when the Sun meets the horizon, where it then stands in your frame,"
    " when to turn round. Without options it is that of the kit's invented lighthouse, today."
)
PROGRESS_FROM = 100  # airs
NUMBERS = {
    "place": (
        ("latitude", catalogue.LIGHTHOUSE_LATITUDE_DEG, "degrees, north positive"),
        ("longitude", catalogue.LIGHTHOUSE_LONGITUDE_DEG, "degrees, east positive"),
        ("eye-height", catalogue.LIGHTHOUSE_EYE_M, "of the eye above the sea, in metres"),
    ),
    "camera and kit": (
        ("focal-length", 400.0, "in mm, the lens's true one"),
        ("f-number", 5.6, "in use"),
        ("smallest-f-number", 22.0, "the lens stopped down all the way"),
        ("pixel", 4.0, "its side in um"),
        ("iso", 100.0, "ISO speed"),
        ("filter-stops", 0.0, "neutral filter in front, in stops"),
        ("fastest", 8000.0, "fastest shutter, as the figure under 1/..."),
        ("slowest", 30.0, "slowest shutter in seconds"),
        ("card", 64.0, "free on the card, in GB"),
        ("frame-mb", 30.0, "of one raw file, in MB"),
        ("frames", 600.0, "frames planned"),
        ("battery", 120.0, "minutes of a full battery with the rear screen on, when warm"),
        ("set-up-minutes", 30.0, "how long before the first thing to see all must stand"),
    ),
}
RANGES = (
    ("temperature", planning.Ranges.temperature_c, "of the air at the sea, in degC"),
    ("pressure", planning.Ranges.pressure_hpa, "at the sea, in hPa"),
    ("lapse", planning.Ranges.lapse_k_per_km, "fall of temperature upwards, in K/km"),
    ("sea-excess", planning.Ranges.sea_excess_k, "sea warmer than the air, in K"),
)


class _Help(argparse.ArgumentDefaultsHelpFormatter):
    """Defaults in words: pairs as they are typed, none where there is none."""

    def _get_help_string(self, action):
        if action.default is None or action.default is False:
            return action.help
        if isinstance(action.default, tuple):
            return f"{action.help} (default: {' '.join(f'{each:g}' for each in action.default)})"
        return super()._get_help_string(action)


def add(parser):
    """Add the command's options to its parser."""
    parser.description = DESCRIPTION
    parser.formatter_class = _Help
    place = parser.add_argument_group("place and date")
    place.add_argument("--name", default="the lighthouse", help="of the place")
    _add_numbers(place, "place")
    place.add_argument("--date", default="today", help="local date, as 2027-03-20")
    place.add_argument(
        "--evenings", type=date.fromisoformat, nargs=2, metavar=("FIRST", "LAST"),
        help="instead of one plan: which evenings from one date to another send the last sliver"
        " into --gap",
    )  # fmt: skip
    place.add_argument(
        "--gap", type=number, nargs=2, default=(268.0, 273.0), metavar=("FROM", "TO"),
        help="bearings of the gap, clockwise",
    )  # fmt: skip
    place.add_argument("--skyline", type=Path, help="CSV of bearings and heights in degrees")
    place.add_argument(
        "--tile", type=Path, nargs="+", help="elevations round the place: SRTM .hgt or GeoTIFF"
    )
    place.add_argument(
        "--reach-km", type=number, default=80.0, help="how far over the tiles to look"
    )
    place.add_argument("--sea-beyond", action="store_true", help="where the tiles end there is sea")
    _add_air(parser.add_argument_group("air"))
    kit = parser.add_argument_group("camera and kit")
    _add_numbers(kit, "camera and kit")
    kit.add_argument(
        "--frame-px",
        type=int,
        nargs=2,
        default=(6000, 4000),
        metavar=("W", "H"),
        help="pixels across and down",
    )
    kit.add_argument("--support", choices=(planning.TRIPOD, planning.MOUNT), default="tripod")
    kit.add_argument(
        "--aim", type=number, help="bearing of the frame's middle; without it the last sliver's"
    )
    files = parser.add_argument_group("files")
    files.add_argument("--paper", choices=PAPERS, default="a4", help="of the sheet")
    files.add_argument("--preset", type=Path, help="TOML of these options; those typed here win")
    files.add_argument("--save-preset", type=Path, help="write the options there, to edit")
    files.add_argument("--folder", type=Path, default=Path("evening-plan"), help="made if missing")
    files.add_argument("--overwrite", action="store_true", help="replace what is there")
    parser.set_defaults(command=run)
    # A preset's options are put before those typed, so that these win.
    parser.parse_known_args = partial(_after_preset, parser.parse_known_args)


def run(options):
    """Make the plan, write its files, and print the text and where it stands."""
    require_range("--gap", options.gap, 0, 360, unit="deg")
    require_number("--reach-km", options.reach_km, 1, 300, unit="km")
    if options.evenings:
        return _run_evenings(options)
    items = preset.loaded(options.preset)[1] if options.preset else readiness.ITEMS
    made = plan_of(options)
    if options.save_preset:
        preset.saved(options, items, options.save_preset, overwrite=options.overwrite)
    paths = write(made, options.folder, items, paper=options.paper, overwrite=options.overwrite)
    print(plan_words.text(made, items))
    print(*paths, sep="\n")
    return 0


def _run_evenings(options):
    """Find the evenings, write table and picture, and print the table."""
    place, ranges = _place(options), _ranges(options)
    air = planning.air_at(*(float(each) for each in ranges.at(0.5)))
    land = _skyline(options, place)
    found = planning.evenings(
        place, *options.evenings, *options.gap, air, skyline=land, progress=land is not None
    )
    paths = write_evenings(found, options.evenings, options.folder, overwrite=options.overwrite)
    print(evenings_words.text(found))
    print(*paths, sep="\n")
    return 0


def _place(options):
    return Place(options.name, options.latitude, options.longitude, options.eye_height)


def _after_preset(parse, arguments, namespace=None):
    asked = argparse.ArgumentParser(add_help=False, allow_abbrev=False)
    asked.add_argument("--preset", type=Path)
    file = asked.parse_known_args(arguments)[0].preset
    return parse([*(preset.loaded(file)[0] if file else ()), *arguments], namespace)


def plan_of(options):
    """The `Plan` that parsed options ask for."""
    place = _place(options)
    day, ranges = _day(options.date, place), _ranges(options)
    base, land = air_options.ascent_of(options), _skyline(options, place)
    haze = air_options.haze_of(options)
    drawn = planning.spread(
        place,
        day,
        ranges,
        options.airs,
        haze=haze,
        base=base,
        skyline=land,
        workers=options.workers,
        progress=options.airs > PROGRESS_FROM,
    )
    return planning.plan(
        place,
        day,
        Air(air_over(base, ranges.at(0.5)), haze),
        kit=_kit(options),
        spread=drawn,
        base=base,
        skyline=land,
        aim_azimuth_deg=options.aim,
        setup_minutes=options.set_up_minutes,
    )


def _skyline(options, place):
    if options.skyline and options.tile:
        raise InputError("--skyline and --tile are both given; give one of them.")
    if options.skyline:
        return skyline.read(options.skyline)
    if not options.tile:
        return None
    tiles = [skyline.read_tile(each) for each in options.tile]
    return skyline.around(
        place, tiles, reach_m=1000 * options.reach_km, sea_beyond=options.sea_beyond
    )


def _add_numbers(group, name):
    for option, default, what in NUMBERS[name]:
        group.add_argument(f"--{option}", type=number, default=default, help=what, metavar="N")


def _add_air(group):
    for option, default, what in RANGES:
        group.add_argument(
            f"--{option}",
            type=number,
            nargs="+",
            default=default,
            help=f"{what}; two numbers: from-to",
            metavar="N",
        )
    group.add_argument("--airs", type=int, default=32, help="how many airs the spread traces")
    air_options.add_ascent(group)
    group.add_argument(
        "--workers", type=int, default=1, help="processes for the spread, for many airs"
    )
    air_options.add_haze(group)


def _day(text, place):
    if text == "today":
        return datetime.now(place.timezone).date()
    try:
        return date.fromisoformat(text)
    except ValueError as refused:
        raise InputError(f"date is {text!r}; give it as 2027-03-20.") from refused


def _ranges(options):
    return planning.Ranges(
        temperature_c=_pair("temperature", options.temperature),
        pressure_hpa=_pair("pressure", options.pressure),
        lapse_k_per_km=_pair("lapse", options.lapse),
        sea_excess_k=_pair("sea-excess", options.sea_excess),
    )


def _pair(name, numbers):
    if len(numbers) > 2:
        raise InputError(f"--{name} holds {len(numbers)} numbers; give one, or two as from-to.")
    return (float(numbers[0]), float(numbers[-1]))


def _kit(options):
    camera = Camera(
        focal_length_mm=options.focal_length,
        f_number=options.f_number,
        pixel_um=options.pixel,
        frame_px=tuple(options.frame_px),
        iso=options.iso,
        fastest_shutter_s=1 / options.fastest if options.fastest else 0.0,
        slowest_shutter_s=options.slowest,
        filter_density=density_of_stops(options.filter_stops),
    )
    return planning.Kit(
        camera,
        smallest_f_number=options.smallest_f_number,
        support=options.support,
        card_gb=options.card,
        frame_mb=options.frame_mb,
        frames_planned=options.frames,
        battery_minutes=options.battery,
    )
