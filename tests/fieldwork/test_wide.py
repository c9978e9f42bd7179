"""Lenses for wide sights, against the tangent and the fields printed on common lenses."""

import pytest
from numpy.testing import assert_allclose

from lowsun.errors import OutOfRangeError
from lowsun.fieldwork.wide import focal_length_for_mm, pictures_across


@pytest.mark.parametrize(("focal_mm", "wide_deg"), [(50.0, 39.6), (24.0, 73.7), (18.0, 90.0)])
def test_field_of_common_lenses_on_a_full_frame(focal_mm, wide_deg):
    # Horizontal fields of view as makers print them (common practice, no source).
    assert_allclose(focal_length_for_mm(wide_deg, 5.0), focal_mm, rtol=5e-3)


def test_the_tighter_side_decides():
    assert focal_length_for_mm(20.0, 60.0) == pytest.approx(focal_length_for_mm(1.0, 60.0))


def test_pictures_across():
    # 24 mm: 73.7 deg each, the next one 0.7 of that further: 73.7, 125.3, 177 deg.
    assert [pictures_across(w, 24.0) for w in (70.0, 74.0, 125.0, 132.0, 178.0)] == [1, 2, 2, 3, 4]
    assert pictures_across(1.0, 2000.0) == 1


def test_fields_no_straight_lens_has_are_refused():
    with pytest.raises(OutOfRangeError, match="field is 140 deg; allowed is 1 to 130 deg"):
        focal_length_for_mm(140.0, 10.0)
    with pytest.raises(OutOfRangeError, match="focal_length_mm is 2 mm; allowed is 5 to 2000 mm"):
        pictures_across(90.0, 2.0)
