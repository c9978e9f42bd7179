"""Light and air against what others publish: the rows that `python -m lowsun compare` prints."""

import pytest

from lowsun.proof.measures import air, eye, light, rays, sea
from outside_rows import name_of, require_held, rows_of


@pytest.mark.parametrize("value", rows_of(air, eye, light, rays, sea), ids=name_of)
def test_ours_is_within_what_is_allowed_and_three_allowances_off_it_would_not_be(value):
    require_held(value)
