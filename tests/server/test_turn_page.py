"""The cabinet as a body to turn: closed meshes of the right volume, and a page that tells it without them."""

import json
import re
from html import unescape

import plotly.graph_objects as go
import pytest

from calc.cabinet.joints import constructions
from calc.evaluate import evaluate
from server.documents import amend, read_project
from server.drawings.openings import openings
from server.drawings.shapes import solid_faces
from server.solid_view import VIEWS, faces, triangles, turned

BRACES = {
    "shelf": {
        "kind": "shelf", "at": 0.12, "sheet": "ply", "depth": 0.006,
        "window": {"width": 0.06, "height": 0.08, "radius": 0.0},
    },
    "rib": {"kind": "rib", "at": 0.05, "sheet": "ply", "depth": 0.004},
}  # fmt: skip


def result_of(document, construction=None, braces=None):
    edges = document["cabinet"]["edges"]
    if construction:
        plain = evaluate(read_project(document)).cabinet.carcass
        thicknesses = {name: panel.thickness for name, panel in plain.panels.items()}
        edges = next(each.edges for each in constructions(thicknesses) if each.name == construction)
    return evaluate(read_project(amend(document, {"cabinet.edges": edges, "cabinet.braces": braces or {}})))


def names_of_constructions(document):
    plain = evaluate(read_project(document)).cabinet.carcass
    return [each.name for each in constructions({name: p.thickness for name, p in plain.panels.items()})]


def volume(surface):
    """Volume inside a closed surface: the sum of the tetrahedra under its triangles."""
    total = 0.0
    for face in surface:
        for (ax, ay, az), (bx, by, bz), (cx, cy, cz) in triangles(face):
            total += ax * (by * cz - bz * cy) - ay * (bx * cz - bz * cx) + az * (bx * cy - by * cx)
    return total / 6


def test_every_usual_construction_gives_meshes_of_the_parts_volumes(document):
    names = names_of_constructions(document)
    assert len(names) > 2
    for construction in names:
        cabinet = result_of(document, construction, BRACES).cabinet
        for name, solid in {**cabinet.carcass.panels, **cabinet.braces}.items():
            found = volume(faces(cabinet, name))
            assert found == pytest.approx(solid.volume, rel=1e-9), (construction, name)


def test_a_surface_closes_round_a_blank_with_a_groove_and_two_mitres():
    # Derived: 100 x 50 x 10 blank, 45 degree mitres over both ends, a groove 20 wide and 4 deep right across.
    mitres = ((0, 2, (0.0, 0.0), (10.0, 10.0)), (0, 2, (100.0, 0.0), (90.0, 10.0)))
    groove = ((40.0, 0.0, 6.0), (60.0, 50.0, 10.0))
    surface = solid_faces((0.0, 0.0, 0.0), (100.0, 50.0, 10.0), (groove,), mitres)
    assert volume(surface) == pytest.approx(100 * 50 * 10 - 2 * (10 * 10 / 2 * 50) - 20 * 4 * 50)
    slanted = [face.normal for face in surface if sum(n != 0 for n in face.normal) == 2]
    assert len(slanted) == 2


def figure_of(result, **options):
    return json.loads(turned(result, **options))


def test_one_mesh_and_one_outline_for_each_part(document):
    result = result_of(document, braces=BRACES)
    figure = figure_of(result)
    parts = [*result.cabinet.carcass.panels, *result.cabinet.braces]
    meshes = {trace["name"]: trace for trace in figure["data"] if trace["type"] == "mesh3d"}
    lines = [trace["name"] for trace in figure["data"] if trace["type"] == "scatter3d"]
    assert list(meshes) == parts and lines == [f"{name}, edges" for name in parts]
    letters = {name: row.label for row in result.cut_list for name in row.names}
    for name, mesh in meshes.items():
        solid = {**result.cabinet.carcass.panels, **result.cabinet.braces}[name]
        assert mesh["text"].startswith(f"<b>{letters[name]}</b> {name.capitalize()}<br>")
        assert f"{solid.length * 1000:.1f} mm" in mesh["text"]
        assert mesh["flatshading"] is True
        assert len(mesh["intensity"]) == len(mesh["i"]) == len(mesh["j"]) == len(mesh["k"])
        assert max(mesh["i"] + mesh["j"] + mesh["k"]) == len(mesh["x"]) - 1
    for axis, extent in zip("xyz", (0, 2, 1), strict=True):
        places = [place for mesh in meshes.values() for place in mesh[axis]]
        outer = result.cabinet.carcass.outer[extent] * 1000
        assert min(places) == 0 and max(places) == pytest.approx(outer, abs=0.006)


def test_the_figure_is_what_plotly_takes_and_only_the_sheet_colours_it(document):
    result = result_of(document, braces=BRACES)
    found = {name: _openings(document, result, name) for name in ("front", "back")}
    for view in VIEWS:
        text = turned(result, openings=found, apart=True, view=view)
        figure = go.Figure(json.loads(text))
        assert figure.layout.scene.aspectmode == "data"
        assert "NaN" not in text
        assert not re.search(r"#[0-9a-fA-F]{3,8}\b|rgb\(", text)
        assert set(re.findall(r"var\([^)]*\)", text)) == {"var(--wood)", "var(--hair)", "var(--ink)"}


def _openings(document, result, panel):
    project = read_project(document)
    return openings(result.openings, panel, seats=project.cabinet.seats, drivers=project.drivers)


def test_the_eye_stands_before_or_behind_and_far_enough(document):
    result = result_of(document)
    eyes = {view: figure_of(result, view=view)["layout"]["scene"]["camera"]["eye"] for view in VIEWS}
    assert eyes["front"]["x"] > 0 > eyes["front"]["y"] and eyes["front"]["z"] > 0
    assert eyes["behind"]["y"] > 0 and eyes["below"]["z"] < 0
    width, height, depth = result.cabinet.carcass.outer
    radius = (width**2 + height**2 + depth**2) ** 0.5 / 2 / (width * height * depth) ** (1 / 3)
    for eye in eyes.values():
        assert sum(place**2 for place in eye.values()) ** 0.5 > 1.9 * radius


def test_taken_apart_the_panels_leave_each_other_and_braces_stay(document):
    result = result_of(document, braces=BRACES)
    whole, apart = ({t["name"]: t for t in figure_of(result, apart=apart)["data"]} for apart in (False, True))
    step = 0.3 * max(result.cabinet.carcass.outer) * 1000
    for name, axis, side in (("front", "y", -1), ("back", "y", 1), ("left", "x", -1), ("top", "z", 1)):
        assert min(apart[name][axis]) - min(whole[name][axis]) == pytest.approx(side * step, abs=0.02)
    assert apart["shelf"]["x"] == whole["shelf"]["x"]


def test_openings_are_discs_on_both_faces_of_their_panel(document):
    result = result_of(document)
    seats = _openings(document, result, "front")
    assert seats
    traces = {trace["name"]: trace for trace in figure_of(result, openings={"front": seats})["data"]}
    discs = traces["openings in the front"]
    panel = result.cabinet.carcass.panels["front"]
    assert min(discs["y"]) < panel.low[1] * 1000 and max(discs["y"]) > panel.high[1] * 1000
    assert max(discs["x"]) - min(discs["x"]) == pytest.approx(max(o.width for o in seats) * 1000, abs=0.1)
    for each in seats:
        assert each.name.capitalize() in discs["text"]
    assert discs["lighting"]["ambient"] < 0.5
    assert "openings in the back" not in traces


# --- The page


@pytest.fixture
def look(client, store, document):
    """A function that opens the page of a braced cabinet and gives its text."""
    key = store.create(amend(document, {"cabinet.braces": BRACES}))

    def text(query=""):
        answer = client.get(f"/projects/{key}/cabinet/turn{query}")
        assert answer.status_code == 200
        return answer.text

    return text


def plotted(text):
    return json.loads(unescape(re.search(r'data-figure="([^"]*)"', text)[1]))


def test_the_page_loads_what_turns_a_body_and_nothing_else_of_it(look):
    text = look()
    scripts = re.findall(r'<script src="([^"]*)"', text)
    assert [script for script in scripts if "plotly" in script] == ["/static/vendor/plotly-gl3d-4.1.1.min.js"]
    assert "/static/bench.js" in scripts
    template = re.search(r'<script id="chart-template" type="application/json">(.*?)</script>', text, re.S)
    assert "var(--ink)" in template[1] and json.loads(template[1])["layout"]


def test_the_rule_shows_the_cabinet_and_a_link_leads_back(look):
    text = look()
    here = re.findall(r'<a href="([^"]*)" aria-current="page"><i>\d+</i> ([^<]*)</a>', text)
    assert [(address.rsplit("/", 1)[1], name) for address, name in here] == [("cabinet", "Cabinet")]
    assert len(re.findall(r'<li class="near">', text)) == 3
    assert re.search(r'<a [^>]*href="\.\./cabinet">Back to the cabinet</a>', text)


def test_the_table_tells_every_part_with_its_letter_sizes_and_weight(look, document):
    result = result_of(document, braces=BRACES)
    text = look()
    rows = re.findall(r'<tr><th scope="row">(.*?)</th>(.*?)</tr>', text)
    cells = {name: re.findall(r"<td[^>]*>(.*?)</td>", rest) for name, rest in rows}
    letters = {name: row.label for row in result.cut_list for name in row.names}
    parts = {**result.cabinet.carcass.panels, **result.cabinet.braces}
    assert list(cells) == [f"{letters[name]}. {name.capitalize()}" for name in parts]
    for (label, found), solid in zip(cells.items(), parts.values(), strict=True):
        sizes = [float(size) / 1000 for size in found[:3]]
        assert sizes == pytest.approx([solid.length, solid.width, solid.thickness], abs=6e-5), label
        number, unit = found[3].replace("\xa0", " ").split()
        grams = float(number) * {"kg": 1000, "g": 1}[unit]
        assert grams == pytest.approx(solid.mass * 1000, rel=0.01), label


def test_the_view_and_taking_apart_are_plain_links(look):
    text = look("?view=behind")
    assert plotted(text)["layout"]["scene"]["camera"]["eye"]["y"] > 0
    assert re.findall(r'href="([^"]*)" aria-current="true"', text) == ["?view=behind"]
    assert 'href="?view=behind&amp;apart=yes"' in text
    apart = look("?view=behind&apart=yes")
    assert min(plotted(apart)["data"][0]["y"]) < min(plotted(text)["data"][0]["y"])
    assert 'href="?view=front&amp;apart=yes"' in apart and 'href="?view=behind">Put together' in apart


def test_an_unknown_view_is_the_usual_one(look):
    assert plotted(look("?view=%3Cscript%3E")) == plotted(look())


def test_sizes_in_the_hover_follow_the_project(client, store, document):
    key = store.create(amend(document, {"show": "imperial"}))
    figure = plotted(client.get(f"/projects/{key}/cabinet/turn").text)
    words = figure["data"][0]["text"].replace("\xa0", " ")
    assert words.endswith(" in") and " mm" not in words
