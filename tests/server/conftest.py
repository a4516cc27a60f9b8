"""What the tests of the pages share: somebody at a project's pages."""

import pytest
from reading import Desk, made


@pytest.fixture
def desk(client, store):
    """A function that puts one of `reading.MADE`, or a document, on the shelf and sits down at it."""

    def sit(project="reading_room"):
        return Desk(client, store.create(made(project) if isinstance(project, str) else project), store)

    return sit


@pytest.fixture
def sitting(desk):
    """Somebody at the demo, its crossover a textbook filter of eight parts."""
    begun = desk()
    begun.type("crossover", "begin:linkwitz-riley 4")
    return begun


@pytest.fixture
def stranger(visitor, store):
    """A function that opens the project of a desk by a link that was given away."""

    def sit(desk, kind="look"):
        return Desk(visitor, store.set_link(desk.project, kind), store)

    return sit
