"""Wiring: the crossover on its board, and what a meter reads before the power goes on."""

from functools import partial
from itertools import combinations
from math import isinf

from fastapi import APIRouter, Depends, Request

from calc.errors import InputError
from calc.evaluate_amplifier import amplifier
from calc.evaluate_board import boarded, bodies_of, bought, proposed
from calc.evaluate_leads import ENDS, leads
from calc.evaluate_network import assembled, lacking, network
from calc.evaluate_sum import acoustic_sum
from calc.evaluate_wiring import before_power, polarity
from calc.network.board import TERMINALS, Lead
from calc.network.board_pads import are_near
from calc.network.faults import METER, METER_SHARE
from calc.network.leads import GAUGES, SHARE
from server.documents import amend, read_project
from server.pages import bench, render, take, typed_fields
from server.plates import lengths
from server.telling_network import (
    board_fact_words,
    fault_words,
    further,
    joint_of,
    joint_words,
    lead_words,
    mistake_words,
    tag_words,
)

router = APIRouter(prefix="/projects/{key}/wiring")


@router.get("")
def show(request: Request, key: str):
    """Show how it is joined."""
    now = bench(request, key)
    return render(request, "wiring", now, **view(now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take places of parts, holes of a bought board, and what a meter read."""
    return take(request, key, "wiring", typed, view, ACTIONS)


@router.get("/board")
def paper(request: Request, key: str):
    """Show the board at full size, to be printed and glued down."""
    from server.drawings.board import board_papers

    now = bench(request, key)
    made = boarded(now.project)
    return render(
        request,
        "wiring_board",
        now,
        place="box",
        question="Where does each part go?",
        sheets=board_papers(made.layout, now.project.show, now.project.title) if made else [],
        pads=pad_rows(made, now.project) if made else [],
    )


def view(bench):
    """The board, what ends at each pad, a bought board, the wires, and what readings mean."""
    project, result = bench.project, bench.result
    found, heard = solved(bench)
    shown = joined(bench, found, heard)
    made, poles, read = (shown[name] for name in ("made", "poles", "read"))
    other = bought(project, assembled(project, result).parts if found else None)
    return shown | {
        "missing": lacking(project, result) if project.network else {},
        "further": further(read.explained) if read and read.explained else (),
        "untried": _untried(poles, project.network.kicks) if poles else "",
        "plate": board_plate(bench, made) if made else None,
        "bodies": bodies_of(project) if made else {},
        "fact_words": partial(board_fact_words, project=project),
        "mistake_words": partial(mistake_words, project=project),
        "other": other,
        "off": _left_off(other, project),
        "holes": hole_fields(project),
        "gauges": [(name, name) for name in GAUGES],
        "amp": amplifier(project, result, found, heard) if found else None,
    }


def solved(bench):
    """The crossover solved, and what is heard of it; None each while something is not known."""
    project, result = bench.project, bench.result
    if project.network is None or lacking(project, result):
        return None, None
    found = network(project, result)
    return found, acoustic_sum(project, result, found)


def joined(bench, found, heard):
    """What page and paper both tell: pads, wires, and the tests before power. Takes what `solved` found."""
    from server.drawings.leads import wires

    project, result = bench.project, bench.result
    made = boarded(project)
    wired = leads(project, result, found.least.Z) if found else None
    neighbours = made.layout.neighbours if made else ()
    return {
        "made": made,
        "pads": pad_rows(made, project) if made else [],
        "near": _near(made.layout) if made else (),
        "wired": wired,
        "wires": wires(result.cabinet.carcass, wired.runs) if wired else None,
        "group": _group_words(project),
        "ends": ENDS,
        "share": SHARE,
        "read": before_power(project, result, neighbours) if found else None,
        "poles": polarity(project, heard) if found else None,
        "tag_words": tag_words,
        "fault_words": fault_words,
        "joint_words": joint_words,
        "isinf": isinf,
        "meter": METER,
        "meter_share": METER_SHARE,
    }


def board_plate(bench, made):
    """The drawing of the board on the page."""
    from server.drawings.board import board

    project = bench.project
    wires = {Lead(TERMINALS, 0): ("red", True), Lead(TERMINALS, 1): ("black", True)}
    for name, each in project.network.parts.items():
        if each.kind == "driver":
            wires |= {Lead(name, 0): (f"{name} +", False), Lead(name, 1): (f"{name} −", False)}
    return board(made.layout, wires, lengths(bench))


def pad_rows(made, project):
    """For each pad its name, its joint, what ends there with the pad of the other end, and its wires."""
    built = made.layout.built
    rows = []
    for pad in made.layout.pads:
        ends = []
        for lead in pad.leads:
            other = built.get(Lead(lead.part, 1 - lead.end))
            whither = f" (its other end at {other})" if lead.part in made.layout.spots and other else ""
            ends.append(lead_words(lead, project) + whither)
        wires = [b if a == pad.name else a for a, b in made.layout.links if pad.name in (a, b)]
        rows.append((pad.name, joint_of(pad.node, made.ends), ends, wires))
    return rows


def hole_fields(project):
    """(path, label) of every hole that a bought board is asked for."""
    path = "network.bought"
    found = [(f"{path}.red", "Red terminal"), (f"{path}.black", "Black terminal")]
    for name, each in project.network.parts.items() if project.network else ():
        polar = each.kind == "driver"
        for end, words in (
            ("start", "plus" if polar else "one end"),
            ("end", "minus" if polar else "other end"),
        ):
            found.append((f"{path}.parts.{name}.{end}", f"{name}, {words}"))
    return found


def _group_words(project):
    """How several equal drivers of the chosen box are joined to the board; nothing for one."""
    chosen = project.alternatives[project.chosen]
    if chosen.count == 1:
        return ""
    return {
        "parallel": "Its {} drivers are side by side: each plus goes to the one pad, each minus to another.",
        "series": "Its {} drivers are in a row: the minus of each goes to the plus of the next.",
        "series_parallel": "Its {} drivers are in pairs, the minus of one to the plus of the other, and the"
        " pairs side by side.",
    }[chosen.wiring].format(chosen.count)


def _near(layout):
    """Pairs of pads of different joints that lie close to each other."""
    pads = combinations(layout.pads, 2)
    return tuple((a.name, b.name) for a, b in pads if are_near(a, b))


def _untried(poles, kicks):
    """The test of polarity that nobody has made yet, in a few words; nothing where none is left."""
    for null in poles.nulls:
        if null.heard is None:
            return f"exchange the leads of {null.high}, as above"
    for name in poles.woofers:
        if not kicks.get(name):
            return f"which way the cone of {name} jumps, as above"
    return ""


def _left_off(other, project):
    """The leads that go to no hole of a bought board yet."""
    found = other.mistakes if other else ()
    off = [lead for each in found if each.kind == "left off" for lead in each.leads]
    return list(dict.fromkeys(_ends_words(lead, off, project) for lead in off))


def _ends_words(lead, off, project):
    """A lead that goes nowhere; of an unpolar part with its other end, where that goes nowhere either."""
    both = Lead(lead.part, 1 - lead.end) in off
    unpolar = lead.part != TERMINALS and project.network.parts[lead.part].kind != "driver"
    return f"both ends of {lead.part}" if both and unpolar else lead_words(lead, project)


# --- Actions


def _network(document):
    if not document.get("network"):
        raise InputError("network", "is not there yet: begin with a filter")
    return document["network"]


def lay_out(document, argument, typed, result):
    """Take a board that all parts go on with ease."""
    _network(document)
    width, height = proposed(read_project(document))
    return amend(document, {"network.board": {"width": width, "height": height}})


def keep(document, argument, typed, result):
    """Hold every part where it was found, so that it can be moved."""
    made = boarded(read_project(document)) if document.get("network") else None
    if made is None:
        raise InputError("network.board", "is not there yet: lay out a board first")
    edits = {}
    for name, spot in made.layout.spots.items():
        at = {"x": round(spot.x, 4), "y": round(spot.y, 4), "turn": spot.turn}
        edits |= {f"network.board.parts.{name}.{field}": value for field, value in at.items()}
    return amend(document, edits)


def find(document, argument, typed, result):
    """Let the places of all parts be found again."""
    parts = (_network(document).get("board") or {}).get("parts") or {}
    return amend(
        document,
        {f"network.board.parts.{name}.{field}": None for name in parts for field in ("x", "y", "turn")},
    )


def into_box(document, argument, typed, result):
    """Give the board in the cabinet the size, air and weight of this one; lay one in where there is none."""
    made = boarded(read_project(document)) if document.get("network") else None
    if made is None:
        raise InputError("network.board", "is not there yet: lay out a board first")
    plan = made.layout
    found = {"width": plan.width, "height": plan.height, "depth": round(made.depth, 4)}
    found |= {"volume": round(made.volume, 7), "mass": round(made.mass, 3)}
    for name in document["cabinet"].get("boards", {}):
        edits = {f"cabinet.boards.{name}.{field}": value for field, value in found.items()}
        return amend(document, edits)
    place = _where(plan.width, plan.height, result.cabinet.carcass)
    return amend(document, {"cabinet.boards.crossover board": {**found, **place}})


def _where(width, height, carcass):
    """The panel inside on which a board lies, turned if it fits only so; the floor where it fits on none."""
    wide, tall, deep = carcass.inner
    panels = {"bottom": (wide, deep), "back": (wide, tall), "left": (deep, tall)}
    turned = {"width": height, "height": width}
    for panel, room in panels.items():
        middle = _middle(panel, carcass)
        if width <= room[0] and height <= room[1]:
            return {"panel": panel, **middle}
        if height <= room[0] and width <= room[1]:
            return {"panel": panel, **middle, **turned}
    return {"panel": "bottom", **_middle("bottom", carcass)}


def _middle(panel, carcass):
    """The middle of a panel as a place on it. [m]"""
    left, low, right, high = carcass.clear_bounds(panel)
    return {"x": round((left + right) / 2, 4), "y": round((low + high) / 2, 4)}


def take_bought(document, argument, typed, result):
    """Have a bought board, nothing on it yet."""
    _network(document)
    return amend(document, {"network.bought": {}})


def drop(document, what, typed, result):
    """Have no board of one's own, or no bought one."""
    _network(document)
    if what not in ("board", "bought"):
        raise InputError("network.board", "must be the laid out board or the bought one")
    return amend(document, {f"network.{what}": None})


ACTIONS = {
    "lay-out": lay_out,
    "keep": keep,
    "find": find,
    "bought": take_bought,
    "into-box": into_box,
    "drop": drop,
}
