"""What is slow and asked for again: kept, and known to be kept."""

from collections import OrderedDict


class Kept:
    """A function of hashable arguments that keeps its last results, and says which it has."""

    def __init__(self, function, most=16):
        self._function, self._most = function, most
        self._results = OrderedDict()

    def __call__(self, *arguments):
        if arguments not in self._results:
            self._results[arguments] = self._function(*arguments)
        self._results.move_to_end(arguments)
        if len(self._results) > self._most:
            self._results.popitem(last=False)
        return self._results[arguments]

    def holds(self, *arguments):
        """Is the result for these at hand?"""
        return arguments in self._results
