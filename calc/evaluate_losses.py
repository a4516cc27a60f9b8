"""How a box is built and lined -> how large its air seems, and the losses that it is reckoned with."""

from math import isfinite

from calc.errors import inputs_at
from calc.result import Losses
from calc.sound import filling
from calc.sound.losses import LAND, SEALS, built_QL, panel_seam, round_seam


def seeming(box, f, Vb, place):
    """How many times larger the filling makes Vb [m³] of air seem at f [Hz]: as typed, or as it is lined."""
    if box.filling is not None:
        return box.filling
    if box.lining is None or f is None:
        return 1.0
    with inputs_at("lining"):
        return float(filling.apparent_ratio(f, *_fibres(box.lining, Vb), place.c, place.rho, place.mu))


def losses(each, f, Vb, ports, project, place):
    """QL, QA and QP of an alternative whose box holds Vb [m³] of air, at its tuning or resonance f [Hz].

    What is typed stands; the rest follows: friction from the walls of its `ports` ({name: `PortResult`}),
    absorption from the lining, and leaks from what is screwed on and how it is made tight. An open box loses
    besides as much as ordinary ones were measured to; of closed ones no such figure was found.
    """
    box = each.box
    known = {name: getattr(box, name, None) for name in ("QL", "QA", "QP")}
    QA = known["QA"] or _absorption(box, f, Vb, place)
    QP = known["QP"] or _friction(ports)
    QL = known["QL"]
    if QL is None:
        made = project.cabinet
        gap = made.leak_gap if made.leak_gap is not None else SEALS[made.seal].gap
        QL = _some(built_QL(
            f, Vb / each.chambers, _seams(project, each), gap, place.c, place.rho, place.mu,
            ordinary=box.kind != "closed", others=(QA, QP),
        ))  # fmt: skip
    return Losses(QL, QA, QP, typed=tuple(name for name, Q in known.items() if Q is not None))


def _fibres(lining, Vb):
    """Share, density, material and thickness of the lining of Vb [m³]."""
    material = filling.material_called(lining.material)
    thickness = filling.layer_thickness(lining.place, lining.share, Vb)
    return lining.share, lining.density, material, thickness


def _absorption(box, f, Vb, place):
    if box.lining is None:
        return None
    with inputs_at("lining"):
        return _some(filling.absorption_Q(f, *_fibres(box.lining, Vb), place.c, place.rho, place.mu))


def _friction(ports):
    """QP of all ports that share the air: each loses in the measure of its flow, as its speed and area."""
    sharing = [port for name, port in ports.items() if name != "rear" and port.wall_Q]
    if not sharing:
        return None
    flow = [port.count * port.area * port.speed_over_mean for port in sharing]
    lost = sum(part / port.wall_Q for part, port in zip(flow, sharing, strict=True)) / sum(flow)
    return 1 / lost


def _seams(project, each):
    """(length, depth) [m] of the seam round each thing that is screwed on, its share of one chamber.

    A driver in the wall between two chambers leaks from one into the other, not out.
    """
    outside = [seat for seat in project.cabinet.seats.values() if seat.wall is None]
    frames = [project.drivers[seat.driver].frame for seat in outside]
    if each.box.kind == "passive_radiator":
        frames += [each.box.radiator.frame] * each.box.radiator.count
    flanges = [(frame.narrow, frame.cutout) for frame in frames]
    seams = [round_seam(*_flange(*flange)) for flange in flanges if flange != (None, None)]
    seams += [_plate_seam(hole) for hole in project.cabinet.holes.values()]
    return [(length / each.chambers, depth) for length, depth in seams]


def _plate_seam(hole):
    """(length, depth) [m] of the seam under the rim of a plate or a cup."""
    land = hole.rim or LAND
    if hole.width is None:
        return round_seam(hole.diameter + 2 * land, hole.diameter)
    return panel_seam(hole.width, hole.height, land)


def _flange(flange, cutout):
    return (flange or cutout + 2 * LAND, cutout)


def _some(Q):
    """A Q as a number; None where nothing is lost."""
    return float(Q) if isfinite(Q) else None
