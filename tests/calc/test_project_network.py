"""A crossover of the document: what is refused, and parts put in and taken out."""

import numpy as np
import pytest

from calc.errors import InputError
from calc.evaluate import evaluate
from calc.evaluate_network import F, assembled, lacking, network
from calc.evaluate_wiring import before_power
from calc.network.solve import solve
from calc.project_network import Crossover, NetworkPart, added, removed, without_driver
from server.beginnings import demo
from server.documents import FieldErrors, amend, read_project

PARTS = {
    "L1": {"kind": "coil", "start": "in", "end": "a", "inductance": 1e-3, "Rdc": 0.3},
    "C1": {"kind": "capacitor", "start": "a", "end": "0", "capacitance": 10e-6},
    "woofer": {"kind": "driver", "start": "a", "end": "0", "driver": "woofer"},
}


def project(parts, **more):
    return read_project(amend(demo("reading_room"), {"network": {"parts": parts, **more}}))


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"L1.inductance": None}, "network.parts.L1.inductance"),
        ({"L1.inductance": -1e-3}, "network.parts.L1.inductance"),
        ({"L1.Rdc": -0.1}, "network.parts.L1.Rdc"),
        ({"C1.capacitance": 20.0}, "network.parts.C1.capacitance"),
        ({"C1.start": "0"}, "network.parts.C1.start"),
        ({"L1.end": "nowhere"}, "network.parts"),
        ({"woofer.driver": "nobody"}, "network.parts.woofer.driver"),
        ({"woofer.driver": None}, "network.parts.woofer.driver"),
    ],
)
def test_what_is_no_network_is_refused_at_its_part(change, field):
    with pytest.raises(FieldErrors) as refused:
        project(amend(PARTS, change))
    assert any(place.startswith(field) for place in refused.value.by_field), refused.value.by_field


def test_a_network_without_a_driver_and_a_reading_below_zero_are_refused():
    coil = {"R1": NetworkPart("resistor", "in", "0", resistance=8.0)}
    with pytest.raises(InputError, match="needs a driver"):
        Crossover(coil)
    with pytest.raises(FieldErrors):
        project(PARTS, reading=-1.0)


@pytest.mark.parametrize("how", ["before", "after", "across"])
@pytest.mark.parametrize("kind", ["resistor", "coil", "capacitor"])
@pytest.mark.parametrize("beside", PARTS)
def test_a_part_put_in_and_taken_out_leaves_what_was(beside, kind, how):
    more = added(PARTS, beside, kind, how)
    (new,) = set(more) - set(PARTS)
    assert set(project(more).network.parts) == {*PARTS, new}
    was, back = (
        solve(assembled(made, evaluate(made)), F).Z for made in (project(PARTS), project(removed(more, new)))
    )
    np.testing.assert_allclose(back, was, rtol=1e-12)


def test_parts_that_are_not_there_are_neither_added_to_nor_taken_out():
    for beside, kind, how in (("L9", "coil", "before"), ("L1", "magnet", "before"), ("L1", "coil", "behind")):
        with pytest.raises(InputError):
            added(PARTS, beside, kind, how)
    with pytest.raises(InputError):
        removed(PARTS, "L9")


def test_a_resistor_before_the_driver_divides_its_voltage():
    """The driver gets Z / (Z + R) of what is before it (Ohm's law, derived)."""
    parts = {"woofer": {**PARTS["woofer"], "start": "in"}}
    bare, more = project(parts), project(added(parts, "woofer", "resistor", "before"))
    Z = network(bare, evaluate(bare)).Z
    found = network(more, evaluate(more))
    np.testing.assert_allclose(found.transfer["woofer"], Z / (Z + 4.7), rtol=1e-12)
    assert before_power(more, evaluate(more)).healthy == pytest.approx(5.6 + 4.7)


def test_the_driver_of_the_box_has_the_impedance_of_the_box():
    made = project({"woofer": {**PARTS["woofer"], "start": "in"}})
    result = evaluate(made)
    bare = result.box.circuit.response(F)
    np.testing.assert_allclose(abs(network(made, result).Z), bare.Z, rtol=1e-9)


def test_what_a_driver_lacks_is_named():
    document = amend(demo("reading_room"), {"drivers.dome.fs": None, "network": {"parts": PARTS}})
    dome = {"dome": {"kind": "driver", "start": "in", "end": "0", "driver": "dome"}}
    made = read_project(amend(document, {"network.parts": {**PARTS, **dome}}))
    assert lacking(made, evaluate(made)) == {"dome": ("fs",)}


def test_after_the_driver_it_divides_as_before_it():
    """Two in series are two in series, whichever comes first (Ohm's law, derived)."""
    parts = {"woofer": {**PARTS["woofer"], "start": "in"}}
    before, after = (project(added(parts, "woofer", "coil", how)) for how in ("before", "after"))
    assert after.network.parts["woofer"].start == "in" and after.network.parts["L1"].end == "0"
    found = [network(each, evaluate(each)) for each in (before, after)]
    np.testing.assert_allclose(found[0].Z, found[1].Z, rtol=1e-12)


def test_a_driver_takes_the_way_that_led_to_it_alone():
    """The tweeter's parts go with it; of two on one way only the one goes."""
    own = {
        **PARTS,
        "C9": {"kind": "capacitor", "start": "in", "end": "t", "capacitance": 5e-6},
        "L9": {"kind": "coil", "start": "t", "end": "0", "inductance": 3e-4},
        "dome": {"kind": "driver", "start": "0", "end": "t", "driver": "dome"},
    }
    assert without_driver(own, "dome") == PARTS
    joint = PARTS["woofer"]["start"]
    beside = {**PARTS, "dome": {"kind": "driver", "start": joint, "end": "0", "driver": "dome"}}
    assert without_driver(beside, "dome") == PARTS
    assert not any(each.get("driver") for each in without_driver(PARTS, "woofer").values())
