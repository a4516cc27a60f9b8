"""How far a dimension may move: just inside its play all is well, just beyond it is not."""

from dataclasses import replace

import pytest

from calc.errors import InputError
from calc.evaluate import evaluate
from calc.evaluate_as_cut import QUIET_VOLUME
from calc.evaluate_clashes import edited
from calc.evaluate_free_play import FINE, FURTHEST, GROUPS, dimensions, free_play
from server.beginnings import demo
from server.documents import read_project

PROJECT = read_project(demo("reading_room"))
RESULT = evaluate(PROJECT)


def well(paths, value):
    """Whether the project stands with a value: solved anew here, whole."""
    try:
        made = evaluate(edited(PROJECT, dict.fromkeys(paths, value)))
    except InputError:
        return False
    known = {each.key for each in RESULT.clashes}
    quiet = abs(made.cabinet.net / RESULT.cabinet.net - 1) <= QUIET_VOLUME
    return quiet and not {each.key for each in made.clashes} - known


@pytest.mark.parametrize("group", GROUPS)
def test_just_inside_is_well_and_just_beyond_is_not(group):
    stopped = 0
    for play in free_play(PROJECT, RESULT, group):
        for end in (play.less, play.more):
            assert abs(end.by) <= FURTHEST
            assert well(play.paths, play.value + end.by), play.paths
            if end.kind:
                stopped += 1
                beyond = play.value + end.by + (2 * FINE if end is play.more else -2 * FINE)
                assert not well(play.paths, beyond), play.paths
    assert stopped


# Derived: the window of the shelf is 120 wide in 180 inside, and 20 of rim must stay: 20 more is the end. The
# rabbets are 9 deep in 18.3: short of 9.3 more.
def test_known_ends():
    plays = {play.paths[0]: play for play in free_play(PROJECT, RESULT, "joints")}
    window = plays["cabinet.braces.shelf.window.width"].more
    assert window.kind == "fails" and window.by == pytest.approx(0.02, abs=2 * FINE)
    rabbet = plays["cabinet.edges.back-left.depth"]
    assert len(rabbet.paths) == 8 and rabbet.more.by == pytest.approx(0.0093, abs=2 * FINE)


# The inside is 180 wide; two percent of the air is 3.6 mm of it, less what the shelf takes along.
def test_a_held_side_ends_where_the_air_is_heard():
    play = next(p for p in free_play(PROJECT, RESULT, "sizes") if p.paths == ("cabinet.size.width",))
    assert play.more.kind == "heard"
    assert 0.003 < play.more.by < 0.0036


def test_what_follows_from_others_has_no_play_of_its_own():
    held = replace(PROJECT, cabinet=replace(PROJECT.cabinet, hold="volume", moves="depth"))
    paths = [path for paths, _ in dimensions(held, RESULT, "sizes") for path in paths]
    assert "cabinet.size.depth" not in paths and "cabinet.size.width" in paths
