"""What is kept is made once, and the oldest goes first."""

from lowsun.scenes.kept import Kept


def test_each_result_is_made_once():
    made = []
    kept = Kept(lambda *arguments: made.append(arguments) or sum(arguments))
    assert [kept(1, 2), kept(1, 2), kept(3)] == [3, 3, 3]
    assert made == [(1, 2), (3,)]
    assert kept.holds(1, 2)
    assert not kept.holds(2, 1)


def test_what_was_asked_for_longest_ago_goes():
    kept = Kept(lambda number: number, most=2)
    for number in (1, 2, 1, 3):
        kept(number)
    assert [kept.holds(number) for number in (1, 2, 3)] == [True, False, True]
