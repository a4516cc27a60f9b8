"""How calc refuses a value: with the field that holds it and a sentence that says what would do."""

from contextlib import contextmanager


class InputError(ValueError):
    """A value that the physics or the trade cannot accept.

    ``field`` is the input, dotted from where it was caught (``"Vb"``, ``"box.Vb"``).
    ``problem`` says what would do, in the woodworker's words and without a
    number of its own units, since the page shows other units than calc uses.
    """

    def __init__(self, field, problem):
        super().__init__(f"{field}: {problem}")
        self.field = field
        self.problem = problem


def require_positive(**values):
    """Raise `InputError` for the first value that is not finite and above 0; None passes as "not given"."""
    for field, value in values.items():
        if value is not None and not 0 < value < float("inf"):
            raise InputError(field, "must be a number above zero")


def require_not_negative(**values):
    """Raise `InputError` for the first value that is not finite and at least 0; None is "not given"."""
    for field, value in values.items():
        if value is not None and not 0 <= value < float("inf"):
            raise InputError(field, "must be zero or a number above it")


def require_within(low, high, words, **values):
    """Raise `InputError` with the sentence `words` for the first value outside [low, high]."""
    for field, value in values.items():
        if value is not None and not low <= value <= high:
            raise InputError(field, words)


def require_whole(low, high, **values):
    """Raise `InputError` for the first value that is outside [low, high], all of them whole numbers."""
    require_within(low, high, f"must be a whole number from {low} to {high}", **values)


def require_pair(**pair):
    """Raise `InputError` where half a pair is given, at the other half."""
    lacking = [name for name, value in pair.items() if value is None]
    if len(lacking) == 1:
        raise InputError(lacking[0], "is needed beside the other of the pair")


def require_one(field, words, *ways):
    """Raise `InputError` at `field`, with the sentence `words`, where not just one of two ways is given."""
    if sum(way is not None for way in ways) != 1:
        raise InputError(field, words)


@contextmanager
def inputs_at(place):
    """Put the field of an `InputError` that is raised inside under `place` (``"box"`` -> ``"box.Vb"``)."""
    try:
        yield
    except InputError as error:
        raise InputError(f"{place}.{error.field}" if place else error.field, error.problem) from error
