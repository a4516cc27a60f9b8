"""What to know about good joints before they are cut: bevels beyond the saw's tilt, rabbets that weaken."""

from typing import NamedTuple

from calc.cabinet.joints import PANELS

SAW_TILT = 45.0
"""Bevel that every saw reaches. [deg from square]"""

_HAIR = 1e-9


class Fact(NamedTuple):
    """Something to know about a good input: the field that it hangs on, and a sentence."""

    field: str
    sentence: str


def joint_facts(solids, thicknesses, edges):
    """Facts of the joints; panels that are joined alike are told together."""
    steep = [
        (panel.name, edge, f"{bevel:.1f}°")
        for panel in solids.values()
        for edge, bevel in panel.bevels.items()
        if bevel > SAW_TILT + _HAIR
    ]
    for panels, mates, bevel, edge in _alike(steep):
        need, meet = ("need", "they meet") if len(panels) > 1 else ("needs", "it meets")
        yield Fact(
            f"edges.{edge}.into",
            f"{named(panels).capitalize()} {need} a bevel of {bevel} from square where {meet} "
            f"{named(mates)}, more than the 45° that a saw tilts: stand the panel on edge against a tall "
            "fence, or use equal thicknesses.",
        )
    deep = [
        (next(mate for mate in name.split("-") if mate != edge.into), name, None)
        for name, edge in edges.items()
        if edge.into and edge.depth > thicknesses[edge.into] / 2 + _HAIR
    ]
    for panels, mates, _, edge in _alike(deep):
        take = "rabbets of {} take" if len(panels) > 1 else "rabbet of {} takes"
        yield Fact(
            f"edges.{edge}.depth",
            f"The {take.format(named(panels))} more than half of {_thickness_of(mates)}.",
        )


def _alike(joints):
    """Gather (panel, edge, kind) into (panels, mates, kind, first edge): one for panels joined alike."""
    mates, groups = {}, {}
    for panel, edge, kind in joints:
        (mate,) = set(edge.split("-")) - {panel}
        mates.setdefault((panel, kind), {})[mate] = edge
    for (panel, kind), edges in mates.items():
        groups.setdefault((tuple(sorted(edges, key=PANELS.index)), kind), []).append((panel, *edges.values()))
    for (at, kind), panels in groups.items():
        yield sorted((panel for panel, *_ in panels), key=PANELS.index), at, kind, panels[0][1]


def named(panels):
    """Panels in a sentence; left and right together are the sides."""
    words = [f"{panel} side" if panel in ("left", "right") else panel for panel in panels]
    if {"left side", "right side"} <= set(words):
        words = ["sides", *(word for word in words if not word.endswith("side"))]
    return f"the {words[0]}" if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _thickness_of(panels):
    words = named(panels)
    if not words.startswith("the "):
        return f"the thickness of {words}"
    return words + ("' thickness" if words.endswith("s") else "'s thickness")
