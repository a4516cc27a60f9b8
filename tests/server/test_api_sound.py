"""POST /api/box-response and /api/port-length: the answers, every refusal at its field, never a fault."""

import json
import math
from copy import deepcopy

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calc.sound import air
from calc.sound.band_pass import double_band_pass
from calc.sound.closed_box import closed_box
from calc.sound.driver import constants
from calc.sound.ranges import LIMITS, MAY_BE_ZERO
from calc.sound.several_drivers import group
from calc.sound.vented_box import vented_box

BOX, PORT = "/api/box-response", "/api/port-length"
DRIVER = {"fs": 36.0, "Qms": 4.5, "Qes": 0.4, "Vas": 0.032, "Sd": 0.0133, "Re": 5.7}
COIL = {"Le": 0.45e-3, "Le2": 1.5e-3, "Re2": 8.0}
AIR = {"rho": 1.204, "c": 343.2}
F = [40.0, 12.5, 400.0, 63.0]
CLOSED = {"kind": "closed", "Vb": 0.018}
VENTED = {"kind": "vented", "Vb": 0.022, "fb": 40.0, "QL": 10.0, "QA": 60.0, "QP": 90.0,
          "port": {"count": 2, "area": 0.002}}  # fmt: skip
RADIATOR = {
    "kind": "passive_radiator",
    "Vb": 0.016,
    "QL": 15.0,
    "radiator": {"count": 1, "Sp": 0.0133, "Cmp": 1.5e-3, "Mmp": 0.0320867082, "Rmp": 0.578131943},
}
BAND_PASS = {"kind": "band_pass", "Vr": 0.015, "Vf": 0.02, "fb": 60.0, "QL": 10.0,
             "port": {"count": 1, "area": 0.004}}  # fmt: skip
DOUBLE = {"kind": "double_band_pass", "Vr": 0.03, "fr": 32.0, "Vf": 0.015, "ff": 80.0,
          "QLr": 12.0, "QPr": 50.0, "QLf": 20.0, "QPf": 70.0,
          "rear_port": {"count": 2, "area": 0.002}, "front_port": {"count": 1, "area": 0.003}}  # fmt: skip
ROUND = {"Vb": 0.022, "fb": 40, "count": 1, "shape": {"kind": "round", "diameter": 0.07}, "air": AIR}
SLOT = {
    "Vb": 0.09,
    "fb": 26,
    "count": 1,
    "shape": {"kind": "slot", "width": 0.3, "height": 0.035},
    "air": AIR,
}


def asked(**more):
    return deepcopy({"driver": DRIVER, "box": CLOSED, "f": F, "air": AIR} | more)


def answer(client, address, question):
    reply = client.post(address, json=question)
    assert reply.status_code == 200, reply.text
    return reply.json()


def errors(client, address, question):
    """The refusal of a question, which may be text that only looks like JSON."""
    text = question if isinstance(question, str) else json.dumps(question)
    reply = client.post(address, content=text, headers={"Content-Type": "application/json"})
    assert reply.status_code == 422, (reply.status_code, reply.text)
    body = reply.json()
    assert body.keys() == {"errors"}
    assert all(isinstance(sentence, str) and sentence for sentence in body["errors"].values())
    return body["errors"]


# --- answers ---


def test_a_closed_box(client):
    """The figures of the sealed box of the circuit simulator, tests/data, at 40, 12.5, 400 and 63 Hz."""
    found = answer(client, BOX, asked(driver=DRIVER | {"Le": 0.45e-3}))
    assert found["f"] == F
    assert_allclose(found["level"], [80.401, 61.856, 89.404, 85.415], atol=1e-3)
    assert_allclose(found["cone"], [1.8401e-3, 2.2278e-3, 0.051877e-3, 1.3212e-3], rtol=1e-4)
    assert_allclose(found["Z"], [12.4761, 6.0583, 5.72968, 56.3435], rtol=1e-5)
    assert_allclose(found["Z_phase"], [54.185, 18.236, -1.805, -32.637], atol=1e-3)
    assert found["port_speed"] is found["radiator"] is None


def test_a_vented_box(client):
    """Likewise; the port's area there is 0.00384845 m², and two of half of it are the same."""
    box = VENTED | {"port": {"count": 2, "area": 0.0038484510006474974 / 2}}
    found = answer(client, BOX, asked(driver=DRIVER | {"Le": 0.45e-3}, box=box))
    assert_allclose(found["level"], [85.78, 49.951, 89.449, 89.121], atol=1e-3)
    assert_allclose(found["port_speed"], [2.9688, 1.5715, 0.0045919, 1.1166], rtol=1e-4)
    without = answer(client, BOX, asked(box={key: VENTED[key] for key in ("kind", "Vb", "fb")}))
    assert without["port_speed"] is None


def test_passive_radiators(client):
    found = answer(client, BOX, asked(driver=DRIVER | {"Le": 0.45e-3}, box=RADIATOR))
    assert_allclose(found["level"], [82.671, 53.633, 89.488, 88.472], atol=1e-3)
    assert_allclose(found["radiator"], [2.7389e-3, 2.8779e-3, 4.0649e-7, 0.67444e-3], rtol=3e-4)
    assert found["port_speed"] is None


def test_a_band_pass_is_heard_by_its_port(client):
    found = answer(client, BOX, asked(box=BAND_PASS | {"QL": None}))
    heard = 20 * np.log10(1.204 * np.array(F) * np.array(found["port_speed"]) * 0.004 / math.sqrt(2) / 2e-5)
    assert_allclose(found["level"], heard, atol=1e-9)


def test_a_driver_between_two_vented_chambers(client):
    """Every one of its fields reaches the computation, and the rear port's air is told beside the front's."""
    found = answer(client, BOX, asked(box=DOUBLE, source={"V": 9.0, "Rs": 0.4, "capacitor": 470e-6}))
    one = constants(**DRIVER, **AIR)
    wanted = double_band_pass(
        F, one, 0.03, 32.0, 0.015, 80.0, 343.2, 1.204, 9.0, 0.4, 12.0, 50.0, 20.0, 70.0, 0.004, 0.003,
        capacitor=470e-6,
    )  # fmt: skip
    for key in ("level", "phase", "group_delay", "cone", "Z", "Z_phase", "port_speed", "rear_port_speed"):
        assert_allclose(found[key], getattr(wanted, key), rtol=1e-12, err_msg=key)
    without = {key: value for key, value in DOUBLE.items() if "port" not in key}
    assert "rear_port_speed" not in answer(client, BOX, asked(box=without))
    assert "rear_port_speed" not in answer(client, BOX, asked(box=VENTED))


def test_a_coil_with_eddy_currents_and_a_capacitor_before_the_box(client):
    """At the tuning of a box without losses the cone stands still: Z = Re + K (j w)^n, by hand."""
    sheet = DRIVER | {"K": 0.02, "n": 0.65}
    box = {"kind": "vented", "Vb": 0.022, "fb": 40.0}
    bare = answer(client, BOX, asked(driver=sheet, box=box))
    Z = 5.7 + 0.02 * (2j * math.pi * 40.0) ** 0.65
    assert_allclose([bare["Z"][0], bare["Z_phase"][0]], [abs(Z), np.degrees(np.angle(Z))], rtol=1e-9)
    behind = answer(client, BOX, asked(driver=sheet, box=box, source={"capacitor": 300e-6}))
    share = Z / (Z + 1 / (2j * math.pi * 40.0 * 300e-6))
    assert_allclose(behind["level"][0] - bare["level"][0], 20 * np.log10(abs(share)), atol=1e-9)
    assert_allclose(behind["Z"], bare["Z"], rtol=1e-12)
    beside = answer(client, BOX, asked(driver=sheet | COIL, box=box))
    assert beside["Z"][2] > bare["Z"][2], "both kinds of inductance may stand in series"


@pytest.mark.parametrize(
    "box", [CLOSED | {"QL": 12.0, "QA": 30.0, "fq": 55.0}, VENTED], ids=["closed", "vented"]
)
def test_every_field_reaches_the_computation(client, box):
    """Several drivers, both inductances, a source with resistance, another distance: as calc has it."""
    question = asked(
        driver=DRIVER | COIL,
        box=box,
        count=4,
        wiring="series_parallel",
        source={"V": 11.0, "Rs": 0.7},
        distance=2.5,
    )
    found = answer(client, BOX, question)
    four = group(constants(**DRIVER, **COIL, **AIR), 4, "series_parallel")
    rest = {key: value for key, value in box.items() if key not in ("kind", "port")}
    common = {"V": 11.0, "Rs": 0.7, "distance": 2.5, **AIR}
    if box["kind"] == "closed":
        wanted = closed_box(F, four, **rest, **common)
    else:
        wanted = vented_box(F, four, **rest, port_area=0.004, **common)
    for key in ("level", "phase", "group_delay", "cone", "Z", "Z_phase"):
        assert_allclose(found[key], getattr(wanted, key), rtol=1e-12, err_msg=key)
    if box["kind"] == "vented":
        assert_allclose(found["port_speed"], wanted.port_speed, rtol=1e-12)


def test_air_is_given_or_follows_the_weather(client):
    def level(**air):
        return answer(client, BOX, asked(**air))["level"]

    usual = {"rho": air.density(293.15, 101325.0, 0.5), "c": air.speed_of_sound(293.15, 101325.0, 0.5)}
    question = asked()
    del question["air"]
    assert answer(client, BOX, question)["level"] == level(air=usual) == level(air={})
    assert level(air={"T": 293.15, "p": 101325, "humidity": 0.5}) == level(air=usual)
    assert level(air={"p": 90000.0}) != level(air=usual)


def test_port_lengths(client):
    found = answer(client, PORT, ROUND)
    assert_allclose([found["length"], found["effective_length"]], [0.275971, 0.326196], rtol=1e-5)
    assert_allclose(found["pipe_resonance"], 526.065, rtol=1e-5)
    assert_allclose(found["end_corrections"], [0.8217 * 0.035, 0.6133 * 0.035], rtol=1e-12)
    assert_allclose(answer(client, PORT, ROUND | {"count": 2})["length"], 0.602166, rtol=1e-5)
    both = answer(client, PORT, SLOT | {"ends": ["flanged", "flanged"]})
    assert_allclose(both["length"], 0.439604, rtol=1e-5)
    walled = answer(client, PORT, SLOT | {"shape": SLOT["shape"] | {"along_wall": True}})
    assert walled["length"] < answer(client, PORT, SLOT)["length"] < 0.514914


def test_whole_numbers_are_numbers(client):
    assert answer(client, BOX, asked(distance=1, f=[40, 63], source={"V": 3}))["f"] == [40, 63]


def test_the_interface_describes_itself(client):
    paths = client.get("/openapi.json").json()["paths"]
    for address in (BOX, PORT):
        assert {"200", "422"} <= paths[address]["post"]["responses"].keys()


# --- refusals ---


def put(question, path, value):
    *way, last = path.split(".")
    here = question
    for step in way:
        here = here.setdefault(step, {})
    here[last] = value
    return question


NUMBERS = [
    *[(asked(driver=DRIVER | COIL, box=VENTED), path) for path in (
        "driver.fs", "driver.Qms", "driver.Qes", "driver.Vas", "driver.Sd", "driver.Re",
        "driver.Le2", "driver.Re2", "driver.Xmax", "driver.Pe",
        "box.Vb", "box.fb", "box.QL", "box.QA", "box.QP", "box.port.area",
        "box.port.count", "source.V", "distance", "air.rho", "air.c", "count",
    )],
    *[(asked(box=RADIATOR), f"box.radiator.{symbol}") for symbol in ("count", "Sp", "Cmp", "Mmp", "Rmp")],
    *[(asked(box=BAND_PASS), f"box.{symbol}") for symbol in ("Vr", "Vf", "fb", "QL", "QP")],
    *[(asked(box=DOUBLE), f"box.{symbol}") for symbol in (
        "Vr", "fr", "Vf", "ff", "QLr", "QPr", "QLf", "QPf", "rear_port.area", "front_port.count",
    )],
    *[(asked(driver=DRIVER | {"K": 0.02, "n": 0.65}), f"driver.{symbol}") for symbol in ("K", "n")],
    (asked(), "source.capacitor"),
    (asked(), "box.fq"),
]  # fmt: skip


@pytest.mark.parametrize(
    "value", [0, -1, "0.02", True, [1], 1e-300, 1e300, float("nan"), float("inf")], ids=repr
)
def test_a_number_that_cannot_be_is_refused_at_its_field(client, value):
    for question, path in NUMBERS:
        assert errors(client, BOX, put(deepcopy(question), path, value)).keys() == {path}, (path, value)
    for path in ("Vb", "fb", "count", "shape.diameter"):
        assert errors(client, PORT, put(deepcopy(ROUND), path, value)).keys() == {path}
    for path in ("shape.width", "shape.height"):
        assert errors(client, PORT, put(deepcopy(SLOT), path, value)).keys() == {path}


def test_a_negative_volume_is_refused_as_promised(client):
    assert errors(client, BOX, asked(box=CLOSED | {"Vb": -1})) == {"box.Vb": "must be a number above zero"}


@pytest.mark.parametrize("path", ["driver.Le", "source.Rs"])
def test_resistance_and_inductance_may_be_nothing_but_not_less(client, path):
    answer(client, BOX, put(asked(), path, 0))
    for value in (-1e-9, 1e300, "0", float("nan")):
        assert errors(client, BOX, put(asked(), path, value)).keys() == {path}


def test_all_bad_fields_are_named_at_once(client):
    question = {
        "air": {"rho": -1.0, "T": 293.15},
        "driver": {"fs": 0, "Qms": "4", "Vas": 0.03, "Sd": 0.01, "Re": 1e300, "Le2": 1e-3, "Fs": 36},
        "count": 3,
        "wiring": "series_parallel",
        "box": {"kind": "vented", "Vb": -1, "port": {"count": 0}},
        "source": {"Rs": -1},
        "f": [20, 0, -1],
        "Q": 1,
    }
    assert errors(client, BOX, question).keys() == {
        "air.rho", "air.c", "air.T", "driver.fs", "driver.Qms", "driver.Qes", "driver.Re", "driver.Re2",
        "driver.Fs", "count", "box.Vb", "box.fb", "box.port.count", "box.port.area",
        "source.Rs", "f.1", "f.2", "Q",
    }  # fmt: skip
    question = {
        "Vb": 0,
        "shape": {"kind": "slot", "width": 0.1, "diameter": 0.1},
        "ends": ["free"],
        "fb": None,
    }
    assert errors(client, PORT, question).keys() == {
        "Vb", "fb", "count", "shape.height", "shape.diameter", "ends",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"f": []}, "f"), ({"f": [20.0] * 20001}, "f"), ({"f": 20.0}, "f"), ({"f": [20.0, None]}, "f.1"),
        ({"box": {}}, "box.kind"), ({"box": {"kind": "open", "Vb": 1}}, "box.kind"), ({"box": 3}, "box"),
        ({"wiring": "star"}, "wiring"), ({"count": 1.5}, "count"),
        ({"count": 3, "wiring": "series_parallel"}, "count"), ({"air": {"rho": 1.2}}, "air.c"),
        ({"air": {"T": 20.0}}, "air.T"), ({"air": {"humidity": 50.0}}, "air.humidity"),
        ({"driver": DRIVER | {"Re2": 4.0}}, "driver.Le2"), ({"driver": DRIVER | {"K": 0.02}}, "driver.n"),
        ({"driver": DRIVER | {"n": 0.7}}, "driver.K"),
        ({"driver": DRIVER | {"K": 0.02, "n": 0.4}}, "driver.n"),
        ({"box": DOUBLE | {"ff": 32.0}}, "box.fr"), ({"box": DOUBLE | {"port": None}}, "box.port"),
        ({"driver": None}, "driver"),
        ({"box": CLOSED | {"fb": 40.0}}, "box.fb"), ({"box": VENTED | {"fq": 40.0}}, "box.fq"),
    ],
)  # fmt: skip
def test_each_rule_is_refused_at_its_field(client, change, field):
    assert errors(client, BOX, asked(**change)).keys() == {field}


@pytest.mark.parametrize("text", ["", "{", "[]", "3", "null", '"f"', '{"f":[1e999]}'])
def test_what_is_no_question_is_refused(client, text):
    for address in (BOX, PORT):
        assert errors(client, address, text)


def test_a_port_shorter_than_nothing_is_refused_at_the_tuning(client):
    assert errors(client, PORT, ROUND | {"fb": 400.0}).keys() == {"fb"}
    assert errors(client, PORT, ROUND | {"ends": ["flared", "free"]}).keys() == {"ends.0"}
    assert errors(client, PORT, ROUND | {"shape": {"kind": "oval"}}).keys() == {"shape.kind"}


# --- anything that is accepted is answered with numbers ---


def sizes(symbol):
    """Any accepted size, its two ends among them."""
    low, high = LIMITS[symbol]
    ends = [low, high, *([0.0, 5e-324] if symbol in MAY_BE_ZERO else [])]
    return st.sampled_from(ends) | st.floats(math.log(low), math.log(high)).map(
        lambda x: min(max(math.exp(x), low), high)
    )


def some(*symbols):
    return {symbol: sizes(symbol) for symbol in symbols}


PORTS = st.none() | st.fixed_dictionaries({"count": st.integers(1, 1000)} | some("area"))
BOXES = st.one_of(
    st.fixed_dictionaries({"kind": st.just("closed")} | some("Vb"), optional=some("QL", "QA", "fq")),
    st.fixed_dictionaries(
        {"kind": st.just("vented")} | some("Vb", "fb"), optional=some("QL", "QA", "QP") | {"port": PORTS}
    ),
    st.fixed_dictionaries(
        {
            "kind": st.just("passive_radiator"),
            "radiator": st.fixed_dictionaries(
                {"count": st.integers(1, 1000)} | some("Sp", "Cmp", "Mmp", "Rmp")
            ),
        }
        | some("Vb"),
        optional=some("QL", "QA", "fq"),
    ),
    st.fixed_dictionaries(
        {"kind": st.just("band_pass")} | some("Vr", "Vf", "fb"), optional=some("QL", "QP") | {"port": PORTS}
    ),
    st.fixed_dictionaries(
        {"kind": st.just("double_band_pass")} | some("Vr", "fr", "Vf", "ff"),
        optional=some("QLr", "QPr", "QLf", "QPf") | {"rear_port": PORTS, "front_port": PORTS},
    ).filter(lambda box: abs(box["fr"] / box["ff"] - 1) > 2e-9),
)


SHEET = some("fs", "Qms", "Qes", "Vas", "Sd", "Re", "Le")
SHEETS = st.fixed_dictionaries(SHEET) | st.fixed_dictionaries(SHEET | some("K", "n"))


@settings(max_examples=300, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(
    st.fixed_dictionaries(
        {
            "driver": SHEETS,
            "box": BOXES,
            "f": st.lists(sizes("f"), min_size=1, max_size=5),
        },
        optional={
            "air": st.fixed_dictionaries(some("rho", "c")),
            "source": st.fixed_dictionaries(some("V", "Rs"), optional=some("capacitor")),
            "distance": sizes("distance"),
            "count": st.integers(1, 1000),
        },
    ),
    st.booleans(),
)
def test_no_accepted_box_is_without_an_answer(client, question, at_tuning):
    if at_tuning:
        tunings = [question["box"][symbol] for symbol in ("fb", "fr", "ff") if symbol in question["box"]]
        question["f"] += [min(max(tuning, LIMITS["f"][0]), LIMITS["f"][1]) for tuning in tunings]
    found = answer(client, BOX, question)
    for key, values in found.items():
        if values is not None:
            assert all(isinstance(value, float) and math.isfinite(value) for value in values), key


@settings(max_examples=100, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.fixed_dictionaries(
        {
            "count": st.integers(1, 1000),
            "shape": st.fixed_dictionaries({"kind": st.just("round")} | some("diameter"))
            | st.fixed_dictionaries(
                {"kind": st.just("slot"), "along_wall": st.booleans()} | some("width", "height")
            ),
            "ends": st.lists(st.sampled_from(["flanged", "free"]), min_size=2, max_size=2),
        }
        | some("Vb", "fb"),
        optional={"air": st.fixed_dictionaries(some("rho", "c"))},
    )
)
def test_no_accepted_port_is_without_an_answer(client, question):
    reply = client.post(PORT, json=question)
    if reply.status_code == 422:
        assert reply.json()["errors"].keys() == {"fb"}
    else:
        found = reply.json()
        assert reply.status_code == 200
        assert (
            found["length"] >= 0 and math.isfinite(found["length"]) and math.isfinite(found["pipe_resonance"])
        )
        assert_allclose(found["length"] + sum(found["end_corrections"]), found["effective_length"], rtol=1e-9)


def test_twenty_thousand_frequencies_are_answered(client):
    found = answer(client, BOX, asked(f=list(np.geomspace(5, 20e3, 20000))))
    assert len(found["level"]) == 20000
