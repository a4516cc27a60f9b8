"""Any mix of shelves, ribs, frames, bars and dowels against a boolean solid model (manifold3d)."""

from collections import Counter
from math import cos, radians, sin, tan

import numpy as np
from hypothesis import event, given, note, settings
from hypothesis import strategies as st
from manifold3d import CrossSection, Manifold, OpType
from numpy.testing import assert_allclose

from calc.cabinet.brace_faults import brace_faults
from calc.cabinet.bracing import braces
from calc.cabinet.joints import all_butt
from calc.cabinet.panels import carcass, grooved
from calc.project_cabinet import Brace, Edge, Notch, Window

INNER = (0.25, 0.5, 0.36)
THICKNESSES = {
    "front": 0.025, "back": 0.012, "left": 0.018, "right": 0.016, "top": 0.020, "bottom": 0.022,
}  # fmt: skip
CHORDS = 256
seen = Counter()


def places(least, most):
    return st.floats(least, most).map(lambda at: round(at, 4))


@st.composite
def windows(draw, kind):
    wide, high = {"shelf": (0.25, 0.36), "rib": (0.36, 0.5), "frame": (0.25, 0.5)}[kind]
    w, h = draw(places(0.03, wide / 2)), draw(places(0.03, high / 2))
    count = draw(st.integers(1, 3))
    return Window(w, h, draw(st.sampled_from((0.0, 0.2, 0.5))) * min(w, h), count, draw(places(0.01, 0.04)))


@st.composite
def plates(draw):
    kind = draw(st.sampled_from(("shelf", "rib", "frame")))
    side = draw(st.sampled_from({"shelf": ("back", "front"), "rib": ("back", "front"),
                                 "frame": ("top", "bottom")}[kind]))  # fmt: skip
    notches = {"port": Notch(side, draw(places(0.06, 0.2)), 0.05, draw(places(0.01, 0.06)))}
    return Brace(
        kind, draw(places(0.03, 0.33)), "ply", draw(st.sampled_from((0.0, 0.006))),
        draw(st.none() | windows(kind)), draw(st.sampled_from((None, 0.0, 0.009))),
        notches=draw(st.sampled_from(({}, notches))),
    )  # fmt: skip


@st.composite
def bars(draw):
    between = draw(st.sampled_from(("sides", "front and back", "top and bottom")))
    return Brace(
        draw(st.sampled_from(("bar", "dowel"))), draw(places(0.03, 0.4)), "ply",
        draw(st.sampled_from((0.0, 0.005))), depth_far=draw(st.sampled_from((None, 0.0, 0.008))),
        between=between, also_at=draw(places(0.03, 0.45)), width=draw(places(0.02, 0.05)),
    )  # fmt: skip


def snapped(corners):
    """Corners on a grid of about a millionth of a millimetre, so that faces which touch do so exactly: the
    kernel is lost where they are a last digit apart. [mm]"""
    return np.round(np.array(corners) * 1e3 * 2**20) / 2**20


def cube(low, high):
    low, high = snapped((low, high))
    return Manifold.cube(tuple(high - low)).translate(tuple(low))


def prism(outline, axis, start, end):
    """An outline in the plane across `axis`, drawn out from `start` to `end`. [m]"""
    solid = outline.extrude((end - start) * 1e3)
    u, v = (each for each in range(3) if each != axis)
    turn = np.zeros((3, 4))
    turn[u, 0] = turn[v, 1] = turn[axis, 2] = 1.0
    turn[axis, 3] = start * 1e3
    if axis == 1:  # the three axes in this order are left-handed: keep the solid, not its mirror
        solid = outline.mirror((0, 1)).extrude((end - start) * 1e3)
        turn[v, 1] = -1.0
    return solid.transform(turn)


def rounded(gap):
    (u0, v0), (u1, v1), r = gap
    inside = CrossSection.square(((u1 - u0 - 2 * r) * 1e3 or 1e-6, (v1 - v0 - 2 * r) * 1e3 or 1e-6), True)
    outline = inside if r == 0 else CrossSection.hull_points([
        (x + np.cos(a) * r * 1e3, y + np.sin(a) * r * 1e3)
        for x in (-(u1 - u0 - 2 * r) * 500, (u1 - u0 - 2 * r) * 500)
        for y in (-(v1 - v0 - 2 * r) * 500, (v1 - v0 - 2 * r) * 500)
        for a in np.arange(CHORDS) * 2 * np.pi / CHORDS
    ])  # fmt: skip
    return outline.translate(((u0 + u1) * 500, (v0 + v1) * 500))


def modelled(solid, behind):
    """The blank with its own windows and notches, uncrossed, as a solid in millimetres."""
    if solid.kind == "dowel":
        axis = solid.axis
        u, v = (each for each in range(3) if each != axis)
        circle = CrossSection.circle(solid.width * 500, CHORDS)
        circle = circle.translate(tuple((solid.low[a] + solid.high[a]) * 500 for a in (u, v)))
        return prism(circle, axis, solid.low[axis], solid.high[axis]) ^ behind
    whole = cube(solid.low, solid.high) ^ behind
    axis = {"shelf": 2, "rib": 0, "frame": 1}.get(solid.kind)
    for gap in solid.windows:
        whole -= prism(rounded(gap), axis, solid.low[axis] - 0.01, solid.high[axis] + 0.01)
    for cut in solid.cuts:
        if cut.kind == "notch":
            whole -= cube(cut.low, cut.high)
    return whole


@settings(max_examples=150, deadline=None)
@given(st.lists(plates() | bars(), min_size=1, max_size=5), st.sampled_from((0.0, 0.0, 8.0)))
def agrees_with_solid_modelling(drawn, slope):
    """Volumes, centres of gravity and displaced air; slotted plates fill what they fill uncrossed, once."""
    mix = {}
    for n, brace in enumerate(drawn):  # what would be refused is left out
        trial = mix | {f"{brace.kind}{n}": (brace, 0.015, 700.0)}
        if not list(brace_faults(INNER, THICKNESSES, trial, slope)):
            mix = trial
    if not mix:
        return
    lean = radians(slope)
    front = THICKNESSES["front"] / cos(lean) * 1e3
    behind = cube((-1, -1, -1), (1, 1, 1))
    if slope:  # what stands in a front that leans is refused, so nothing reaches before its inner face
        behind = behind.trim_by_plane((0.0, cos(lean), -sin(lean)), front * cos(lean))
    made = braces(INNER, THICKNESSES, mix, slope)
    bodies = {name: modelled(solid, behind) for name, solid in made.braces.items()}
    union = Manifold.batch_boolean(list(bodies.values()), OpType.Add)
    note(repr(mix))
    total = sum(solid.volume for solid in made.braces.values())
    assert_allclose(total * 1e9, union.volume(), rtol=3e-4)
    start = front + tan(lean) * THICKNESSES["bottom"] * 1e3
    room = cube((0.018, 0.0 if slope else 0.025, 0.022), (0.268, start / 1e3 + 0.36, 0.522)) ^ behind
    assert_allclose(made.displaced * 1e9, (union ^ room).volume(), rtol=3e-4)
    moment = sum(solid.volume * np.array(solid.centroid) for solid in made.braces.values()) / total
    assert_allclose(moment * 1e3, centre(union), rtol=2e-4)
    for name, solid in made.braces.items():
        body = bodies[name]
        for cut in solid.cuts:
            if cut.kind == "slot":
                body -= cube(cut.low, cut.high) ^ bodies[cut.name]
        assert_allclose(solid.volume * 1e9, body.volume(), rtol=3e-4)
    kinds = {solid.kind for solid in made.braces.values()}
    for what in (*kinds, f"slope {slope:.0f}", f"{len(mix)} braces",
                 *(cut.kind for solid in made.braces.values() for cut in solid.cuts)):  # fmt: skip
        seen[what] += 1
        event(what)


def test_any_mix_agrees_with_solid_modelling():
    """And the mixes that were drawn hold every kind."""
    agrees_with_solid_modelling()
    wanted = {"shelf", "rib", "frame", "bar", "dowel", "slot", "notch", "slope 8"}
    assert all(seen[what] >= 10 for what in wanted), seen


def centre(solid):
    mesh = solid.to_mesh64()
    corners = np.asarray(mesh.vert_properties)[:, :3][np.asarray(mesh.tri_verts)]
    parts = np.einsum("ni,ni->n", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])) / 6
    return parts @ corners.sum(axis=1) / 4 / parts.sum()


def test_ends_fill_their_grooves_and_holes():
    """A dowel of 20 mm in a hole 8 mm deep, a bar 5 and 9 mm deep: derived, area times depth."""
    panels = {name: (t, 750.0) for name, t in THICKNESSES.items()}
    box = carcass(INNER, "inner", panels, {name: Edge(**edge) for name, edge in all_butt().items()})
    mix = {
        "d": Brace("dowel", 0.3, "ply", 0.008, also_at=0.2, width=0.02),
        "b": Brace("bar", 0.1, "ply", 0.005, depth_far=0.009, between="top and bottom", also_at=0.1,
                   width=0.04),
    }  # fmt: skip
    made = braces(INNER, THICKNESSES, {name: (brace, 0.015, 700.0) for name, brace in mix.items()})
    cut = grooved(box, made.grooves)
    lost = {name: box.panels[name].volume - cut.panels[name].volume for name in panels}
    hole = np.pi * 0.01**2 * 0.008
    expected = {"left": hole, "right": hole, "bottom": 0.015 * 0.04 * 0.005, "top": 0.015 * 0.04 * 0.009}
    assert_allclose([lost[n] for n in panels], [expected.get(n, 0.0) for n in panels], atol=1e-15, rtol=0)
    assert [each.kind for each in cut.panels["left"].cuts][-1] == "hole"
    assert made.braces["b"].sums["length"] == (0.5, ((1, 0.005), (1, 0.009)))
