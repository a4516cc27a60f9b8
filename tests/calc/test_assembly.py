"""An order that can be put together, where parts touch, glue and clamps."""

import json
from itertools import permutations
from math import hypot, isclose, radians, tan
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.cabinet.contact import Sweep, pieces, touching
from calc.cabinet.polyhedra import Plane, block, clipped, common, sums
from calc.errors import InputError
from calc.evaluate import evaluate
from calc.evaluate_assembly import _bodies, _meeting, assembly, ways_out
from calc.shop.assembly import Move, order
from calc.shop.gluing import APART, FORCES, INSET, SHEET_PRESSURE, bars, glue, pressing, short_of, square
from server.documents import amend, read_project
from tests.server.reading import BOXES, MADE, made

DATA = json.loads((Path(__file__).parents[1] / "data/gluing.json").read_text())["records"]
MITRED = {
    f"cabinet.edges.{side}-{end}": {"into": None, "depth": 0.0, "mitre": True}
    for side in ("left", "right")
    for end in ("top", "bottom")
}
RIB = {"cabinet.braces.rib": {"kind": "rib", "at": 0.09, "sheet": "ply", "depth": 0.006}}
DOCUMENTS = {
    **{name: made(name) for name in (*MADE[:4], *BOXES)},
    "mitred": amend(made("reading_room"), MITRED),
    "leaning": amend(made("reading_room"), {"cabinet.slope": 7.0}),
    "crossing": amend(made("reading_room"), RIB),
}


def solved(name):
    project = read_project(DOCUMENTS[name])
    return project, evaluate(project)


# --- Bodies


@pytest.mark.parametrize("name", ["reading_room", "mitred", "leaning"])
def test_pieces_fill_a_panel(name):
    """Volume of the pieces = the panel's own, which was reckoned by taking sums off sums."""
    _, result = solved(name)
    for solid in result.cabinet.carcass.panels.values():
        found = pieces(solid.body, [cut.body for cut in solid.cuts])
        assert isclose(sum(sums(piece)[0] for piece in found), solid.volume, rel_tol=1e-9)
        assert all(common(a, b) is None for n, a in enumerate(found) for b in found[:n])


corner = st.tuples(*[st.floats(-1, 1)] * 3)
size = st.tuples(*[st.floats(0.1, 0.8)] * 3)


def moved(solid, way, far):
    corners = tuple(tuple(c + far * w for c, w in zip(at, way, strict=True)) for at in solid.corners)
    faces = tuple(
        (plane._replace(at=plane.at + far * sum(n * w for n, w in zip(plane[:3], way, strict=True))), ring)
        for plane, ring in solid.faces
    )
    return type(solid)(corners, faces)


@given(corner, size, corner, size, st.sampled_from(((1, 0, 0), (0, -1, 0), (0, 0, 1), (0.6, 0.0, 0.8))),
       st.floats(-0.6, 0.6))  # fmt: skip
def test_a_sweep_meets_what_the_body_meets_on_its_way(at, long, other, wide, way, lean):
    """Second route: the body itself, moved on in small steps, and cut with the other."""
    one = block(at, tuple(a + b for a, b in zip(at, long, strict=True)))
    normal = hypot(1, lean)
    one = clipped(one, Plane(1 / normal, 0.0, lean / normal, (at[0] + lean * at[2]) / normal + 0.02))
    it = block(other, tuple(a + b for a, b in zip(other, wide, strict=True)))
    if one is None:
        return
    on_its_way = (common(moved(one, way, step / 60), it) for step in range(241))
    truly = [both for both in on_its_way if both is not None and sums(both)[0] > 1e-5]
    if Sweep(one, way).meets(it):
        grazing = not truly
        wider = [moved(one, way, step / 400) for step in range(1601)]
        assert not grazing or any(common(each, it) for each in wider)
    else:
        assert not truly


def test_where_two_blocks_touch():
    """By hand: a board on edge on another, 18 x 300 mm; and nothing where they are a hair apart."""
    floor, wall = block((0, 0, 0), (0.2, 0.3, 0.018)), block((0, 0, 0.018), (0.018, 0.3, 0.4))
    ((normal, area, low, high),) = touching([floor], [wall])
    assert normal == (0, 0, 1) and isclose(area, 0.018 * 0.3)
    assert low == pytest.approx((0, 0, 0.018)) and high == pytest.approx((0.018, 0.3, 0.018))
    assert touching([floor], [block((0, 0, 0.0181), (0.018, 0.3, 0.4))]) == []


@given(st.floats(0.05, 0.5), st.floats(0.05, 0.5), st.floats(-0.4, 0.4), st.floats(-0.4, 0.4))
def test_faces_that_cover_each_other_in_part(wide, deep, x, y):
    """Exact: the area that two rectangles share."""
    low, high = block((0, 0, 0), (0.3, 0.2, 0.1)), block((x, y, 0.1), (x + wide, y + deep, 0.2))
    shared = max(0.0, min(0.3, x + wide) - max(0.0, x)) * max(0.0, min(0.2, y + deep) - max(0.0, y))
    found = sum(area for _, area, *_ in touching([low], [high]))
    assert isclose(found, shared, abs_tol=1e-9)


# --- Order


def by_trying_all(parts, meets, ways):
    """Second route: every sequence, each part by some straight move past those that came before it."""
    for sequence in permutations(parts):
        if all(
            any(not any(meets(part, way, other) for other in sequence[:n]) for way in ways)
            for n, part in enumerate(sequence)
        ):
            return True
    return False


@given(st.integers(2, 5), st.data())
def test_an_order_is_found_exactly_where_there_is_one(count, data):
    parts, ways = "abcde"[:count], "lru"
    hits = {
        (part, way, other): data.draw(st.booleans())
        for part in parts for way in ways for other in parts if part != other
    }  # fmt: skip

    def meets(part, way, other):
        return hits[part, way, other]

    found = order(parts, meets, dict.fromkeys(parts, ways))
    assert bool(found.moves) == by_trying_all(parts, meets, ways)
    there = []
    for (part,), way in found.moves:
        assert not any(meets(part, way, other) for other in there)
        there.append(part)


def test_what_is_shut_in_is_locked():
    """A block in a closed shell of six boards that are hooked into each other two by two is found."""
    hooked = {("a", "b"), ("b", "a")}
    found = order("abc", lambda p, way, o: (p, o) in hooked, dict.fromkeys("abc", "lr"))
    assert found.moves == () and found.locked == ("a", "b")


def test_a_shelf_that_was_forgotten_cannot_come_into_a_glued_box():
    """Real wood: the six panels as one body leave the shelf no way in, by any straight move; with the right
    side not yet glued on there is one, and it is the side that comes last."""
    _, result = solved("reading_room")
    bodies, ways = _bodies(result.cabinet), ways_out(result.cabinet.carcass)
    panels = list(result.cabinet.carcass.panels)
    box = [piece for name in panels for piece in bodies[name]]
    shut = {"box": box, "shelf": bodies["shelf"]}
    assert order(shut, _meeting(shut, ways), dict.fromkeys(shut, tuple(ways))).locked == ("box", "shelf")
    rest = [piece for name in panels if name != "right" for piece in bodies[name]]
    open_one = {"right": bodies["right"], "box": rest, "shelf": bodies["shelf"]}
    found = order(open_one, _meeting(open_one, ways), dict.fromkeys(open_one, tuple(ways)))
    assert not found.locked and found.moves[-1] == (("right",), "right")


def test_two_that_hold_each_other_come_in_as_one():
    hooked = {("a", "b"), ("b", "a")}
    found = order("abc", lambda p, way, o: (p, o) in hooked, dict.fromkeys("abc", "lr"), [("a", "b")])
    assert found == ((Move(("a", "b"), "l"), Move(("c",), "l")), ())


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_box_of_ours_goes_together(name):
    """Replayed with the bodies themselves: each part, set back along its way, meets no wood on its way in."""
    project, result = solved(name)
    built = assembly(project, result)
    carcass, braces = result.cabinet.carcass, result.cabinet.braces
    assert not built.locked
    steps = [step for stage in built.stages for step in stage.steps]
    assert sorted(part for step in steps for part in step.parts) == sorted([*carcass.panels, *braces])
    there = []
    for step in steps:
        way = (
            (0.0, -1.0, 0.0) if step.way == "forward" else tuple(-a for a in carcass.facing(step.way).inward)
        )
        for part in step.parts:
            if part in braces:
                continue
            solid = carcass.panels[part]
            mine = pieces(solid.body, [cut.body for cut in solid.cuts])
            for back in (0.001, 0.004, 0.02, 0.1):
                for piece in mine:
                    for other in there:
                        met = common(moved(piece, way, back), other)
                        assert met is None or sums(met)[0] < 1e-12, (part, back)
            there += mine
    assert steps[-1].parts == ("front",)


def test_a_lid_comes_last_and_takes_no_glue():
    document = amend(made("reading_room"), {"cabinet.lid": {"panel": "back", "gasket": 0.003, "play": 0.001}})
    project = read_project(document)
    result = evaluate(project)
    built = assembly(project, result)
    last = built.stages[-1]
    assert last.steps[-1].parts == ("back",) and last.steps[-1].screwed
    assert (last.joints, last.area, last.pressed) == (0, 0, ())
    assert built.gaskets[0] == ("back", result.cabinet.carcass.gasket.around)


def test_a_brace_that_reaches_both_closed_walls_slides():
    """The shelf goes in before the right side; set in last, along its grooves, it would slide."""
    built = assembly(*solved("reading_room"))
    steps = {step.parts[0]: step for stage in built.stages for step in stage.steps}
    assert steps["shelf"].way == "right" and not steps["shelf"].slides


# --- Glue, clamps, square


def test_the_glue_of_a_corner():
    """A rabbet's two faces, 312 x 18 and 312 x 9 mm, at 200 g/m² (reference of the shop: derived)."""
    row = DATA["corner"]
    area = sum(length * width for length, width in row["faces"])
    assert isclose(area, row["area"])
    assert isclose(4 * glue(area), row["four"], abs_tol=row["tolerance"])


def test_the_joints_of_the_worked_box():
    """By hand, all butted: sides on top and bottom 4 x 18 x (depth - front), front on the ring and so on."""
    edges = {f"cabinet.edges.{n}": e for n, e in butted().items()}
    project = read_project(amend(made("reading_room"), {**edges, "cabinet.braces": {}}))
    result = evaluate(project)
    built, t = assembly(project, result), 0.0183
    width, height, depth = result.cabinet.carcass.outer
    ring = depth - t
    sides = 4 * t * ring
    front = 2 * t * height + 2 * t * (width - 2 * t)
    back = 2 * t * (height - 2 * t) + 2 * t * (width - 2 * t)
    assert isclose(sum(stage.area for stage in built.stages), sides + front + back, rel_tol=1e-9)
    assert [stage.joints for stage in built.stages] == [4, 4, 4]


def butted():
    from calc.cabinet.joints import all_butt

    return all_butt()


def test_clamps_for_a_joint():
    """436 x 18 mm at 1.0 MPa with 1600 N clamps (reference of the shop: derived)."""
    row = DATA["edge"]
    assert isclose(row["area"] * row["pressure"], row["force"]) and FORCES["parallel jaw"] == row["clamp"]
    places = bars([((0.0, 0.0), (row["length"], 0.0))])
    assert pressing(row["area"], places, row["pressure"], row["clamp"]) == row["clamps"]


@pytest.mark.parametrize(("long", "count"), [(0.1, 2), (0.25, 2), (0.251, 3), (0.5, 3), (1.0, 5)])
def test_clamps_stand_no_further_apart_than_a_quarter_of_a_metre(long, count):
    places = bars([((0.0, 0.0), (long, 0.0))])
    assert len(places) == count == pressing(1e-6, places)


def test_joints_that_meet_at_a_corner_share_its_clamp():
    """By hand: a ring of 0.38 by 0.2 m has four corners and one clamp halfway up each side, six instead of
    ten; a shelf across it at 0.07 m adds its two ends, and the sides' gaps above it still want one each."""
    a, b, c, d = (0.0, 0.0), (0.2, 0.0), (0.2, 0.38), (0.0, 0.38)
    ring = [(a, b), (b, c), (c, d), (d, a)]
    assert len(bars(ring)) == 6 and sum(len(bars([joint])) for joint in ring) == 10
    assert len(bars([*ring, ((0.0, 0.07), (0.2, 0.07))])) == 8


grid = st.integers(0, 12).map(lambda n: n / 10)
lines = st.lists(st.tuples(st.tuples(grid, grid), st.tuples(grid, grid)), min_size=1, max_size=5)


@given(lines)
def test_every_joint_is_pressed_along_its_whole_length(joints):
    """Second route: walked along in small steps, no point is further from a clamp than half their distance,
    and what a clamp's own reach adds; and sharing never takes more clamps than each joint for itself."""
    joints = [(a, b) for a, b in joints if a != b]
    places = bars(joints)
    for (u0, v0), (u1, v1) in joints:
        for share in (n / 50 for n in range(51)):
            u, v = u0 + share * (u1 - u0), v0 + share * (v1 - v0)
            assert min(hypot(p - u, q - v) for p, q in places) <= APART / 2 + INSET[1] * 2
    assert len(places) <= sum(len(bars([joint])) for joint in joints)


def test_the_clamps_of_a_direction_balance_the_pressure_on_both_ends():
    """Force balance: front on a ring by butts; all clamps together make 1 MPa on the ring's area, which is
    reckoned by hand, and one clamp less would not."""
    edges = {f"cabinet.edges.{n}": e for n, e in butted().items()}
    project = read_project(amend(made("reading_room"), {**edges, "cabinet.braces": {}}))
    result = evaluate(project)
    (depth,) = assembly(project, result).stages[-1].pressed
    (width, height, _), t = result.cabinet.carcass.outer, 0.0183
    force = SHEET_PRESSURE * (width * height - (width - 2 * t) * (height - 2 * t))
    assert depth.axis == "depth" and isclose(depth.force, force, rel_tol=1e-9)
    one = FORCES["parallel jaw"]
    assert (depth.full - 1) * one < force <= depth.full * one and depth.count == 6


def test_a_glue_up_that_takes_longer_than_the_glue_is_split():
    """By hand: six joints at a minute each against five; whichever way it is split, each go must fit."""
    project, result = solved("reading_room")
    first = assembly(project, result).stages[0]
    assert (first.joints, first.needs, first.late) == (6, 360.0, True)
    halves = [
        sum(len(step.onto) for step in half)
        for half in (first.steps[: first.split], first.steps[first.split :])
    ]
    assert sum(halves) == 6 and max(halves) * 60 <= 300
    calm = read_project(amend(made("reading_room"), {"workshop.open_time": 600.0}))
    assert not assembly(calm, result).stages[0].late and assembly(calm, result).stages[0].split is None
    hasty = read_project(amend(made("reading_room"), {"workshop.open_time": 60.0}))
    assert assembly(hasty, result).stages[0].split is None, "the right side alone closes three"


@given(st.floats(0.1, 2), st.floats(0.1, 2), st.floats(1e-4, 0.3))
def test_a_frame_that_leans_has_unequal_diagonals(width, height, degrees):
    """Exact, by the corners of a frame that leans by a small angle."""
    lean = height * tan(radians(degrees))
    long, short = hypot(width + lean, height), hypot(width - lean, height)
    found = square(width, height)
    assert isclose(found.diagonal, hypot(width, height))
    assert isclose(found.lean * (long - short), lean, rel_tol=2e-3)


def test_clamps_that_do_not_reach_do_not_count():
    assert short_of([(4, 0.3), (2, 0.5)], [(4, 0.4), (2, 0.6)]) == 0
    assert short_of([(4, 0.3), (3, 0.5)], [(4, 0.4), (2, 0.6)]) == 1
    assert short_of([(4, 0.3)], [(9, 0.25)]) == 4
    assert short_of([], []) == 0


@given(st.lists(st.tuples(st.integers(1, 4), st.sampled_from((1, 2, 3))), max_size=3),
       st.lists(st.tuples(st.integers(1, 4), st.sampled_from((1, 2, 3))), max_size=3))  # fmt: skip
def test_no_way_of_giving_them_out_lacks_fewer_clamps(needed, owned):
    """Second route: the largest number that can be met, by Hall's count of what reaches."""
    least = 0
    for reach in (1, 2, 3):
        wants = sum(count for count, far in needed if far >= reach)
        has = sum(count for count, far in owned if far >= reach)
        least = max(least, wants - has)
    assert short_of(needed, owned) == least


def test_a_joint_has_an_area():
    with pytest.raises(InputError, match="above zero"):
        pressing(0.0, [(0.0, 0.0)])
