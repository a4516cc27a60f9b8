"""Every page draws every shape of a cabinet that can be decided, alone and together with the others."""

import re
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reading import made
from test_surfaces import volume

from calc.evaluate import evaluate
from server.documents import FieldErrors, InputError, amend, plain, read_project
from server.parts import parts

SHEET = next(iter(made("reading_room")["workshop"]["sheets"]))
PAGES = ("cabinet", "views", "cutting", "boring", "packet", "port", "box")

FEATURES = {
    "slope": st.sampled_from((3.0, 8.0)),
    "rounding": st.builds(
        lambda size, kind, along: {"size": size, "kind": kind, "along": along},
        st.sampled_from((0.006, 0.012)),
        st.sampled_from(("round", "chamfer")),
        st.sampled_from(("sides", "all")),
    ),
    "layers": st.dictionaries(
        st.sampled_from(("skin", "cheek", "lining")),
        st.builds(
            lambda panel, place: {"panel": panel, "sheet": SHEET, "place": place},
            st.sampled_from(("front", "left", "back", "top")),
            st.sampled_from(("outside", "inside", "through")),
        ),
        min_size=1,
    ),
    "feet": st.sampled_from(({"count": 3}, {"count": 4, "height": 0.03})),
    "plinth": st.builds(
        lambda mitred: {"sheet": SHEET, "height": 0.06, "setback": 0.02, "mitred": mitred}, st.booleans()
    ),
    "boards": st.just(
        {
            "crossover": {
                "panel": "bottom", "width": 0.12, "height": 0.1, "depth": 0.04, "x": 0.108, "y": 0.15
            }
        }
    ),
    "mirrored": st.just(True),
}  # fmt: skip


def document(decided):
    """A vented pair with these decisions of its cabinet."""
    return amend(made("reading_room"), {f"cabinet.{name}": value for name, value in decided.items()})


def solved(decided):
    project = read_project(document(decided))
    return SimpleNamespace(project=project, result=evaluate(project))


@settings(max_examples=25)
@given(st.fixed_dictionaries({}, optional=FEATURES))
def test_the_parts_of_any_cabinet_are_closed_bodies_of_their_volume(decided):
    """A panel, a skin and a lining without openings weigh what calc says; what is bored weighs less."""
    try:
        bench = solved(decided)
    except (FieldErrors, InputError):
        return  # a shape that cannot be built is another test's
    carcass = bench.result.cabinet.carcass
    solids = {**carcass.panels, **carcass.layers, **bench.result.cabinet.plinth}
    found = {part.name: part for part in parts(bench)}
    assert set(solids) <= set(found)
    for name, solid in solids.items():
        part = found[name]
        bored = getattr(solid, "panel", name) in ("front", "back")
        if bored:
            assert 0.2 * solid.volume < volume(part.shape) < solid.volume
        else:
            assert volume(part.shape) == pytest.approx(solid.volume, rel=2e-3), name
    feet = [part for part in found.values() if part.kind == "foot"]
    assert len(feet) == decided.get("feet", {}).get("count", 0)
    for part in found.values():
        assert volume(part.shape) > 0


@settings(max_examples=10)
@given(st.fixed_dictionaries({}, optional=FEATURES))
def test_every_page_draws_any_cabinet(shop, decided):
    client, store = shop
    try:
        key = store.create(plain(read_project(document(decided))))
        evaluate(read_project(document(decided)))
    except (FieldErrors, InputError):
        return
    for name in PAGES:
        answer = client.get(f"/projects/{key}/{name}")
        assert answer.status_code == 200, (name, decided)
        assert not re.search(r"\bnan\b|\binf\b", "".join(re.findall(r' d="([^"]*)"', answer.text))), name


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    from starlette.testclient import TestClient

    from server.app import create_app

    app = create_app(tmp_path_factory.mktemp("shapes") / "shop")
    with TestClient(app, base_url="http://localhost", client=("127.0.0.1", 50000)) as client:
        yield client, app.state.store


def test_a_leaning_front_leans_in_the_view_from_the_side():
    """Derived: 6 degrees over the height H put the upper edge H tan 6 further back."""
    from math import radians, tan

    bench = solved({"slope": 6.0})
    front = next(part for part in parts(bench) if part.name == "front")
    corners = [p for face in front.shape.faces for piece in face.pieces for p in piece]
    high = bench.result.cabinet.carcass.outer[1]
    upper = min(y for _, y, z in corners if z > high - 1e-6)
    assert upper == pytest.approx(high * tan(radians(6.0)), abs=1e-6)
    woofer = next(part for part in parts(bench) if part.name == "woofer")
    face = bench.result.cabinet.carcass.facing("front")
    depths = [face.of(p)[2] for f in woofer.shape.faces for piece in f.pieces for p in piece]
    assert min(depths) == pytest.approx(-bench.project.cabinet.finish, abs=1e-6)  # flush, and square to it


def test_a_driver_sits_flush_in_the_skin_over_the_front_on_a_ring_and_too_deep_without():
    """The skin, thicker than the flange, is cut out to it: without a ring it lies on the bare front."""
    layers = {"skin": {"panel": "front", "sheet": SHEET}}
    bench = solved({"layers": layers})
    frame, skin = bench.project.drivers["woofer"].frame, bench.result.cabinet.carcass.layers["skin"]
    woofer = next(part for part in parts(bench) if part.name == "woofer")
    front = min(face.low[1] for face in woofer.shape.faces)
    assert front == pytest.approx(-frame.flange_thickness - frame.gasket)
    ringed = solved({"layers": layers, "seats.woofer.ring": {"sheet": SHEET}})
    woofer = next(part for part in parts(ringed) if part.name == "woofer")
    front = min(face.low[1] for face in woofer.shape.faces)
    assert front == pytest.approx(-skin.thickness - bench.project.cabinet.finish)


def test_feet_stand_under_the_plinth():
    bench = solved({"plinth": {"sheet": SHEET, "height": 0.06}, "feet": {"height": 0.02}})
    feet = [part for part in parts(bench) if part.kind == "foot"]
    assert len(feet) == 4
    for part in feet:
        assert min(face.low[2] for face in part.shape.faces) == pytest.approx(-0.08)
        assert max(face.high[2] for face in part.shape.faces) == pytest.approx(-0.06)
    assert bench.result.cabinet.lie.floor == pytest.approx(-0.08)
