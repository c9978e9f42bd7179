"""Green light of the Sun is found, and what is taken for it is not."""

import pytest

from frame_decoys import DECOYS, piece, rim, said, sliver, sunset
from frame_maker import Truth, write
from lowsun.fieldwork import frames

# `python tests/support/frame_decoys.py 100` counts many more of each.
KIND = {rim: "rim", sliver: "last sliver", piece: "detached piece"}


@pytest.mark.parametrize("maker", KIND, ids=lambda maker: maker.__name__)
def test_green_is_found_and_named(maker, tmp_path):
    readings = [reading for _, reading in said(maker, 6, tmp_path, first_seed=1)]
    assert all(reading.green for reading in readings)
    assert [reading.kind for reading in readings] == [KIND[maker]] * 6
    assert all(reading.green_px > 10 and 0 < reading.green_peak <= 1 for reading in readings)
    assert all((reading.gap_px is not None) == (maker is piece) for reading in readings)


@pytest.mark.parametrize("maker", [sunset, *DECOYS], ids=lambda maker: maker.__name__)
def test_what_is_taken_for_green_is_refused(maker, tmp_path):
    assert not [name for name, reading in said(maker, 3, tmp_path) if reading.green]


def test_lens_colour_and_a_cast_are_named(tmp_path):
    cast = Truth(light=(0.35, 0.5, 0.2), sky=(0.03, 0.05, 0.015))
    ((_, reading),) = frames.readings(write(tmp_path / "cast.png", cast))
    assert reading.green is False
    assert "camera's white" in reading.reason


def test_purer_and_wider_green_is_said_to_be_so(tmp_path):
    faint, strong = (
        frames.readings(
            write(tmp_path / f"{up}.png", Truth(green_up=up, blue_up=1.4 * up, blur=0.8))
        )[0][1]
        for up in (1.6, 4.0)
    )
    assert faint.green_px < strong.green_px
    assert faint.green_peak < strong.green_peak


@pytest.mark.parametrize(("wide", "is_the_suns"), [(9.0, False), (40.0, True)])
def test_a_round_patch_above_the_limb_is_a_ghost_and_a_flat_one_is_the_suns(
    wide, is_the_suns, tmp_path
):
    truth = Truth(flash=(wide, 9.0, 8.0), blur=0.8)
    ((_, reading),) = frames.readings(write(tmp_path / "sun.png", truth))
    assert reading.green is is_the_suns


def test_the_gap_under_a_piece_is_told_to_a_pixel_on_a_very_large_disc_too(tmp_path):
    # Such a disc is searched in steps of three rows, in which both gaps came out as 7.1 px.
    gaps = []
    for gap in (5.0, 6.0):
        truth = Truth(
            size=(3100, 300), centre=(1550, 1320), width=3000, upper=1200, lower=1200, sea_row=280,
            green_up=0.1, blue_up=0.1, blur=1.0, flash=(300, 6, gap), flash_light=(0.03, 0.4, 0.2),
        )  # fmt: skip
        ((_, reading),) = frames.readings(write(tmp_path / f"{gap}.png", truth))
        assert reading.kind == "detached piece"
        gaps.append(reading.gap_px)
    assert gaps[1] - gaps[0] == pytest.approx(1.0, abs=0.5)
    assert gaps == pytest.approx([5.0, 6.0], abs=1.5)  # its lower edge is round and blurred
