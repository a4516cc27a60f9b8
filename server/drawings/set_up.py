"""How the saw is set for a cut: from above, with fence or stop, and seen along the cut. Not to scale."""

from server.drawings.plate import Plate, lettering

WIDTH, HEIGHT = 400, 250
FENCE = 300
"""Where the fence's face stands."""
TOP, FOOT = 30, 206
BESIDE, LOW = 270, 160
"""Size of the view along the cut."""
TABLE, LEFT, EDGE, THICK = 106, 40, 200, 50
"""In it the table's top, the ends of the piece (the fence on the right), and how thick it is drawn."""


def set_up(cut, setting, write, *, name="set-up"):
    """Draw how one cut of a step is set.

    Parameters
    ----------
    cut : calc.shop.saw_cuts.SawCut
    setting : calc.shop.fence_plan.Setting
    write : callable
        Writes a length [m].
    name : str
        Begins the ids within the SVG.

    Returns
    -------
    tuple of Drawing
        From above, and along the cut where it has a depth or a tilt; none of what neither fence nor stop
        nor straightedge leads.
    """
    if cut.guide in ("jig", "jigsaw", "rail", "panel"):
        return ()
    above = Plate(name, WIDTH, HEIGHT)
    _from_above(above, cut, setting, write)
    words = "From the stop" if cut.guide == "sled" else "From the fence"
    drawn = [above.finished(f"{words} {write(setting.distance)}, from above.")]
    if cut.depth or cut.kind == "bevel":
        beside = Plate(f"{name}-along", BESIDE, LOW)
        _along(beside, cut, write)
        drawn.append(beside.finished("The same along the cut, the fence on the right."))
    return tuple(drawn)


def _from_above(plate, cut, setting, write):
    across = 190.0
    along = min(max(across * cut.along / cut.across, 70.0), 150.0)
    low = (TOP + FOOT + along) / 2
    scale = across / cut.across
    wide = max(cut.tool.width * scale, 12.0) if cut.depth else 5.0
    near = FENCE - max(setting.distance * scale, 0.0)
    if cut.kind not in ("groove", "rabbet"):
        near, across = FENCE - across * 0.8, across
    left = near - wide if setting.distance >= 0 else near - wide + 8
    _guide(plate, cut, low, along)
    plate.rect("face", FENCE - across, low - along, FENCE, low)
    plate.line("cutface", (FENCE, low - along), (FENCE, low))  # the edge that it is measured from
    kept = FENCE - across if cut.depth else near  # the letter stands on what is not sawn off
    plate.text(kept + 14, low - along + 24, cut.row, "big")
    run = (low - along, low) if cut.guide == "sled" else (TOP, FOOT)
    if cut.depth:
        plate.rect("leaf", left, low - along, min(left + wide, FENCE), low, "slant", faint=True)
    plate.rect("dot", left, (sum(run)) / 2 - 40, left + wide, sum(run) / 2 + 40)
    if setting.distance > 0:
        plate.across(near, FENCE, FOOT + 22, write(setting.distance), start=low)
    else:
        plate.across(left, FENCE, FOOT + 22, write(cut.width), start=low, clear=FENCE + 40)
    _feed(plate, FENCE - across - 26)


def _guide(plate, cut, low, along):
    """The fence with what leads the piece along it, or the sled with its stop."""
    if cut.guide == "sled":
        plate.rect("leaf", 20, low, FENCE + 50, low + 14)
        plate.rect("cutface pw", FENCE, low - 22, FENCE + 26, low)
        plate.text(FENCE + 34, low - 6, "stop")
        return
    plate.rect("leaf", FENCE, TOP - 12, FENCE + 16, FOOT + 12)
    straightedge = cut.guide in ("router", "track")
    plate.text(FENCE + 24, TOP + 4, "straight" if straightedge else "fence")
    if straightedge:
        plate.text(FENCE + 24, TOP + 22, "edge")
    if cut.kind == "rabbet" and cut.guide != "router":
        plate.rect("face", FENCE, TOP - 12, FENCE + 11, FOOT + 12)
        plate.text(FENCE + 24, TOP + 24, "sacrificial")
    if cut.guide == "gauge":
        plate.rect("leaf", FENCE - 200, low, FENCE - 6, low + 12)
        plate.text(FENCE - 200, low + 32, "mitre gauge")


def _feed(plate, x):
    plate.line("dim", (x, FOOT), (x, TOP + 10))
    plate.polygon("dot", ((x - 6, TOP + 14), (x + 6, TOP + 14), (x, TOP)))
    plate.text(x - lettering("feed") / 2, FOOT + 20, "feed")


def _along(plate, cut, write):
    """The piece on the table, seen from where it is fed: the fence stands on the right."""
    left, top = LEFT, TABLE - THICK
    plate.line("o", (left - 20, TABLE), (EDGE + 40, TABLE))
    plate.rect("leaf", EDGE, TABLE - 80, EDGE + 16, TABLE)
    if cut.kind == "bevel":
        _bevel(plate, cut, left, top, write)
        return
    deep = max(min(THICK * cut.depth / cut.thickness, THICK - 8), 8)
    right = EDGE if cut.kind == "rabbet" else EDGE - 46
    plate.polygon(
        "face",
        ((left, top), (EDGE, top), (EDGE, TABLE), (right, TABLE), (right, TABLE - deep),
         (right - 44, TABLE - deep), (right - 44, TABLE), (left, TABLE))
        if cut.kind == "groove"
        else ((left, top), (EDGE, top), (EDGE, TABLE - deep), (right - 44, TABLE - deep),
              (right - 44, TABLE), (left, TABLE)),
    )  # fmt: skip
    plate.rect("none", right - 44, TABLE - deep, right + (8 if cut.kind == "rabbet" else 0), TABLE, "slant")
    plate.across(right - 44, right, TABLE + 26, write(cut.width), start=TABLE, kind="")
    plate.text(left, top - 8, f"{write(cut.depth)} deep")


def _bevel(plate, cut, left, top, write):
    """The blade leans away from the fence: the long point is on top, the short one on the table."""
    lean = min(THICK * 1.2, THICK * abs(cut.across - cut.distance) / cut.thickness)
    short = left + 40
    long = short - lean
    plate.polygon("face", ((long, top), (EDGE, top), (EDGE, TABLE), (short, TABLE)))
    plate.line("kerf", (long - 0.3 * lean, top - 15), (short, TABLE))
    plate.across(short, EDGE, TABLE + 26, write(cut.distance), start=TABLE)
    plate.across(long, EDGE, top - 24, write(cut.long_point), start=top)
