"""Projects to begin from: the demos, one that starts from drivers, one that starts from a plan."""

import json
from functools import cache
from pathlib import Path

from calc.cabinet.joints import rabbeted
from calc.project_cabinet import PANELS
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
    """A document with one driver to be filled in; its cabinet will follow the volume that suits it."""
    return _whole(_blank("From drivers", show))


def from_plan(show):
    """A document for a plan's sizes: the outside is held, the port has a length, the rest is to be typed."""
    document = _blank("From a plan", show)
    document["alternatives"] = {
        "A": {
            "driver": "woofer",
            "box": {
                "kind": "vented", "Vb": None, "fb": None,
                "port": {"count": 1, "shape": {"kind": "round", "diameter": 0.05}, "length": 0.15,
                         "panel": "back", "y": 0.3},
            },
        }
    }  # fmt: skip
    document["cabinet"]["hold"] = "outer"
    document["cabinet"]["size"] = {"width": 0.22, "height": 0.4, "depth": 0.3}
    return _whole(document)


def _blank(title, show):
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
            "size": {"width": 0.18, "height": 0.36, "depth": 0.25},
            "panels": dict.fromkeys(PANELS, "sheet"),
            "edges": rabbeted(0.0088, 0.0088),
            "braces": {},
            "seats": {"woofer": {"driver": "woofer", "y": 0.19}},
            "holes": {},
            "displaced": {},
        },
        "workshop": {
            "sheets": {"sheet": {"name": "Birch ply, sold as 18", "nominal": 0.018, "thickness": 0.0177,
                                 "density": 685.0}},
            "bits": {"straight": 0.0127 if show == "imperial" else 0.012},
            "bit": "straight",
        },
    }  # fmt: skip
