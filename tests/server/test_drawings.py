"""The drawings: to scale, complete, within their paper, safe, and dressed only by the style sheet."""

import re
from math import atan2, degrees, hypot
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.cabinet.bracing import braces
from calc.cabinet.joints import all_butt, all_mitred, covered, mitred_carcass, rabbeted
from calc.cabinet.openings import openings as placed
from calc.cabinet.panels import carcass, grooved
from calc.project import Driver, Port, Radiator, RoundPort, SlotPort
from calc.project_cabinet import PANELS, Brace, Edge, Frame, Hole, Seat, Window
from calc.shop.boring import seat as bored_seat
from server.drawings.boring import jig, seat_section
from server.drawings.brace import brace
from server.drawings.exploded import exploded, lifted
from server.drawings.front import front
from server.drawings.joints import joint
from server.drawings.ledger import ledger_bar
from server.drawings.openings import openings
from server.drawings.panel import panel
from server.drawings.plate import Plate
from server.drawings.section import section
from server.drawings.shapes import RIGHT, UP, oblique_faces
from server.drawings.solids import panel_surface, upright
from server.drawings.surfaces import sawn

SHEET = set(
    re.findall(r"\.([a-z][a-z0-9-]*)", (Path(__file__).parents[2] / "static" / "app.css").read_text())
)
"""The classes that the style sheet knows."""

WOOFER = Driver(
    name="Demo W165", Sd=0.0132,
    frame=Frame(flange=0.166, flange_thickness=0.006, gasket=0.001, cutout=0.146, depth=0.085, magnet=0.1,
                screws=4, screw_circle=0.156),
)  # fmt: skip
DOME = Driver(
    name="Demo D25", kind="tweeter", Sd=7e-4,
    frame=Frame(flange=0.104, flange_thickness=0.004, cutout=0.075, depth=0.035, magnet=0.066),
)  # fmt: skip
BARE = Driver(name="Bare", Sd=0.02)
DRIVERS = {"w": WOOFER, "d": DOME, "bare": BARE}


def millimetres(length):
    return f"{length * 1000:.1f}"


def box(inner, thicknesses, edges, plates=None, slope=0.0):
    """A carcass and its braces."""
    if not isinstance(thicknesses, dict):
        thicknesses = dict.fromkeys(PANELS, thicknesses)
    panels = {name: (thicknesses[name], 700.0) for name in PANELS}
    walls = carcass(inner, "inner", panels, {name: Edge(**edge) for name, edge in edges.items()}, slope)
    inside = braces(
        inner, thicknesses, {name: (plate, 0.018, 700.0) for name, plate in (plates or {}).items()}
    )
    return grooved(walls, inside.grooves), inside.braces


# Inner 200 x 400 x 300 (w x h x d), walls 18, back 12, front 25, rabbets 9 deep.
# Derived: outer 236 x 436 x 337.
THICKNESSES = {"front": 0.025, "back": 0.012, "left": 0.018, "right": 0.018, "top": 0.018, "bottom": 0.018}
SHELF = Brace("shelf", 0.1, "ply", 0.006, Window(0.12, 0.2, 0.015))
RIB = Brace("rib", 0.06, "ply", 0.006, Window(0.15, 0.25, 0.04))
SEATS = {"tweeter": Seat("d", 0.36, 0.118), "woofer": Seat("w", 0.2, 0.118)}
PORT = Port(shape=RoundPort(diameter=0.056), wall=0.003, x=0.118, y=0.36)
HOLES = {"cup": Hole("back", diameter=0.056, y=0.08, x=0.118)}


@pytest.fixture(scope="module")
def worked():
    return box((0.2, 0.4, 0.3), THICKNESSES, rabbeted(0.009, 0.009), {"brace": SHELF})


def all_drawings(walls, plates, seats, port, port_length, holes, write=millimetres):
    """Every drawing of one cabinet, by name."""
    ports = {"port": port} if port else {}
    cut = placed(walls, seats=seats, drivers=DRIVERS, ports=ports, holes=holes, braces=plates)
    found = {name: openings(cut, name, seats=seats, drivers=DRIVERS) for name in ("front", "back")}
    kinds = {"seats": seats, "drivers": DRIVERS, "ports": ports, "braces": plates}
    lengths = {"port": port_length}
    drawn = {
        "section": section(walls, cut, lengths=lengths, **kinds),
        "section written": section(walls, cut, lengths=lengths, ask=(), write=write, **kinds),
        "front": front(walls, found["front"], write=write),
        "front asked": front(walls, found["front"], write=write, mirrored=True, ask=seats),
        "exploded": exploded(
            walls, braces=plates, letters=dict.fromkeys([*PANELS, *plates], "A"), openings=found
        ),
        "lifted": lifted(walls, braces=plates, openings=found),
        "lifted written": lifted(walls, braces=plates, openings=found, ask=(), write=write),
    }
    for name in walls.panels:
        solid = upright(walls, name)
        drawn[name + " panel"] = panel(solid, found.get(name, ()), write=write, letter="A")
    for name, solid in plates.items():
        drawn[name + " brace"] = brace(solid, write=write, letter="B")
    return drawn


# Reading an SVG back -------------------------------------------------------------------------------------


def read(drawing):
    return ElementTree.fromstring(drawing.svg)


def paper(drawing):
    _, _, width, height = map(float, read(drawing).get("viewBox").split())
    return width, height


def points_of(data):
    """End points of the strokes of path data; of arcs and curves too."""
    x = y = 0.0
    for command, numbers in re.findall(r"([MLACQZqt])([^MLACQZqt]*)", data):
        values = [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", numbers)]
        if command == "A":
            values = values[-2:]
        if command in "qt":
            x, y = x + values[-2], y + values[-1]
        elif values:
            x, y = values[-2:]
        yield x, y


def marks(drawing):
    """(tag, class, points) of everything drawn, patterns and clips left out."""
    for node in read(drawing):
        yield from _marks(node)


def _marks(node):
    if node.tag in ("defs", "clipPath") or node.get("class") == "keys":
        return
    if node.tag == "g":
        for child in node:
            if not node.get("clip-path"):
                yield from _marks(child)
    elif node.tag == "path":
        yield "path", node.get("class"), list(points_of(node.get("d")))
    elif node.tag == "circle":
        x, y, r = (float(node.get(key)) for key in ("cx", "cy", "r"))
        yield "circle", node.get("class"), [(x - r, y - r), (x + r, y + r)]
    elif node.tag == "text":
        yield "text", node.get("class") or "", lettered(node)


def lettered(node):
    """Two corners of a line of lettering, from a moderate guess of its width."""
    x, y, kind = float(node.get("x")), float(node.get("y")), node.get("class") or ""
    width = len(node.text) * (9.5 if "big" in kind else 7.4)
    left = x - width / 2 if "mid-a" in kind else x - width if "end-a" in kind else x
    return [(left, y - 12), (left + width, y + 3)]


def circles(drawing, kind):
    return [points for tag, name, points in marks(drawing) if tag == "circle" and name == kind]


def radius(points):
    return (points[1][0] - points[0][0]) / 2


def middle(points):
    return (points[0][0] + points[1][0]) / 2, (points[0][1] + points[1][1]) / 2


def area(loop):
    pairs = zip(loop, loop[1:] + loop[:1], strict=True)
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs) / 2


# Every drawing ------------------------------------------------------------------------------------------


def check_paper(name, drawing):
    width, height = paper(drawing)
    for tag, kind, points in marks(drawing):
        for x, y in points:
            assert -0.5 <= x <= width + 0.5 and -0.5 <= y <= height + 0.5, (
                name,
                tag,
                kind,
                x,
                y,
                width,
                height,
            )


def check_dress(name, drawing):
    """Described, dressed by classes of the sheet only, each pattern and clip there under an id of its own."""
    svg = str(drawing.svg)
    root = read(drawing)
    assert root.get("role") == "img" and root.get("aria-label").endswith("."), name
    assert "style" not in svg and not re.search(r'="(#[0-9a-f]{3}|rgb|black|white)', svg), name
    assert not re.search(r"\bnan\b|\binf\b", svg), name
    ids = [node.get("id") for node in root.iter() if node.get("id")]
    assert len(ids) == len(set(ids)), name
    assert set(re.findall(r"url\(#([^)]*)\)", svg)) <= set(ids), name
    used = {word for node in root.iter() for word in (node.get("class") or "").split()}
    assert used <= SHEET, (name, used - SHEET)


def check_spots(name, drawing):
    spots = list(drawing.spots.items())
    assert set(drawing.letters) == set(drawing.spots)
    for number, (first, (column, row)) in enumerate(spots):
        assert 1 <= column <= 11 and 1 <= row <= 11, (name, first, column, row)
        for second, (other_column, other_row) in spots[:number]:
            apart = abs(column - other_column) >= 2 or abs(row - other_row) >= 2
            assert apart, (name, first, second, (column, row), (other_column, other_row))


def test_every_drawing_is_described_dressed_by_the_sheet_and_within_its_paper(worked):
    for name, drawing in all_drawings(*worked, SEATS, PORT, 0.207, HOLES).items():
        check_paper(name, drawing)
        check_dress(name, drawing)
        check_spots(name, drawing)


CONSTRUCTIONS = {
    "butt": all_butt(), "covered": covered(), "rabbeted": rabbeted(0.005, 0.004),
    "mitred": mitred_carcass(0.004), "all mitred": all_mitred(),
}  # fmt: skip

lengths = st.floats(0, 1)


@settings(max_examples=40)
@given(data=st.data())
def test_drawings_of_any_cabinet_stay_on_their_paper(data):
    between = lambda low, high: low + (high - low) * data.draw(lengths)  # noqa: E731
    inner = (between(0.1, 0.42), between(0.17, 1.1), between(0.1, 0.55))
    thicknesses = {name: between(0.009, 0.03) for name in PANELS}
    edges = CONSTRUCTIONS[data.draw(st.sampled_from(sorted(CONSTRUCTIONS)))]
    plates = {}
    if data.draw(st.booleans()):
        window = Window(0.5 * inner[0], 0.5 * inner[2], 0.01) if data.draw(st.booleans()) else None
        plates["shelf"] = Brace("shelf", between(0.2, 0.8) * inner[1], "ply", 0.004, window)
    if data.draw(st.booleans()):
        window = Window(0.5 * inner[2], 0.5 * inner[1], 0.01)
        plates["rib"] = Brace("rib", between(0.2, 0.8) * inner[0], "ply", 0.004, window)
    steepest = degrees(atan2(0.5 * inner[2], inner[1]))
    slope = data.draw(st.sampled_from((0.0, 0.0, min(5.0, steepest), min(12.0, steepest))))
    walls, plates = box(inner, thicknesses, edges, plates, 0.0 if plates else slope)
    count = data.draw(st.integers(0, 3))
    seats = {
        f"seat {n}": Seat(data.draw(st.sampled_from(sorted(DRIVERS))), x=between(0.3, 0.7) * walls.outer[0],
                          y=(n + between(0.3, 0.7)) / count * walls.outer[1])
        for n in range(count)
    }  # fmt: skip
    round_port = RoundPort(diameter=between(0.02, 0.08))
    slot = SlotPort(
        width=between(0.3, 0.9) * inner[0], height=between(0.01, 0.03), along_wall=data.draw(st.booleans())
    )
    port = data.draw(st.sampled_from([None, "front", "back"]))
    if port:
        shape = data.draw(st.sampled_from([round_port, slot]))
        count = data.draw(st.integers(1, 2)) if shape is round_port else 1
        port = Port(count=count, shape=shape, panel=port)
    holes = {"cup": Hole("back", diameter=0.05, y=0.08)} if data.draw(st.booleans()) else {}
    seats = {name: s for name, s in seats.items() if _fits(s, walls)}
    for name, drawing in all_drawings(walls, plates, seats, port, between(0.01, 0.7), holes).items():
        check_paper(name, drawing)
        check_dress(name, drawing)
        check_spots(name, drawing)


def _fits(seat, walls):
    """Whether the flange lies on the front; a seat over its edge is another page's refusal."""
    frame = DRIVERS[seat.driver].frame
    reach = (frame.flange or 0.22) / 2
    width, height, _ = walls.outer
    return reach < seat.x < width - reach and reach < seat.y < height - reach


def test_two_drawings_of_one_page_share_no_id(worked):
    walls, plates = worked
    one, two = (exploded(walls, braces=plates, name=name) for name in ("one", "two"))
    ids = [set(re.findall(r'id="([^"]*)"', str(drawing.svg))) for drawing in (one, two)]
    assert ids[0] and ids[1] and not ids[0] & ids[1]


def test_what_people_typed_is_escaped(worked):
    walls, plates = worked
    name = "<script>\"&'"
    kinds = {"seats": {name: SEATS["woofer"]}, "drivers": DRIVERS}
    drawing = front(walls, openings(placed(walls, **kinds), "front", **kinds), write=lambda length: "<b>")
    assert "<script>" not in drawing.svg and "<b>" not in drawing.svg
    words = [node.text for node in read(drawing).iter("text")]
    assert any(name in text for text in words) and "<b>" in words


# Shapes -------------------------------------------------------------------------------------------------


def outlines(walls, name):
    """A panel sawn through in the middle of the cabinet: (y, z) of each outline. [m]"""
    loops = sawn(panel_surface(walls, name), 0, walls.outer[0] / 2)
    return [[(y, z) for _, y, z in loop] for loop in loops]


def test_the_section_of_the_back_and_the_sides_it_sits_in(worked):
    """Rabbet 9 deep for a 12 mm back: its section reaches from 9 to 427 mm, flush with the rear."""
    walls, _ = worked
    (back,) = outlines(walls, "back")
    assert min(z for _, z in back) == pytest.approx(0.009)
    assert max(z for _, z in back) == pytest.approx(0.427)
    (top,) = outlines(walls, "top")
    assert abs(area(top)) == pytest.approx(0.312 * 0.018 - 0.012 * 0.009)


def test_mitred_panels_meet_on_the_line_from_corner_to_corner():
    walls, _ = box((0.2, 0.3, 0.25), {**THICKNESSES, "top": 0.012}, all_mitred())
    (top,), (front_panel,) = (outlines(walls, name) for name in ("top", "front"))
    corner, inside = (0.0, walls.outer[1]), (0.025, walls.outer[1] - 0.012)
    for loop in (top, front_panel):
        for point in (corner, inside):
            assert min(hypot(p[0] - point[0], p[1] - point[1]) for p in loop) < 1e-9
    # Trapezoids: long side outside, short side inside.
    assert abs(area(top)) == pytest.approx((walls.outer[2] + walls.inner[2]) / 2 * 0.012)


def faces_of(walls, name):
    return oblique_faces(panel_surface(walls, name))


FLAT = {"front": (0, 2), "right": (1, 2), "top": (0, 1)}


@pytest.mark.parametrize("name", PANELS)
def test_faces_that_look_one_way_cover_the_whole_panel_once(name):
    """No rabbet of the worked box runs under wood: the faces of each side add up to the blank's side,
    less what is cut away along its whole depth there."""
    walls, _ = box((0.2, 0.4, 0.3), THICKNESSES, rabbeted(0.009, 0.009))
    solid = walls.panels[name]
    size = [b - a for a, b in zip(solid.low, solid.high, strict=True)]
    for side, (u, v) in FLAT.items():
        axis = 3 - u - v
        faces = [face for face in faces_of(walls, name) if abs(face.normal[axis]) > 0.99]
        total = sum(abs(area([(p[u], p[v]) for p in piece])) for face in faces for piece in face.pieces)
        assert total == pytest.approx(size[u] * size[v] - _bored_through(solid, u, v)), side


def _bored_through(solid, u, v):
    """Area of the blank's side where cuts together take the whole depth."""
    axis = 3 - u - v
    us, vs = (
        sorted({solid.low[a], solid.high[a], *(c for cut in solid.cuts for c in (cut.low[a], cut.high[a]))})
        for a in (u, v)
    )
    gone = 0.0
    for u0, u1 in zip(us, us[1:], strict=False):
        for v0, v1 in zip(vs, vs[1:], strict=False):
            here = [c for c in solid.cuts if c.low[u] <= u0 < c.high[u] and c.low[v] <= v0 < c.high[v]]
            reach = solid.low[axis]
            for cut in sorted(here, key=lambda cut: cut.low[axis]):
                if cut.low[axis] <= reach + 1e-9:
                    reach = max(reach, cut.high[axis])
            if reach >= solid.high[axis] - 1e-9:
                gone += (u1 - u0) * (v1 - v0)
    return gone


@pytest.mark.parametrize("edges", ["rabbeted", "mitred", "all mitred"])
def test_no_face_is_drawn_over_a_nearer_one(edges):
    """Wherever two faces cover one point of the picture, the later one is nearer to the eye there."""
    walls, _ = box((0.2, 0.3, 0.25), 0.018, CONSTRUCTIONS[edges], {"shelf": SHELF})
    compared = 0
    for name in PANELS:
        faces = faces_of(walls, name)
        for i, early in enumerate(faces):
            for late in faces[i + 1 :]:
                for point in _samples(late):
                    if _covers(early, point):
                        compared += 1
                        assert _depth(late, point) <= _depth(early, point) + 1e-9, (
                            name,
                            early.normal,
                            late.normal,
                        )
    assert compared > 3


def _flat(point):
    return point[0] + RIGHT * point[1], point[2] + UP * point[1]


def _samples(face):
    """Points of the picture well inside the face."""
    flat = [[_flat(p) for p in piece] for piece in face.pieces]
    us, vs = [[p[a] for loop in flat for p in loop] for a in (0, 1)]
    for i in range(1, 12):
        for j in range(1, 12):
            point = (min(us) + (max(us) - min(us)) * i / 12.1, min(vs) + (max(vs) - min(vs)) * j / 12.1)
            if _covers(face, point):
                yield point


def _covers(face, point):
    inside = False
    for piece in face.pieces:
        flat = [_flat(p) for p in piece]
        for a, b in zip(flat, flat[1:] + flat[:1], strict=True):
            if (a[1] > point[1]) != (b[1] > point[1]):
                crossing = a[0] + (point[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
                inside ^= crossing > point[0]
    return inside


def _depth(face, point):
    """How far back (y) the face's plane lies under a point of the picture."""
    p, normal = face.pieces[0][0], face.normal
    # (u - RIGHT y, y, v - UP y) on the plane.
    start = normal[0] * (point[0] - p[0]) - normal[1] * p[1] + normal[2] * (point[1] - p[2])
    return start / (RIGHT * normal[0] - normal[1] + UP * normal[2])


# Section --------------------------------------------------------------------------------------------------


def test_the_section_is_to_scale(worked):
    """Outer 337 x 436: the drawn walls span it, the bottom is 18 of it, and the port reaches 207 inwards."""
    walls, plates = worked
    drawing = section(
        walls, placed(walls, seats=SEATS, drivers=DRIVERS, ports={"port": PORT}), braces=plates, seats=SEATS,
        drivers=DRIVERS, ports={"port": PORT}, lengths={"port": 0.207},
    )  # fmt: skip
    sawn = [p for tag, kind, points in marks(drawing) if kind == "cutface" for p in points]
    left, right = min(x for x, _ in sawn), max(x for x, _ in sawn)
    top, bottom = min(y for _, y in sawn), max(y for _, y in sawn)
    scale = (right - left) / 0.337
    assert (bottom - top) / scale == pytest.approx(0.436, abs=4e-4)
    walls_of_tube = [points for tag, kind, points in marks(drawing) if kind == "leaf" and tag == "path"]
    tube = [points for points in walls_of_tube if max(x for x, _ in points) == pytest.approx(right, abs=0.11)]
    assert len(tube) == 2
    for points in tube:
        assert (right - min(x for x, _ in points)) / scale == pytest.approx(0.207, abs=4e-4)
    heights = sorted((bottom - y) / scale for points in tube for y in {y for _, y in points})
    assert heights == pytest.approx([0.329, 0.332, 0.388, 0.391], abs=4e-4)


def test_a_driver_is_as_deep_in_the_section_as_its_frame(worked):
    walls, _ = worked
    drawing = section(walls, (), seats={"woofer": SEATS["woofer"]}, drivers=DRIVERS)
    sawn = [p for _, kind, points in marks(drawing) if kind == "cutface" for p in points]
    left, scale = min(x for x, _ in sawn), (max(x for x, _ in sawn) - min(x for x, _ in sawn)) / 0.337
    (body,) = [points for tag, kind, points in marks(drawing) if kind == "leaf" and tag == "path"]
    # Seat 7 mm below the face (flange 6, gasket 1), from there 85 to the back of the magnet; flush in front.
    assert (max(x for x, _ in body) - left) / scale == pytest.approx(0.092, abs=4e-4)
    assert min(x for x, _ in body) == pytest.approx(left, abs=0.2)
    ys = [y for _, y in body]
    assert (max(ys) - min(ys)) / scale == pytest.approx(0.166, abs=4e-4)


def test_a_driver_without_sizes_is_dashed_and_said_so(worked):
    walls, _ = worked
    drawing = section(walls, (), seats={"s": Seat("bare", 0.2)}, drivers=DRIVERS)
    assert not [1 for tag, kind, _ in marks(drawing) if kind == "leaf"]
    assert any("dashed" in note for note in drawing.notes)


def test_a_port_longer_than_its_box_is_drawn_and_said(worked):
    walls, _ = worked
    short = section(walls, placed(walls, ports={"port": PORT}), ports={"port": PORT}, lengths={"port": 0.2})
    long = section(walls, placed(walls, ports={"port": PORT}), ports={"port": PORT}, lengths={"port": 0.61})
    assert not short.notes and any("longer than the box" in note for note in long.notes)
    check_paper("long port", long)


def test_a_port_without_a_place_keeps_clear_of_drivers_and_shelves(worked):
    walls, plates = worked
    port = Port(shape=RoundPort(diameter=0.05), panel="front")
    (y,) = [
        each.y
        for each in placed(walls, seats=SEATS, drivers=DRIVERS, ports={"port": port}, braces=plates)
        if each.kind == "port"
    ]
    half = 0.025 + port.wall
    assert 0.018 + half <= y + 1e-9 and y <= 0.418 - half + 1e-9
    for seat in SEATS.values():
        assert abs(y - seat.y) > half + DRIVERS[seat.driver].frame.flange / 2
    shelf = plates["brace"]
    assert y + half < shelf.low[2] or y - half > shelf.high[2]


def test_only_asked_values_leave_room_and_the_others_are_lettered(worked):
    walls, _ = worked
    drawing = section(
        walls,
        placed(walls, ports={"port": PORT}),
        ports={"port": PORT},
        lengths={"port": 0.207},
        ask=("net", "port"),
        write=millimetres,
    )
    assert set(drawing.spots) == {"net", "port"}
    words = [node.text for node in read(drawing).iter("text")]
    assert {"300.0", "400.0", "207.0"} <= set(words) and "56.0" not in words


CONES = Radiator(
    count=2, Sp=0.0133, fp=30.0, Qmp=5.0, Mmp=0.02,
    frame=Frame(flange=0.16, flange_thickness=0.005, gasket=0.001, cutout=0.142, depth=0.06),
)  # fmt: skip
WALL = Brace("shelf", 0.2, "ply", 0.006)


def scale_of(drawing):
    """Left edge, lower edge and units for a metre of the worked box, 337 mm deep."""
    sawn = [p for _, kind, points in marks(drawing) if kind == "cutface" for p in points]
    left, bottom = min(x for x, _ in sawn), max(y for _, y in sawn)
    return left, bottom, (max(x for x, _ in sawn) - left) / 0.337


def bodies(drawing):
    """Corners of what is drawn white with more than four corners: drivers and passive radiators."""
    return [
        points for tag, kind, points in marks(drawing) if kind == "leaf" and tag == "path" and len(points) > 9
    ]


def test_passive_radiators_stand_in_the_section_as_deep_as_their_frames(worked):
    """In a recess of 6 mm of the back, whose face is at 337: from 337 to 337 - 6 - 60 = 271 mm."""
    walls, _ = worked
    drawing = section(walls, placed(walls, radiator=CONES), radiator=CONES)
    left, bottom, scale = scale_of(drawing)
    found = bodies(drawing)
    assert len(found) == 2
    for body in found:
        depths = [(x - left) / scale for x, _ in body]
        assert (min(depths), max(depths)) == (pytest.approx(0.271, abs=4e-4), pytest.approx(0.337, abs=4e-4))
    heights = sorted(
        (bottom - (min(y for _, y in body) + max(y for _, y in body)) / 2) / scale for body in found
    )
    assert heights == pytest.approx([0.218 - 0.09, 0.218 + 0.09], abs=6e-4)
    assert "2 passive radiators in the back" in drawing.svg
    check_paper("radiators", drawing)
    check_dress("radiators", drawing)


def test_a_radiator_without_sizes_is_dashed_and_said_so(worked):
    walls, _ = worked
    bare = Radiator(count=1, Sp=0.0133, fp=30.0, Qmp=5.0, Mmp=0.02)
    drawing = section(walls, placed(walls, radiator=bare), radiator=bare)
    assert not bodies(drawing) and any("dashed radiator" in note for note in drawing.notes)


@pytest.mark.parametrize("faces", ["up", "down"])
def test_a_driver_in_a_shelf_is_drawn_upright(faces):
    """The shelf's middle is 218 mm up, 18 thick: 209 to 227. A seat of 7 mm, then 85 to the magnet's back."""
    walls, plates = box((0.2, 0.4, 0.3), THICKNESSES, rabbeted(0.009, 0.009), {"wall": WALL})
    seats = {"woofer": Seat("w", 0.17, wall="wall", faces=faces)}
    cut = placed(walls, seats=seats, drivers=DRIVERS, braces=plates)
    drawing = section(walls, cut, braces=plates, seats=seats, drivers=DRIVERS)
    left, bottom, scale = scale_of(drawing)
    (body,) = bodies(drawing)
    heights = [(bottom - y) / scale for _, y in body]
    reach = (0.227 - 0.092, 0.227) if faces == "up" else (0.209, 0.209 + 0.092)
    assert (min(heights), max(heights)) == (
        pytest.approx(reach[0], abs=5e-4),
        pytest.approx(reach[1], abs=5e-4),
    )
    across = [(x - left) / scale for x, _ in body]
    assert (min(across) + max(across)) / 2 == pytest.approx(0.17, abs=4e-4)
    assert max(across) - min(across) == pytest.approx(0.166, abs=5e-4)
    check_paper("wall", drawing)
    check_dress("wall", drawing)
    check_spots("wall", drawing)


@pytest.mark.parametrize("near", [True, False])
def test_a_shelf_with_a_driver_has_its_circles_at_its_place(near):
    """With its tongues it lies from 12 to 224 mm: x of 118 is its middle; 145 mm behind the front."""
    walls, plates = box((0.2, 0.4, 0.3), THICKNESSES, rabbeted(0.009, 0.009), {"wall": WALL})
    seats = {"woofer": Seat("w", 0.17, wall="wall")}
    cut = openings(
        placed(walls, seats=seats, drivers=DRIVERS, braces=plates), "wall", seats=seats, drivers=DRIVERS
    )
    drawing = brace(plates["wall"], cut, write=millimetres, near=near)
    (hole,), (recess,) = circles(drawing, "leaf"), circles(drawing, "o" if near else "hid")
    scale = radius(hole) / 0.073
    assert radius(recess) / scale == pytest.approx(0.083, abs=4e-4)
    words = [node.text for node in read(drawing).iter("text")]
    assert {"106.0", "145.0", "recess 166.0,"} <= set(words)
    apart = exploded(walls, braces=plates, openings={"wall": cut})
    whole = exploded(walls, braces=plates)
    assert len(list(marks(apart))) > len(list(marks(whole)))


def test_the_back_is_drawn_as_it_lies_behind_the_front(worked):
    walls, _ = worked
    cut = openings(
        placed(walls, radiator=CONES, holes={"cup": Hole("back", diameter=0.03, y=0.03, x=0.06)}),
        "back",
        radiator=CONES,
    )
    drawing = front(walls, cut, write=millimetres, panel="back")
    cup, *cones = sorted(circles(drawing, "leaf"), key=radius)
    assert len(cones) == 2 and middle(cup)[0] < middle(cones[0])[0], "what is on the left stays on the left"
    assert "Back, as it lies behind the front" in drawing.svg


def test_ports_of_two_sizes_are_both_drawn_and_lettered(worked):
    walls, _ = worked
    other = Port(shape=RoundPort(diameter=0.03), x=0.118, y=0.1)
    ports = {"port": PORT, "other": other}
    drawing = section(
        walls, placed(walls, ports=ports), ports=ports, lengths={"port": 0.207, "other": 0.111},
        ask=("port", "length"), write=millimetres,
    )  # fmt: skip
    words = [node.text for node in read(drawing).iter("text")]
    assert {"30.0", "111.0"} <= set(words) and "207.0" not in words
    assert set(drawing.spots) == {"port", "length"}
    check_paper("two ports", drawing)


# Front, panels ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("mirrored", [False, True])
def test_each_seat_has_its_circles_at_its_place(worked, mirrored):
    walls, _ = worked
    seats = {"woofer": Seat("w", 0.2, 0.1)}
    cut = openings(placed(walls, seats=seats, drivers=DRIVERS), "front", seats=seats, drivers=DRIVERS)
    drawing = front(walls, cut, write=millimetres, mirrored=mirrored)
    (hole,), (recess,) = circles(drawing, "leaf"), circles(drawing, "face")
    plate = next(points for tag, kind, points in marks(drawing) if kind == "face" and tag == "path")
    left, right, bottom = min(x for x, _ in plate), max(x for x, _ in plate), max(y for _, y in plate)
    scale = (right - left) / 0.236
    assert radius(hole) / scale == pytest.approx(0.073, abs=4e-4)
    assert radius(recess) / scale == pytest.approx(0.083, abs=4e-4)
    x, y = middle(hole)
    assert ((right - x) if mirrored else (x - left)) / scale == pytest.approx(0.1, abs=4e-4)
    assert (bottom - y) / scale == pytest.approx(0.2, abs=4e-4)
    assert len(circles(drawing, "dot")) == 4, "four screws"
    for screw in circles(drawing, "dot"):
        assert hypot(*(a - b for a, b in zip(middle(screw), (x, y), strict=True))) / scale == pytest.approx(
            0.078, abs=4e-4
        )
    words = {node.text for node in read(drawing).iter("text")}
    assert {
        "100.0",
        "200.0",
        "236.0",
        "436.0",
        "recess 166.0, 7.0 deep",
        "through 146.0",
        "4 screws on 156.0",
    } <= words


@pytest.mark.parametrize("write", [millimetres, lambda metres: f"{metres / 0.0254:.2f} in"])
def test_each_round_opening_has_its_diameter_at_its_circle(worked, write):
    """A tube of 56 mm and 3 mm of wall goes through a hole of 62; a slot has no diameter."""
    walls, _ = worked
    cut = placed(walls, seats=SEATS, drivers=DRIVERS, ports={"port": PORT}, holes=HOLES)
    found = {name: openings(cut, name, seats=SEATS, drivers=DRIVERS) for name in ("front", "back")}
    for drawing, sizes in (
        (front(walls, found["front"], write=write), (0.146, 0.075)),
        (panel(walls.panels["front"], found["front"], write=write), (0.146, 0.075)),
        (panel(walls.panels["back"], found["back"], write=write), (0.062, 0.056)),
    ):
        words = {node.text: node for node in read(drawing).iter("text")}
        assert {f"⌀ {write(size)}" for size in sizes} == {text for text in words if text.startswith("⌀")}
        holes = {round(radius(each), 1): each for each in circles(drawing, "leaf")}
        for size, each in zip(sorted(sizes), [holes[r] for r in sorted(holes)], strict=True):
            text = words[f"⌀ {write(size)}"]
            x, y = middle(each)
            assert hypot(float(text.get("x")) - x, float(text.get("y")) - y) < radius(each) + 130
        check_paper("diameters", drawing)
    slot = Port(shape=SlotPort(width=0.1, height=0.02), panel="back", x=0.118, y=0.2)
    drawing = panel(walls.panels["back"], openings(placed(walls, ports={"port": slot}), "back"), write=write)
    assert not [1 for node in read(drawing).iter("text") if node.text.startswith("⌀")]


def test_a_diameter_that_finds_no_room_in_its_circle_stands_beside_it_or_below():
    plate = Plate("plate", 400, 200)
    inside = plate.diameter(100, 100, 60, "120", 390)
    beside = plate.diameter(100, 100, 12, "24", 390)
    below = plate.diameter(370, 100, 12, "24", 390)
    assert abs(inside[0] - 100) < 1 and 100 < inside[1] < 160
    assert beside[0] - beside[2] >= 112
    assert below[0] == 370 and below[1] - below[3] >= 112


def test_equal_ports_stand_side_by_side_about_their_place(worked):
    walls, _ = worked
    port = Port(count=2, shape=RoundPort(diameter=0.04), wall=0.002, panel="front", x=0.1, y=0.05)
    left, right = openings(placed(walls, ports={"port": port}), "front")
    assert (left.x + right.x) / 2 == pytest.approx(0.1) and left.y == right.y == 0.05
    assert right.x - left.x > 0.044


def test_ports_too_wide_for_one_row_stand_over_each_other(worked):
    walls, _ = worked
    port = Port(count=3, shape=RoundPort(diameter=0.09), wall=0.004, panel="back", x=0.118, y=0.2)
    places = [(o.x, o.y) for o in openings(placed(walls, ports={"port": port}), "back")]
    assert len({y for _, y in places}) == 2 and sum(
        y for _, y in places[:1] + places[2:]
    ) / 2 == pytest.approx(0.2)
    assert all(hypot(a[0] - b[0], a[1] - b[1]) > 0.098 - 1e-9 for a in places for b in places if a != b)


def test_a_panel_tells_its_sizes_its_sum_and_its_joints(worked):
    """A side of the worked box: 436 x 312, rabbets 9 deep for the 18 mm top and bottom and the 12 mm back."""
    walls, _ = worked
    words = [node.text for node in read(panel(walls.panels["left"], write=millimetres)).iter("text")]
    for text in (
        "436.0",
        "312.0",
        "top: rabbet",
        "bottom: rabbet",
        "back: rabbet",
        "brace: groove",
        "6.0 deep, 18.0 wide",
    ):
        assert text in words
    assert words.count("9.0 deep, 18.0 wide") == 2 and words.count("9.0 deep, 12.0 wide") == 1
    # The shelf's middle stands 100 over the inner floor, its lower face 91, the floor 18 over the end.
    assert "109.0 from bottom" in words
    top = [node.text for node in read(panel(walls.panels["top"], write=millimetres)).iter("text")]
    assert "wide: 200.0 + 2 × 9.0" in top and {"218.0", "312.0"} <= set(top)


def texts(drawing):
    return [node.text for node in read(drawing).iter("text")]


def test_a_shelf_tells_its_blank_and_its_window():
    """Inside 200 x 300, 6 mm into each groove: 212 by 300; 46 and 50 mm beside a window of 120 x 200."""
    _, plates = box((0.2, 0.4, 0.3), THICKNESSES, rabbeted(0.009, 0.009), {"brace": SHELF})
    drawing = brace(plates["brace"], write=millimetres, letter="E")
    words = texts(drawing)
    assert {"212.0", "300.0", "long: 200.0 + 2 × 6.0", "46.0", "166.0", "50.0", "250.0", "E"} <= set(words)
    assert {"window", "120.0 × 200.0", "corners R 15.0", "6.0 into its groove"} <= set(words)
    assert {"left", "right", "front", "back"} <= set(words) and not [text for text in words if "slot" in text]
    assert drawing.notes == ("Seen from above",)
    shapes = {kind: points for tag, kind, points in marks(drawing) if kind in ("face", "leaf")}
    across = [max(x for x, _ in shapes[kind]) - min(x for x, _ in shapes[kind]) for kind in ("face", "leaf")]
    up = [max(y for _, y in shapes[kind]) - min(y for _, y in shapes[kind]) for kind in ("face", "leaf")]
    assert across[1] / across[0] == pytest.approx(120 / 212, abs=2e-3)
    assert up[1] / up[0] == pytest.approx(200 / 300, abs=2e-3)
    assert across[0] / up[0] == pytest.approx(212 / 300, abs=2e-3), "to scale"


def test_crossing_braces_tell_their_slots():
    """A rib 18 thick, its middle 60 from the left: its slot is 60 - 9 + 6 = 57 from the shelf's end."""
    _, plates = box((0.2, 0.4, 0.3), THICKNESSES, rabbeted(0.009, 0.009), {"brace": SHELF, "spine": RIB})
    shelf, rib = (brace(plates[name], write=millimetres) for name in ("brace", "spine"))
    assert {"slot for spine", "18.0 wide, 150.0 long", "open to the back", "57.0 from left"} <= set(
        texts(shelf)
    )
    # The shelf's lower face stands 91 over the floor, the rib reaches 6 below it.
    assert {"slot for brace", "18.0 wide, 150.0 long", "open to the front", "97.0 from bottom"} <= set(
        texts(rib)
    )
    assert {"412.0", "300.0", "long: 400.0 + 2 × 6.0", "150.0 × 250.0", "corners R 40.0"} <= set(texts(rib))
    # Its window is centred: 75 from the front, and 6 + 75 from the lower end.
    assert {"75.0", "225.0", "81.0", "331.0"} <= set(texts(rib)) and rib.notes == ("Seen from the right",)
    slots = [points for tag, kind, points in marks(rib) if kind == "cutline"]
    faces = [points for tag, kind, points in marks(rib) if kind == "face"]
    assert min(x for x, _ in slots[0]) == pytest.approx(min(x for x, _ in faces[0])), (
        "the front is at the left"
    )


def test_a_brace_without_window_and_grooves_has_neither_words_of_them():
    _, plates = box(
        (0.2, 0.4, 0.3), THICKNESSES, rabbeted(0.009, 0.009), {"plain": Brace("shelf", 0.2, "ply")}
    )
    words = texts(brace(plates["plain"], write=millimetres))
    assert sorted(words) == sorted(["200.0", "300.0", "left", "right", "front", "back"])


def test_a_side_is_seen_from_inside(worked):
    """The back's rabbet lies at the paper's right on the left side, at its left on the right side."""
    walls, _ = worked
    for name, where in (("left", 1), ("right", -1)):
        drawing = panel(walls.panels[name], write=millimetres)
        shapes = [points for tag, kind, points in marks(drawing) if kind in ("face", "cutline")]
        (blank, *cuts) = shapes
        centre = sum(x for x, _ in blank) / len(blank)
        upright = [
            c
            for c in cuts
            if max(y for _, y in c) - min(y for _, y in c) > 2 * (max(x for x, _ in c) - min(x for x, _ in c))
        ]
        (rabbet,) = upright
        assert (sum(x for x, _ in rabbet) / len(rabbet) - centre) * where > 0


def test_a_mitre_is_noted_with_the_tilt_of_the_saw():
    walls, _ = box((0.2, 0.3, 0.25), 0.018, mitred_carcass(0.006))
    words = [node.text for node in read(panel(walls.panels["left"], write=millimetres)).iter("text")]
    assert words.count("saw at 45°") == 2


# Exploded ---------------------------------------------------------------------------------------------------


def test_every_part_taken_apart_bears_its_letter(worked):
    walls, plates = worked
    letters = {"front": "A", "back": "B", "left": "C", "right": "C", "top": "D", "bottom": "D", "brace": "E"}
    drawing = exploded(walls, braces=plates, letters=letters)
    shown = [node.text for node in read(drawing).iter("text")]
    assert sorted(shown) == sorted(letters.values())


def test_panels_taken_apart_keep_clear_of_each_other():
    """The front stands left of all others and the back right of them, in each of four unlike boxes."""
    for inner in ((0.15, 0.23, 0.19), (0.2, 1.06, 0.3), (0.36, 0.36, 0.36), (0.42, 0.16, 0.55)):
        walls, _ = box(inner, 0.018, rabbeted(0.006, 0.006))
        drawing = exploded(walls, letters={name: name for name in PANELS})
        places = {
            node[1].text: float(node[0].get("cx"))
            for node in read(drawing).iter("g")
            if node.get("class") == "stop"
        }
        order = sorted(places, key=places.get)
        assert order[0] == "front" and order[-1] == "back" and order.index("left") < order.index("right")


def test_the_lifted_front_letters_outer_and_inner_sizes(worked):
    walls, plates = worked
    drawing = lifted(walls, braces=plates, ask=(), write=millimetres)
    words = {node.text for node in read(drawing).iter("text")}
    assert {"236.0", "436.0", "337.0", "200.0", "400.0", "300.0", "18.0"} <= words
    assert set(lifted(walls).spots) == {
        "outer.width", "outer.height", "outer.depth", "inner.width", "inner.height", "inner.depth",
        "thickness",
    }  # fmt: skip


# Joints, seats, ledger --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("edge", "groove", "said"),
    [
        (Edge("left", 0.009), False, "9.0 deep"),
        (Edge("left", 0.006), True, "6.0 deep"),
        (Edge("left", 0.0), False, "glued face to edge"),
        (Edge(mitre=True), False, "both at 45°"),
    ],
)
def test_a_joint_tells_its_allowance(edge, groove, said):
    drawing = joint(0.018, 0.018, edge, millimetres, groove=groove)
    check_paper("joint", drawing)
    check_dress("joint", drawing)
    assert said in [node.text for node in read(drawing).iter("text")]
    one, two = [points for _, kind, points in marks(drawing) if kind == "cutface"]
    if edge.depth:  # both 18 thick: the depth is to the same scale
        thick = max(y for _, y in two) - min(y for _, y in two)
        reach = max(x for x, _ in one) - min(x for x, _ in two)
        assert reach / thick == pytest.approx(edge.depth / 0.018, abs=0.01)


def test_a_mitre_of_unequal_panels_tells_both_tilts():
    """18 against 12: atan(18/12) = 56.3 degrees, and its complement. Derived."""
    words = [node.text for node in read(joint(0.018, 0.012, Edge(mitre=True), millimetres)).iter("text")]
    assert "56.3° and 33.7°" in words


def _woofer_seat(flush=True, bit=0.00635):
    frame = WOOFER.frame
    return bored_seat(
        frame.flange,
        frame.flange_thickness,
        frame.gasket,
        frame.cutout,
        0.0,
        flush,
        0.025,
        bit,
        0.0008,
        0.0032,
        0.0015,
    )


@pytest.mark.parametrize("flush", [True, False])
def test_a_seat_in_section_is_to_scale(flush):
    seat = _woofer_seat(flush)
    drawing = seat_section(seat, WOOFER.frame, 0.025, millimetres)
    check_paper("seat", drawing)
    check_dress("seat", drawing)
    left, _ = [points for _, kind, points in marks(drawing) if kind == "cutface"]
    ys = sorted({y for _, y in left})
    scale = (ys[-1] - ys[0]) / 0.025
    words = {node.text for node in read(drawing).iter("text")}
    assert {"⌀ 146.0", "25.0"} <= words
    if flush:
        shelf = max(left, key=lambda p: (p[0], -p[1]))
        assert (shelf[1] - ys[0]) / scale == pytest.approx(0.007, abs=4e-4)
        assert {"⌀ 166.8", "7.0 deep", "ledge 10.4"} <= words


def test_the_jig_is_to_scale_and_tells_both_distances():
    """Hole 166.8, bit 6.35: pin to middle 166.8 / 2 - 6.35 / 2 = 80.225, to the near edge 77.05. Derived."""
    seat = _woofer_seat()
    drawing = jig(seat, seat.steps[0], 0.00635, millimetres)
    check_paper("jig", drawing)
    check_dress("jig", drawing)
    words = [node.text for node in read(drawing).iter("text")]
    assert words.count("80.2") == 2 and "77.0" in words or "77.1" in words
    (pin,), (bit,) = circles(drawing, "dot"), circles(drawing, "leaf")
    reach = middle(bit)[0] - middle(pin)[0]
    assert radius(bit) / reach == pytest.approx(0.00635 / 2 / 0.080225, rel=0.02)
    widest = max(map(radius, circles(drawing, "hid")))
    assert widest / reach == pytest.approx(0.1668 / 2 / 0.080225, rel=0.01)


def litres(volume):
    return f"{volume * 1000:.2f} litre"


def test_the_ledger_bar_shares_out_what_is_displaced():
    parts = [("Woofer", 0.95e-3), ("Brace", 0.48e-3), ("Port", 0.57e-3), ("Dome", 0.0)]
    drawing = ledger_bar(16e-3, parts, 14e-3, litres)
    check_paper("ledger", drawing)
    check_dress("ledger", drawing)
    widths = [
        max(x for x, _ in p) - min(x for x, _ in p) for _, kind, p in marks(drawing) if kind == "cutline"
    ]
    assert [w / sum(widths) for w in widths] == pytest.approx([0.475, 0.24, 0.285], abs=2e-3)
    assert drawing.letters == {"Woofer": "a", "Brace": "b", "Port": "c"}
    assert any(kind == "brk" for _, kind, _ in marks(drawing)), "14 litre to 2: the air is cut short"
    assert "14.00 litre" in read(drawing).get("aria-label")


def test_a_ledger_bar_that_is_to_scale_has_no_zigzag():
    drawing = ledger_bar(4e-3, [("Woofer", 3e-3)], 1e-3, litres)
    assert not any(kind == "brk" for _, kind, _ in marks(drawing))
    only = ledger_bar(4e-3, [], 4e-3, litres)
    assert not any(kind == "cutline" for _, kind, _ in marks(only))
