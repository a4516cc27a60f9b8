"""The whole solid model: lean, joints, braces, layers, lid and rounded edges fill the body exactly."""

from collections import Counter
from dataclasses import replace
from itertools import combinations
from math import cos, radians, sin

from hypothesis import given, settings
from hypothesis import strategies as st

from calc.cabinet.bracing import braces
from calc.cabinet.joints import PANELS, joint_faults
from calc.cabinet.layers import growth_of, layered
from calc.cabinet.panels import carcass, grooved
from calc.cabinet.partitions import rooms
from calc.cabinet.polyhedra import block, clipped, sums
from calc.cabinet.rounding import edge_planes, rounded
from calc.errors import InputError
from calc.project_cabinet import Lid, Rounding
from tests.calc.test_brace_mixes import cube, snapped
from tests.calc.test_brace_mixes import modelled as modelled_brace
from tests.calc.test_layers import layer_sets
from tests.calc.test_panels import boxes, brace_sets

CUBIC_MILLIMETRE = 1e-9


def modelled(body):
    from manifold3d import Manifold

    return Manifold.hull_points(snapped(body.corners))


@st.composite
def sealing_sets(draw, size, thicknesses):
    """Braces with windows and without, some of them whole and parting the air."""
    plates = draw(brace_sets(size, thicknesses))
    sealing = draw(st.lists(st.sampled_from(list(plates)), unique=True)) if plates else []
    whole = {name: (replace(plates[name][0], window=None, seals=True), *plates[name][1:]) for name in sealing}
    return plates | whole


def finished_body(box, layers):
    """What the six finished faces enclose."""
    grown = growth_of(layers)
    far = 1.0 + max(box.outer)
    around = block((-far,) * 3, (far,) * 3)
    return clipped(around, *(box.walls.plane(name, -grown[name]) for name in PANELS))


def test_everything_together_fills_the_finished_body():
    """Air + panels + layers + gasket + tongues = finished body less the edges, to 1 mm³; by a modelling
    kernel from the bodies of air, linings and braces, the net air of each room agrees to 0.1 per cent, and
    no two parts overlap."""
    seen = Counter()

    @settings(max_examples=250, deadline=None, derandomize=True)
    @given(st.data())
    def check(data):
        size, panels, edges = data.draw(boxes())
        slope = data.draw(st.sampled_from((0.0, 4.0, 11.0)))
        layers = data.draw(layer_sets())
        thicknesses = {name: t for name, (t, _) in panels.items()}
        if joint_faults(thicknesses, edges):
            return
        lid = data.draw(st.sampled_from((None, Lid("front", 0.002, 0.0003), Lid("back", 0.003, 0.0003))))
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
            plates = data.draw(sealing_sets(size, thicknesses))
            bracing = braces(size, thicknesses, plates, slope)
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
        sealing = {name: bracing.braces[name] for name, (brace, *_) in plates.items() if brace.seals}
        windowed = any(brace.windows for brace in bracing.braces.values())
        for name, drawn in (("leaning", slope), ("braced", bracing.braces), ("layers", box.layers),
                            ("rounded", edge), ("lid", lid), ("parted", sealing), ("windowed", windowed),
                            ("windows in a parted box", sealing and windowed)):  # fmt: skip
            seen[name] += bool(drawn)
        bodies = {name: modelled_brace(solid, _behind(box)) for name, solid in bracing.braces.items()}
        seen["rooms"] += _assert_the_net_air(box, bracing, bodies, sealing)
        _assert_no_overlap(box, bracing, bodies)

    check()
    print(dict(seen))
    kinds = ("leaning", "braced", "layers", "rounded", "lid", "parted", "windowed", "windows in a parted box")
    assert min(seen[name] for name in kinds) > 3 and seen["rooms"] > 20, seen


def _behind(box):
    """All that lies behind the front's inner face."""
    far = 2 * max(box.outer)
    lean, t = radians(box.slope), box.panels["front"].thickness
    return cube((-far,) * 3, (far,) * 3).trim_by_plane((0.0, cos(lean), -sin(lean)), t * 1e3)


def _assert_the_net_air(box, bracing, bodies, sealing):
    """Each room by the modelling kernel; and how many more than one there are."""
    linings = [each for each in box.layers.values() if each.place == "inside"]
    solids = [*(_around(each, bracing) for each in linings), *bodies.values()]
    model = modelled(box.air)
    for solid in solids:
        model -= solid
    net = box.gross - sum(brace.displaced for brace in bracing.braces.values())
    net -= sum(each.volume for each in linings)
    if net < 1e-3 * box.gross:
        return 0
    assert abs(model.volume() / 1e9 / net - 1) < 1e-3
    try:
        parted = rooms(box.air, sealing, bracing.braces.values(), [each.body for each in linings])
    except InputError as refusal:
        assert refusal.field.startswith("braces.")
        return 0
    far = max(box.outer)
    for room in parted:
        low = [max(a, -far) for a in room.low]
        high = [min(b, far) for b in room.high]
        apart = (model ^ cube(low, high)).volume() / 1e9
        assert abs(apart - room.net) < 1e-3 * room.net + 1e-9, (apart, room)
    assert abs(sum(room.net for room in parted) - net) < 1e-12
    return len(parted) - 1


def _around(lining, bracing):
    """A lining as it is cut: around the blanks of the braces, whose windows it leaves open."""
    left = modelled(lining.body)
    for brace in bracing.braces.values():
        left -= cube(brace.low, brace.high)
    return left


def _assert_no_overlap(box, bracing, bodies):
    """Panels with their joints and grooves, braces with their slots, layers: none stands in another."""
    parts = []
    for panel in box.panels.values():
        part = modelled(panel.body)
        for cut in panel.cuts:
            part -= modelled(cut.body)
        parts.append(part)
    for name, solid in bracing.braces.items():
        part = bodies[name]
        for cut in solid.cuts:
            part -= cube(cut.low, cut.high) ^ bodies[cut.name]
        parts.append(part)
    for layer in box.layers.values():
        parts.append(_around(layer, bracing) if layer.place == "inside" else modelled(layer.body))
    for one, other in combinations(parts, 2):
        assert _nothing(one ^ other)


def _nothing(overlap):
    """Less than 1 mm³, or thinner than a micrometre: the kernel leaves out grooves that are no deeper."""
    return overlap.volume() < 1.0 + 0.5e-3 * overlap.surface_area()
