"""The look: colours that hold for colour-vision deficiencies, scales and directions that are right.

Outside authorities: colour-science for colour differences and for the dichromacy matrices of
Machado, Oliveira & Fernandes 2009 (IEEE Trans. Vis. Comput. Graph. 15, 1291); contrast defined by
WCAG 2.1, success criteria 1.4.3 (text, 4.5) and 1.4.11 (graphics, 3.0).
"""

import itertools

import colour
import matplotlib
import numpy as np
import pytest
from matplotlib.colors import to_rgb
from matplotlib.text import Text

from lowsun import scenes
from lowsun.drawing.look import (
    DARK,
    LOOKS,
    PRINT,
    altitude_axis,
    scale_bar,
    set_field,
    spectral_rgb,
)
from lowsun.errors import OutOfRangeError

VISIONS = ("normal", "Protanomaly", "Deuteranomaly", "Tritanomaly")
# Sharma's CIEDE2000: 2 is just noticeable side by side; thin lines apart need several times that.
LEAST_DIFFERENCE = 10.0


def seen_by(vision, rgb):
    if vision == "normal":
        return np.asarray(rgb)
    matrix = colour.blindness.matrix_cvd_Machado2009(vision, 1.0)
    linear = colour.models.eotf_sRGB(np.asarray(rgb))
    return colour.models.eotf_inverse_sRGB(np.clip(matrix @ linear, 0, 1))


def difference(one, other):
    lab = [colour.XYZ_to_Lab(colour.sRGB_to_XYZ(rgb)) for rgb in (one, other)]
    return colour.difference.delta_E_CIE2000(*lab)


def contrast(one, other):
    bright, dark = sorted((relative_luminance(one), relative_luminance(other)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)


def relative_luminance(rgb):
    return colour.models.eotf_sRGB(np.asarray(rgb)) @ (0.2126, 0.7152, 0.0722)


@pytest.mark.parametrize("look", LOOKS.values(), ids=LOOKS)
@pytest.mark.parametrize("vision", VISIONS)
@pytest.mark.filterwarnings("ignore::colour.utilities.ColourUsageWarning")
def test_kinds_of_quantity_stay_apart(look, vision):
    seen = {kind: seen_by(vision, to_rgb(hexed)) for kind, hexed in look.kinds.items()}
    worst = min((difference(seen[a], seen[b]), a, b) for a, b in itertools.combinations(seen, 2))
    assert worst[0] > LEAST_DIFFERENCE, worst


def test_no_two_kinds_are_told_by_colour_alone():
    marks = {(DARK.line(k)["linestyle"], DARK.points(k)["marker"]) for k in DARK.kinds}
    assert len(marks) == len(DARK.kinds)


@pytest.mark.parametrize("look", LOOKS.values(), ids=LOOKS)
def test_everything_stands_out_from_the_surround(look):
    surround = to_rgb(look.surround)
    assert contrast(to_rgb(look.ink), surround) > 7
    assert contrast(to_rgb(look.faint), surround) > 4.5
    faint = {kind: contrast(to_rgb(c), surround) for kind, c in look.kinds.items()}
    assert min(faint.values()) > 3.0, faint


@pytest.mark.parametrize("look", LOOKS.values(), ids=LOOKS)
@pytest.mark.parametrize("scene", scenes.every(), ids=lambda scene: scene.name)
def test_words_stand_out_from_the_surround(scene, look):
    with look.applied():
        picture = scene.picture(look.figure(), look)
    result = scene.result()
    picture.show(result, scene.describe(result))
    over_a_picture = to_rgb(look.over) if look.over != look.ink else None
    faint = {
        text.get_text(): contrast(to_rgb(text.get_color()), to_rgb(look.surround))
        for text in picture.figure.findobj(Text)
        if text.get_text().strip()
        and text.get_visible()
        and to_rgb(text.get_color()) != over_a_picture
    }
    assert len(faint) > 3
    assert min(faint.values()) > 4.5, min(faint, key=faint.get)


def test_both_looks_name_the_same_kinds():
    assert list(DARK.kinds) == list(PRINT.kinds)


# ---- wavelengths


@pytest.mark.parametrize(
    ("wavelength_nm", "order"), [(450, "brg"), (530, "grb"), (650, "rgb"), (580, "rgb")]
)
def test_a_wavelength_is_drawn_in_its_own_colour(wavelength_nm, order):
    rgb = dict(zip("rgb", spectral_rgb(wavelength_nm), strict=True))
    assert "".join(sorted(rgb, key=rgb.get, reverse=True))[0] == order[0]
    assert max(rgb.values()) == pytest.approx(1.0)


@pytest.mark.parametrize("wavelength_nm", [400, 450, 500, 550, 589, 620, 680])
def test_the_hue_of_a_wavelength_agrees_with_colour_science(wavelength_nm):
    xyz = colour.wavelength_to_XYZ(wavelength_nm)
    linear = colour.XYZ_to_sRGB(xyz, apply_cctf_encoding=False)
    linear = linear - min(linear.min(), 0)
    expected = colour.models.eotf_inverse_sRGB(linear / linear.max())
    # the two tables of colour-matching functions are interpolated differently between 5 nm
    np.testing.assert_allclose(spectral_rgb(float(wavelength_nm)), expected, atol=0.02)


@pytest.mark.parametrize("wavelength_nm", [450, 500, 550, 589, 620, 680])
def test_wavelengths_can_be_seen_on_their_surround(wavelength_nm):
    for look in LOOKS.values():
        assert contrast(look.wavelength(wavelength_nm), to_rgb(look.surround)) > 2.4


def test_no_colour_outside_the_visible():
    with pytest.raises(OutOfRangeError, match=r"wavelength_nm is 300"):
        DARK.wavelength(300)


# ---- scales and directions


@pytest.fixture
def axes():
    return DARK.figure().add_axes((0.1, 0.1, 0.6, 0.6))


def test_a_field_has_one_scale_both_ways(axes):
    left, right = set_field(axes, 10, 20, centre=270)
    box = axes.get_window_extent()
    assert (right - left) / box.width == pytest.approx(10 / box.height, rel=1e-12)
    assert (left + right) / 2 == pytest.approx(270)
    assert axes.get_ylim() == (10, 20)


def test_a_scale_bar_is_as_long_as_it_says(axes):
    set_field(axes, -20, 60)
    bar, label = scale_bar(axes, 10, "10 arcmin", DARK)
    assert np.ptp(bar.get_xdata()) == pytest.approx(10)
    assert np.ptp(bar.get_ydata()) == 0
    assert label.get_text() == "10 arcmin"


def test_the_altitude_axis_says_its_unit_and_which_way_is_up(axes):
    altitude_axis(axes, "arcmin")
    assert axes.get_ylabel() == "apparent altitude [arcmin]  up →"


def test_the_look_leaves_no_trace_in_matplotlib():
    before = dict(matplotlib.rcParams)
    with PRINT.applied():
        assert matplotlib.rcParams["text.color"] == "#000000"
    assert dict(matplotlib.rcParams) == before


@pytest.mark.parametrize("width_px", [1280, 1920])
def test_a_figure_is_sixteen_to_nine(width_px):
    figure = DARK.figure(width_px)
    assert tuple(figure.bbox.size) == (width_px, width_px * 9 / 16)
