"""A folder of frames worked through: every file has its line, whatever is the matter with it."""

import csv
import os
import signal
import subprocess
import sys
import tracemalloc
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from functools import partial
from io import BytesIO
from time import sleep

import numpy as np
import pytest
from dask.distributed import Client, LocalCluster
from PIL import Image

from frame_maker import Truth, eight_bits, light, write
from lowsun.__main__ import main
from lowsun.errors import InputFileError, LowsunError, OutputFileError
from lowsun.fieldwork import frames
from lowsun.fieldwork.frames import folder as folders
from lowsun.fieldwork.frames.measuring import Reading
from lowsun.fieldwork.frames.table import COLUMNS

HEADER = (
    "file,time_utc,green,kind,green_px,green_peak,gap_px,disc_width_px,axis_ratio,"
    "upper_green_over_red_px,upper_sigma_px,lower_green_over_red_px,lower_sigma_px,clipped_red,"
    "clipped_green,clipped_blue,stops_over,pieces,horizon_y_px,roll_deg,arcsec_per_px,reason"
)
SMALL = Truth(size=(240, 180), centre=(120.0, 90.0), width=90.0, upper=36.0, lower=34.0)


@pytest.fixture(scope="module")
def sun():
    return Image.fromarray(eight_bits(light(SMALL)))


def encoded(image, kind, **options):
    out = BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def table(out):
    with (out / "frames.csv").open(encoding="utf-8", newline="") as lines:
        return {line["file"]: line for line in csv.DictReader(lines)}


def odd_files(folder, sun):
    """One of everything that turns up in a folder; returns what its reason must say."""
    jpeg, png = encoded(sun, "JPEG", quality=92), encoded(sun, "PNG")
    flipped = bytearray(jpeg)
    flipped[len(jpeg) // 2] ^= 0x55
    write(folder / "mosaic.dng", SMALL)
    mosaic = (folder / "mosaic.dng").read_bytes()
    write(folder / "sixteen.tif", SMALL)
    sixteen = (folder / "sixteen.tif").read_bytes()
    grey = np.asarray(sun.convert("L"))
    bomb = Image.new("1", (20_000, 20_000))
    bytes_of = {
        "good.jpg": (jpeg, None),
        "mosaic.dng": (mosaic, None),
        "sixteen.tif": (sixteen, None),
        "flipped.jpg": (bytes(flipped), None),
        "alpha.png": (encoded(sun.convert("RGBA"), "PNG"), None),
        "truncated.jpg": (jpeg[: len(jpeg) // 3], "damaged or cut short"),
        "truncated.png": (png[: len(png) // 3], "damaged or cut short"),
        "truncated.tif": (sixteen[: len(sixteen) // 3], "damaged or cut short"),
        "truncated.dng": (mosaic[: len(mosaic) // 3], "damaged or cut short"),
        "truncated.mp4": (b"\0\0\0\x18ftypmp42" + bytes(200), "damaged or cut short"),
        "empty.jpg": (b"", "empty file"),
        "empty.mov": (b"", "damaged or cut short"),
        "one.png": (encoded(Image.new("RGB", (1, 1), "red"), "PNG"), "no Sun"),
        "text.jpg": (b"This is a letter.\n" * 20, "not a picture"),
        "notes.txt": (b"18:56 last sliver\n", "not a picture"),
        "palette.png": (encoded(sun.quantize(64), "PNG"), "palette"),
        "print.jpg": (encoded(sun.convert("CMYK"), "JPEG"), "CMYK"),
        "grey.png": (encoded(Image.fromarray(grey), "PNG"), "grey"),
        "grey16.png": (encoded(Image.fromarray(grey.astype(np.uint16) * 257), "PNG"), "grey"),
        "moving.gif": (
            encoded(sun, "GIF", save_all=True, append_images=[sun.rotate(90)]),
            "animated",
        ),
        "bomb.png": (encoded(bomb, "PNG"), "too many pixels"),
        "nothing.png": (encoded(Image.new("RGB", (300, 200), (40, 30, 20)), "PNG"), "no Sun"),
    }
    for name, (content, _) in bytes_of.items():
        (folder / name).write_bytes(content)
    return {name: words for name, (_, words) in bytes_of.items()}


def test_every_odd_file_has_its_line_and_reason_and_no_original_is_touched(tmp_path, sun):
    folder, out = tmp_path / "evening", tmp_path / "out"
    folder.mkdir()
    wanted = odd_files(folder, sun)
    before = {path.name: (path.read_bytes(), path.stat().st_mtime_ns) for path in folder.iterdir()}
    frames.read_folder(folder, out, processes=1)
    assert (out / "frames.csv").read_text(encoding="utf-8").splitlines()[0] == HEADER
    lines = table(out)
    assert list(lines) == sorted(wanted)
    for name, words in wanted.items():
        if words:
            assert words in lines[name]["reason"], name
        else:
            assert float(lines[name]["axis_ratio"]) == pytest.approx(SMALL.axis_ratio, abs=0.01)
    after = {path.name: (path.read_bytes(), path.stat().st_mtime_ns) for path in folder.iterdir()}
    assert after == before


def test_columns_are_those_of_the_table():
    assert ",".join(COLUMNS) == HEADER


def test_stopped_in_the_middle_it_goes_on_where_it_stopped(tmp_path, sun):
    folder, out = tmp_path / "evening", tmp_path / "out"
    folder.mkdir()
    for number in range(6):
        sun.save(folder / f"{number}.png")

    def stop(progress):
        if progress.done == 4:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        frames.read_folder(folder, out, processes=1, tell=stop)
    assert len(table(out)) == 4
    seen = []
    found = frames.read_folder(folder, out, processes=1, tell=seen.append)
    assert [progress.done for progress in seen] == [5, 6]
    assert len(found) == len(table(out)) == 6
    assert seen[-1].left_s == 0


def test_a_line_torn_by_a_kill_and_a_changed_file_are_measured_anew(tmp_path, sun):
    folder, out = tmp_path / "evening", tmp_path / "out"
    folder.mkdir()
    for number in range(3):
        sun.save(folder / f"{number}.png")
    frames.read_folder(folder, out, processes=1)
    kept = out / "frames-progress.jsonl"
    kept.write_bytes(kept.read_bytes()[:-40])
    (folder / "0.png").write_bytes(b"spoilt")
    seen = []
    frames.read_folder(folder, out, processes=1, tell=seen.append)
    assert len(seen) == 2
    assert "not a picture" in table(out)["0.png"]["reason"]
    assert table(out)["2.png"]["axis_ratio"] == table(out)["1.png"]["axis_ratio"]


def test_what_is_kept_of_thousands_of_frames_takes_little_memory(tmp_path, sun):
    # Measured: 2.1 kB a frame, and 3.6 kB with a dictionary and texts of its own for each and the
    # whole progress held as text.
    many, folder, out = 2000, tmp_path / "in", tmp_path / "out"
    folder.mkdir()
    sun.save(folder / "0.png")
    ((_, reading),) = frames.read_folder(folder, out)
    progress = out / "frames-progress.jsonl"
    kept = progress.read_text(encoding="utf-8")
    lines = [kept.replace('"0.png|', f'"{number}.png|') for number in range(1, many)]
    for number in range(1, many):
        os.link(folder / "0.png", folder / f"{number}.png")
    progress.write_text("".join([kept, *lines]), encoding="utf-8")
    measured = []
    tracemalloc.start()
    found = frames.read_folder(folder, out, processes=1, tell=measured.append)
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert not measured
    assert [one for _, one in found] == [reading] * many
    assert most / many < 3000


def test_any_executor_and_processes_give_the_same_table(tmp_path, sun):
    folder = tmp_path / "evening"
    folder.mkdir()
    for number in range(5):
        sun.rotate(2 * number).save(folder / f"{number}.png")
    frames.read_folder(folder, tmp_path / "alone", processes=1)
    frames.read_folder(folder, tmp_path / "two", processes=2)
    with ThreadPoolExecutor(2) as pool:
        frames.read_folder(folder, tmp_path / "threads", executor=pool)
    assert table(tmp_path / "alone") == table(tmp_path / "two") == table(tmp_path / "threads")


def test_memory_kept_for_the_next_picture_is_no_other_threads(tmp_path, sun):
    # Of many sizes, so that what one reading leaves behind would show in the next.
    folder = tmp_path / "evening"
    folder.mkdir()
    for number in range(16):
        size = sun.width + 90 * (number % 4), sun.height + 70 * (number % 3)
        larger = Image.new("RGB", size, sun.getpixel((2, 2)))
        larger.paste(sun.rotate(0), (30 * (number % 4), 20 * (number % 3)))
        larger.save(folder / f"{number:02}.jpg", quality=95)
    (folder / "16.jpg").write_bytes((folder / "03.jpg").read_bytes()[:3000])
    paths = sorted(folder.iterdir())
    with ThreadPoolExecutor(4) as pool:
        found = [one for ((_, one),) in pool.map(frames.readings, paths)]
    assert found[:16] == [frames.measure(frames.read(path)) for path in paths[:16]]
    assert len(set(found[:16])) > 8
    assert "damaged" in found[16].reason


def test_a_dask_cluster_gives_the_same_table(tmp_path, sun):
    folder = tmp_path / "evening"
    folder.mkdir()
    for number in range(5):
        sun.rotate(2 * number).save(folder / f"{number}.png")
    frames.read_folder(folder, tmp_path / "alone", processes=1)
    with (
        LocalCluster(n_workers=2, threads_per_worker=1, processes=True, host="127.0.0.1",
                     dashboard_address=None) as cluster,
        Client(cluster) as client,
    ):  # fmt: skip
        frames.read_folder(folder, tmp_path / "dask", executor=client.get_executor())
    assert table(tmp_path / "dask") == table(tmp_path / "alone")


def test_killed_in_the_middle_it_goes_on_and_ends_as_if_it_had_not_been(tmp_path, sun):
    folder, out = tmp_path / "evening", tmp_path / "out"
    folder.mkdir()
    odd_files(folder, sun)
    for number in range(20):
        sun.rotate(number / 2).save(folder / f"many-{number:02}.jpg")
    command = [sys.executable, "-m", "lowsun", "frames", str(folder), "--folder", str(out),
               "--processes", "1"]  # fmt: skip
    running = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    kept = out / "frames-progress.jsonl"
    while running.poll() is None and (not kept.exists() or kept.read_bytes().count(b"\n") < 8):
        sleep(0.01)
    running.kill()
    assert running.wait() == -signal.SIGKILL
    before = kept.read_bytes().count(b"\n")
    seen = []
    frames.read_folder(folder, out, processes=1, tell=seen.append)
    assert 8 <= before < seen[-1].total
    assert len(seen) == seen[-1].total - before
    frames.read_folder(folder, tmp_path / "whole", processes=1)
    assert table(out) == table(tmp_path / "whole")


def crashing(path):
    if path.name == "2.png":
        os._exit(3)
    return [("", Reading(reasons=("read",)))]


def test_a_decoder_that_takes_its_process_down_costs_one_line(tmp_path):
    names = [f"{number}.png" for number in range(5)]
    found = dict(folders._by_processes(tmp_path, names, crashing, 2))
    assert sorted(found) == names
    assert {name: found[name][0][1].reason for name in names} == {
        name: folders.CRASHED if name == "2.png" else "read" for name in names
    }


def test_folders_within_count_and_hidden_files_do_not(tmp_path, sun):
    folder = tmp_path / "evening"
    (folder / "card 2").mkdir(parents=True)
    sun.save(folder / "card 2" / "a,b.png")
    (folder / ".hidden.png").write_bytes(b"")
    frames.read_folder(folder, folder / "out", processes=1)
    frames.read_folder(folder, folder / "out", processes=1)
    assert list(table(folder / "out")) == ["card 2/a,b.png"]


def test_what_cannot_be_looked_into_is_named(tmp_path, monkeypatch):
    # As in the whole of a machine, where folders of processes come and go.
    def gone(*_):
        raise FileNotFoundError(2, "No such file or directory", "/proc/4711")

    (tmp_path / "in").mkdir()
    monkeypatch.setattr(type(tmp_path), "rglob", gone)
    with pytest.raises(InputFileError, match=r"^/proc/4711 cannot be looked into \(No such file"):
        frames.read_folder(tmp_path / "in", tmp_path / "out", processes=1)


def test_a_foreign_table_is_not_replaced(tmp_path, sun):
    folder, out = tmp_path / "evening", tmp_path / "out"
    folder.mkdir()
    out.mkdir()
    sun.save(folder / "a.png")
    (out / "frames.csv").write_text("mine,all mine\n")
    with pytest.raises(OutputFileError, match="not a table of frames"):
        frames.read_folder(folder, out)
    assert (out / "frames.csv").read_text() == "mine,all mine\n"


def test_a_missing_or_empty_folder_is_refused(tmp_path):
    with pytest.raises(InputFileError, match="no folder"):
        frames.read_folder(tmp_path / "none", tmp_path / "out")
    (tmp_path / "empty").mkdir()
    with pytest.raises(InputFileError, match="no file"):
        frames.read_folder(tmp_path / "empty", tmp_path / "out")


def exif(clock, offset=None, orientation=None):
    tags = Image.Exif()
    inner = tags.get_ifd(0x8769)
    inner[0x9003] = clock
    if offset:
        inner[0x9011] = offset
    if orientation:
        tags[0x0112] = orientation
    return tags


@pytest.mark.parametrize(
    ("offset", "ahead_h", "when"),
    [
        ("+01:00", None, datetime(2027, 3, 20, 17, 56, 27, tzinfo=UTC)),
        (None, 2.0, datetime(2027, 3, 20, 16, 56, 27, tzinfo=UTC)),
        (None, None, None),
    ],
)
def test_capture_time_is_utc_or_withheld(offset, ahead_h, when, tmp_path, sun):
    path = tmp_path / "a.jpg"
    sun.save(path, exif=exif("2027:03:20 18:56:27", offset))
    ((_, reading),) = frames.readings(path, ahead_h)
    assert reading.time_utc == when
    assert ("offset from UTC" in reading.reason) == (when is None)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_orientation_is_undone(orientation, tmp_path, sun):
    # Exif 2.32: the picture as stored, so that undoing the orientation gives the upright one.
    undo = {2: 0, 3: 3, 4: 1, 5: 5, 6: 2, 7: 6, 8: 4}
    stored = sun if orientation == 1 else sun.transpose(Image.Transpose(undo[orientation]))
    path = tmp_path / "a.png"
    stored.save(path, exif=exif("2027:03:20 18:56:27", orientation=orientation))
    ((_, reading),) = frames.readings(path)
    assert reading.axis_ratio == pytest.approx(SMALL.axis_ratio, abs=0.01)
    assert reading.top_px == pytest.approx(90 - 36, abs=1)
    assert reading.upper_green_over_red_px == pytest.approx(SMALL.green_up, abs=0.1)


def test_the_command_writes_the_table_and_says_what_it_found(tmp_path, sun, capsys):
    folder, out = tmp_path / "evening", tmp_path / "out"
    folder.mkdir()
    sun.save(folder / "a.png")
    run = partial(main, ["frames", str(folder), "--folder", str(out), "--processes", "1"])
    assert run() == 0
    assert "1 frame: 0 with green" in capsys.readouterr().out
    assert list(table(out)) == ["a.png"]
    assert main(["frames", str(tmp_path / "none"), "--folder", str(out)]) == 1
    assert "no folder" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"folder": None}, "give the name of a file"),
        ({"folder": "x" * 5000}, "There is no folder"),
        ({"out": "x" * 5000}, "cannot be written"),
        ({"executor": 2}, "executor is 2; give a concurrent.futures executor"),
        ({"processes": 0}, "processes is 0; allowed is 1 to 256"),
        ({"utc_offset_h": 90}, "utc_offset_h is 90 h; allowed is -14 to 14"),
        ({"tell": "aloud"}, "tell is 'aloud'; give a function"),
    ],
)
def test_what_is_no_folder_executor_or_offset_is_named_before_anything_is_read(
    tmp_path, given, said
):
    (tmp_path / "frames").mkdir()
    good = {"folder": tmp_path / "frames", "out": tmp_path / "out"}
    with pytest.raises(LowsunError, match=said):
        frames.read_folder(**good | given)
    assert not (tmp_path / "out" / "frames.csv").exists()


def test_what_is_no_picture_or_path_is_named():
    with pytest.raises(LowsunError, match="picture is 5; give a Picture"):
        frames.measure(5)
    for read in (frames.read, frames.readings):
        with pytest.raises(LowsunError, match="give the name of a file"):
            read(None)
        with pytest.raises(LowsunError, match="utc_offset_h is '1', which is not a number"):
            read("sun.png", "1")
