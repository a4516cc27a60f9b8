"""The same pages before axe-core, of projects that are not finished, or of another kind."""

import pytest
from hands import made
from places import PLACES


@pytest.fixture(scope="module")
def others(screens):
    """A plan and the other demo, left as they are, too."""
    return made(screens[0], "begin:plan"), made(screens[0], "demo:hall_subwoofer")


@pytest.mark.parametrize("name", PLACES)
def test_the_same_page_of_other_projects(screens, judge, others, name):
    """A plan without a driver on the wide screen, the other demo on the phone."""
    for screen, key in zip(screens, others, strict=True):
        assert screen.goto(f"/projects/{key}/{name}").ok
    assert judge(["dark"]) == []
