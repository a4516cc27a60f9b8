"""POST /api/cabinet: the worked box, what it answers, and what it refuses."""

import json
from copy import deepcopy
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calc.cabinet.joints import EDGES, PANELS, all_butt, all_mitred, rabbeted

DATA = json.loads((Path(__file__).parents[1] / "data/shop.json").read_text())["records"]
WORKED = DATA["worked_box"]


def plain(edges):
    return {
        name: {"mitre": True} if edge["mitre"] else {"into": edge["into"], "depth": edge["depth"]}
        for name, edge in edges.items()
    }


@pytest.fixture
def asked():
    return {
        "hold": "inner",
        "size": dict(WORKED["inner"]),
        "panels": {name: {"thickness": t, "density": 750} for name, t in WORKED["thickness"].items()},
        "edges": plain(rabbeted(0.009, 0.009)),
    }


def shelf(**change):
    return {
        "name": "shelf", "kind": "shelf", "at": 0.15, "thickness": 0.018, "density": 700, "depth": 0.006,
        "window": {"width": 0.1, "height": 0.2, "radius": 0.02},
    } | change  # fmt: skip


def post(client, asked):
    answer = client.post("/api/cabinet", json=asked)
    assert answer.status_code == 200, answer.text
    return answer.json()


def refused(client, asked):
    answer = client.post("/api/cabinet", json=asked)
    assert answer.status_code == 422, answer.text
    return answer.json()["errors"]


def test_the_worked_box(client, asked):
    answer = post(client, asked)
    for word, length in WORKED["outer"].items():
        assert_allclose(answer["outer"][word], length, rtol=0, atol=1e-12)
    assert answer["inner"] == WORKED["inner"]
    assert [panel["name"] for panel in answer["panels"]] == list(PANELS)
    for panel in answer["panels"]:
        blank = panel["length"], panel["width"], panel["thickness"]
        assert_allclose(blank, WORKED["blanks"][panel["name"]], rtol=0, atol=1e-12)
        assert_allclose(panel["volume"], WORKED["volumes"][panel["name"]], rtol=0, atol=1e-15)
        assert_allclose(panel["mass"], 750 * panel["volume"], rtol=1e-12)
    assert_allclose(answer["mass"], WORKED["mass"], rtol=0, atol=1e-4)
    assert_allclose(answer["ledger"]["gross"], WORKED["inner_volume"], rtol=1e-12)
    assert answer["ledger"]["net"] == answer["ledger"]["gross"]
    assert answer["facts"] == [] and answer["braces"] == []


def test_the_box_balances_at_its_middle_but_nearer_to_the_thick_front(client, asked):
    x, y, z = post(client, asked)["centre_of_gravity"]
    assert_allclose((x, z), (0.118, 0.218), rtol=1e-12)
    # Six slabs by hand: front 2572.4 at y 12.5, ring 337-25-12 = 300 deep and flush behind it, back, in cm³.
    ring, back = (0.236 * 0.436 - 0.2 * 0.4) * 0.3, 0.236 * 0.436 * 0.012
    front = 0.236 * 0.436 * 0.025
    assert_allclose(y, (front * 0.0125 + ring * 0.175 + back * 0.331) / (front + ring + back), rtol=1e-12)


def test_allowances_reach_from_the_clear_size_to_the_blank(client, asked):
    answer = post(client, asked)
    panels = {panel["name"]: panel for panel in answer["panels"]}
    assert {"edge": "left-top", "add": 0.009} in panels["top"]["allowances"]
    assert {"edge": "left-top", "add": 0.018} in panels["left"]["allowances"]
    for panel in panels.values():
        edges = [allowance["edge"] for allowance in panel["allowances"]]
        assert sorted(edges) == sorted(edge for edge in EDGES if panel["name"] in edge.split("-"))
        clear = panel["length"] + panel["width"] - sum(allowance["add"] for allowance in panel["allowances"])
        inner = answer["inner"]
        across = {"front": "depth", "back": "depth", "left": "width", "right": "width"}
        missing = across.get(panel["name"], "height")
        assert_allclose(clear, sum(inner.values()) - inner[missing], rtol=1e-12)


def test_outer_held_gives_the_same_box(client, asked):
    inside = post(client, asked)
    outside = post(client, asked | {"hold": "outer", "size": inside["outer"]})
    assert_allclose(list(outside["inner"].values()), list(inside["inner"].values()), rtol=1e-12)
    assert_allclose(outside["mass"], inside["mass"], rtol=1e-12)


def test_braces_and_what_stands_inside_are_taken_off_and_weighed(client, asked):
    bare = post(client, asked)
    things = [
        {"name": "woofer", "volume": 0.0011, "mass": 2.6, "at": [0.118, 0.06, 0.16]},
        {"name": "board", "volume": 0.0002, "mass": 0.4},
    ]
    full = post(client, asked | {"braces": [shelf()], "displaced": things})
    (brace,) = full["braces"]
    window = 0.1 * 0.2 - (4 - 3.141592653589793) * 0.02**2
    shelf_volume = (0.2 * 0.3 - window) * 0.018
    assert [entry["name"] for entry in full["ledger"]["displaced"]] == ["shelf", "woofer", "board"]
    assert_allclose(full["ledger"]["displaced"][0]["volume"], shelf_volume, rtol=1e-12)
    assert_allclose(full["ledger"]["net"], 0.024 - shelf_volume - 0.0013, rtol=1e-12)
    groove = 0.006 * 0.3 * 0.018
    left = {panel["name"]: panel["volume"] for panel in full["panels"]}["left"]
    assert_allclose(left, WORKED["volumes"]["left"] - groove, rtol=1e-12)
    assert_allclose(full["mass"], bare["mass"] - 2 * groove * 750 + brace["mass"] + 3.0, rtol=1e-12)
    assert (brace["length"], brace["width"]) == pytest.approx((0.212, 0.3), rel=1e-12)
    solids = sum(part["volume"] for part in full["panels"] + full["braces"])
    outer = 0.236 * 0.436 * 0.337
    assert_allclose(solids - shelf_volume + 0.024, outer, rtol=0, atol=1e-15)
    # The woofer stands in front of the bare box's centre and pulls it forward.
    assert full["centre_of_gravity"][1] < bare["centre_of_gravity"][1]


def test_a_plate_that_seals_parts_the_air_into_rooms(client, asked):
    """Derived: 200 x 400 x 300 inside, a whole shelf of 18 with its middle 150 up, a rib that crosses it."""
    wall = shelf(window=None, seals=True)
    rib = shelf(name="rib", kind="rib", at=0.1, depth=0.0, thickness=0.012)
    rib["window"] = {"width": 0.1, "height": 0.3}
    thing = {"name": "dome", "volume": 0.0001, "at": [0.1, 0.05, 0.35]}
    answer = post(client, asked | {"braces": [wall, rib], "displaced": [thing]})
    low, high = answer["rooms"]
    assert low["plates"] == high["plates"] == ["shelf"]
    assert (low["holds"], high["holds"]) == ([], ["dome"])
    # Inside, the rib's window runs from 50 to 350 up and the shelf stands from 141 to 159.
    assert_allclose(low["gross"], 0.2 * 0.3 * 0.141, rtol=1e-12)
    assert_allclose(low["net"], low["gross"] - 0.012 * (0.3 * 0.141 - 0.1 * 0.091), rtol=1e-12)
    assert_allclose(high["gross"], 0.2 * 0.3 * 0.241, rtol=1e-12)
    rest = high["gross"] - 0.012 * (0.3 * 0.241 - 0.1 * 0.191) - 0.0001
    assert_allclose(high["net"], rest, rtol=1e-12)
    assert_allclose(answer["ledger"]["net"], low["net"] + high["net"], rtol=1e-12)


def test_a_box_that_nothing_parts_is_one_room(client, asked):
    answer = post(client, asked | {"braces": [shelf()], "displaced": [{"name": "x", "volume": 0.001}]})
    (room,) = answer["rooms"]
    assert room["plates"] == [] and room["holds"] == ["x"]
    assert_allclose(room["net"], answer["ledger"]["net"], rtol=1e-12)


def test_a_thing_of_unknown_place_is_weighed_but_moves_nothing(client, asked):
    bare = post(client, asked)
    full = post(client, asked | {"displaced": [{"name": "filling", "volume": 0, "mass": 1.5}]})
    assert_allclose(full["mass"], bare["mass"] + 1.5, rtol=1e-12)
    assert full["centre_of_gravity"] == bare["centre_of_gravity"]


def test_steep_mitres_are_facts_and_no_refusal(client, asked):
    answer = post(client, asked | {"edges": plain(all_mitred())})
    assert {"edges.back-left.into", "edges.front-left.into"} <= {fact["field"] for fact in answer["facts"]}
    assert all("45°" in fact["sentence"] for fact in answer["facts"])


def _amended(asked, place, value):
    changed = deepcopy(asked)
    *way, last = place
    part = changed
    for name in way:
        part = part[name]
    part[last] = value
    return changed


@pytest.mark.parametrize(
    ("place", "value", "field"),
    [
        (("size", "width"), -0.2, "size.width"),
        (("size", "width"), "wide", "size.width"),
        (("size", "width"), True, "size.width"),
        (("size", "width"), 1e-9, "size.width"),
        (("size", "width"), 99.0, "size.width"),
        (("size", "width"), None, "size.width"),
        (("size", "length"), 0.2, "size.length"),
        (("hold",), "volume", "hold"),
        (("panels", "top", "thickness"), 0, "panels.top.thickness"),
        (("panels", "top", "density"), 1e308, "panels.top.density"),
        (("panels", "lid"), {"thickness": 0.018, "density": 700}, "panels.lid"),
        (("edges", "left-top", "depth"), 0.018, "edges.left-top.depth"),
        (("edges", "left-top", "depth"), -0.001, "edges.left-top.depth"),
        (("edges", "left-top"), {"mitre": True, "depth": 0.004}, "edges.left-top.depth"),
        (("edges", "left-top"), {}, "edges.left-top.into"),
        (("edges", "left-top", "into"), "front", "edges.left-top.into"),
        (("edges", "left-top", "into"), "lid", "edges.left-top.into"),
        (("edges", "top-left"), {"into": "left"}, "edges.top-left"),
        (("edges", "front-top", "into"), "top", "edges.front-left.into"),
        (("colour",), "red", "colour"),
        (("displaced",), [{"name": "woofer", "volume": 0.024}], "displaced"),
        (("displaced",), [{"name": "woofer", "volume": -1}], "displaced.0.volume"),
        (("displaced",), [{"name": "woofer", "volume": 0, "at": [0, 0]}], "displaced.0.at"),
        (("braces",), [shelf(at=0.395)], "braces.0.at"),
        (("braces",), [shelf(at=0.391, window=None, seals=True)], "braces.0.at"),
        (("braces",), [shelf(seals=True)], "braces.0.seals"),
        (
            ("braces",),
            [shelf(name=f"{n}", at=0.05 * n, window=None, seals=True) for n in range(1, 8)],
            "braces.6.seals",
        ),
        (("braces",), [shelf(depth=0.018)], "braces.0.depth"),
        (("braces",), [shelf(kind="strut")], "braces.0.kind"),
        (("braces",), [shelf(), shelf(name="a.b", at=0.16)], "braces.1.at"),
        (("braces",), [shelf(), shelf(at=0.3)], "braces.1.name"),
        (("braces",), [shelf(window={"width": 0.17, "height": 0.2})], "braces.0.window.width"),
    ],
)
def test_a_bad_value_is_refused_at_its_field(client, asked, place, value, field):
    errors = refused(client, _amended(asked, place, value))
    assert field in errors, errors
    assert errors[field][0].islower(), "goes on from the field's name"


def test_a_parted_box_must_know_where_its_things_stand(client, asked):
    asked["braces"] = [shelf(window=None, seals=True)]
    asked["displaced"] = [{"name": "woofer", "volume": 0.001}]
    assert set(refused(client, asked)) == {"displaced.0.at"}
    asked["displaced"] = [{"name": "woofer", "volume": 0.012, "at": [0.1, 0.1, 0.1]}]
    assert set(refused(client, asked)) == {"braces.0.at"}


def test_all_bad_fields_are_told_at_once(client, asked):
    asked["size"]["width"] = 0
    asked["panels"]["top"]["density"] = "heavy"
    del asked["panels"]["left"]
    assert set(refused(client, asked)) == {"size.width", "panels.top.density", "panels.left"}


def test_all_bad_joints_are_told_at_once(client, asked):
    asked["edges"]["left-top"]["depth"] = 0.05
    asked["edges"]["back-right"]["into"] = "top"
    del asked["edges"]["front-left"], asked["edges"]["left-bottom"]
    assert set(refused(client, asked)) == {"edges.front-left", "edges.left-bottom"}
    asked["edges"] |= {"front-left": {"into": "front"}, "left-bottom": {"into": "left"}}
    assert set(refused(client, asked)) == {"edges.left-top.depth", "edges.back-right.into"}


@pytest.mark.parametrize("body", ["", "{", "[]", "null", "7", '{"size": NaN}', '"\\ud800"'])
def test_what_is_no_cabinet_is_refused(client, body):
    answer = client.post("/api/cabinet", content=body, headers={"Content-Type": "application/json"})
    assert answer.status_code == 422
    assert answer.json()["errors"]


def test_numbers_that_are_none_are_refused(client, asked):
    body = json.dumps(asked).replace('"density": 750', '"density": Infinity', 1)
    answer = client.post("/api/cabinet", content=body, headers={"Content-Type": "application/json"})
    assert answer.status_code == 422 and "panels.front.density" in answer.json()["errors"]


absurd = st.floats(allow_nan=False, allow_infinity=False) | st.sampled_from(
    (0, 1, 1e-320, 5e-324, 1e308, -0.0)
)
sensible = st.sampled_from((0.0005, 0.009, 0.018, 0.1, 0.3, 9.9))
number = absurd | sensible


@settings(
    max_examples=150,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(st.data())
def test_absurd_numbers_are_answered_or_refused_never_a_fault(client, data):
    asked = {
        "hold": data.draw(st.sampled_from(("inner", "outer"))),
        "size": {word: data.draw(number) for word in ("width", "height", "depth")},
        "panels": {name: {"thickness": data.draw(number), "density": data.draw(number)} for name in PANELS},
        "edges": plain(data.draw(st.sampled_from((all_butt(), rabbeted(0.009, 0.004), all_mitred())))),
        "braces": [
            {"name": f"b{n}", "kind": kind, "at": data.draw(number), "thickness": data.draw(number),
             "density": 700, "seals": data.draw(st.booleans()), "depth": data.draw(number),
             "window": {"width": data.draw(number), "height": data.draw(number), "radius": data.draw(number)}}
            for n, kind in enumerate(data.draw(st.lists(st.sampled_from(("shelf", "rib")), max_size=2)))
        ],
        "displaced": [{"name": "x", "volume": data.draw(number), "mass": data.draw(number)}],
    }  # fmt: skip
    answer = client.post("/api/cabinet", json=asked)
    assert answer.status_code in (200, 422), answer.text
    if answer.status_code == 200:
        assert answer.json()["ledger"]["net"] > 0
    else:
        assert answer.json()["errors"]


def test_a_leaning_front_takes_its_triangle_from_the_air_and_bevels_its_ends(client, asked):
    """Derived: h tan(a) / 2 off the depth; 400 mm at 6 degrees is 21.02 mm."""
    answer = post(client, asked | {"slope": 6.0})
    size = WORKED["inner"]
    lost = size["width"] * size["height"] * 0.0210208
    gross = size["width"] * size["height"] * size["depth"] - lost
    assert_allclose(answer["ledger"]["gross"], gross, rtol=1e-6)
    front = answer["panels"][0]
    assert_allclose(list(front["bevels"].values()), (6.0, 6.0))
    assert list(answer["panels"][2]["tapers"]) == ["front-left"]


def test_a_lean_without_depth_at_the_top_is_refused_at_the_slope(client, asked):
    asked["size"]["height"] = 1.0
    assert set(refused(client, asked | {"slope": 20.0})) == {"slope"}


def skin(**change):
    return {"name": "veneer", "panel": "front", "thickness": 0.004, "density": 700} | change


def test_a_skin_grows_the_finished_size_and_a_lining_takes_air(client, asked):
    plain_answer = post(client, asked)
    lining = skin(name="felt", panel="back", place="inside", thickness=0.01)
    answer = post(client, asked | {"layers": [skin(), lining]})
    assert answer["outer"] == plain_answer["outer"] and answer["inner"] == plain_answer["inner"]
    assert_allclose(answer["finished"]["depth"], answer["outer"]["depth"] + 0.004, atol=1e-12)
    size = WORKED["inner"]
    (taken,) = answer["ledger"]["displaced"]
    assert taken["name"] == "felt"
    assert_allclose(taken["volume"], 0.01 * size["width"] * size["height"], rtol=1e-12)
    assert_allclose(answer["mass"] - plain_answer["mass"], sum(each["mass"] for each in answer["layers"]))
    held = post(client, asked | {"hold": "outer", "size": answer["finished"], "layers": [skin()]})
    assert_allclose(list(held["inner"].values()), list(size.values()), atol=1e-12)


def test_a_rounding_takes_weight_and_a_lid_gives_room_to_its_gasket(client, asked):
    whole = post(client, asked)
    cut = post(client, asked | {"rounding": {"size": 0.01}})
    arc = 2 * (1 - 0.7853981634) * 0.01**2 * WORKED["outer"]["height"]
    assert_allclose(whole["mass"] - cut["mass"], arc * 750, rtol=1e-6)
    lidded = post(client, asked | {"lid": {"panel": "front"}})
    wood = sum(panel["volume"] for panel in lidded["panels"])
    outer = WORKED["outer"]["width"] * WORKED["outer"]["height"] * WORKED["outer"]["depth"]
    filled = wood + lidded["gasket"]["volume"] + lidded["gasket"]["play"] + lidded["ledger"]["gross"]
    assert_allclose(filled, outer, rtol=0, atol=1e-12)
    assert whole["gasket"] is None


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"layers": [skin(place="inside", thickness=0.4)]}, "layers.0.thickness"),
        ({"layers": [skin(), skin()]}, "layers.1.name"),
        ({"layers": [skin(place="through")]}, "layers.0.place"),
        ({"rounding": {"size": 0.08}}, "rounding.size"),
        ({"rounding": {"size": 0.01, "along": "nowhere"}}, "rounding.along"),
        ({"lid": {"panel": "back", "play": 0.0095}}, "lid.play"),
        ({"lid": {"panel": "left"}}, "lid.panel"),
    ],
)
def test_layers_edges_and_lids_that_cannot_be_are_refused_at_their_field(client, asked, more, field):
    assert field in refused(client, asked | more)
