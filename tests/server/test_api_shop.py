"""POST /api/sheet-layout: what it answers, and what it refuses."""

from copy import deepcopy

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

PATH = "/api/sheet-layout"


def tight(kerf):
    """Eleven pieces that fill a sheet at 3.2 without an offcut; derived by laying them in three rips."""
    return {
        "pieces": [
            {"name": "A", "length": 607.6, "width": 400.0, "count": 8, "grain": "any"},
            {"name": "B", "length": 811.2, "width": 413.6, "count": 3, "grain": "any"},
        ],
        "sheet": {"length": 2440, "width": 1220},
        "kerf": kerf,
    }


def post(client, asked):
    answer = client.post(PATH, json=asked)
    assert answer.status_code == 200, answer.text
    return answer.json()


@pytest.mark.parametrize(("kerf", "sheets"), [(3.1, 1), (3.2, 1), (3.3, 2)])
def test_a_tenth_more_kerf_takes_another_sheet(client, kerf, sheets):
    answer = post(client, tight(kerf))
    assert (answer["used"], answer["bound"], len(answer["sheets"])) == (sheets, sheets, sheets)
    assert sum(len(sheet["pieces"]) for sheet in answer["sheets"]) == 11


def test_pieces_and_cuts_as_described(client):
    asked = {
        "pieces": [{"name": "side", "length": 400, "width": 300, "count": 1, "grain": "width"}],
        "sheet": {"length": 1000, "width": 600, "trim": 10},
        "kerf": 3,
    }
    (sheet,) = post(client, asked)["sheets"]
    assert sheet["pieces"] == [
        {"name": "side", "x": 10, "y": 10, "length": 400, "width": 300, "turned": True}
    ]
    # 300 along x and 400 along y from the corner of the trim; the kerf lies beyond the cut.
    cuts = {(cut["axis"], cut["at"]) for cut in sheet["cuts"]}
    assert cuts == {("y", 310), ("x", 410)}
    for cut in sheet["cuts"]:
        assert set(cut) == {"axis", "at", "from", "to"} and cut["from"] == 10 and cut["to"] > 300


def test_an_order_of_the_cuts_may_be_asked_for(client):
    """400 x 603 beside two of 200 x 300 on a sheet of 603, kerf 3: only one cut can be the first. By hand."""
    asked = {
        "pieces": [
            {"name": "large", "length": 400, "width": 603, "count": 1, "grain": "length"},
            {"name": "small", "length": 200, "width": 300, "count": 2, "grain": "length"},
        ],
        "sheet": {"length": 603, "width": 603},
        "kerf": 3,
    }
    for order in ("any", "rip", "crosscut"):
        answer = post(client, asked | {"order": order})
        (sheet,) = answer["sheets"]
        cuts = [(cut["axis"], cut["at"], cut["from"], cut["to"]) for cut in sheet["cuts"]]
        assert cuts == [("y", 400, 0, 603), ("x", 300, 403, 603)], order
    # Twelve, three rows of four: three rips before any crosscut, or four crosscuts before any rip.
    asked["pieces"] = [{"name": "A", "length": 600, "width": 300, "count": 12, "grain": "length"}]
    asked["sheet"] = {"length": 2440, "width": 1000}
    for order, axes in (("rip", "xxx" + 12 * "y"), ("crosscut", "yyyy" + 12 * "x")):
        (sheet,) = post(client, asked | {"order": order})["sheets"]
        assert "".join(cut["axis"] for cut in sheet["cuts"]) == axes


def test_most_from_one_sheet(client):
    """Two large pieces for 5 each, or eight small ones for 1 each: 10 is more. By hand."""
    asked = {
        "pieces": [
            {"name": "small", "length": 50, "width": 50, "count": None, "grain": "any", "value": 1},
            {"name": "large", "length": 100, "width": 100, "count": 2, "grain": "any", "value": 5},
        ],
        "sheet": {"length": 200, "width": 100},
        "kerf": 0,
        "goal": "one sheet",
    }
    answer = post(client, asked)
    assert (answer["used"], answer["bound"]) == (10, 10)
    asked["pieces"][1]["count"] = 1
    assert post(client, asked)["used"] == 9
    del asked["pieces"][0]["value"], asked["pieces"][1]["value"]
    assert post(client, asked)["used"] == 20_000, "the area if no value is given"


@pytest.mark.parametrize(
    ("place", "value", "field"),
    [
        (("pieces", 1, "length"), 2441, "pieces.1.length"),
        (("pieces", 1, "length"), 0, "pieces.1.length"),
        (("pieces", 1, "length"), "long", "pieces.1.length"),
        (("pieces", 0, "count"), None, "pieces.0.count"),
        (("pieces", 0, "count"), 1.5, "pieces.0.count"),
        (("pieces", 0, "count"), -1, "pieces.0.count"),
        (("pieces", 0, "count"), 5000, "pieces"),
        (("pieces", 0, "grain"), "along", "pieces.0.grain"),
        (("pieces", 0, "colour"), "red", "pieces.0.colour"),
        (("sheet", "width"), -1, "sheet.width"),
        (("sheet", "trim"), 610, "sheet.trim"),
        (("kerf",), -0.1, "kerf"),
        (("kerf",), 1220, "kerf"),
        (("goal",), "most", "goal"),
        (("order",), "rips", "order"),
        (("yield",), 1, "yield"),
    ],
)
def test_a_bad_value_is_refused_at_its_field(client, place, value, field):
    asked = deepcopy(tight(3.2))
    *way, last = place
    part = asked
    for name in way:
        part = part[name]
    part[last] = value
    answer = client.post(PATH, json=asked)
    assert answer.status_code == 422, answer.text
    sentence = answer.json()["errors"][field]
    assert sentence[0].islower(), "goes on from the field's name"


number = st.floats(allow_nan=False, allow_infinity=False) | st.sampled_from(
    (0, 1, 1e-320, 1e308, -0.0, 0.0005, 3.2, 18, 300, 999.9, 2440)
)
grain = st.sampled_from(("length", "width", "any"))
count = st.sampled_from((None, 0, 1, 7, 400, 10**6))


@settings(max_examples=80, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_absurd_numbers_are_answered_or_refused_never_a_fault(client, data):
    draw = data.draw
    pieces = [
        {
            "name": "p",
            "length": draw(number),
            "width": draw(number),
            "count": draw(count),
            "grain": draw(grain),
        }
        | {"value": draw(st.none() | number)}
        for _ in range(draw(st.integers(0, 3)))
    ]
    sheet = {"length": draw(number), "width": draw(number), "trim": draw(number | st.just(0))}
    goal = draw(st.sampled_from(("all", "one sheet")))
    asked = {"pieces": pieces, "sheet": sheet, "kerf": draw(number), "goal": goal}
    asked["order"] = draw(st.sampled_from(("any", "rip", "crosscut")))
    answer = client.post(PATH, json=asked)
    assert answer.status_code in (200, 422), answer.text
    if answer.status_code == 200:
        used, bound = answer.json()["used"], answer.json()["bound"]
        assert 0 <= bound <= used if goal == "all" else 0 <= used <= bound
    else:
        assert answer.json()["errors"]
