"""A driver as its section shows it: what its sheet gives, and the usual shape for what it leaves out."""

from dataclasses import dataclass

from calc.cabinet.frames import IRON, body


@dataclass(frozen=True)
class Profile:
    """A driver as its section shows it. Lengths [m]; `known` tells whether its sheet gave them all."""

    kind: str
    flange: float
    flange_thickness: float
    cutout: float
    depth: float
    magnet: float
    dome: float
    known: bool


def profile(driver):
    """The `Profile` of a driver; what its sheet leaves out is of the usual shape for its cone."""
    sizes = body(driver.frame, driver.kind, driver.Sd)
    frame = driver.frame
    return Profile(
        driver.kind, frame.wide or sizes.flange, frame.flange_thickness or 0.005, sizes.cutout, sizes.depth,
        sizes.magnet, sizes.dome, sizes.known,
    )  # fmt: skip


def radiator_profile(radiator):
    """The `Profile` of a passive radiator: a cone on a frame, without a magnet."""
    sizes = body(radiator.frame, "woofer", radiator.Sp)
    frame = radiator.frame
    return Profile(
        "radiator", frame.wide or sizes.flange, frame.flange_thickness or 0.005, sizes.cutout,
        frame.depth or 0.3 * sizes.flange, 0.3 * sizes.cutout, sizes.dome, sizes.known,
    )  # fmt: skip


def half_profile(shape, front_y, seat_y):
    """The driver's outline above its axis: (y, radius) from the flange's front to the magnet's back. [m]"""
    flange, hole, magnet = shape.flange / 2, 0.97 * shape.cutout / 2, shape.magnet / 2
    back = seat_y + shape.depth
    if shape.kind == "radiator":
        rim = seat_y + 0.25 * shape.depth
        return [(front_y, flange), (seat_y, flange), (seat_y, hole), (rim, 0.94 * hole),
                (seat_y + 0.8 * shape.depth, magnet), (back, magnet)]  # fmt: skip
    if shape.kind == "tweeter":
        return [(front_y, flange), (seat_y, flange), (seat_y, hole), (seat_y + 0.25 * shape.depth, hole),
                (seat_y + 0.3 * shape.depth, magnet), (back, magnet)]  # fmt: skip
    iron = back - IRON * shape.depth
    neck = min(0.55 * hole, 0.85 * magnet)
    return [(front_y, flange), (seat_y, flange), (seat_y, hole), (seat_y + 0.16 * shape.depth, 0.94 * hole),
            (iron, neck), (iron, magnet), (back, magnet)]  # fmt: skip


def inner_lines(plate, shape, line, x, y, front_y, seat_y):
    """Draw the cone, surround and cap of a woofer or a passive radiator, or the dome of a tweeter.

    Parameters
    ----------
    plate : server.drawings.plate.Plate
    shape : Profile
    line : str
        CSS class of the strokes: "o", or "hid" where the sheet does not give the sizes.
    x, y : callables
        From a depth, and from a distance from the driver's axis [m], to the plate.
    front_y, seat_y : float
        Depths of the flange's front and of the seat. [m]
    """
    draw = plate.path
    if shape.kind == "tweeter":
        r = shape.dome / 2
        face = x(front_y)
        bulge = 0.55 * (face - x(front_y - r))
        y0, y1 = y(r), y(-r)
        draw(
            "leaf" if line == "o" else "hid",
            f"M{face:.1f} {y0:.1f}C{face - bulge:.1f} {y0 + 4:.1f} "
            f"{face - bulge:.1f} {y1 - 4:.1f} {face:.1f} {y1:.1f}",
        )
        return
    rim, coil = 0.43 * shape.cutout, 0.15 * shape.cutout
    mouth, root = x(front_y + 0.3 * shape.flange_thickness), x(seat_y + 0.42 * shape.depth)
    edge = 0.47 * shape.cutout
    ys = {sign: [y(sign * r) for r in (edge, rim, coil)] for sign in (1, -1)}
    for sign in (1, -1):
        outer, start, end = ys[sign]
        roll = 0.7 * abs(outer - start)
        draw(
            line,
            f"M{mouth:.1f} {outer:.1f}Q{mouth - roll:.1f} {(outer + start) / 2:.1f} "
            f"{mouth:.1f} {start:.1f}L{root:.1f} {end:.1f}",
        )
    draw(line, f"M{root:.1f} {ys[1][2]:.1f}L{root:.1f} {ys[-1][2]:.1f}")
    cap = x(seat_y + 0.14 * shape.depth)
    r = 0.2 * shape.cutout  # where the cap meets the cone
    share = (rim - r) / (rim - coil)
    cx = mouth + share * (root - mouth)
    draw(
        line,
        f"M{cx:.1f} {y(r):.1f}Q{2 * cap - cx:.1f} {y(0.0):.1f} {cx:.1f} {y(-r):.1f}",
    )
