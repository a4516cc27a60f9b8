"""What a cut is called in a file: its kind, depth and tool, so that a machine takes a layer at once."""

from calc.shop.features import PRICKED


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
