"""What clears a clash inside the box, but for moves along a panel: deeper, a notch, a turn, a share."""

from math import ceil

from calc.cabinet.brace_places import NORMAL, SIDES, plane_axes
from calc.cabinet.clash import Remedy
from calc.cabinet.panels import PANELS
from calc.errors import InputError
from calc.evaluate_cabinet import cabinet
from calc.project_cabinet import Notch

AROUND = 0.005
"""Air left about what passes through a notch (common practice, no source). [m]"""


def push(bench, clash):
    """Move a frame or a bar farther from the panel whose driver or port it meets."""
    name = _first(clash)
    solid = bench.made.braces.get(name)
    if clash.kind != "brace" or not clash.away or solid is None:
        return
    field = {"frame": "at", "bar": "also_at", "dowel": "also_at"}.get(solid.kind)
    if field is None or bench.axis(clash.parties[0].of, field) != 1:
        return
    way = 1 if clash.pairs[0].face.inward[1] > 0 else -1
    for further in bench.further:
        by = ceil((clash.away + further) / bench.step - 1e-6) * bench.step
        towards = bench.towards(clash.parties[0].of, field, way)
        yield Remedy(
            f"move braces.{name} {towards}",
            f"Move “{name}” {towards} by {{by}}",
            {"by": ("length", by)},
            {f"cabinet.braces.{name}.{field}": round(bench.place(clash.parties[0].of, field) + way * by, 7)},
        )


def notch(bench, clash):
    """Notch a shelf or a rib where a driver or a port of the front or the back passes."""
    name = _first(clash)
    solid = bench.made.braces.get(name)
    if clash.kind != "brace" or not clash.away or clash.panel not in ("front", "back"):
        return
    if solid is None or solid.kind not in ("shelf", "rib") or bench.project.cabinet.braces[name].seals:
        return
    pair, other = clash.pairs[0], clash.parties[1]
    along = next(axis for axis in plane_axes(solid.kind) if axis != SIDES[clash.panel][0])
    if len(clash.pairs) > 1:
        return
    across = pair.b.within_reach_of(pair.a)
    middle, half = (across.x, across.half_x) if along == 0 else (across.y, across.half_y)
    wall = bench.made.carcass.panels[{0: "left", 2: "bottom"}[along]].thickness
    bite = Notch(
        clash.panel,
        round(middle - wall, 5),
        round(2 * (half + AROUND), 5),
        round(clash.away + AROUND, 5),
    )
    yield Remedy(
        f"notch braces.{name} for {other.of}",
        f"Notch “{name}” for {other.called}, {{wide}} wide and {{deep}} deep",
        {"wide": ("length", bite.width), "deep": ("length", bite.depth)},
        {f"cabinet.braces.{name}.notches.{other.of.rpartition('.')[2]}": bite},
    )


def elsewhere(bench, clash):
    """Fix a crossover board to the middle of another panel."""
    board = _board(bench, clash)
    if board is None:
        return
    of = clash.parties[0].of
    for panel in PANELS:
        if panel == board.panel:
            continue
        left, low, right, high = bench.made.carcass.clear_bounds(panel)
        for share in (0.5, 0.3, 0.7):
            edits = {
                "panel": panel,
                "x": round((left + right) / 2, 4),
                "y": round(low + share * (high - low), 4),
            }
            yield Remedy(
                f"panel {of}",
                f"Fix {clash.parties[0].called} to the {panel} instead",
                {},
                {f"cabinet.{of}.{field}": value for field, value in edits.items()},
            )


def turn(bench, clash):
    """Turn a crossover board by a quarter on its panel."""
    board = _board(bench, clash)
    if board is None or abs(board.width - board.height) < 1e-4:
        return
    of = clash.parties[0].of
    yield Remedy(
        f"turn {of}",
        f"Turn {clash.parties[0].called} by a quarter",
        {},
        {f"cabinet.{of}.width": board.height, f"cabinet.{of}.height": board.width},
    )


def _board(bench, clash):
    return bench.project.cabinet.boards.get(_first(clash)) if clash.kind == "board" else None


def _first(clash):
    """The name of the brace or the board that is told first; "" of a clash that tells none."""
    return clash.parties[0].of.rpartition(".")[2] if clash.parties else ""


def unseal(bench, clash):
    """Let a plate that parts the air where it must not open."""
    if clash.kind == "parted":
        of = clash.parties[0].of
        yield Remedy(
            f"open {of}",
            f"Let {clash.parties[0].called} leave the air open: cut its rim so that both sides breathe",
            {},
            {f"cabinet.{of}.seals": False},
        )


def share(bench, clash):
    """Move a plate that parts two drivers of one box to where both have the same air."""
    name = _first(clash)
    if clash.kind != "parted" or not any(twin.plate == name for twin in bench.made.twins):
        return
    place = f"cabinet.braces.{name}.at"
    start = bench.place(f"braces.{name}", "at")
    before = _uneven(bench, {place: start}, name)
    if before is None:
        return
    solid = bench.made.braces[name]
    axis = NORMAL[solid.kind]
    low, high = bench.made.carcass.air.low[axis], bench.made.carcass.air.high[axis]
    guess = start - before * (high - low)
    for _ in range(6):
        now = _uneven(bench, {place: guess}, name)
        if now is None or abs(now) < 1e-4 or now == before:
            break
        start, before, guess = guess, now, guess - now * (guess - start) / (now - before)
    yield Remedy(
        f"share braces.{name}",
        f"Move “{name}” to {{at}}, where both chambers have the same air",
        {"at": ("length", guess)},
        {place: round(guess, 5)},
    )


def _uneven(bench, edits, name):
    """How far the low chamber's share of the air is off a half after `edits`; None if they are refused."""
    try:
        project = bench.edited(edits)
        made = cabinet(project, project.alternatives[project.chosen], bench.result.air)
    except InputError:
        return None
    twin = next((each for each in made.twins if each.plate == name), None)
    return None if twin is None else twin.airs[0] / sum(twin.airs) - 0.5


INSIDE = (push, notch, turn, elsewhere, unseal, share)
"""The kinds of remedy inside the box, each a function of the bench where changes are tried, and a clash."""
