"""POST /api/network: the answers, every refusal at its field, never a fault."""

import json
import math
import time
from copy import deepcopy
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

NETWORK = "/api/network"
TWO_WAY = next(
    check
    for check in json.loads((Path(__file__).parents[1] / "data" / "crossover.json").read_text())["checks"]
    if check["id"] == "two_way"
)
SHEET = {"Re": 5.6, "Le": 5e-5, "fs": 900.0, "Qms": 3.0, "Qes": 1.2}
QUESTION = {
    "parts": [
        {"name": "C1", "kind": "capacitor", "nodes": ["in", "t"], "value": 6.8e-6, "ESR": 0.08},
        {"name": "L1", "kind": "coil", "nodes": ["t", "0"], "value": 0.27e-3, "Rdc": 0.18},
        {"name": "R1", "kind": "resistor", "nodes": ["t", "u"], "value": 2.2},
        {"name": "tweeter", "kind": "driver", "nodes": ["u", "0"], "driver": "dome"},
    ],
    "drivers": {"dome": SHEET},
    "source": {"V": 2.83, "node": "in"},
    "f": [2000.0, 100.0, 20000.0],
}


def asked(**more):
    return deepcopy(QUESTION | more)


def with_part(i, **more):
    question = asked()
    question["parts"][i] |= more
    return question


def without_pad(nodes):
    """The driver at the filter itself, the resistor wherever it is said."""
    question = with_part(2, nodes=nodes)
    question["parts"][3]["nodes"] = ["t", "0"]
    return question


def answer(client, question):
    reply = client.post(NETWORK, json=question)
    assert reply.status_code == 200, reply.text
    return reply.json()


def errors(client, question):
    text = question if isinstance(question, str) else json.dumps(question)
    reply = client.post(NETWORK, content=text, headers={"Content-Type": "application/json"})
    assert reply.status_code == 422, (reply.status_code, reply.text)
    body = reply.json()
    assert body.keys() == {"errors"}
    assert all(isinstance(sentence, str) and sentence for sentence in body["errors"].values())
    return body["errors"]


# --- answers ---


def whole_two_way():
    """The invented two-way of tests/data with its drivers as measured there."""
    wanted = TWO_WAY["expected"]

    def table(name):
        Z = np.array(wanted[f"Z_of_{name}"]) @ [1, 1j]
        return {"f": wanted["f"], "Z": abs(Z).tolist(), "Z_phase": np.degrees(np.angle(Z)).tolist()}

    kinds = {"R": "resistor", "C": "capacitor", "L": "coil"}
    drivers_own = {"RET", "LET", "RMT", "CMT", "LMT", "REW", "LEW", "RMW", "CMW", "LMW"}
    parts = [
        {"name": name, "kind": kinds[name[0]], "nodes": [a, b], "value": value}
        for name, a, b, value in TWO_WAY["inputs"]["elements"]
        if name not in drivers_own
    ]
    parts += [
        {"name": "tweeter", "kind": "driver", "nodes": ["tw", "0"], "driver": "dome"},
        {"name": "woofer", "kind": "driver", "nodes": ["0", "wf"], "driver": "cone"},  # reversed
    ]
    drivers = {"dome": table("tweeter"), "cone": table("woofer")}
    return {"parts": parts, "drivers": drivers, "source": {"V": 2.83, "node": "in"}, "f": wanted["f"]}


def test_the_two_way_of_the_circuit_simulator(client):
    wanted, tolerance = TWO_WAY["expected"], TWO_WAY["tolerance"]
    found = answer(client, whole_two_way())
    assert found.keys() == {"Z", "Z_phase", "voltage", "power"}
    assert_allclose(found["Z"], wanted["Z"], rtol=tolerance["rel"])
    assert_allclose(found["Z_phase"], wanted["Z_phase"], atol=tolerance["phase"])
    for name, turn in (("tweeter", 0), ("woofer", 180)):
        voltage = found["voltage"][name]
        assert_allclose(voltage["level"], wanted[f"level_{name}"], atol=tolerance["abs_db"])
        off = np.array(voltage["phase"]) - wanted[f"phase_{name}"] + turn
        assert abs((off + 180) % 360 - 180).max() < tolerance["phase"]
    for name in ("RS", "RP", "RN", "RL2"):
        watts = np.array(wanted["power"][name])
        loud = watts > tolerance["least_watt"]
        assert_allclose(np.array(found["power"][name])[loud], watts[loud], rtol=tolerance["rel"])
    assert_allclose(np.sum([*found["power"].values()], axis=0), wanted["power_total"], rtol=tolerance["rel"])


def test_a_driver_by_its_sheet(client):
    """By hand at fs, where the driver is Re (1 + Qms/Qes) and Le: 5.6 x 3.5 = 19.6 ohm in series with 2.4."""
    parts = [
        {"name": "R", "kind": "resistor", "nodes": ["in", "t"], "value": 2.4},
        {"name": "D", "kind": "driver", "nodes": ["t", "0"], "driver": "dome"},
    ]
    sheet = {key: SHEET[key] for key in ("Re", "fs", "Qms", "Qes")}
    source = {"V": 24.0, "node": "in", "Rs": 2.0}
    found = answer(client, asked(parts=parts, drivers={"dome": sheet}, source=source, f=[900.0]))
    assert_allclose(found["Z"], [22.0], rtol=1e-12)  # without Rs
    assert_allclose(found["Z_phase"], [0.0], atol=1e-9)
    assert_allclose(found["voltage"]["D"]["level"], [20 * math.log10(19.6 / 24)], rtol=1e-9)
    assert_allclose(found["power"]["R"], [2.4], rtol=1e-12)  # one ampere
    assert_allclose(found["power"]["D"], [5.6], rtol=1e-12)
    without_drivers = {"parts": parts[:1] + [parts[0] | {"name": "S", "nodes": ["t", "0"]}], "f": [50]}
    plain = answer(client, without_drivers | {"source": {"node": "in"}})
    assert plain["voltage"] == {} and plain["Z"] == [4.8]
    assert_allclose(plain["power"]["S"], [1.415**2 / 2.4])


def test_a_coil_with_losses(client):
    """Le2 beside Re2 where both are equal: Re2 (1 + j)/2 more; by hand."""
    f = 8.0 / (2 * math.pi * 1e-3)
    sheet = {"Re": 5.6, "fs": 1.0, "Qms": 1e-3, "Qes": 1e4, "Le2": 1e-3, "Re2": 8.0}
    parts = [{"name": "D", "kind": "driver", "nodes": ["in", "0"], "driver": "d"}]
    found = answer(client, asked(parts=parts, drivers={"d": sheet}, f=[f]))
    assert_allclose(found["Z"], [abs(9.6 + 4j)], rtol=1e-6)


def test_a_balanced_bridge_has_no_level(client):
    parts = [
        {"name": f"R{i}", "kind": "resistor", "nodes": nodes, "value": 4.0}
        for i, nodes in enumerate([["in", "a"], ["a", "0"], ["in", "b"], ["b", "0"]])
    ]
    parts.append({"name": "D", "kind": "driver", "nodes": ["a", "b"], "driver": "dome"})
    found = answer(client, asked(parts=parts, f=[100.0]))
    (level,) = found["voltage"]["D"]["level"]
    assert level is None or level < -300  # nothing, but for the last digit
    assert_allclose(found["power"]["D"], [0.0], atol=1e-30)


def test_a_large_question_is_answered_soon(client):
    """Two hundred parts in a chain, 1,000 frequencies; a few seconds at most on a busy machine."""
    names = ["in", *(f"n{i}" for i in range(99))]
    parts = [
        {"name": f"L{i}", "kind": "coil", "nodes": [a, b], "value": 1e-4, "Rdc": 0.1}
        for i, (a, b) in enumerate(zip(names, names[1:], strict=False))
    ]
    parts += [{"name": f"C{b}", "kind": "capacitor", "nodes": [b, "0"], "value": 1e-6} for b in names[1:]]
    parts.append({"name": "R", "kind": "resistor", "nodes": [names[-1], "0"], "value": 10.0})
    start = time.perf_counter()
    found = answer(client, asked(parts=parts, f=np.geomspace(20, 20e3, 1000).tolist()))
    assert time.perf_counter() - start < 10
    # far below its end a ladder of L and C passes on the resistor, with the coils' 9.9 ohm in front
    assert_allclose(found["Z"][0], 19.9, rtol=0.01)


# --- refusals ---

TABLE = {"f": [20.0, 20e3], "Z": [6.0, 8.0], "Z_phase": [0.0, 40.0]}


@pytest.mark.parametrize(
    ("question", "field"),
    [
        (with_part(0, value=-1.0), "parts.0.value"),
        (with_part(0, value=0), "parts.0.value"),
        (with_part(1, value=1e9), "parts.1.value"),
        (with_part(2, value="2.2"), "parts.2.value"),
        (with_part(1, Rdc=-0.1), "parts.1.Rdc"),
        (with_part(0, Rdc=0.1), "parts.0.Rdc"),
        (with_part(2, ESR=0.1), "parts.2.ESR"),
        (with_part(3, value=8.0), "parts.3.value"),
        (with_part(3, driver="horn"), "parts.3.driver"),
        (with_part(2, kind="lamp"), "parts.2.kind"),
        (with_part(2, kind=["resistor"]), "parts.2.kind"),
        (with_part(2, kind=None), "parts.2.kind"),
        (asked(parts=[{"name": "R", "nodes": ["in", "0"], "value": 1.0}]), "parts.0.kind"),
        (asked(parts=[3]), "parts.0"),
        (asked(parts=[{"name": "D", "kind": "driver", "nodes": ["in", "0"]}]), "parts.0.driver"),
        (with_part(2, nodes=["t"]), "parts.2.nodes"),
        (with_part(2, nodes=["t", "u", "v"]), "parts.2.nodes"),
        (without_pad(["t", "t"]), "parts.2.nodes"),
        (without_pad(["x", "y"]), "parts.2.nodes"),
        (with_part(3, nodes=["u", "away"]), "parts.3.nodes"),
        (with_part(2, nodes=["t", ""]), "parts.2.nodes.1"),
        (with_part(2, name="C1"), "parts.2.name"),
        (with_part(2, colour="red"), "parts.2.colour"),
        (asked(parts=[]), "parts"),
        (asked(parts=QUESTION["parts"][:1]), "source.node"),
        (asked(source={"node": "0"}), "source.node"),
        (asked(source={"node": "away"}), "source.node"),
        (asked(source={}), "source.node"),
        (asked(source={"node": "in", "V": 0}), "source.V"),
        (asked(source={"node": "in", "Rs": -1}), "source.Rs"),
        (asked(drivers={}), "parts.3.driver"),
        (asked(drivers={"dome": SHEET | {"Qms": 0}}), "drivers.dome.Qms"),
        (asked(drivers={"dome": SHEET | {"Le2": 1e-3}}), "drivers.dome.Re2"),
        (asked(drivers={"dome": SHEET | {"Vas": 1e-3}}), "drivers.dome.Vas"),
        (asked(drivers={"dome": TABLE | {"Z": [6.0]}}), "drivers.dome.Z"),
        (asked(drivers={"dome": TABLE | {"Z_phase": [0, 91]}}), "drivers.dome.Z_phase.1"),
        (asked(drivers={"dome": TABLE | {"f": [20.0, 20.0]}}), "drivers.dome.f"),
        (asked(drivers={"dome": TABLE | {"Re": 5.0}}), "drivers.dome.Re"),
        (asked(drivers={"dome": TABLE}, f=[20.0, 20e3 + 1]), "f"),
        (asked(f=[]), "f"),
        (asked(f=[100.0, 0]), "f.1"),
        (asked(volume=11), "volume"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_what_cannot_be_is_refused_at_its_field(client, question, field):
    assert [*errors(client, question)] == [field]


def test_all_that_is_wrong_is_told_at_once(client):
    question = with_part(0, value=-1.0)
    question["parts"][3]["driver"] = "horn"
    question["parts"] += [
        {"name": "R1", "kind": "resistor", "nodes": ["p", "q"], "value": 8.0},
        {"name": "S", "kind": "coil", "nodes": ["t", "t"], "value": 1e-3, "Rdc": -1},
    ]
    question["source"]["V"] = -1
    assert errors(client, question).keys() == {
        "parts.0.value", "parts.3.driver", "parts.4.name", "parts.4.nodes", "parts.5.nodes", "parts.5.Rdc",
        "source.V",
    }  # fmt: skip


def test_refusals_name_the_node_and_the_part(client):
    told = errors(client, with_part(2, nodes=["x", "y"]))["parts.2.nodes"]
    assert "node x floats" in told
    told = errors(client, with_part(2, nodes=["t", "t"]))["parts.2.nodes"]
    assert "R1 is shorted" in told and "at t" in told
    told = errors(client, asked(drivers={"dome": TABLE}, f=[10.0]))["f"]
    assert "dome" in told


def test_a_resonance_without_any_loss_is_refused(client):
    value = 1 / (2 * math.pi * 1000)
    parts = QUESTION["parts"] + [
        {"name": "L", "kind": "coil", "nodes": ["in", "x"], "value": value},
        {"name": "C", "kind": "capacitor", "nodes": ["x", "0"], "value": value},
    ]
    assert "node x" in errors(client, asked(parts=parts, f=[1000.0]))["parts"]


@pytest.mark.parametrize("text", ["", "[]", "null", '{"parts": 1}', '{"parts": [1], "f": "x"}', "{"])
def test_rubbish_is_refused(client, text):
    assert errors(client, text)


def test_unreadable_text_is_refused(client):
    for name in ('"t"', '"in"', '"dome"', '"C1"'):
        assert errors(client, json.dumps(QUESTION).replace(name, '"\\ud800"'))
