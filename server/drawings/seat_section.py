"""A cut through one driver seat: panel, skins, recess, ring and flange, to scale."""

from server.drawings.plate import Plate

WIDTH, HEIGHT = 420, 190


def seat_section(seating, flange_thickness, panel_thickness, ledge, write, *, name):
    """Draw the left rim of a seat, the finished face on top.

    Parameters
    ----------
    seating : Seating
        See `calc.cabinet.seating`.
    flange_thickness, panel_thickness : float
        Of the driver's flange and of the bare panel. [m]
    ledge : float
        Width of the wood under the flange. [m]
    write : callable
        Writes a length [m] as text.

    Returns
    -------
    Drawing
    """
    plate = Plate(name, WIDTH, HEIGHT)
    deep = seating.cover + panel_thickness + max(seating.proud, 0.0)
    scale = min(5200.0, (HEIGHT - 60) / deep)
    face = 30 + max(seating.proud, 0.0) * scale
    bare = face + seating.cover * scale
    low = bare + panel_thickness * scale
    floor = bare + seating.recess * scale
    rim, hole = 190.0, 190.0 + min(130.0, max(ledge * scale, 30.0))
    plate.polygon(
        "cut", [(20, bare), (rim, bare), (rim, floor), (hole, floor), (hole, low), (20, low)], "plyh"
    )
    if seating.cover:
        plate.rect("cut", 20, face, rim, bare, "slant")
    under = floor
    if seating.ring:
        plate.rect("cut", rim + 2, floor - seating.ring * scale, hole, floor, "cross")
        under = floor - seating.ring * scale
    top = face - seating.proud * scale
    plate.rect("o", rim + 4, top, WIDTH - 30, top + flange_thickness * scale, "level")
    if top + flange_thickness * scale < under - 0.5:
        plate.rect("none", rim + 4, top + flange_thickness * scale, hole, under, "dots")
    plate.line("dim", (10, face), (WIDTH - 10, face))
    plate.text(24, face - 8, "finished face")
    plate.text(WIDTH - 150, top + flange_thickness * scale + 18, "flange")
    if seating.recess:
        plate.upright(bare, floor, 150, write(seating.recess))
    told = f"recess {write(seating.recess)} deep" if seating.recess else "no recess"
    ring = f", ring {write(seating.ring)}" if seating.ring else ""
    level = (
        "flush" if abs(seating.proud) < 5e-5
        else f"{write(abs(seating.proud))} {'proud' if seating.proud > 0 else 'sunk'}"
    )  # fmt: skip
    return plate.finished(f"Skins and finish {write(seating.cover)}, {told}{ring}: the flange is {level}.")
