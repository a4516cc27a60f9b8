"""The air that is left, the box that leaves the wanted air, and where it all balances."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calc.cabinet.balance import mass_and_centre
from calc.cabinet.bracing import braces
from calc.cabinet.volume_ledger import inside_for_net, ledger, port_displacement
from calc.errors import InputError
from calc.project_cabinet import Brace, Window

THICKNESSES = dict.fromkeys(("front", "back", "left", "right", "top", "bottom"), 0.018)


def volume(inner):
    return inner[0] * inner[1] * inner[2]


def test_net_is_gross_less_each_entry():
    book = ledger(0.024, [("woofer", 0.0012), ("port", 0.0003), ("woofer", 0.0005)])
    assert_allclose(book.net, 0.022, rtol=1e-12)
    assert book.displaced == (("woofer", 0.0012), ("port", 0.0003), ("woofer", 0.0005))


@pytest.mark.parametrize(
    ("gross", "entries", "field"),
    [
        (0.024, [("board", -0.001)], "displaced.board"),
        (0.024, [("board", float("nan"))], "displaced.board"),
        (0.024, [("woofer", 0.02), ("board", 0.004)], "displaced"),
        (0.0, [], "gross"),
    ],
)
def test_an_impossible_ledger_is_refused(gross, entries, field):
    with pytest.raises(InputError) as refusal:
        ledger(gross, entries)
    assert refusal.value.field == field


def test_a_port_displaces_its_outer_area_times_its_inside_length():
    # Two tubes of 50 mm bore with 3 mm wall, 120 mm of each inside: pi/4 x 56² x 120 = 295 561 mm³ each.
    assert_allclose(port_displacement(0.0024630086404, 0.12, 2), 2 * 295561.0368e-9, rtol=1e-9)
    with pytest.raises(InputError):
        port_displacement(0.0024, -0.1)


@settings(max_examples=100)
@given(
    st.floats(0.001, 0.3),
    st.tuples(*[st.floats(0.3, 3.0)] * 3),
    st.floats(0.0, 0.004),
)
def test_the_box_leaves_the_wanted_air_in_the_given_proportions(wanted, proportions, fixed):
    def displaced(inner):
        return fixed + 0.018 * (inner[0] - 0.02) * (inner[2] - 0.02)  # a shelf grows with the box

    inner = inside_for_net(wanted, proportions, displaced)
    assert abs(volume(inner) - displaced(inner) - wanted) <= 1e-9
    assert_allclose(inner[1] / inner[0], proportions[1] / proportions[0], rtol=1e-9)
    assert_allclose(inner[2] / inner[0], proportions[2] / proportions[0], rtol=1e-9)


@given(st.floats(0.001, 0.3), st.tuples(*[st.floats(0.1, 0.6)] * 3), st.integers(0, 2))
def test_one_side_alone_follows_the_wanted_air(wanted, held, moves):
    def displaced(inner):
        return 0.001 + 0.018 * inner[0] * inner[2] / 10

    try:
        inner = inside_for_net(wanted, held, displaced, moves)
    except InputError as refusal:
        assert refusal.field == "size"  # such a box would be longer than any room
        assert wanted / (held[0] * held[1] * held[2] / held[moves]) > 5
        return
    assert abs(volume(inner) - displaced(inner) - wanted) <= 1e-9
    assert all(inner[side] == held[side] for side in range(3) if side != moves)


def test_with_nothing_inside_the_box_is_the_wanted_volume():
    inner = inside_for_net(0.024, (2, 4, 3), lambda inner: 0.0)
    assert_allclose(inner, (0.2, 0.4, 0.3), rtol=1e-9)


def test_braces_that_do_not_fit_a_smaller_box_do_not_stop_the_search():
    """A box of the net volume alone is too low for the shelf; with what stands in it, it is high enough."""

    def displaced(inner):
        plate = Brace("shelf", 0.39, "ply", 0.005, Window(0.1, 0.1, 0.02))
        return braces(inner, THICKNESSES, {"s": (plate, 0.018, 700.0)}).displaced + 0.002

    assert volume((0.2, 0.398, 0.298)) > 0.0224, "the shelf stands clear only above a height of 0.399"
    inner = inside_for_net(0.0224, (2, 4, 3), displaced)
    assert abs(volume(inner) - displaced(inner) - 0.0224) <= 1e-9


def test_a_brace_that_no_box_of_the_wanted_volume_holds_is_refused_at_the_brace():
    def displaced(inner):
        return braces(inner, THICKNESSES, {"s": (Brace("shelf", 0.6, "ply"), 0.018, 700.0)}).displaced

    with pytest.raises(InputError) as refusal:
        inside_for_net(0.024, (2, 4, 3), displaced)
    assert refusal.value.field == "braces.s.at"


def test_what_takes_all_the_air_of_every_box_is_refused_at_the_size():
    with pytest.raises(InputError) as refusal:
        inside_for_net(0.024, (2, 4, 3), lambda inner: 1.01 * volume(inner))
    assert refusal.value.field == "size"


@pytest.mark.parametrize(
    ("wanted", "proportions"),
    [
        (0.0, (2, 4, 3)),
        (float("inf"), (2, 4, 3)),
        (1e12, (2, 4, 3)),
        (0.024, (0, 4, 3)),
        (0.024, (2, float("nan"), 3)),
        (0.024, (1e-300, 1e300, 1)),
        (0.024, (1e300, 1e-300, 1)),
    ],
)
def test_impossible_wishes_are_refused(wanted, proportions):
    with pytest.raises(InputError):
        inside_for_net(wanted, proportions, lambda inner: 0.0)


def test_the_centre_is_the_mean_place_weighed_by_mass():
    mass, centre = mass_and_centre([(3.0, (0.0, 0.0, 1.0)), (1.0, (0.4, -0.8, 0.0))])
    assert mass == 4.0
    assert_allclose(centre, (0.1, -0.2, 0.75), rtol=1e-12)


def test_nothing_has_no_centre():
    with pytest.raises(InputError):
        mass_and_centre([])
    with pytest.raises(InputError):
        mass_and_centre([(-1.0, (0, 0, 0)), (2.0, (0, 0, 0))])
