"""The cabinet from every side: closed meshes of the right volume, and a page that tells it without them."""

import json
import re
from html import unescape
from math import pi, sin
from types import SimpleNamespace

import plotly.graph_objects as go
import pytest
from reading import made
from test_surfaces import volume

from calc.cabinet.joints import constructions
from calc.evaluate import evaluate
from server.documents import amend, read_project
from server.drawings.solids import CORNERS, brace_surface, panel_surface
from server.parts import parts
from server.solid_view import VIEWS, turned

BRACES = {
    "shelf": {
        "kind": "shelf", "at": 0.12, "sheet": "ply", "depth": 0.006,
        "window": {"width": 0.06, "height": 0.08, "radius": 0.0},
    },
    "rib": {"kind": "rib", "at": 0.05, "sheet": "ply", "depth": 0.004},
}  # fmt: skip


def bench_of(document, construction=None, braces=None):
    """A project and its result, as a page has them."""
    edges = document["cabinet"]["edges"]
    if construction:
        plain = evaluate(read_project(document)).cabinet.carcass
        thicknesses = {name: panel.thickness for name, panel in plain.panels.items()}
        edges = next(each.edges for each in constructions(thicknesses) if each.name == construction)
    project = read_project(amend(document, {"cabinet.edges": edges, "cabinet.braces": braces or {}}))
    return SimpleNamespace(project=project, result=evaluate(project))


def names_of_constructions(document):
    plain = evaluate(read_project(document)).cabinet.carcass
    return [each.name for each in constructions({name: p.thickness for name, p in plain.panels.items()})]


def test_every_usual_construction_gives_meshes_of_the_parts_volumes(document):
    names = names_of_constructions(document)
    assert len(names) > 2
    for construction in names:
        cabinet = bench_of(document, construction, BRACES).result.cabinet
        for name, solid in cabinet.carcass.panels.items():
            found = volume(panel_surface(cabinet.carcass, name))
            assert found == pytest.approx(solid.volume, rel=1e-9), (construction, name)
        for name, solid in cabinet.braces.items():
            assert volume(brace_surface(solid)) == pytest.approx(solid.volume, rel=1e-9), (construction, name)


def test_openings_are_bored_through_their_panel(document):
    """Each circle takes n/2 r^2 sin(2 pi / n) times its depth, derived."""
    bench = bench_of(document)
    facets = CORNERS / 2 * sin(2 * pi / CORNERS)
    carcass = bench.result.cabinet.carcass
    for part in parts(bench):
        if part.open:
            thickness = part.sizes[2]
            bored = sum(facets * (width / 2) ** 2 * thickness for _, width, _ in part.open)
            if part.name == "front":  # recesses: seen in the seat as it is bored
                bored += sum(
                    facets * ((seat.recess / 2) ** 2 - (seat.cutout / 2) ** 2) * seat.recess_depth
                    for seat in bench.result.seats.values()
                    if seat and seat.recess
                )
            assert volume(part.shape) == pytest.approx(carcass.panels[part.name].volume - bored)
    assert sum(bool(part.open) for part in parts(bench)) == 2


def test_a_driver_is_as_wide_and_deep_as_its_frame_and_sits_where_it_is_seated(document):
    bench = bench_of(document)
    woofer = next(part for part in parts(bench) if part.name == "woofer")
    frame = bench.project.drivers["woofer"].frame
    seat = bench.project.cabinet.seats["woofer"]
    lows, highs = zip(*[(face.low, face.high) for face in woofer.shape.faces], strict=True)
    low, high = (
        tuple(f(values) for values in zip(*ends, strict=True)) for f, ends in ((min, lows), (max, highs))
    )
    assert high[0] - low[0] == pytest.approx(frame.flange)
    assert (low[0] + high[0]) / 2 == pytest.approx(seat.x)
    assert (low[2] + high[2]) / 2 == pytest.approx(seat.y)
    assert low[1] == pytest.approx(-bench.project.cabinet.finish)  # flush with the finished face
    assert high[1] - low[1] == pytest.approx(frame.depth + frame.flange_thickness + frame.gasket)


@pytest.mark.parametrize("turn", [0.0, 90.0])
def test_a_truncated_flange_is_as_narrow_as_its_flats_and_turns(document, turn):
    frame = {"shape": "truncated", "across": 0.15}
    edits = {f"drivers.woofer.frame.{name}": value for name, value in frame.items()}
    bench = bench_of(amend(document, edits | {"cabinet.seats.woofer.turn": turn}))
    woofer = next(part for part in parts(bench) if part.name == "woofer")
    made = bench.project.drivers["woofer"].frame
    rim = woofer.shape.faces
    front = min(face.low[1] for face in rim)
    flat = [face for face in rim if face.low[1] < front + 1e-9 and face.high[1] < front + 1e-9]
    wide, tall = (max(f.high[n] for f in flat) - min(f.low[n] for f in flat) for n in (0, 2))
    expected = (made.flange, made.across) if turn else (made.across, made.flange)
    assert (wide, tall) == pytest.approx(expected, abs=1e-4)
    assert woofer.sizes[:2] == (made.flange, made.across)


def test_a_port_is_a_tube_of_its_length_from_its_panel_inwards():
    project = read_project(made("reading_room"))
    bench = SimpleNamespace(project=project, result=evaluate(project))
    port = next(part for part in parts(bench) if part.kind == "port")
    length = bench.result.cabinet.port_lengths["port"]
    depth = bench.result.cabinet.carcass.outer[2]
    ends = [y for face in port.shape.faces for y in (face.low[1], face.high[1])]
    assert (min(ends), max(ends)) == pytest.approx((depth - length, depth))
    tube = bench.project.alternatives[bench.project.chosen].box.port
    outer, facets = tube.shape.diameter / 2 + tube.wall, CORNERS / 2 * sin(2 * pi / CORNERS)
    wood = facets * (outer**2 - (outer - tube.wall) ** 2) * length
    assert volume(port.shape) == pytest.approx(wood, rel=1e-6)


def millimetres(metres):
    return f"{metres * 1000:.1f} mm"


def bare(metres):
    return f"{metres * 1000:.1f}"


def figure_of(bench, **options):
    return json.loads(turned(parts(bench), millimetres, bare, **options))


def test_one_mesh_and_one_outline_for_each_part(document):
    bench = bench_of(document, braces=BRACES)
    figure, carcass = figure_of(bench), bench.result.cabinet.carcass
    names = [part.name for part in parts(bench)]
    assert names[:8] == [*carcass.panels, *bench.result.cabinet.braces]
    meshes = {trace["name"]: trace for trace in figure["data"] if trace["type"] == "mesh3d"}
    lines = [trace["name"] for trace in figure["data"] if trace["type"] == "scatter3d"]
    assert list(meshes) == names and lines == [f"{name}, edges" for name in names]
    for part in parts(bench):
        mesh = meshes[part.name]
        assert part.title in mesh["text"] and bare(part.sizes[0]) in mesh["text"]
        assert mesh["meta"]["part"] == part.name
        assert len(mesh["intensity"]) == len(mesh["i"]) == len(mesh["j"]) == len(mesh["k"])
        assert max(mesh["i"] + mesh["j"] + mesh["k"]) == len(mesh["x"]) - 1
    for axis, extent in zip("xyz", (0, 2, 1), strict=True):
        places = [place for name in carcass.panels for place in meshes[name][axis]]
        assert min(places) == 0 and max(places) == pytest.approx(carcass.outer[extent] * 1000, abs=0.06)


def test_the_figure_is_what_plotly_takes_and_only_the_sheet_colours_it(document):
    bench = bench_of(document, braces=BRACES)
    for view in VIEWS:
        text = turned(parts(bench), millimetres, bare, apart=1.0, view=view)
        figure = go.Figure(json.loads(text))
        assert figure.layout.scene.aspectmode == "data"
        assert "NaN" not in text
        assert not re.search(r"#[0-9a-fA-F]{3,8}\b|rgb\(", text)
        found = set(re.findall(r"var\([^)]*\)", text))
        assert found == {"var(--wood)", "var(--hair)", "var(--ink)", "var(--leaf)"}


def test_the_eye_stands_before_or_behind_and_far_enough(document):
    bench = bench_of(document)
    eyes = {view: figure_of(bench, view=view)["layout"]["scene"]["camera"]["eye"] for view in VIEWS}
    assert eyes["front"]["x"] > 0 > eyes["front"]["y"] and eyes["front"]["z"] > 0
    assert eyes["behind"]["y"] > 0 and eyes["below"]["z"] < 0
    width, height, depth = bench.result.cabinet.carcass.outer
    radius = (width**2 + height**2 + depth**2) ** 0.5 / 2 / (width * height * depth) ** (1 / 3)
    for eye in eyes.values():
        assert sum(place**2 for place in eye.values()) ** 0.5 > 1.9 * radius


def test_taken_apart_the_panels_leave_each_other_and_braces_stay(document):
    bench = bench_of(document, braces=BRACES)
    whole, apart = ({t["name"]: t for t in figure_of(bench, apart=apart)["data"]} for apart in (0.0, 1.0))
    step = 0.3 * max(bench.result.cabinet.carcass.outer) * 1000
    for name, axis, side in (("front", "y", -1), ("back", "y", 1), ("left", "x", -1), ("top", "z", 1)):
        assert min(apart[name][axis]) - min(whole[name][axis]) == pytest.approx(side * step, abs=0.2)
        assert apart[name]["meta"]["move"]["xyz".index(axis)] == pytest.approx(side * step, abs=0.01)
    assert apart["shelf"]["x"] == whole["shelf"]["x"]
    assert min(apart["woofer"]["y"]) < min(apart["front"]["y"])


# --- The page


@pytest.fixture
def look(client, store, document):
    """A function that opens the page of a braced cabinet and gives its text."""
    key = store.create(amend(document, {"cabinet.braces": BRACES}))

    def text(query=""):
        answer = client.get(f"/projects/{key}/views{query}")
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


def test_the_rule_shows_the_cabinet_and_the_row_its_rooms(look):
    text = look()
    here = re.findall(r'<a href="([^"]*)" aria-current="page">(?:<i>\d+</i> )?([^<]*)</a>', text)
    assert [(address.rsplit("/", 1)[1], name) for address, name in here] == [
        ("cabinet", "Cabinet"),
        ("views", "Views"),
    ]


def test_the_table_tells_every_part_with_its_letter_sizes_and_weight(look, document):
    bench = bench_of(document, braces=BRACES)
    rows = re.findall(
        r'<tr data-part="([^"]*)"[^>]*><th scope="row">(.*?)</th>\s*<td data-of="">(.*?)</td>'
        r'<td class="n" data-of="weighs">(.*?)</td></tr>',
        look(),
    )
    found = parts(bench)
    assert [name for name, *_ in rows] == [part.name for part in found]
    for part, (_, title, sizes, weight) in zip(found, rows, strict=True):
        words = re.sub(r"<[^>]*>", "", unescape(title))
        assert words == (f"{part.letter}. {part.title}" if part.letter else part.title)
        numbers = [float(n) / 1000 for n in re.findall(r"\d[\d.]*", unescape(sizes))]
        wanted = [side for side in part.sizes if side is not None]
        assert numbers[: len(wanted)] == pytest.approx(wanted, abs=6e-5), part.name
        if part.mass is None:
            assert weight == "not given"
        else:
            number, unit = unescape(weight).replace("\xa0", " ").split()
            assert float(number) * {"kg": 1, "g": 1e-3}[unit] == pytest.approx(part.mass, rel=0.01), part.name


def test_views_steps_and_parts_are_plain_links(look):
    text = look("?view=behind")
    assert plotted(text)["layout"]["scene"]["camera"]["eye"]["y"] > 0
    assert 'href="?view=behind" aria-current="true"' in text
    assert 'href="?view=behind&apart=50"' in unescape(text)
    apart = look("?view=behind&apart=100&part=left")
    assert min(plotted(apart)["data"][0]["y"]) < min(plotted(text)["data"][0]["y"])
    assert 'value="100"' in apart and 'data-lit="left"' in apart
    assert re.search(r'<tr data-part="left" class="lit">.*?aria-current="true"', apart)
    assert 'href="?view=front&apart=100&part=left"' in unescape(apart)
    assert re.search(r'role="status" id="picked">Left, ', apart)


@pytest.mark.parametrize("query", ["?apart=-3", "?apart=1e9", "?apart=x", "?part=%3Cscript%3E", "?apart=101"])
def test_what_is_no_step_and_no_part_is_left_out(look, query):
    assert plotted(look(query)) == plotted(look())
    assert 'data-lit=""' in look(query)


def test_without_scripts_the_same_steps_are_drawn(look):
    whole, apart = (
        re.search(r"<noscript><div class=\"over\">(.*?)</noscript>", look(q), re.S)[1]
        for q in ("", "?apart=100")
    )
    assert "<svg" in whole and whole != apart


def test_an_unknown_view_is_the_usual_one(look):
    assert plotted(look("?view=%3Cscript%3E")) == plotted(look())


def test_sizes_in_the_hover_follow_the_project(client, store, document):
    key = store.create(amend(document, {"show": "imperial"}))
    figure = plotted(client.get(f"/projects/{key}/views").text)
    words = figure["data"][0]["text"].replace("\xa0", " ")
    assert words.count(" in") >= 1 and " mm" not in words
