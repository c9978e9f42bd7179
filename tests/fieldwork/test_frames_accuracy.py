"""The frame reader held to suns whose truth is geometry: nothing of the kit makes them."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from PIL import Image

from frame_maker import Truth, light, shifted, write, write_tiff
from frame_maker import srgb as encoded
from frame_sweep import random_truth, sweep
from lowsun.fieldwork import frames
from lowsun.fieldwork.frames import limb, outline

# Median and 90 % of the absolute error that the trial of the method reached; axis ratio, upper and
# lower green over red [px].
TARGETS = {
    ".dng": ((0.001, 0.003), (0.06, 0.15), (0.1, 0.2)),
    ".tif": ((0.001, 0.003), (0.12, 0.25), (0.25, 0.55)),
    ".jpg": ((0.001, 0.003), (0.15, 0.35), (0.25, 0.55)),
}


def measured(path):
    ((_, reading),) = frames.readings(path)
    return reading


@pytest.mark.parametrize("suffix", TARGETS)
def test_random_suns_are_measured_to_the_targets(suffix, tmp_path):
    # `python tests/support/frame_sweep.py 200` measures many more.
    results = sweep(suffix, 8, tmp_path)
    names = ("axis ratio", "upper", "lower")
    for name, (median, ninetieth) in zip(names, TARGETS[suffix], strict=True):
        assert results[name].errors.size == 8
        assert results[name].median < median
        assert results[name].ninetieth < ninetieth


def test_a_large_disc_is_measured_as_well_as_a_small_one(tmp_path):
    # 650 px wide; `python tests/support/frame_sweep.py 12 5` measures more. Their blur and
    # rims are four times the small ones': the targets are not.
    results = sweep(".jpg", 1, tmp_path, times=4)
    for name, (_, ninetieth) in zip(("axis ratio", "upper", "lower"), TARGETS[".jpg"], strict=True):
        assert results[name].errors.size == 1
        assert results[name].errors.max() < ninetieth


def test_what_is_looked_at_does_not_grow_with_the_disc():
    grey = frames.Picture(np.zeros((3000, 3000), dtype=np.uint8), np.zeros(256), 255)
    looked_at = {}
    for half in (60, 300, 700, 1400):
        disc = SimpleNamespace(
            ellipses=outline.HalfEllipses(1500, 1500, half, 0.9 * half, 0.8 * half), foot=None
        )
        band = limb.band(grey, disc, reach_px=max(9, 0.02 * half))
        looked_at[half] = band.distance_px.size
        assert np.unique(band.sector).size == limb.SECTORS
    around = np.pi * 60 * (1 + 0.85)
    assert looked_at[60] == pytest.approx(2 * 9 * around, rel=0.02)  # a small one: every pixel
    for half in (300, 700, 1400):
        assert 0.4 < looked_at[half] / limb.ENOUGH_PIXELS < 2.3


@pytest.mark.parametrize("quality", [85, 92])
def test_coarsely_coded_colour_stays_within_twice_the_stated_error(quality, tmp_path):
    # 4:2:0; of 150 such suns 96 % of lower and 99 % of upper rims did.
    inside = []
    for seed in range(12):
        truth = random_truth(seed)
        path = write(tmp_path / f"{seed}.jpg", truth, quality=quality, subsampling=2)
        reading = measured(path)
        for side in ("upper", "lower"):
            error = getattr(reading, f"{side}_green_over_red_px") - truth.green_up
            inside.append(abs(error) <= 2 * getattr(reading, f"{side}_sigma_px"))
    assert len(inside) == 24
    assert np.mean(inside) >= 0.9


def test_a_finer_coding_is_stated_as_surer(tmp_path):
    truth = random_truth(3)
    coarse, fine = (
        measured(write(tmp_path / f"{q}.jpg", truth, quality=q, subsampling=2)).lower_sigma_px
        for q in (80, 97)
    )
    assert coarse > 1.3 * fine


def test_a_telephones_file_of_several_pictures_is_read_as_the_jpeg_it_is(tmp_path):
    path = write(tmp_path / "sun.jpg", random_truth(1), quality=90, subsampling=2)
    with Image.open(path) as image:
        image.save(tmp_path / "sun.mpo.jpg", "MPO", save_all=True, append_images=[image],
                   quality=90, subsampling=2)  # fmt: skip
    picture = frames.read(tmp_path / "sun.mpo.jpg")
    assert picture.halves_rows
    assert picture.colour_step == frames.read(path).colour_step > 1


@pytest.mark.parametrize("down", [-0.9, -0.25, 0.0, 0.4, 1.3])
def test_a_channel_moved_in_the_fourier_domain_is_measured_as_moved(down, tmp_path):
    # scipy.ndimage.fourier_shift moves green by a known part of a pixel, downwards positive.
    picture = light(Truth(green_up=0.0, blue_up=0.0, noise=0.001, darkening=(0.6, 0.6, 0.6)))
    picture[..., 1] = shifted(picture[..., 1], down)
    path = tmp_path / "sun.tif"
    write_tiff(path, np.round(encoded(picture) * 65535).astype(np.uint16))
    reading = measured(path)
    assert reading.upper_green_over_red_px == pytest.approx(-down, abs=0.03)
    assert reading.lower_green_over_red_px == pytest.approx(-down, abs=0.03)


@pytest.mark.parametrize(("roll_deg", "sea_row"), [(0.0, 185.0), (1.5, 188.0), (-2.5, 186.0)])
def test_a_straight_foot_is_the_horizon(roll_deg, sea_row, tmp_path):
    truth = Truth(sea_row=sea_row, roll_deg=roll_deg)
    reading = measured(write(tmp_path / "sun.png", truth))
    assert reading.horizon_y_px == pytest.approx(sea_row, abs=0.6)  # the blur's half level
    assert reading.roll_deg == pytest.approx(roll_deg, abs=0.15)
    assert reading.axis_ratio is None
    assert "below the horizon" in reading.reason


@pytest.mark.parametrize(("gain", "burnt"), [(1.0, False), (1.6, True), (2.4, True)])
def test_a_burnt_out_disc_says_by_how_much_and_withholds_its_rims(gain, burnt, tmp_path):
    # Red's middle is 0.7 + 0.05 of sky, times the gain: that many stops above what is full.
    reading = measured(write(tmp_path / "sun.tif", Truth(gain=gain)))
    # A quarter of a stop: near the limb, where red is still whole, green is darkened more.
    assert reading.stops_over == pytest.approx(np.log2(0.75 * gain), abs=0.25)
    assert (reading.clipped_red > 0.05) == burnt
    assert (reading.upper_green_over_red_px is None) == burnt
    assert ("burnt out" in reading.reason) == burnt


def test_clipped_share_is_the_share_of_the_disc(tmp_path):
    # Without darkening or noise the disc is all burnt out but for what the blur takes at its limb.
    truth = Truth(light=(1.2, 0.4, 0.1), darkening=(0, 0, 0), noise=0.0, blur=0.6)
    reading = measured(write(tmp_path / "sun.png", truth))
    assert reading.clipped_red > 0.97
    assert reading.clipped_green == 0


def test_too_little_green_is_withheld_with_its_reason(tmp_path):
    reading = measured(write(tmp_path / "sun.tif", Truth(light=(0.7, 0.03, 0.01))))
    assert reading.upper_green_over_red_px is None
    assert "green under 6 % of red" in reading.reason
    assert reading.axis_ratio == pytest.approx(Truth().axis_ratio, abs=0.003)


def test_a_sun_cut_by_the_frame_is_withheld(tmp_path):
    reading = measured(write(tmp_path / "sun.png", Truth(centre=(60.0, 170.0))))
    assert reading.disc_width_px is None
    assert "cut by the frame" in reading.reason


def test_an_unknown_tone_curve_gives_no_arcseconds(tmp_path):
    from PIL import Image

    exif = Image.Exif()
    exif[0x010F] = "Invented"
    plain = measured(write(tmp_path / "plain.jpg", Truth()))
    camera = measured(write(tmp_path / "camera.jpg", Truth(), exif=exif))
    assert plain.arcsec_per_px == pytest.approx(1918.4 / Truth().width, rel=0.003)
    assert camera.arcsec_per_px is None
    assert "tone curve unknown" in camera.reason
    assert camera.upper_sigma_px > 0.4 > plain.upper_sigma_px


def test_a_flat_green_piece_above_the_limb_is_found_with_its_gap(tmp_path):
    truth = Truth(flash=(60.0, 7.0, 6.0), blur=0.8)
    reading = measured(write(tmp_path / "sun.png", truth))
    assert reading.green
    assert reading.kind == "detached piece"
    assert reading.gap_px == pytest.approx(6.0, abs=1.6)  # the blur widens the piece
    assert reading.green_px == pytest.approx(np.pi / 4 * 60 * 7, rel=0.5)


def test_a_green_sliver_on_the_sea_is_found(tmp_path):
    truth = Truth(sea_row=112.0, light=(0.05, 0.4, 0.1), sky=(0.02, 0.012, 0.006))
    reading = measured(write(tmp_path / "sun.png", truth))
    assert (reading.green, reading.kind) == (True, "last sliver")


def test_a_red_sun_has_no_green(tmp_path):
    truth = replace(Truth(), green_up=0.1, blue_up=0.15)
    reading = measured(write(tmp_path / "sun.png", truth))
    assert reading.green is False
    assert reading.kind == ""


def test_a_limb_behind_a_cloud_gives_no_height(tmp_path):
    def bank(picture, truth):
        return np.where(np.arange(len(picture))[:, None, None] < 138, 0.05 * picture, picture)

    reading = measured(write(tmp_path / "sun.png", Truth(extra=(bank,))))
    assert reading.axis_ratio is None
    assert "upper" in reading.reason


@pytest.mark.parametrize("fades", [2.0, 4.0])
def test_a_sun_dimmed_downwards_keeps_its_lower_limb(fades, tmp_path):
    # The lower limb of a low Sun has a fraction of the upper one's light.
    truth = Truth(light=(0.45, 0.2, 0.04), fades=fades, sky=(0.01, 0.006, 0.003))
    reading = measured(write(tmp_path / "sun.tif", truth))
    assert reading.axis_ratio == pytest.approx(truth.axis_ratio, rel=0.003)
    assert reading.lower_green_over_red_px == pytest.approx(truth.green_up, abs=0.1)


def test_sky_over_sea_is_no_sun(tmp_path):
    truth = Truth(light=(0.0, 0.0, 0.0), sky=(0.3, 0.2, 0.15), sea_row=200.0)
    reading = measured(write(tmp_path / "sea.png", truth))
    assert reading.disc_width_px is None
    assert "no Sun" in reading.reason
