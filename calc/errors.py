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


@contextmanager
def inputs_at(place):
    """Put the field of an `InputError` that is raised inside under `place` (``"box"`` -> ``"box.Vb"``)."""
    try:
        yield
    except InputError as error:
        raise InputError(f"{place}.{error.field}" if place else error.field, error.problem) from error
