"""A part against what it is made for: worked by hand on a resistor alone at the terminals."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.errors import InputError
from calc.evaluate import evaluate
from calc.evaluate_network import network, strains
from calc.network.load import Burden
from calc.network.rating import heat, volts
from calc.project_network import NetworkPart
from server.beginnings import demo
from server.documents import amend, read_project

LONE = {"kind": "resistor", "start": "in", "end": "0", "resistance": 10.0}


def solved(rated=None, count=1, **more):
    dome = {"kind": "driver", "start": "in", "end": "0", "driver": "dome"}
    edits = {
        "network": {"parts": {"R1": {**LONE, "rated_power": rated}, "dome": dome, **more}},
        "alternatives.B.amplifier": 20.0,
        "alternatives.B.crest": 4.0,
        "alternatives.B.count": count,
    }
    project = read_project(amend(demo("reading_room"), edits))
    return project, network(project, evaluate(project))


@pytest.mark.parametrize(
    ("rated", "verdict"), [(41.0, "holds"), (39.0, "holds music"), (6.0, "holds music"), (4.0, "too small")]
)
def test_a_resistor_by_hand(rated, verdict):
    """20 V rms across 10 ohm are 40 W. Noise of crest 4 is softer by sqrt(2) / 4: 40 / 8 = 5 W (derived)."""
    strain = strains(*solved(rated))["R1"]
    assert strain.tone == pytest.approx(40 / rated) and strain.noise == pytest.approx(5 / rated, rel=1e-6)
    assert strain.verdict == verdict


def test_a_capacitor_by_hand():
    """Across the terminals it sees all of 20 V rms: 28.3 V peak, and 7.07 V rms of the noise (derived)."""
    cap = {"kind": "capacitor", "start": "in", "end": "0", "capacitance": 1e-6, "rated_voltage": 25.0}
    strain = strains(*solved(C1=cap))["C1"]
    assert strain.tone == pytest.approx(20 * 2**0.5 / 25) and strain.noise == pytest.approx(
        20 / 8**0.5 / 25, rel=1e-6
    )
    assert strain.verdict == "holds music"


def test_a_group_bears_what_all_of_it_bears():
    """Two woofers share the heat: twice the rating of one; one that stands alone has its own."""
    woofer = {"kind": "driver", "start": "in", "end": "0", "driver": "woofer"}
    one, both = (strains(*solved(count=count, woofer=woofer))["woofer"].rated for count in (1, 2))
    assert both == 2 * one == 120.0
    assert strains(*solved(count=2, woofer={**woofer, "alone": True}))["woofer"].rated == 60.0


def test_what_nobody_rated_is_not_judged():
    assert set(strains(*solved())) == {"dome"}


@given(st.floats(0.1, 200), st.floats(0.0, 1.0), st.floats(0.1, 100))
def test_more_rating_is_never_worse(tone, share, rated):
    order = ("too small", "holds music", "holds")
    each = Burden(tone, 1e3, share * tone, tone, share * tone)
    for judge in (heat, volts):
        assert order.index(judge(each, rated).verdict) <= order.index(judge(each, 1.1 * rated).verdict)


@pytest.mark.parametrize("field", ["rated_power", "rated_voltage"])
def test_no_rating_is_nothing(field):
    with pytest.raises(InputError) as refusal:
        NetworkPart("resistor", "in", "0", resistance=5.0, **{field: 0.0})
    assert refusal.value.field == field
