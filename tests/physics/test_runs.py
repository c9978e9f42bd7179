"""Runs of True, read back from what they were made of."""

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from lowsun.physics.runs import runs


@given(st.lists(st.booleans(), max_size=40))
@example([])
@example([True])
@example([False])
@example([True, True, False, True])
def test_the_runs_hold_all_that_is_true_and_lie_apart(yes):
    found = runs(yes)
    assert found.shape[1] == 2
    made = np.zeros(len(yes), bool)
    for begins, ends in found:
        assert begins < ends
        made[begins:ends] = True
    assert made.tolist() == yes
    assert np.all(found[1:, 0] > found[:-1, 1])


@pytest.mark.parametrize("yes", [np.array([0, 1, 1, 0, 1]), [False, True, True, False, True]])
def test_numbers_and_booleans_alike(yes):
    assert runs(yes).tolist() == [[1, 3], [4, 5]]
