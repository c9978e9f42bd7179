"""Edges, ellipses and mosaics against what others hold for right."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.ndimage import binary_fill_holes, convolve, gaussian_filter
from scipy.special import ndtr
from skimage.measure import EllipseModel

from frame_maker import BLACK, WHITE, Truth, light, write
from lowsun.fieldwork import frames
from lowsun.fieldwork.frames import finding, limb, outline


@pytest.mark.parametrize("angle_deg", [5.0, 12.0])
@pytest.mark.parametrize("blur_px", [0.6, 1.1, 2.0])
def test_slanted_edge_lies_where_it_was_put(angle_deg, blur_px):
    # ISO 12233: an edge at 5 degrees to the pixels' rows, contrast 4:1, binned to a quarter of a
    # pixel across it; its place is the middle of its line-spread function.
    place = 0.37
    down, across = np.mgrid[-12:13, -40:41]
    angle = np.radians(angle_deg)
    distance = down * np.cos(angle) - across * np.sin(angle)
    seen = 0.2 + 0.6 * ndtr((place - distance) / blur_px)
    near = np.abs(distance) < 8
    band = limb.Band(
        distance_px=distance[near],
        sector=np.zeros(near.sum(), dtype=int),
        light=np.repeat(seen[near][None], 3, axis=0),
        reach_px=8,
        depth_px=np.full(limb.SECTORS, 1e6),
    )
    mean, count = band.binned()
    found = limb.edges(mean[0, :1], count[0, :1], band)
    assert found.place_px[0] == pytest.approx(place, abs=0.01)
    # Bins of a quarter of a pixel widen the blur by their own spread, 0.07 px, as squares add.
    assert found.blur_px == pytest.approx(np.hypot(blur_px, 0.25 / np.sqrt(12)), abs=0.03)


@pytest.mark.parametrize("flat", [0.7, 0.95])
def test_half_ellipses_of_a_whole_one_are_those_of_scikit_image(flat):
    random = np.random.default_rng(3)
    angle = random.uniform(0, 2 * np.pi, 300)
    column = 210.4 + 80 * np.sin(angle) + random.normal(0, 0.2, 300)
    row = 150.7 + 80 * flat * np.cos(angle) + random.normal(0, 0.2, 300)
    found, _ = outline.fit(row, column)
    model = EllipseModel.from_estimate(np.stack([column, row], axis=-1))
    across, down = model.center
    wide, high = sorted(model.axis_lengths, reverse=True)
    assert found.column == pytest.approx(across, abs=0.06)
    assert found.row + (found.lower - found.upper) / 2 == pytest.approx(down, abs=0.06)
    assert found.half_width == pytest.approx(wide, rel=0.001)
    assert (found.upper + found.lower) / 2 == pytest.approx(high, rel=0.001)


def test_slopes_of_the_distance_are_its_differences():
    ellipses = outline.HalfEllipses(50.0, 40.0, 30.0, 22.0, 18.0)
    random = np.random.default_rng(0)
    angle, share = random.uniform(-np.pi, np.pi, 200), random.uniform(0.9, 1.1, 200)
    high = np.where(np.cos(angle) > 0, 22.0, 18.0)
    row, column = 40 - share * high * np.cos(angle), 50 + 30 * share * np.sin(angle)
    names, step = ("column", "row", "half_width", "upper", "lower"), 1e-5
    for name, slope in zip(names, ellipses.slopes(row, column), strict=True):
        more, less = (
            replace(ellipses, **{name: getattr(ellipses, name) + way}).outside_px(row, column)
            for way in (step, -step)
        )
        np.testing.assert_allclose(slope, (more - less) / (2 * step), rtol=0, atol=1e-7)


@pytest.mark.parametrize("seed", range(5))
def test_a_patch_without_holes_is_that_of_scipy(seed):
    random = np.random.default_rng(seed)
    patch = gaussian_filter(random.standard_normal((40, 50)), random.uniform(0.7, 3)) > 0
    np.testing.assert_array_equal(finding._filled(patch), binary_fill_holes(patch))


def test_mosaic_measures_as_the_full_colours_it_was_taken_from(tmp_path):
    # The truth of demosaicing is the picture before the mosaic: the kit measures on the sites.
    truth = Truth(green_up=0.9, noise=0.002)
    ((_, raw),) = frames.readings(write(tmp_path / "a.dng", truth))
    whole = frames.Picture(
        codes=np.clip(BLACK + light(truth) * (WHITE - BLACK), 0, WHITE).astype(np.uint16),
        curve=((np.arange(65536) - BLACK) / (WHITE - BLACK)).astype(np.float32),
        full_code=WHITE,
        is_developed=False,
    )
    full = frames.measure(whole)
    for name in ("axis_ratio", "upper_green_over_red_px", "lower_green_over_red_px"):
        # Red has a quarter of the sites: twice the scatter of 0.02 px.
        assert getattr(raw, name) == pytest.approx(getattr(full, name), abs=0.08), name


def test_bilinear_demosaicing_blurs_and_does_not_move(tmp_path):
    # Green of the usual mosaic filled in from its four neighbours (Malvar, He & Cutler 2004, the
    # bilinear kernel): alike on all sides, so the limb's place stays, as it must on the sites.
    truth = Truth(green_up=0.9, noise=0.0, darkening=(0, 0, 0))
    picture = light(truth)
    down, across = np.mgrid[: picture.shape[0], : picture.shape[1]]
    masks = [
        (down % 2 == 0) & (across % 2 == 0),
        (down + across) % 2 == 1,
        (down % 2 == 1) & (across % 2 == 1),
    ]
    cross = np.array([[0, 1, 0], [1, 4, 1], [0, 1, 0]]) / 4
    square = np.array([[1, 2, 1], [2, 4, 2], [1, 2, 1]]) / 4
    filled = np.stack(
        [
            convolve(np.where(mask, picture[..., k], 0), cross if k == 1 else square)
            for k, mask in enumerate(masks)
        ],
        axis=-1,
    )
    codes = np.clip(filled * 65535, 0, 65535).astype(np.uint16)
    curve = np.linspace(0, 1, 65536).astype(np.float32)
    bilinear = frames.measure(frames.Picture(codes=codes, curve=curve, full_code=65535))
    ((_, raw),) = frames.readings(write(tmp_path / "a.dng", truth))
    assert bilinear.upper_green_over_red_px == pytest.approx(truth.green_up, abs=0.05)
    assert raw.upper_green_over_red_px == pytest.approx(bilinear.upper_green_over_red_px, abs=0.05)
