"""Sawing a sheet cut by cut: what lies on the saw, what comes off it, and how its pieces are marked."""

from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sawing import outline, saw

from calc.evaluate import evaluate
from calc.evaluate_sawing import good_face_up
from calc.project_saw import Saw
from calc.shop.sheet_layout import ORDERS, Piece, Sheet, fewest_sheets
from calc.shop.sheet_sawing import marks, strokes
from server.beginnings import demo
from server.documents import read_project

SHEET, KERF = Sheet(2.44, 1.22, 0.01), 0.0032


@settings(max_examples=40)
@given(
    st.lists(
        st.tuples(st.integers(50, 900), st.integers(50, 600), st.integers(1, 4)), min_size=1, max_size=6
    ),
    st.sampled_from(ORDERS),
)
def test_each_cut_is_told_as_the_independent_saw_makes_it(rows, order):
    """Part by part: shapely's rectangles before and after a cut against what the stroke says of it."""
    pieces = [Piece(f"p{n}", a / 1e3, b / 1e3, count, "any") for n, (a, b, count) in enumerate(rows)]
    for sheet in fewest_sheets(pieces, SHEET, KERF, order).sheets:
        told = strokes(sheet, (2.44, 1.22), 0.01, KERF, Saw())
        cuts = [(cut.axis, cut.at, cut.start, cut.end) for cut in sheet.cuts]
        assert [stroke.cut for stroke in told] == list(sheet.cuts)
        shapes = [outline(piece) for piece in sheet.pieces]
        for n, stroke in enumerate(told):
            before, after = saw(SHEET, KERF, cuts[:n]), saw(SHEET, KERF, cuts[: n + 1])
            (part,) = (each for each in before if not any(each.equals(other) for other in after))
            left, low, right, high = part.bounds
            size = (right - left, high - low)
            k = "xy".index(stroke.cut.axis)
            assert (stroke.along, stroke.across) == pytest.approx((size[k], size[1 - k]), abs=1e-6)
            assert stroke.off == pytest.approx(stroke.cut.at - (left, low)[1 - k], abs=1e-6)
            on = {m for m, shape in enumerate(shapes) if part.contains(shape.centroid)}
            assert set(stroke.near) | set(stroke.far) == on and not set(stroke.near) & set(stroke.far)
            for some, whole in zip((stroke.near, stroke.far), stroke.whole, strict=True):
                finished = [
                    m for m in some if any(each.hausdorff_distance(shapes[m]) < 2e-6 for each in after)
                ]
                assert whole == (len(some) == 1 and finished == list(some))
            for m in stroke.near:
                place = shapes[m].bounds[1 - k], shapes[m].bounds[3 - k]
                assert place[1] <= stroke.cut.at + 1e-6


def two_cuts(saw_used):
    """A rip of 0.9 off a sheet of 2 x 1.6, then a crosscut of 0.6 off the strip."""
    layout = fewest_sheets([Piece("A", 0.6, 0.9, 1, "length")], Sheet(2.0, 1.6), 0.003, "rip")
    return strokes(layout.sheets[0], (2.0, 1.6), 0.0, 0.003, saw_used)


def test_how_the_saw_leads_a_sheet():
    """By hand: 0.9 is beyond a fence that reaches 0.75; the crosscut is 0.9 long, too long for a sled."""
    rip, crosscut = two_cuts(Saw())
    assert (rip.guide, rip.dangers) == ("track", ("far",)) and (rip.off, rip.along) == pytest.approx(
        (0.9, 2.0)
    )
    assert (crosscut.guide, crosscut.dangers) == ("track", ("large",))
    rip, _ = two_cuts(Saw(reach=1.0))
    assert (rip.guide, rip.dangers) == ("fence", ())
    rip, crosscut = two_cuts(Saw(kind="track", rail=1.4))
    assert (rip.guide, rip.dangers) == ("rail", ("beyond",)) and crosscut.dangers == ()
    assert {stroke.guide for stroke in two_cuts(Saw(kind="panel"))} == {"panel"}


@dataclass(frozen=True)
class Row:
    label: str
    names: tuple


@dataclass(frozen=True)
class Lying:
    name: str


@dataclass(frozen=True)
class Sawn:
    pieces: tuple


@dataclass(frozen=True)
class OnSheet:
    sawn: Sawn
    named: dict


def lying(letters, **named):
    return OnSheet(Sawn(tuple(map(Lying, letters))), {int(n[1:]): part for n, part in named.items()})


def test_pieces_are_marked_speaker_by_speaker_over_all_sheets():
    rows = [Row("A", ("front",)), Row("B", ("left", "right")), Row("C", ("shelf",))]
    made = marks(rows, [lying("BAB"), lying("BABCC")], 2, True)
    assert [(mark.name, mark.speaker) for sheet in made for mark in sheet] == [
        ("left", 1), ("front", 1), ("right", 1), ("left", 2), ("front", 2), ("right", 2), ("shelf", 1),
        ("shelf", 2),
    ]  # fmt: skip


def test_a_piece_in_a_run_of_grain_is_named_by_it():
    made = marks([Row("B", ("left", "right"))], [lying("BBBB", n2=("left", 1))], 2, True)
    assert [(mark.name, mark.speaker, mark.end) for mark in made[0]] == [
        ("right", 1, "top"), ("left", 2, "top"), ("left", 1, ""), ("right", 2, "top"),
    ]  # fmt: skip


@pytest.mark.parametrize("up", [True, False])
def test_the_marks_of_a_side_leave_its_good_face_outside(up):
    """A second route: the panel's own corners are laid on the saw by a rotation, whose sign is checked.

    Up lies the face that is marked; the top goes to the right of the sheet. Then the direction to the front
    edge follows from what is known: front x up x outside must be right-handed as it is in the cabinet.
    """
    project = read_project(demo("reading_room"))
    carcass = evaluate(project).cabinet.carcass
    rows = [Row("B", ("left", "right"))]
    ((left, right),) = marks(rows, [lying("BB")], 1, up)
    middle = np.mean([corner for panel in carcass.panels.values() for corner in panel.body.corners], axis=0)
    for mark in (left, right):
        own = np.mean(carcass.panels[mark.name].body.corners, axis=0)
        outside = np.array([np.sign(own[0] - middle[0]), 0, 0])  # x to the right, y to the back, z up
        top, front = np.array([0, 0, 1]), np.array([0, -1, 0])
        hand = np.linalg.det([top, front, outside])
        on_sheet_top, on_sheet_up = np.array([1, 0, 0]), np.array([0, 0, 1 if up else -1])
        on_sheet_front = np.array([0, {"low": -1, "high": 1}[mark.side], 0])
        assert np.linalg.det([on_sheet_top, on_sheet_front, on_sheet_up]) == pytest.approx(hand)
        assert mark.end == "top"
    assert left.side != right.side


def test_only_a_track_saw_wants_the_good_face_down():
    """Its teeth come up through the wood (common practice, no source)."""
    assert [good_face_up(Saw(kind=kind)) for kind in ("table", "track", "panel")] == [True, False, True]
