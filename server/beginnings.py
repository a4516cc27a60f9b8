"""Projects to begin from: the demos, one that starts from drivers, one that starts from a plan."""

import json
from functools import cache
from pathlib import Path

from calc.cabinet.joints import rabbeted
from calc.project_cabinet import PANELS
from calc.shop.fractions import INCH
from calc.shop.screws import gauge_diameter
from server.documents import plain, read_project

DEMOS = ("reading_room", "hall_subwoofer")


@cache
def _demo_text(name):
    return (Path(__file__).parent / "demos" / f"{name}.json").read_text(encoding="utf-8")


def demo(name):
    """A fresh copy of one of the `DEMOS`, as a document."""
    return _whole(json.loads(_demo_text(name)))


def _whole(document):
    """The document with every default written out, so that a first change is told as what it is."""
    return plain(read_project(document))


def stock(shelf):
    """Put both demos on an empty shelf, so that a first visit finds a finished chain to play with."""
    if not shelf.read_only and not shelf.shelf():
        for name in reversed(DEMOS):
            shelf.create(demo(name))


def from_drivers(show):
    """A document with one driver to be filled in; its cabinet will follow the volume that suits it.

    Begun in inches, its sizes are inches that a rule shows, and its sheet and tools those sold by the inch.
    """
    return _whole(_blank("From drivers", show))


def from_plan(show):
    """A document for a plan's sizes: the outside is held, the port has a length, the rest is to be typed.

    Its sizes are whole inches where it is begun in inches, see `from_drivers`.
    """
    document = _blank("From a plan", show)
    imperial = show == "imperial"
    document["alternatives"] = {
        "A": {
            "driver": "woofer",
            "box": {
                "kind": "vented", "Vb": None, "fb": None,
                "port": {"count": 1, "shape": {"kind": "round", "diameter": 2 * INCH if imperial else 0.05},
                         "length": 6 * INCH if imperial else 0.15,
                         "panel": "back", "y": 12 * INCH if imperial else 0.3},
            },
        }
    }  # fmt: skip
    document["cabinet"]["hold"] = "outer"
    document["cabinet"]["size"] = _size(9, 16, 12) if imperial else _size(0.22, 0.4, 0.3, unit=1)
    return _whole(document)


def _size(width, height, depth, unit=INCH):
    return {"width": width * unit, "height": height * unit, "depth": depth * unit}


def _blank(title, show):
    imperial = show == "imperial"
    rabbet = 5 / 16 * INCH if imperial else 0.0088
    return {
        "format": 1,
        "title": title,
        "notes": "",
        "show": show,
        "drivers": {"woofer": {"name": "", "kind": "woofer"}},
        "alternatives": {"A": {"driver": "woofer", "box": {"kind": "closed", "Vb": None}}},
        "chosen": "A",
        "cabinet": {
            "hold": "inner",
            "size": _size(7, 14, 10) if imperial else _size(0.18, 0.36, 0.25, unit=1),
            "panels": dict.fromkeys(PANELS, "sheet"),
            "edges": rabbeted(rabbet, rabbet),
            "braces": {},
            "seats": {"woofer": {"driver": "woofer", "y": 7.5 * INCH if imperial else 0.19}},
            "holes": {},
            "displaced": {},
        },
        "workshop": _inch_shop() if imperial else _metric_shop(),
    }


def _metric_shop():
    return {
        "sheets": {"sheet": {"name": "Birch ply, sold as 18", "nominal": 0.018, "thickness": 0.0177,
                             "density": 685.0}},
        "bits": {"straight": 0.012},
        "bit": "straight",
    }  # fmt: skip


def _inch_shop():
    """What is ordinary where sheets, blades and bits are sold by the inch (common practice, no source)."""
    return {
        "sheets": {"sheet": {"name": "Birch ply, sold as 3/4", "nominal": 3 / 4 * INCH,
                             "thickness": 23 / 32 * INCH, "density": 685.0,
                             "length": 96 * INCH, "width": 48 * INCH}},
        "bits": {"straight": 1 / 2 * INCH},
        "bit": "straight",
        "kerf": 1 / 8 * INCH,
        "trim": 3 / 8 * INCH,
        "pass_depth": 1 / 8 * INCH,
        "flange_clearance": 1 / 32 * INCH,
        "web": 1 / 16 * INCH,
        "least_wood": 3 / 16 * INCH,
        "over": 1 / 16 * INCH,
        "screw": gauge_diameter(6),
        "saw": {
            "rail": 55 * INCH,
            "reach": 30 * INCH,
            "play": 0.006 * INCH,
            "shims": {f"shim {n}": thou / 1000 * INCH for n, thou in enumerate((4, 4, 8, 12, 20), 1)},
        },
    }  # fmt: skip
