"""What covers a cabinet: seats under skins, the grille, and the speaker that is played before it is finished.

Every expected number is derived from the demo pair, 216.6 × 400.6 × 286.6 mm outside, of 18.3 mm sheet, with
a flange of 5.5 mm and one of 5 mm with their gaskets.
"""

from dataclasses import replace
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.cabinet.grille import FOLD, grille_parts
from calc.cabinet.seating import seating
from calc.errors import InputError
from calc.evaluate import evaluate
from calc.evaluate_faces import bare_stage, faces
from calc.project_cabinet import Grille, Layer, Ring
from server.beginnings import demo
from server.documents import amend, read_project

PLAIN = amend(
    demo("reading_room"),
    {"workshop.sheets.thin": {"name": "birch ply", "thickness": 0.003, "density": 680.0}},
)
PROJECT = read_project(PLAIN)
RESULT = evaluate(PROJECT)
SKIN = Layer("front", "thin")


def with_cabinet(**changes):
    return replace(PROJECT, cabinet=replace(PROJECT.cabinet, **changes))


# --- Seats


@pytest.mark.parametrize(
    ("cover", "ring", "recess", "wanted", "proud"),
    [
        (0.0, 0.0, 0.0055, 0.0, 0.0),
        (0.003, 0.0, 0.0025, 0.0, 0.0),
        (0.009, 0.0, 0.0, 0.0035, -0.0035),
        (0.009, 0.0035, 0.0, 0.0035, 0.0),
        (0.009, 0.005, 0.0015, 0.0035, 0.0),
        (0.009, 0.002, 0.0, 0.0035, -0.0015),
    ],
)
def test_a_flange_under_skins(cover, ring, recess, wanted, proud):
    """A flange and gasket of 5.5: what they and the ring are thicker than the cover is routed out."""
    each = seating(0.004, 0.0015, cover, 0.018, ring)
    assert each.recess == pytest.approx(recess)
    assert each.wanted == pytest.approx(wanted)
    assert each.proud == pytest.approx(proud)
    assert each.below == pytest.approx(0.018 - recess)


@given(st.floats(0.001, 0.01), st.floats(0, 0.003), st.floats(0, 0.02), st.floats(0, 0.02))
def test_the_stack_closes(flange, gasket, cover, ring):
    """Recess and cover hold flange, gasket and ring, and what is proud: no wood is lost or made."""
    each = seating(flange, gasket, cover, 0.05, ring)
    assert each.recess + cover + each.proud == pytest.approx(flange + gasket + ring, abs=1e-15)
    assert each.proud <= 1e-15
    again = seating(flange, gasket, cover, 0.05, each.wanted)
    assert again.proud == pytest.approx(0.0, abs=1e-15)


def test_the_router_is_set_as_the_seat_says():
    for made in (
        with_cabinet(layers={"face": SKIN}),
        with_cabinet(layers={"face": SKIN}, finish=0.0005),
        with_cabinet(
            layers={"face": replace(SKIN, sheet="ply")},
            seats={k: replace(s, ring=Ring("ply")) for k, s in PROJECT.cabinet.seats.items()},
        ),
    ):
        result = evaluate(made)
        for name, each in faces(made, result).seatings.items():
            assert result.seats[name].recess_depth == pytest.approx(each.recess)


def test_a_skin_thicker_than_the_flange_asks_for_a_ring_and_is_no_refusal():
    made = with_cabinet(layers={"face": replace(SKIN, sheet="ply")})
    each = faces(made, evaluate(made)).seatings["woofer"]
    frame = PROJECT.drivers["woofer"].frame
    assert each.proud == pytest.approx(frame.flange_thickness + frame.gasket - 0.0183)
    assert each.wanted == -each.proud


# --- Played bare


def test_before_the_skin_is_on_the_channel_is_shorter_by_it():
    made = with_cabinet(layers={"back skin": Layer("back", "thin", later=True)})
    result = evaluate(made)
    bare, leads = bare_stage(made, result)
    assert leads is None
    now = evaluate(bare)
    assert now.built.port.length == pytest.approx(result.built.port.length - 0.003)
    assert now.built.fb > result.built.fb
    assert now.cabinet.carcass.inner == pytest.approx(result.cabinet.carcass.inner)
    assert now.cabinet.net == pytest.approx(result.cabinet.net, abs=1e-9), "as much tube stands inside"


# Two leads of 4 mm in a port of 56 mm: 2 (4/56)² = 1.02 percent of its area.
def test_leads_take_their_section_from_the_port():
    made = with_cabinet(lead=0.004)
    bare, leads = bare_stage(made, RESULT)
    assert leads == pytest.approx(2 * (4 / 56) ** 2)
    port = evaluate(bare).built.port
    assert port.area == pytest.approx(RESULT.built.port.area - 2 * pi / 4 * 0.004**2)
    assert evaluate(bare).built.fb < RESULT.built.fb


def test_leads_as_thick_as_the_port_are_refused():
    small = read_project(amend(PLAIN, {"alternatives.B.box.port.shape.diameter": 0.02}))
    made = replace(small, cabinet=replace(small.cabinet, lead=0.02))
    with pytest.raises(InputError) as refusal:
        bare_stage(made, evaluate(made))
    assert refusal.value.field == "cabinet.lead"


def test_nothing_comes_later_and_no_stage_is_told():
    assert faces(PROJECT, RESULT).stage is None


# --- Grille


# A front of 216.6 x 400.6, inset 3 and cloth 0.8: 209 x 393; bars of 20 leave 169 between the uprights. The
# cloth goes round the edge, 18 thick, and 15 onto the back on both sides.
def test_the_parts_of_a_grille():
    parts = grille_parts(Grille("ply"), (0.2166, 0.4006), 0.018, 680.0, 0.018, [("cone", 0.1083, 0.2, 0.07)])
    assert (parts.width, parts.height) == (pytest.approx(0.209), pytest.approx(0.393))
    lengths = {name: bar.length for name, bar in parts.bars.items()}
    assert lengths["grille left"] == pytest.approx(0.393) and lengths["grille top"] == pytest.approx(0.169)
    assert parts.cloth == (
        pytest.approx(0.209 + 2 * (0.018 + FOLD)),
        pytest.approx(0.393 + 2 * (0.018 + FOLD)),
    )
    assert len(parts.holes) == 4 and not parts.misplaced
    assert parts.hole_depth == (0.009, 0.009)
    assert parts.near[0].beside == pytest.approx(0.1083 - 0.0238 - 0.07)


def test_a_hole_in_a_recess_and_a_bar_over_a_rim_are_told():
    parts = grille_parts(Grille("ply"), (0.2, 0.4), 0.018, 680.0, 0.018, [("dome", 0.03, 0.03, 0.03)])
    assert len(parts.misplaced) == 1 and parts.near[0].beside < 0


@pytest.mark.parametrize(
    ("grille", "field"), [(Grille("ply", bar=0.1), "bar"), (Grille("ply", bar=0.012), "diameter")]
)
def test_a_grille_that_cannot_be_built_is_refused(grille, field):
    with pytest.raises(InputError) as refusal:
        grille_parts(grille, (0.2, 0.4), 0.018, 680.0, 0.018, [])
    assert refusal.value.field == field


def test_the_bars_are_cut_with_the_rest():
    made = with_cabinet(grille=Grille("ply"))
    names = [name for row in evaluate(made).cut_list for name in row.names]
    assert {"grille left", "grille right", "grille top", "grille bottom"} <= set(names)


# --- Notes of layered panels


def test_a_second_board_of_the_same_sheet_doubles_the_note():
    made = with_cabinet(layers={"second": replace(SKIN, sheet="ply")})
    (each,) = faces(made, evaluate(made)).damping
    assert each.layered == pytest.approx([2 * f for f in each.bare])


def test_a_soft_layer_damps_and_a_hard_one_is_glue():
    soft = {"second": replace(SKIN, sheet="ply", soft=0.0005, soft_G=1e6, soft_loss=0.8)}
    hard = {"second": replace(SKIN, sheet="ply", soft=0.0005, soft_G=5e9, soft_loss=0.8)}
    damped, stiff = (
        faces(made, evaluate(made)).damping[0]
        for made in (with_cabinet(layers=soft), with_cabinet(layers=hard))
    )
    assert min(damped.loss) > 0.02 > 0.01 > max(stiff.loss)
    assert damped.layered[0] < stiff.layered[0]
