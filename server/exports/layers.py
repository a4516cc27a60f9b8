"""What a cut is called in a file: its kind, depth and tool, so that a machine takes a layer at once."""

from calc.shop.features import PRICKED
from calc.shop.rings import rectangle


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


def names_on(sheet):
    """(text, x, y [m]) of what is written on each part of a sheet, from its middle."""
    for each in sheet.parts:
        x, y = ((min(c[n] for c in each.blank) + max(c[n] for c in each.blank)) / 2 for n in (0, 1))
        words = each.side.name, "left long to fit" if each.left_long else ""
        yield f"{each.letter}. {', '.join(filter(None, words))}", x, y


def layer(feature, first=True):
    """The layer's name: ``GROOVE_6.0MM_BIT_12.70MM``. REFERENCE is an outline that is not cut here.

    Characters are those that every drawing format takes in a name.
    """
    if feature.kind == "outline" and not first:
        return "REFERENCE"
    if feature.kind in PRICKED:
        return f"PRICK_{feature.kind.upper()}S"
    depth = f"THROUGH_{feature.depth * 1e3:.1f}MM" if feature.through else f"{feature.depth * 1e3:.1f}MM"
    if feature.kind == "chamfer":
        tool = "CHAMFER_BIT"
    elif feature.slanted:
        tool = "SLANTED_FLOOR"
    elif feature.kind == "hole" and not feature.bit:
        tool = f"DRILL_{feature.shape.diameter * 1e3:.2f}MM"
    else:
        tool = f"BIT_{feature.bit * 1e3:.2f}MM" if feature.bit else "NO_BIT_FITS"
    return f"{feature.kind.upper()}_{depth}_{tool}"
