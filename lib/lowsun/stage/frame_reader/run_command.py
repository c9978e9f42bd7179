"""A folder of frames in, a table and a contact sheet out."""

import sys

from tqdm import tqdm

from lowsun.errors import InputError, require_range
from lowsun.fieldwork import frames
from lowsun.fieldwork.frames import beside, record, table
from lowsun.fieldwork.plan.airs import air_over
from lowsun.physics import measured_sensor, sensors
from lowsun.physics.medium import Air
from lowsun.sky import Place
from lowsun.stage import air_options
from lowsun.stage.frame_reader import frame_words, model_words, sheet
from lowsun.stage.frame_reader.command import AIR
from lowsun.words import say

MODEL_TABLE = "frames-model.csv"


def run(options):
    """Read the folder; 0, or 1 where it was stopped."""
    _check(options)
    bar = tqdm(total=None, unit=say("file"), disable=None, file=sys.stderr)
    try:
        found = frames.read_folder(
            options.frames,
            options.folder,
            processes=options.processes,
            utc_offset_h=options.clock_ahead_h,
            tell=lambda progress: _show(bar, progress),
        )
    except KeyboardInterrupt:
        bar.close()
        print(f"Stopped after {bar.n} files. The same command goes on from here.", file=sys.stderr)
        return 1
    bar.close()
    found = _timed(options, found)
    evening = _evening(options, found)
    earlier = _earlier(options, found)
    sheet.write(options.frames, options.folder, found, earlier=earlier, evening=evening)
    print(frame_words.summary(found))
    if evening:
        print(model_words.of_evening(evening))
    for name in _written(evening):
        print(options.folder / name)
    return 0


def _timed(options, found):
    """The readings with the user's own capture times, in the table too."""
    if options.times is None:
        return found
    found = beside.timed(found, beside.capture_times(options.times))
    table.write(options.folder / frames.TABLE, found)
    return found


def _evening(options, found):
    """The folder beside the model, or None where no place is given."""
    if options.latitude is None:
        return None
    bar = tqdm(
        total=len(found), unit=say("frame"), desc=say("model"), disable=None, file=sys.stderr
    )
    evening = beside.evening(found, _setting(options), tell=bar.update)
    bar.close()
    beside.write_table(options.folder / MODEL_TABLE, evening.frames)
    return evening


def _setting(options):
    values = (options.temperature, options.pressure, options.lapse, options.sea_excess)
    return beside.Setting(
        Place("the place of the frames", options.latitude, options.longitude, options.eye_height),
        Air(air_over(air_options.ascent_of(options), values), air_options.haze_of(options)),
        _sensor(options),
    )


def _sensor(options):
    if options.camera_curves:
        return measured_sensor.read(options.camera_curves)
    return sensors.INFRARED_CUT_REMOVED if options.infrared_modified else sensors.STOCK


def _written(evening):
    yield from (frames.TABLE, sheet.PAGE, sheet.SHEET)
    if evening:
        yield MODEL_TABLE
    if evening and evening.compared:
        yield sheet.SERIES


def _earlier(options, found):
    """The evenings recorded before this one, which is added."""
    if options.record is None:
        return []
    return record.add(options.record, record.line_of(options.frames, found))


def _check(options):
    """Whatever can be refused is refused before the work, not after it."""
    if (options.latitude is None) != (options.longitude is None):
        raise InputError("--latitude and --longitude belong together; give both, or neither.")
    if options.latitude is None:
        _refuse_unused(options)
    else:
        _setting(options)
    if options.times is not None:
        beside.capture_times(options.times)
    if options.record is not None:
        record.lines(options.record)
    if options.processes is not None:
        require_range("--processes", options.processes, 1, 256)
    if options.clock_ahead_h is not None:
        require_range("--clock-ahead-h", options.clock_ahead_h, -14, 14, unit="h")


def _refuse_unused(options):
    """Without a place nothing is computed beside the frames; options for it would do nothing."""
    unused = {name: default for name, default, _ in AIR} | {
        "sounding": None, "visibility": None, "camera-curves": None, "infrared-modified": False,
    }  # fmt: skip
    for name, default in unused.items():
        if getattr(options, name.replace("-", "_")) != default:
            raise InputError(
                f"--{name} is for the model beside the frames, which has no place. Give --latitude"
                f" and --longitude too, or leave --{name} out."
            )


def _show(bar, progress):
    bar.total = progress.total
    bar.update(progress.done - bar.n)
