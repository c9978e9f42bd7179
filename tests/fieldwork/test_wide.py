"""Lenses for wide sights, against the tangent and the fields printed on common lenses."""

import pytest

from lowsun.errors import OutOfRangeError
from lowsun.fieldwork.wide import pictures_across


def test_pictures_across():
    # 24 mm: 73.7 deg each, the next one 0.7 of that further: 73.7, 125.3, 177 deg.
    assert [pictures_across(w, 24.0) for w in (70.0, 74.0, 125.0, 132.0, 178.0)] == [1, 2, 2, 3, 4]
    assert pictures_across(1.0, 2000.0) == 1


def test_fields_no_straight_lens_has_are_refused():
    with pytest.raises(OutOfRangeError, match="focal_length_mm is 2 mm; allowed is 5 to 2000 mm"):
        pictures_across(90.0, 2.0)
