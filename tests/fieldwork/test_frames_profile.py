"""The way from a file's codes to linear light."""

import colour
import numpy as np
import pytest
from PIL import ImageCms

from lowsun.fieldwork.frames.profile import linearising, srgb_curve


@pytest.fixture(scope="module")
def srgb_profile():
    return ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


@pytest.mark.parametrize("codes", [256, 65536])
def test_curve_is_that_of_srgb(codes):
    # colour-science's inverse of IEC 61966-2-1.
    wanted = colour.models.eotf_sRGB(np.linspace(0, 1, codes))
    np.testing.assert_allclose(srgb_curve(codes), wanted, atol=1e-6)


def test_a_profile_that_says_srgb_changes_nothing(srgb_profile):
    curve, matrix = linearising(srgb_profile, 256)
    assert np.array_equal(curve, srgb_curve(256))
    assert matrix is None
    plain, none = linearising(None, 256)
    assert np.array_equal(plain, curve)
    assert none is None


def test_a_profile_of_exchanged_primaries_exchanges_the_channels(srgb_profile):
    # Red's and green's tags are given to one another: what the file calls red is green light.
    swapped = srgb_profile.replace(b"rXYZ", b"-XYZ").replace(b"gXYZ", b"rXYZ")
    _, matrix = linearising(swapped.replace(b"-XYZ", b"gXYZ"), 256)
    np.testing.assert_allclose(matrix, [[0, 1, 0], [1, 0, 0], [0, 0, 1]], atol=0.01)


@pytest.mark.parametrize("content", [b"no profile", bytes(400)])
def test_what_is_no_profile_is_said_to_be_none(content):
    assert linearising(content, 256) is None
