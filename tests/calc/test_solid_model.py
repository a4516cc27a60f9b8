"""The whole solid model: lean, joints, braces, layers, lid and rounded edges fill the body exactly."""

from collections import Counter

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.cabinet.bracing import braces
from calc.cabinet.joints import PANELS, joint_faults
from calc.cabinet.layers import growth_of, layered
from calc.cabinet.panels import carcass, grooved
from calc.cabinet.polyhedra import block, clipped, sums
from calc.cabinet.rounding import edge_planes, rounded
from calc.errors import InputError
from calc.project_cabinet import Lid, Rounding
from tests.calc.test_layers import layer_sets
from tests.calc.test_panels import boxes, brace_sets

CUBIC_MILLIMETRE = 1e-9


def modelled(body):
    from manifold3d import Manifold

    return Manifold.hull_points(np.array(body.corners) * 1e3)


def finished_body(box, layers):
    """What the six finished faces enclose."""
    grown = growth_of(layers)
    far = 1.0 + max(box.outer)
    around = block((-far,) * 3, (far,) * 3)
    return clipped(around, *(box.walls.plane(name, -grown[name]) for name in PANELS))


def test_everything_together_fills_the_finished_body():
    """Air + panels + layers + gasket + tongues = finished body less the edges, to 1 mm³; and the net air,
    by a modelling kernel from the bodies of air, linings and braces, agrees to 0.1 per cent."""
    seen = Counter()

    @settings(max_examples=200, deadline=None, derandomize=True)
    @given(st.data())
    def check(data):
        size, panels, edges = data.draw(boxes())
        slope = data.draw(st.sampled_from((0.0, 4.0, 11.0)))
        layers = data.draw(layer_sets())
        thicknesses = {name: t for name, (t, _) in panels.items()}
        if joint_faults(thicknesses, edges):
            return
        lid = data.draw(st.sampled_from((None, Lid("front", 0.002, 0.0003))))
        edge = data.draw(
            st.sampled_from((None, Rounding(0.003, "round", "sides"), Rounding(0.004, "chamfer", "top")))
        )
        try:
            box = carcass(size, "inner", panels, edges, slope, lid)
        except InputError:
            try:
                lid, box = None, carcass(size, "inner", panels, edges, slope)
            except InputError as refusal:
                seen[refusal.field] += 1
                return
        try:
            bracing = braces(size, thicknesses, data.draw(brace_sets(size, thicknesses)), slope)
            box = layered(grooved(box, bracing.grooves), layers, bracing.braces.values())
            if edge:
                box = rounded(box, edge, layers)
        except InputError as refusal:
            seen[refusal.field.split(".")[0]] += 1
            return
        body = finished_body(box, layers)
        planes = edge_planes(box, edge, layers) if edge else ()
        whole = sums(clipped(body, *planes))[0]
        skins = sum(each.volume for each in box.layers.values() if each.place == "outside")
        wood = sum(panel.volume for panel in box.panels.values())
        tongues = sum(brace.volume - brace.displaced for brace in bracing.braces.values())
        ring = box.gasket.volume + box.gasket.play if box.gasket else 0.0
        assert abs(box.gross + wood + tongues + skins + ring - whole) < CUBIC_MILLIMETRE
        for name, drawn in (("leaning", slope), ("braced", bracing.braces), ("layers", box.layers),
                            ("rounded", edge), ("lid", lid)):  # fmt: skip
            seen[name] += bool(drawn)
        _assert_the_net_air(box, bracing)

    check()
    print(dict(seen))
    assert min(seen[name] for name in ("leaning", "braced", "layers", "rounded", "lid")) > 5, seen


def _assert_the_net_air(box, bracing):
    linings = [each for each in box.layers.values() if each.place == "inside"]
    if any(brace.windows for brace in bracing.braces.values()):
        return
    net = box.gross - sum(brace.displaced for brace in bracing.braces.values())
    net -= sum(each.volume for each in linings)
    model = modelled(box.air)
    for each in (*linings, *bracing.braces.values()):
        model -= modelled(each.body)
    assert abs(model.volume() / 1e9 / net - 1) < 1e-3
