"""What a cut is called in a file: its kind, depth and tool, so that a machine takes a layer at once."""

import numpy as np

from calc.shop.features import PRICKED
from calc.shop.rings import rectangle
from server.exports.words import Spots, traced

LETTER_WIDTH, LETTER_HEIGHT = 0.65, 1.3
"""Of plain letters with their tails, over their size (common practice, no source)."""


def of_side(side):
    """(layer, shape) of all that is cut at one setting of a part."""
    return [(layer(each, side.first), each.shape) for each in side.features]


def of_sheet(sheet):
    """The same of a `calc.evaluate_nested.Nested`, with the sheet, its trimmed edge and what is sawn."""
    (length, width), trim = sheet.laid.size, sheet.laid.trim
    found = [("STOCK", rectangle(0.0, 0.0, length, width))]
    if trim:
        found.append(("TRIM", rectangle(trim, trim, length - trim, width - trim)))
    found += [("PIECES", each.blank) for each in sheet.parts]
    return found + [(layer(cut, each.side.first), cut.shape) for each in sheet.parts for cut in each.features]


def names_on(sheet, size):
    """(text, x, y, upright) of what is written on each part of a sheet, clear of its cuts, about a middle
    x, y in letters of a `size`; upright ones read from below. [mm]"""
    for each in sheet.parts:
        words = each.side.name, "left long to fit" if each.left_long else ""
        text = f"{each.letter}. {', '.join(filter(None, words))}"
        cuts = [traced(cut.shape) for cut in each.features]
        blank = traced(each.blank)
        spots = Spots((*blank.min(axis=0), *blank.max(axis=0)), np.concatenate([blank, *cuts]))
        wide, tall = LETTER_WIDTH * size * len(text), LETTER_HEIGHT * size
        x, y, upright = spots.place(np.reshape(spots.window, (2, 2)), wide, tall)
        across, up = (tall, wide) if upright else (wide, tall)
        yield text, x + across / 2, y + up / 2, upright


def layer(feature, first=True):
    """The layer's name: ``GROOVE_6.0MM_BIT_12.70MM``. REFERENCE is an outline that is not cut here.

    Characters are those that every drawing format takes in a name.
    """
    if feature.kind == "outline" and not first:
        return "REFERENCE"
    if feature.kind in PRICKED:
        return f"PRICK_{feature.kind.upper()}S"
    depth = f"{'THROUGH_' if feature.through else ''}{_millimetres(feature.depth)}MM"
    if feature.kind == "chamfer":
        tool = "CHAMFER_BIT"
    elif feature.slanted:
        tool = "SLANTED_FLOOR"
    elif feature.kind == "hole" and not feature.bit:
        tool = f"DRILL_{feature.shape.diameter * 1e3:.2f}MM"
    else:
        tool = f"BIT_{feature.bit * 1e3:.2f}MM" if feature.bit else "NO_BIT_FITS"
    return f"{feature.kind.upper()}_{depth}_{tool}"


def _millimetres(depth):
    """A depth as a machine is set to it: 6.0, and 6.35 where a tenth would not tell it."""
    text = f"{depth * 1e3 * (1 + 1e-9):.2f}"
    return text.removesuffix("0")
