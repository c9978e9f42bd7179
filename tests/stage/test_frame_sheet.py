"""The contact sheet of a folder: what it shows, in which order, and what it advises."""

import re
from html.parser import HTMLParser
from importlib.resources import files

import numpy as np
import pytest
from PIL import Image

from frame_decoys import piece, rim, sunset
from frame_maker import Truth, write
from lowsun.__main__ import main
from lowsun.drawing.contact_sheet import Tile, contact_sheet
from lowsun.drawing.frame_series import frame_series
from lowsun.drawing.look import LOOKS
from lowsun.fieldwork import frames
from lowsun.fieldwork.frames import beside, crops
from lowsun.fieldwork.frames.measuring import Reading
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import HAZE
from lowsun.physics.medium import Air
from lowsun.sky import Place
from lowsun.stage.frame_reader import frame_words, sheet


@pytest.fixture(scope="module")
def evening(tmp_path_factory):
    folder, out = tmp_path_factory.mktemp("evening"), tmp_path_factory.mktemp("read")
    write(folder / "a-plain.png", sunset(1))
    write(folder / "b-rim.png", rim(2))
    write(folder / "c-piece.jpg", piece(1))
    write(folder / "d-burnt.png", Truth(gain=2.4))
    write(folder / "e-mosaic.dng", rim(5))
    (folder / "f <b>&.jpg").write_bytes(b"text")
    assert main(["frames", str(folder), "--folder", str(out), "--processes", "1"]) == 0
    return folder, out


class Page(HTMLParser):
    def __init__(self, text):
        super().__init__()
        self.addresses, self.names, self._inside = [], [], ""
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        self._inside = tag
        self.addresses += [value for name, value in attributes if name in ("src", "href")]

    def handle_data(self, data):
        if self._inside == "h2" and data.strip():
            self.names.append(data)


def test_page_asks_the_network_for_nothing(evening):
    text = (evening[1] / "frames.html").read_text(encoding="utf-8")
    page = Page(text)
    assert len(page.addresses) == 5
    assert all(address.startswith("data:image/png;base64,") for address in page.addresses)
    assert not re.search(r"https?:|url\(|@import|<script|<link", text)


def test_green_comes_first_and_the_purest_of_it_at_the_head(evening):
    folder, out = evening
    names = Page((out / "frames.html").read_text(encoding="utf-8")).names
    found = dict(frames.read_folder(folder, out))
    green = [name for name in names if found[name].green]
    assert green == names[:3]
    amounts = [found[name].green_peak * found[name].green_px for name in green]
    assert amounts == sorted(amounts, reverse=True)
    assert names[3] == "d-burnt.png"


def test_sheet_says_its_summary_and_has_a_tile_for_each(evening):
    with Image.open(evening[1] / "frames.png") as sheet:
        assert "6 frames: 3 with green light of the Sun" in sheet.info["Description"]
        assert sheet.width == 1600
        assert sheet.height > 900


def test_magnified_limb_lies_where_it_should(evening):
    # A plain Sun on a dark sky: sky above ABOVE of the window, disc below it.
    folder, out = evening
    found = dict(frames.read_folder(folder, out))
    shown = crops.upper_limbs(folder, [("a-plain.png", found["a-plain.png"])])["a-plain.png"]
    assert shown.shape == (270, 480, 3)
    bright = shown[:, 240].max(axis=1).astype(float)
    half = (bright[:20].mean() + bright[-20:].mean()) / 2
    assert np.argmax(bright > half) / 270 == pytest.approx(crops.ABOVE, abs=0.04)


def test_sheets_words_stand_inside_its_picture():
    picture = np.zeros((270, 480, 3), dtype=np.uint8)
    words = "upper limb green over red 2.32 ± 0.14 px, " * 4
    figure = contact_sheet(
        [Tile("name.jpg", picture, words, words, words)] * 4, words * 2, LOOKS["dark"]
    )
    figure.draw_without_rendering()
    whole = figure.bbox
    for text in figure.texts:
        box = text.get_window_extent()
        assert box.x0 >= 0
        assert box.x1 <= whole.x1
        assert box.y0 >= 0
        assert box.y1 <= whole.y1


def test_the_longest_words_of_a_tile_are_not_cut_off():
    picture = np.zeros((270, 480, 3), dtype=np.uint8)
    tiles = [Tile("n.jpg", picture, "measured " * 40, "the last word", "model " * 60)] * 4
    figure = contact_sheet(tiles, "heading", LOOKS["dark"])
    figure.draw_without_rendering()
    told = [text for text in figure.texts if text.get_text().endswith("the last word")]
    assert len(told) == 4
    below = told[0].get_window_extent().y0
    assert below > figure.axes[3].get_window_extent().y1  # above the picture of the next row
    assert told[3].get_window_extent().y0 >= 0


def reading(**values):
    base = {"pieces": 1, "green": False, "stops_over": -0.5, "clipped_red": 0.0}
    return Reading(**(base | {"clipped_green": 0.0, "clipped_blue": 0.0} | values))


@pytest.mark.parametrize(
    ("values", "advice"),
    [
        ({"clipped_red": 0.4, "stops_over": 1.3}, "Burnt out by 1.3 stops: expose 1.8 stops less."),
        ({"stops_over": -4.0}, "Dark: 3.5 stops more would fit."),
        ({"disc_width_px": 75.0}, "A lens 2.0 times as long would measure better."),
        ({"reasons": ("cut by the frame",)}, "Leave the whole disc in the frame."),
        ({"reasons": ("tone curve unknown",)}, "Record raw"),
        ({}, ""),
    ],
)
def test_advice_is_what_the_frame_asks_for(values, advice):
    said = frame_words.words(reading(**values)).advice
    assert said.startswith(advice)
    assert bool(said) == bool(advice)


def test_advice_followed_is_no_longer_given(tmp_path):
    # Burnt out: the exposure that was advised is taken, and the frame is measured.
    burnt = write(tmp_path / "burnt.png", Truth(gain=2.0))
    ((_, first),) = frames.readings(burnt)
    less = float(re.search(r"expose ([\d.]+) stops less", frame_words.words(first).advice)[1])
    ((_, second),) = frames.readings(write(tmp_path / "again.png", Truth(gain=2.0 / 2**less)))
    assert first.upper_green_over_red_px is None
    assert second.upper_green_over_red_px is not None
    assert "stops" not in frame_words.words(second).advice


@pytest.fixture(scope="module")
def beside_the_model(tmp_path_factory):
    out = tmp_path_factory.mktemp("model")
    folder = files("lowsun.data") / "evening"
    place = ["--latitude", "52.1", "--longitude=-10.4", "--eye-height", "95"]
    command = ["frames", str(folder), "--folder", str(out), "--processes", "1", *place]
    assert main(command) == 0
    return out, command


def test_page_sets_the_model_beside_each_frame(beside_the_model):
    out, _ = beside_the_model
    text = (out / "frames.html").read_text(encoding="utf-8")
    assert text.count("Model, Sun&#x27;s true altitude") == 8
    assert text.count("<polyline") == 16
    assert "8 of 8 stand beside the model" in text
    assert "Why may they differ?" in text
    assert (out / "frames-series.png").stat().st_size > 10_000
    assert len((out / "frames-model.csv").read_text().splitlines()) == 9


def test_models_limb_lies_on_the_frames_limb():
    folder = files("lowsun.data") / "evening"
    found = [("evening-4.jpg", frames.readings(folder / "evening-4.jpg")[0][1])]
    setting = beside.Setting(
        Place("p", 52.1, -10.4, 95), Air(Atmosphere.standard(271.15, 103000.0), HAZE["very clear"])
    )
    evening = beside.evening(found, setting)
    (tile,) = sheet._tiles(found, crops.upper_limbs(folder, found), evening)
    red = tile.picture[..., 0].astype(float)
    right, down = tile.outlines["red"]
    inside = (right < 470) & (down < 260)
    for across, row in zip(right[inside][::3], down[inside][::3], strict=True):
        column = red[:, round(across)]
        half = np.argmax(column > 0.5 * column.max())
        assert row == pytest.approx(half, abs=4)  # 1 px of the frame is shown as 1.07


def test_series_holds_the_lines_and_the_measures():
    folder = files("lowsun.data") / "evening"
    found = [(f"evening-{n}.jpg", frames.readings(folder / f"evening-{n}.jpg")[0][1])
             for n in (2, 6)]  # fmt: skip
    evening = beside.evening(found, beside.Setting(Place("p", 52.1, -10.4, 95), Air()))
    figure = frame_series(evening, "words", LOOKS["dark"])
    shape, upper, _ = figure.axes
    line, points = shape.lines[0], shape.containers[0][0]
    np.testing.assert_array_equal(line.get_ydata(), evening.lines[True][0])
    np.testing.assert_array_equal(points.get_ydata(), [reading.axis_ratio for _, reading in found])
    reading = found[0][1]
    measured = upper.containers[0][0].get_ydata()[0]
    assert measured == reading.upper_green_over_red_px * reading.arcsec_per_px
    left, right = shape.get_xlim()
    assert left > right  # time runs to the right, the Sun sinks
    assert points.get_xdata()[0] == evening.compared[0].sun_true_deg


@pytest.mark.parametrize(
    ("options", "match"),
    [
        (["--latitude", "52"], "belong together"),
        (["--latitude", "95", "--longitude", "0"], "latitude_deg"),
        (["--times", "missing.csv"], "cannot be read"),
        (["--latitude", "5", "--longitude", "0", "--camera-curves", "no.csv"], "cannot be read"),
    ],
)
def test_what_the_model_cannot_take_is_refused_before_the_work(tmp_path, capsys, options, match):
    command = ["frames", str(tmp_path), "--folder", str(tmp_path / "out"), *options]
    assert main(command) == 1
    assert match in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_own_times_stand_in_the_table_too(tmp_path):
    folder = tmp_path / "frames"
    folder.mkdir()
    write(folder / "a.png", sunset(1))
    times = tmp_path / "times.csv"
    times.write_text("file,time_utc\na.png,2027-03-20T18:42:57Z\n")
    out = tmp_path / "out"
    command = ["frames", str(folder), "--folder", str(out), "--times", str(times)]
    assert main([*command, "--latitude=52.1", "--longitude=-10.4"]) == 0
    assert "a.png,2027-03-20T18:42:57Z" in (out / "frames.csv").read_text()
    assert "a.png,2027-03-20T18:42:57Z,0.9" in (out / "frames-model.csv").read_text()
