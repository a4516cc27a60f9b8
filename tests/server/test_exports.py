"""Files that leave the workbench, read back: DXF by another library, SVG and PDF by what stands in them."""

import csv
import re
from fractions import Fraction
from io import BytesIO, StringIO
from math import hypot, isclose, pi
from unicodedata import normalize
from xml.etree import ElementTree
from zipfile import ZipFile

import ezdxf
import pytest
from ezdxf import bbox as bounding_box
from ezdxf import path as dxf_path
from ezdxf import recover
from reading import MADE, check, made
from shapely.affinity import rotate, translate
from shapely.geometry import Point, Polygon, box

from calc.evaluate_features import handed, parts
from calc.shop.features import Circle, Feature, sides
from calc.shop.rings import flattened
from server.documents import amend, plain, read_project
from server.exports.layers import layer
from server.exports.tiles import MARGIN, OVERLAP, PAPERS, room, tiles
from server.pages import QUESTIONS

POINT = 25.4 / 72
"""A point of a PDF (ISO 32000-1, 8.3.2.3: 1/72 of an inch; seen in many places, from memory here). [mm]"""


def take(sitting, name, **asked):
    """A file of the page, as bytes."""
    answer = sitting.browser.get(f"/projects/{sitting.key}/full_size/{name}", params=asked)
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-disposition"].startswith("attachment; filename=")
    return answer.content


def dxf_of(contents):
    """A DXF that another library finds nothing wrong with."""
    document, auditor = recover.read(BytesIO(contents))
    assert not auditor.errors and not auditor.fixes
    assert document.units == ezdxf.units.MM
    return document


def dxf_shape(entity):
    """What a closed shape of a DXF covers, flattened by its own reader. [mm]"""
    if entity.dxftype() == "CIRCLE":
        return Polygon([(p.x, p.y) for p in entity.flattening(0.0001)])
    assert entity.closed
    return Polygon([(p.x, p.y) for p in dxf_path.make_path(entity).flattening(0.0005)])


def dxf_area(entity):
    return dxf_shape(entity).area


# --- For machines


@pytest.mark.parametrize("bones", ["", "yes"])
@pytest.mark.parametrize("name", ["reading_room", "hall_subwoofer", "plan", "two ports"])
def test_each_dxf_holds_what_the_model_cuts(desk, name, bones):
    """Areas by layer, in mm²; the other library's arcs are curves that lie 0.03 per cent off a circle."""
    sitting = desk(name)
    archive = ZipFile(BytesIO(take(sitting, "all.zip", bones=bones)))
    found = {
        f"{part.name}-{side.face}.dxf".replace(" ", "-"): side
        for part in parts(read_project(sitting.document), sitting.result).values()
        for side in sides(part, bones=bones == "yes")
    }
    assert {n for n in archive.namelist() if not n.startswith("sheet-")} == set(found)
    for file, side in found.items():
        document, wanted = dxf_of(archive.read(file)), {}
        for feature in side.features:
            wanted[layer(feature, side.first)] = (
                wanted.get(layer(feature, side.first), 0.0) + feature.area * 1e6
            )
        held = dict.fromkeys(wanted, 0.0)
        for entity in document.modelspace():
            held[entity.dxf.layer] += dxf_area(entity)
        assert held == pytest.approx(wanted, rel=3e-4), file


def test_a_depth_and_a_tool_have_a_layer_of_their_own(desk):
    document = dxf_of(take(desk(), "part.dxf", part="front outside"))
    names = {entity.dxf.layer for entity in document.modelspace()}
    assert names == {
        "OUTLINE_THROUGH_18.3MM_BIT_6.35MM", "RECESS_5.5MM_BIT_6.35MM", "RECESS_5.0MM_BIT_6.35MM",
        "OPENING_THROUGH_18.3MM_BIT_6.35MM", "PRICK_SCREWS",
    }  # fmt: skip
    circles = [e.dxf.radius for e in document.modelspace() if e.dxf.layer.startswith("RECESS")]
    assert sorted(2 * r for r in circles) == pytest.approx([104.8, 166.8])


def test_bones_open_the_end_of_a_slot_but_not_a_rounded_window(desk):
    """The shelf and a rib slide into each other; the window of the rib keeps its own corners."""
    document = desk().document
    document["cabinet"]["braces"]["shelf"]["window"] = None
    window = {"width": 0.05, "height": 0.05, "radius": 0.01}
    document["cabinet"]["braces"]["rib"] = {"kind": "rib", "at": 0.09, "sheet": "ply", "window": window}
    document["cabinet"]["braces"]["shelf"]["at"] = 0.1
    sitting = desk(document)
    for name in ("shelf", "rib"):
        areas = [
            {
                entity.dxf.layer.split("_")[0]: dxf_area(entity)
                for entity in dxf_of(
                    take(sitting, "part.dxf", part=f"{name} outside", bones=bones)
                ).modelspace()
            }
            for bones in ("", "yes")
        ]
        # Two corners, each a half circle less a triangle more: (pi/2 - 1) r² (derived in test_features).
        assert areas[1]["SLOT"] - areas[0]["SLOT"] == pytest.approx(2 * (pi / 2 - 1) * 6.35**2, rel=0.01)
        assert areas[0].get("WINDOW") == areas[1].get("WINDOW")


def by_layer(document):
    """{layer: what its closed shapes cover, as shapely has them}. [mm]"""
    found = {}
    for entity in document.modelspace():
        if entity.dxftype() != "TEXT":
            found.setdefault(entity.dxf.layer, []).append(dxf_shape(entity))
    return found


DRESSED = {
    "cabinet.layers.face": {"panel": "front", "sheet": "thin"},
    "cabinet.layers.lining": {"panel": "left", "sheet": "thin", "place": "inside"},
    "cabinet.plinth": {"sheet": "ply", "height": 0.05, "mitred": True},
    "cabinet.grille": {"sheet": "thin"},
    "cabinet.mirrored": True,
    "cabinet.seats.dome.x": 0.09,
    "cabinet.fitted": {"shelf": "both", "top": "width", "left": "length"},
    "cabinet.braces.rib": {"kind": "rib", "at": 0.05, "sheet": "ply"},
    "cabinet.braces.bar": {
        "kind": "bar",
        "between": "front and back",
        "at": 0.14,
        "also_at": 0.3,
        "sheet": "ply",
        "width": 0.03,
    },
    "cabinet.slope": 8.0,
}


def middle_of(text):
    return Point(text.dxf.align_point.x, text.dxf.align_point.y)


def dressed(**changes):
    """The demo as a mirrored pair with all that may be cut beside the six panels."""
    document = made("reading_room")
    ply = document["workshop"]["sheets"]["ply"]
    document["workshop"]["sheets"]["thin"] = {**ply, "name": "Thin ply", "thickness": 0.006}
    return plain(read_project(amend(document, {**DRESSED, **changes})))


@pytest.mark.parametrize("name", ["reading_room", "hall_subwoofer", "dressed"])
@pytest.mark.parametrize("bones", ["", "yes"])
def test_a_part_on_a_sheet_is_the_one_of_its_own_file(desk, name, bones):
    """By shapely: the file of each part, turned by a quarter or not and moved to the corner of its piece,
    covers what lies there, layer by layer. A turn makes no mirror image: left stays left."""
    sitting = desk(dressed() if name == "dressed" else name)
    archive = ZipFile(BytesIO(take(sitting, "all.zip", bones=bones)))
    files = {
        side.name: by_layer(dxf_of(archive.read(f"{file}.dxf")))
        for file, side in sides_of(sitting, bones == "yes")
    }
    seen, turned = [], set()
    for file in (each for each in archive.namelist() if each.startswith("sheet-")):
        document = dxf_of(archive.read(file))
        here = by_layer(document)
        (stock,), pieces = here.pop("STOCK"), here.pop("PIECES")
        here.pop("TRIM")
        texts = list(document.modelspace().query("TEXT"))
        assert len(texts) == len(pieces)
        for text in texts:
            words = text.dxf.text.partition(". ")[2]
            own = files[words.removesuffix(", left long to fit")]
            (piece,) = [each for each in pieces if each.contains(middle_of(text))]
            assert stock.contains(piece)
            on_it = {
                layer: sorted((each for each in shapes if piece.buffer(0.01).contains(each)), key=size)
                for layer, shapes in here.items()
            }
            on_it = {layer: shapes for layer, shapes in on_it.items() if shapes}
            angle = fitting_turn(own, on_it)
            assert angle is not None, (file, words)
            seen.append(words)
            turned.add(angle)
            outline = next(shapes[0] for layer, shapes in on_it.items() if layer.startswith("OUTLINE"))
            longer = piece.area - outline.envelope.area
            assert (longer > 100) == ("left long" in words) and longer > -0.1
    wanted = sum(row.count for row in sitting.result.cut_list)
    assert len(seen) == wanted and -90 in turned
    if name == "dressed":
        for part in ("front", "face"):
            assert {f"{part}, outside up, {hand} cabinet" for hand in ("left", "right")} <= set(seen)


def sides_of(sitting, bones):
    """(name of the file, side) of each face that is worked."""
    project = read_project(sitting.document)
    found = parts(project, sitting.result)
    two_hands = handed(project, sitting.result, found)
    for part in found.values():
        for hand in ("left cabinet", "right cabinet") if part.name in two_hands else ("",):
            for side in sides(part, hand=hand, bones=bones):
                words = " ".join(filter(None, (side.called, side.face, hand)))
                yield words.replace(" ", "-"), side


def size(shape):
    return round(shape.area, 2), *(round(n, 2) for n in shape.centroid.coords[0])


@pytest.mark.parametrize("bones", ["", "yes"])
def test_outlines_are_closed_and_have_no_corner_twice(desk, bones):
    """What a machine stumbles over: open lines, doubled corners, sides of no length, a unit left out."""
    archive = ZipFile(BytesIO(take(desk(dressed()), "all.zip", bones=bones)))
    seen = 0
    for file in archive.namelist():
        document = dxf_of(archive.read(file))
        assert document.header["$INSUNITS"] == 4, "millimetres"
        for entity in document.modelspace().query("LWPOLYLINE"):
            corners = [(x, y) for x, y, *_ in entity.get_points()]
            sides = zip(corners, (*corners[1:], corners[0]), strict=True)
            assert entity.closed and min(hypot(c - a, d - b) for (a, b), (c, d) in sides) > 1e-3, file
            assert dxf_shape(entity).is_valid, file
            seen += 1
        for each in document.layers:
            assert re.fullmatch(r"[A-Za-z0-9_.]+", each.dxf.name), each.dxf.name
    assert seen > 100


def test_what_is_written_on_a_sheet_lies_on_its_own_part(desk):
    """Boxes of the words by another library's own letters, the blanks as shapely has them; none covers the
    rim of a hole."""
    sitting = desk(dressed())
    document = dxf_of(take(sitting, "sheet.dxf", sheet="ply", number=1))
    here = by_layer(document)
    holes = [each for layer in here if layer.startswith("OPENING") for each in here[layer]]
    for text in document.modelspace().query("TEXT"):
        (x0, y0, _), (x1, y1, _) = bounding_box.extents([text])
        words = box(x0, y0, x1, y1)
        assert sum(piece.contains(words) for piece in here["PIECES"]) == 1, text.dxf.text
        assert not any(hole.boundary.intersects(words) for hole in holes), text.dxf.text


def fitting_turn(own, on_it):
    """By how many degrees the shapes of a part's file turn to lie as on a sheet; None if they never do."""
    if set(own) != set(on_it):
        return None
    outline = next(layer for layer in own if layer.startswith("OUTLINE"))
    (there,) = on_it[outline]
    for angle in (-90, 0):
        (here,) = (rotate(shape, angle, (0, 0)) for shape in own[outline])
        by = there.bounds[0] - here.bounds[0], there.bounds[1] - here.bounds[1]
        moved = {
            layer: sorted((translate(rotate(each, angle, (0, 0)), *by) for each in shapes), key=size)
            for layer, shapes in own.items()
        }
        if all(
            len(moved[layer]) == len(on_it[layer])
            and all(
                a.symmetric_difference(b).area < 1e-3 * max(1.0, a.length)
                for a, b in zip(moved[layer], on_it[layer], strict=True)
            )
            for layer in own
        ):
            return angle
    return None


def test_what_is_left_long_reaches_beyond_the_edges_that_nothing_is_measured_from(desk):
    """By hand: the inside face of a left side has its datum on the left, its lower edge below; turned a
    quarter to the right, its length lies along x, and what is over lies at the far end of x."""
    document = dxf_of(take(desk(dressed()), "sheet.dxf", sheet="ply", number=1))
    text = next(t for t in document.modelspace().query("TEXT") if " left, inside up" in t.dxf.text)
    here = by_layer(document)
    at = middle_of(text)
    piece = next(each for each in here["PIECES"] if each.contains(at))
    outline = next(
        each for layer in here if layer.startswith("OUTLINE") for each in here[layer] if each.contains(at)
    )
    assert piece.bounds[0] == pytest.approx(outline.bounds[0])
    assert piece.bounds[2] == pytest.approx(outline.bounds[2] + 1.5)
    assert piece.bounds[1::2] == pytest.approx(outline.bounds[1::2])


def test_the_first_board_of_a_laminated_panel_comes_off_its_sheet_without_joints(desk):
    """It is glued to the second before both are cut as one; both have the same outline and the same holes."""
    second = {"cabinet.layers.second": {"panel": "front", "sheet": "thin", "place": "through"}}
    sitting = desk(dressed(**second, **{"cabinet.mirrored": False}))
    covered = {}
    for sheet, words in (("ply", "front, outside up"), ("thin", "second, outside up")):
        document = dxf_of(take(sitting, "sheet.dxf", sheet=sheet, number=1))
        text = next(t for t in document.modelspace().query("TEXT") if t.dxf.text.endswith(words))
        at, here = middle_of(text), by_layer(document)
        piece = next(each for each in here["PIECES"] if each.contains(at))
        covered[sheet] = {
            layer.partition("_")[0]: sorted(round(each.area, 3) for each in shapes if piece.covers(each))
            for layer, shapes in here.items()
            if any(piece.covers(each) for each in shapes)
        }
    assert covered["ply"] == covered["thin"]
    assert set(covered["ply"]) == {"OUTLINE", "OPENING", "PIECES"} and len(covered["ply"]["OPENING"]) == 2


@pytest.mark.parametrize(("by", "gap"), [("bit", 6.35), ("saw", 3.2)])
def test_a_sheet_holds_its_pieces_apart(desk, by, gap):
    """The demo's bit and kerf: a router must not cut into the neighbour of what it cuts out."""
    sitting = desk()
    shop = read_project(sitting.document).workshop
    assert {"bit": shop.bits[shop.bit], "saw": shop.kerf}[by] * 1e3 == pytest.approx(gap)
    pieces = by_layer(dxf_of(take(sitting, "sheet.dxf", sheet="ply", number=1, by=by)))["PIECES"]
    rows = sitting.result.cut_list
    assert len(pieces) == sum(row.count for row in rows)
    total = sum(row.count * row.length * row.width for row in rows) * 1e6
    assert sum(piece.area for piece in pieces) == pytest.approx(total)
    least = min(a.distance(b) for n, a in enumerate(pieces) for b in pieces[:n])
    assert least == pytest.approx(gap, abs=1e-3)


@pytest.mark.parametrize(("file", "asked"), [
    ("part.svg", {"part": "shelf outside", "bones": "yes"}), ("part.svg", {"part": "left inside"}),
    ("sheet.svg", {"sheet": "ply", "number": 1}),
])  # fmt: skip
def test_an_svg_is_in_millimetres(desk, file, asked):
    """A unit of the drawing is one millimetre of its paper; the outline's box is the part's own size."""
    sitting = desk()
    root = ElementTree.fromstring(take(sitting, file, **asked))
    box = [float(each) for each in root.get("viewBox").split()]
    assert [float(root.get(side).removesuffix("mm")) for side in ("width", "height")] == pytest.approx(
        box[2:]
    )
    groups = {g.get("id"): g for g in root.iter("{http://www.w3.org/2000/svg}g") if g.get("id")}
    outline = next(g for name, g in groups.items() if name.startswith(("OUTLINE", "STOCK")))
    numbers = [float(n) for n in re.findall(r"-?\d+\.\d+", outline[0].get("d"))]
    size = max(numbers[::2]) - min(numbers[::2]), max(numbers[1::2]) - min(numbers[1::2])
    if file == "part.svg":
        part = parts(read_project(sitting.document), sitting.result)[asked["part"].split()[0]]
        assert size == pytest.approx((part.width * 1e3, part.height * 1e3), abs=1e-3)
    else:
        stock = read_project(sitting.document).workshop.sheets["ply"]
        assert size == pytest.approx((stock.length * 1e3, stock.width * 1e3))


def test_a_rounded_corner_of_an_svg_bends_outwards(desk):
    """By hand: with y down, going round counter-clockwise as one sees it, an outward corner turns with sweep
    flag 0; and the arcs of the window have its corner radius."""
    sitting = desk()
    text = take(sitting, "part.svg", part="shelf outside").decode()
    window = re.search(r'id="WINDOW[^"]*"><path d="([^"]*)"', text)[1]
    arcs = re.findall(r"A([\d.]+) ([\d.]+) 0 (\d) (\d)", window)
    radius = read_project(sitting.document).cabinet.braces["shelf"].window.radius * 1e3
    assert len(arcs) == 4
    for rx, ry, large, sweep in arcs:
        assert (float(rx), float(ry)) == pytest.approx((radius, radius)) and (large, sweep) == ("0", "0")


# --- On paper


def pages_of(pdf):
    """The strokes of each page of an uncompressed PDF: [((x1, y1), (x2, y2)), ...] in points."""
    found = []
    for stream in re.findall(rb"stream\r?\n(.*?)endstream", pdf, re.S):
        text = stream.decode("latin-1")
        lines = re.findall(r"n ([\d.-]+) ([\d.-]+) m ([\d.-]+) ([\d.-]+) l S", text)
        found.append([((float(a), float(b)), (float(c), float(d))) for a, b, c, d in lines])
    return found


def sizes_of(pdf):
    return [tuple(float(n) for n in box.split()) for box in re.findall(rb"/MediaBox \[ ?([^\]]*?) ?\]", pdf)]


@pytest.mark.parametrize("paper", PAPERS)
def test_every_page_has_both_check_lines_and_they_measure_what_they_say(desk, paper):
    """Measured in the page's own points, of which 72 go into an inch."""
    pdf = take(desk(), "all.pdf", paper=paper)
    pages = [page for page in pages_of(pdf) if page]
    assert len(pages) == len(sizes_of(pdf)) > 7
    for page in pages:
        longest = [hypot(b[0] - a[0], b[1] - a[1]) * POINT for a, b in page]
        assert any(isclose(long, 100.0, abs_tol=0.01) for long in longest)
        assert any(isclose(long, 101.6, abs_tol=0.01) for long in longest)
    width, height = PAPERS[paper]
    for *_, x, y in sizes_of(pdf):
        assert (x * POINT, y * POINT) == pytest.approx((width, height), abs=0.01)
    assert re.search(rb"/PrintScaling\s*/None", pdf)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("size", [(50.0, 50.0), (216.6, 400.6), (1220.0, 2440.0), (185.0, 250.0)])
def test_the_pages_cover_the_part_and_overlap(size, paper):
    found = tiles(*size, paper)
    wide, tall = room(paper)
    for axis, side, page in ((0, size[0], wide), (1, size[1], tall)):
        starts = sorted({(tile.left, tile.low)[axis] for tile in found})
        assert starts[0] == -MARGIN and starts[-1] + page >= side + MARGIN - 1e-6
        assert all(isclose(b - a, page - OVERLAP) for a, b in zip(starts, starts[1:], strict=False))
        assert len(starts) == 1 or starts[-1] + OVERLAP < side + MARGIN, "no page that shows nothing new"
    assert len(found) == found[0].columns * found[0].rows


def test_the_marks_of_two_pages_lie_on_each_other(desk):
    """The crosses in what two neighbours share, carried from page to page by the step between them."""
    pages = [page for page in pages_of(take(desk(), "part.pdf", part="front outside", paper="a4")) if page]
    wide, _ = room("a4")
    step = (wide - OVERLAP) / POINT

    def crosses(page, left, right):
        level = [(a, b) for a, b in page if a[1] == b[1] and isclose((b[0] - a[0]) * POINT, 10, abs_tol=0.01)]
        return sorted(((a[0] + b[0]) / 2, a[1]) for a, b in level if left < (a[0] + b[0]) / 2 * POINT < right)

    first, second = pages[0], pages[1]
    here = crosses(first, 8 + wide - OVERLAP, 8 + wide)
    there = crosses(second, 8, 8 + OVERLAP)
    assert len(here) == len(there) == 2
    for (x, y), (u, v) in zip(here, there, strict=True):
        assert (x - step, y) == pytest.approx((u, v), abs=0.01)


def test_the_template_is_as_large_as_the_part(desk):
    """The outline on a page that holds all of a small shelf, in points of the page."""
    sitting = desk()
    part = parts(read_project(sitting.document), sitting.result)["shelf"]
    pdf = take(sitting, "part.pdf", part="shelf outside", paper="letter").decode("latin-1")
    page = next(s for s in re.findall(r"stream\r?\n(.*?)endstream", pdf, re.S) if " m " in s)
    rings = [
        [(float(x), float(y)) for x, y in re.findall(r"([\d.-]+) ([\d.-]+) [ml]\b", ring)]
        for ring in re.findall(r"n ((?:[\d.-]+ [\d.-]+ [ml]\s+){4,})h\s+S", page)
    ]
    outline = max((Polygon(ring) for ring in rings), key=lambda ring: ring.area)
    left, low, right, high = (each * POINT for each in outline.bounds)
    assert (right - left, high - low) == pytest.approx((part.width * 1e3, part.height * 1e3), abs=0.02)


def test_a_title_in_any_script_is_printed(desk):
    sitting = desk()
    sitting.type("history", title="Zwölf 部屋 ″ 😀")
    pdf = take(sitting, "part.pdf", part="shelf outside")
    assert b'Zw\\366lf ?? " ?, revision 2' in pdf


# --- As a table


INCH = {"in": 25.4, "mm": 1.0}
"""1 in = 25.4 mm exactly, by definition."""


def in_mm(text):
    """What somebody reads who is told ``14 1/8 in`` or ``359 mm``."""
    *numbers, unit = text.replace("\N{NO-BREAK SPACE}", " ").replace(",", ".").split()
    return float(sum(Fraction(each) for each in numbers)) * INCH[unit]


@pytest.mark.parametrize("name", ["reading_room", "plan imperial", "fitted", "fitted imperial"])
def test_the_table_says_what_the_cut_list_says(desk, name):
    """Finished and left long; by hand: what is fitted along both sides is 1.5 mm longer and wider off
    the saw. What is shown is rounded to a tenth of a millimetre, or to 1/64 of an inch."""
    document = made("reading_room" if name.startswith("fitted") else name)
    if name.startswith("fitted"):
        document["cabinet"]["fitted"] = {"shelf": "both", "top": "length"}
        document["show"] = "imperial" if "imperial" in name else "metric"
    sitting = desk(document)
    rows = list(csv.DictReader(StringIO(take(sitting, "parts.csv").decode(), newline=""), strict=True))
    cut_list = sitting.result.cut_list
    assert len(rows) == len(cut_list)
    near = 25.4 / 128 + 1e-6 if "imperial" in name else 0.051
    for line, row in zip(rows, cut_list, strict=True):
        assert (line["letter"], int(line["pieces"])) == (row.label, row.count)
        assert line["parts"] == ", ".join(row.names) and line["grain"] == "along the length"
        wanted = {"length": row.length, "width": row.width, "thickness": row.thickness,
                  "cut_length": row.cut_length, "cut_width": row.cut_width}  # fmt: skip
        for column, size in wanted.items():
            assert float(line[f"{column}_mm"]) == pytest.approx(size * 1e3, abs=0.0051)
            coarse = 0.02 if column == "thickness" else near  # measured with a calliper
            assert in_mm(line[column]) == pytest.approx(size * 1e3, abs=coarse), (column, line[column])
        assert line["datum_edge"], line
    if name.startswith("fitted"):
        shelf = next(line for line in rows if line["parts"] == "shelf")
        assert float(shelf["cut_length_mm"]) - float(shelf["length_mm"]) == pytest.approx(1.5)
        assert float(shelf["cut_width_mm"]) - float(shelf["width_mm"]) == pytest.approx(1.5)
        assert shelf["fit"] == "length and width"
        assert [line["fit"] for line in rows if line["parts"] in ("front", "top")] == ["", "length"]


def test_the_table_says_which_edge_is_kept(desk):
    """The grooves of the shelf are set from the same edge of both sides, as the page Cutting says."""
    sitting = desk()
    rows = csv.DictReader(StringIO(take(sitting, "parts.csv").decode(), newline=""))
    said = {line["parts"]: line["datum_edge"] for line in rows}
    assert said["left, right"] == "left lower edge; right lower edge"
    assert said["shelf"] == "any straight one"


@pytest.mark.parametrize("name", [
    "=HYPERLINK(1)", "+1", "-1", "@SUM(A1)", "  =1", "\uff1d1", "\u22121", "\t=1",
])  # fmt: skip
def test_no_cell_of_the_table_is_a_formula(desk, name):
    """A sheet's name begins as it likes; a cell that a spreadsheet would reckon begins with an apostrophe."""
    document = desk().document
    document["workshop"]["sheets"]["ply"]["name"] = name
    rows = list(csv.reader(StringIO(take(desk(document), "parts.csv").decode(), newline=""), strict=True))
    assert len(rows) > 5 and len({len(row) for row in rows}) == 1
    starts = {normalize("NFKC", cell).strip()[:1] for row in rows for cell in row}
    assert not starts & set("=+-@"), starts
    assert any(cell.startswith("'") for cell in rows[1]) == (name != "\u22121")


# --- The page


@pytest.mark.parametrize("name", MADE)
def test_it_opens(desk, name):
    sitting = desk(name)
    page = sitting.look("full_size")
    check(page)
    assert page.heading == QUESTIONS["full_size"]
    usual = "Letter" if "imperial" in name else "A4"
    assert [a.text for a in page.root.all("a", **{"aria-current": "true"})][0] == usual


def test_every_link_of_the_page_leads_to_a_file(desk, stranger):
    for sitting in (desk(), stranger(desk())):
        page = sitting.look("full_size")
        links = [a.attributes["href"] for a in page.root.all("a") if "download" in a.attributes]
        assert len(links) == 3 + 3 * 8 + 2
        for link in links:
            answer = sitting.browser.get(f"/projects/{sitting.key}/{link}")
            assert answer.status_code == 200 and len(answer.content) > 300, link


def test_a_mirrored_pair_has_both_hands(desk):
    sitting = desk()
    document = sitting.document
    document["cabinet"]["mirrored"] = True
    document["cabinet"]["seats"]["dome"]["x"] = 0.09
    twins = desk(document)
    left, right = (
        dxf_of(take(twins, "part.dxf", part=f"front outside {hand} cabinet")) for hand in ("left", "right")
    )
    places = [
        sorted((e.dxf.center.x, e.dxf.center.y) for e in each.modelspace().query("CIRCLE"))
        for each in (left, right)
    ]
    width = parts(read_project(twins.document), twins.result)["front"].width * 1e3
    mirrored = sorted((width - x, y) for x, y in places[0])
    assert {(round(x, 4), round(y, 4)) for x, y in places[1]} == {
        (round(x, 4), round(y, 4)) for x, y in mirrored
    }


@pytest.mark.parametrize("file", [
    "part.dxf?part=ghost", "part.pdf?part=front outside&paper=a3", "sheet.svg?sheet=ply&number=9",
    "sheet.dxf?sheet=ghost&number=1",
])  # fmt: skip
def test_what_is_not_there_is_not_found(desk, file):
    assert desk().browser.get(f"/projects/{desk().key}/full_size/{file}").status_code == 404


def test_what_is_flattened_for_paper_keeps_its_area(desk):
    """A circle of 32 corners would lose 0.6 per cent; what paper is given loses less than a thousandth."""
    sitting = desk()
    shelf = parts(read_project(sitting.document), sitting.result)["shelf"]
    window = next(f for f in shelf.features if f.kind == "window")
    assert Polygon(flattened(window.shape)).area == pytest.approx(window.area, rel=1e-3)
    front = parts(read_project(sitting.document), sitting.result)["front"]
    seat = next(f for f in front.features if f.kind == "opening")
    assert isinstance(seat.shape, Circle) and seat.area == pytest.approx(pi / 4 * seat.shape.diameter**2)


def test_a_groove_in_a_file_has_no_play_and_the_page_says_so(desk):
    sitting = desk()
    sitting.type("saw", **{"workshop.saw.play": "0.2"})
    assert "let the machine cut them 0.2 mm wider" in sitting.look("full_size").text
    assert "Grooves are drawn" not in desk("drivers").look("full_size").text, "it has none"


def test_a_depth_between_tenths_is_told_to_the_hundredth():
    def named(depth):
        return layer(Feature("groove", "shelf", (), depth, "inside", False, 0.0127, False))

    assert named(0.00635) == "GROOVE_6.35MM_BIT_12.70MM" and named(0.006) == "GROOVE_6.0MM_BIT_12.70MM"
