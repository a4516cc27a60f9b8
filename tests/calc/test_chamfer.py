"""The breathing chamfer: its wood, its refusals, its air in the ledger, and the way that it opens."""

from math import atan, degrees, hypot, pi, radians, tan

import manifold3d
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calc.cabinet.breathing import wants_chamfer, way_out
from calc.errors import InputError
from calc.evaluate import evaluate
from calc.evaluate_boring import breathing, relief_that_fits
from calc.shop.chamfer import chamfer, mouth, widened
from server.beginnings import demo
from server.documents import amend, read_project

SEAT = "cabinet.seats.woofer"
RELIEF = {f"{SEAT}.relief": {"depth": 0.006, "angle": 45.0}}


def result_of(**edits):
    project = read_project(amend(demo("reading_room"), edits))
    return project, evaluate(project)


def test_the_chamfer_of_a_woofer_by_hand():
    """Hole 146, 8 deep at 45°: 162 across inside, a slope of 8 / cos 45° = 11.314. Derived.

    Of 12.7 mm behind the recess 4.7 stay straight. Screws on a circle of 156, 3.5 thick: their near side is
    (156 - 3.5 - 146) / 2 = 3.25 from the hole, where the chamfer is 8 - 3.25 = 4.75 deep: 7.95 stay.
    """
    cut = chamfer(0.146, 0.008, 45, 0.0127, 0.0032, 0.156, 0.0035)
    assert_allclose((cut.mouth, cut.slope, cut.straight), (0.162, 0.0113137, 0.0047), atol=1e-7)
    assert_allclose(cut.under_screws, 0.00795, atol=1e-9)
    assert_allclose(cut.depths, (0.008 / 3, 0.016 / 3, 0.008), rtol=1e-12)


@given(
    R=st.floats(0.02, 0.2), depth=st.floats(0.002, 0.03), angle=st.floats(10, 80),
)  # fmt: skip
def test_its_wood_is_that_of_a_solid_model(R, depth, angle):
    """A cone's frustum less a cylinder, both of 720 facets, whose area is sin(2π/n)/(2π/n) of a circle's."""
    wide, n = mouth(2 * R, depth, angle) / 2, 720
    scale = 1e3
    cone = manifold3d.Manifold.cylinder(depth * scale, R * scale, wide * scale, n)
    hole = manifold3d.Manifold.cylinder(3 * depth * scale, R * scale, R * scale, n).translate(
        (0, 0, -depth * scale)
    )
    facets = np.sin(2 * pi / n) / (2 * pi / n)
    assert_allclose((cone - hole).volume() / scale**3 / facets, widened(2 * R, depth, angle), rtol=2e-3)


@pytest.mark.parametrize(
    ("depth", "angle", "circle", "words"),
    [
        (0.0127, 45, None, "before the floor of the recess"),
        (0.02, 30, None, "before the floor of the recess"),
        (0.0105, 45, 0.156, "two screw diameters of wood"),
        (0.008, 75, 0.156, "two screw diameters of wood"),
        (0.0, 45, None, "above zero"),
    ],
)
def test_what_is_refused(depth, angle, circle, words):
    with pytest.raises(InputError, match=words) as refused:
        chamfer(0.146, depth, angle, 0.0127, 0.0032, circle, 0.0035)
    assert refused.value.field == "depth"


def test_the_screws_bound_it_just_where_two_diameters_stay():
    """3.25 mm off the hole, 12.7 behind: 12.7 - (d - 3.25) = 7 at d = 8.95. Derived."""
    assert chamfer(0.146, 0.00895, 45, 0.0127, 0.0032, 0.156, 0.0035).under_screws == pytest.approx(0.007)
    with pytest.raises(InputError):
        chamfer(0.146, 0.00896, 45, 0.0127, 0.0032, 0.156, 0.0035)


def test_a_chamfer_that_ends_before_the_screws_takes_nothing_from_them():
    cut = chamfer(0.146, 0.003, 45, 0.005, 0.0032, 0.156, 0.0035)
    assert cut.under_screws == 0.005
    assert not any("under the screws" in sentence for _, sentence in cut.facts)


# --- in the cabinet


def test_its_wood_goes_to_the_air():
    """π d w (R + w/3) with d = w = 6 mm and R = 73 mm: 8.482 cm³. Derived."""
    held = {"cabinet.hold": "inner"}
    (_, before), (_, after) = result_of(**held), result_of(**held, **RELIEF)
    gain = pi * 0.006 * 0.006 * (0.073 + 0.002)
    assert_allclose(after.cabinet.net - before.cabinet.net, gain, rtol=1e-9)
    assert after.cabinet.ledger.gained == (("chamfer behind woofer", pytest.approx(gain)),)
    assert after.cabinet.ledger.displaced == before.cabinet.ledger.displaced


def test_where_the_air_is_held_the_box_grows_smaller_by_it():
    held = {"cabinet.hold": "volume", "alternatives.B.box.Vb": 0.014}
    (_, before), (_, after) = result_of(**held), result_of(**held, **RELIEF)
    assert_allclose(after.cabinet.net, before.cabinet.net, atol=1e-11)
    shrunk = before.cabinet.ledger.gross - after.cabinet.ledger.gross
    assert_allclose(shrunk, after.cabinet.ledger.gained[0][1], rtol=0.05)  # braces shrink with the box


def test_an_angle_that_reaches_the_side_is_told():
    """Hole 146 in 180 mm between the walls: 17 mm to each; 10 deep at 65° reaches 21.4. Derived."""
    edits = {"drivers.woofer.frame.screws": 0, f"{SEAT}.relief": {"depth": 0.01, "angle": 65.0}}
    _, result = result_of(**edits)
    clash = next(each for each in result.clashes if each.kind == "wall")
    assert clash.amount == pytest.approx(0.01 * tan(radians(65)) - 0.017, abs=1e-9)
    (_, plain) = result_of(**{**edits, f"{SEAT}.relief": {"depth": 0.01, "angle": 55.0}})
    assert not any(each.kind == "wall" for each in plain.clashes)


def test_a_refusal_stands_at_its_field():
    with pytest.raises(InputError) as refused:
        result_of(**{f"{SEAT}.relief": {"depth": 0.03, "angle": 45.0}})
    assert refused.value.field == f"{SEAT}.relief.depth"


def test_without_a_cutout_it_waits():
    _, result = result_of(**RELIEF, **{"drivers.woofer.frame.cutout": None})
    assert result.seats["woofer"] is None and result.cabinet.ledger.gained[0][1] == 0.0


def test_what_is_offered_is_taken():
    project, result = result_of()
    depth = relief_that_fits(project, result, "woofer")
    assert 0.002 < depth <= result.seats["woofer"].below / 2
    result_of(**{f"{SEAT}.relief": {"depth": depth, "angle": 45.0}})


# --- the way out


def test_wood_that_reaches_past_the_magnet_leaves_the_ring_about_it():
    way = way_out(0.1, 0.07, 0.02, 0.03)
    assert_allclose((way.gap, way.area), (0.015, pi / 4 * (0.1**2 - 0.07**2)), rtol=1e-12)


def test_without_a_magnet_to_speak_of_it_is_the_side_of_a_cone():
    """A point on the axis 40 mm behind a hole of 100 mm through a sheet of no thickness: π r s. Derived."""
    way = way_out(0.1, 1e-9, 0.04, 1e-9)
    assert_allclose(way.area, pi * 0.05 * hypot(0.05, 0.04), rtol=1e-6)


@given(
    magnet=st.floats(0.3, 0.95), iron=st.floats(0.01, 0.08), below=st.floats(0.005, 0.05),
    share=st.floats(0.05, 0.95), angle=st.floats(10, 80),
)  # fmt: skip
def test_no_point_of_the_wood_is_nearer_and_a_chamfer_never_narrows_the_way(
    magnet, iron, below, share, angle
):
    R, depth = 0.06, share * below
    before, after = (
        way_out(2 * R, 2 * R * magnet, iron, below),
        way_out(2 * R, 2 * R * magnet, iron, below, depth, angle),
    )
    assert after.gap >= before.gap - 1e-12
    at = np.linspace(0, below, 4001)
    radius = R + np.clip(at - (below - depth), 0, None) * tan(radians(angle))
    assert_allclose(np.hypot(radius - R * magnet, at - iron).min(), after.gap, rtol=2e-4, atol=2e-6)


def test_a_thick_front_is_told_to_choke_and_a_thin_one_is_not():
    project, thin = result_of()
    air = breathing(project, thin)
    assert set(air) == {"woofer"}, "a tweeter is closed behind"
    assert not air["woofer"].wanted and air["woofer"].after is None
    sheet = {"name": "Thick", "thickness": 0.04, "density": 680.0}
    thick = {"workshop.sheets.thick": sheet, "cabinet.panels.front": "thick"}
    relief = {f"{SEAT}.relief": {"depth": 0.02, "angle": 45.0}}
    project, result = result_of(**thick, **relief, **{"drivers.woofer.frame.screws": 0})
    choked = breathing(project, result)["woofer"]
    assert choked.wanted and choked.after.area > 1.2 * choked.before.area


def test_half_the_way_is_the_bound():
    assert wants_chamfer(0.0101, 0.02) and not wants_chamfer(0.0099, 0.02)


def test_the_mouth_grows_with_the_tangent():
    assert mouth(0.1, 0.01, degrees(atan(0.5))) == pytest.approx(0.11)
