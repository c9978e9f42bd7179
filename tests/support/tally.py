"""Property tests that count what was accepted and what refused, so that neither can be nothing."""

from contextlib import contextmanager

from hypothesis import strategies as st

ANYTHING = st.one_of(
    st.none(),
    st.text(max_size=3),
    st.floats(),
    st.integers(),
    st.lists(st.floats(), max_size=3),
    st.complex_numbers(),
)


def mostly(good, bad=ANYTHING, share=5):
    """Values of `good`, one in so many of them of `bad`: several arguments are then often good."""
    return st.sampled_from([good] * (share - 1) + [bad]).flatmap(lambda drawn: drawn)


class Tally:
    """How many examples were accepted and how many refused with the error expected."""

    def __init__(self, error):
        self.error, self.accepted, self.refused = error, 0, 0
        self.messages = []

    @contextmanager
    def example(self):
        """Counts one example; what follows a refusal within it is left out."""
        try:
            yield
        except self.error as refused:
            self.refused += 1
            self.messages.append(str(refused))
        else:
            self.accepted += 1

    def require(self, accepted, refused):
        """Were so many accepted and so many refused, or more?"""
        assert self.accepted >= accepted, f"{self.accepted} accepted: the generator misses"
        assert self.refused >= refused, f"{self.refused} refused: the generator misses"
