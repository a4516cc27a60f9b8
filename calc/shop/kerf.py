"""How much of a sheet the saw turns to dust: what to expect before one's own cut is measured."""

KERFS = {
    "a full blade": (0.0032, 0.0032), "a thin one": (0.0024, 0.0024), "a track saw": (0.0018, 0.0022),
    "a panel saw": (0.0032, 0.0044),
}  # fmt: skip
"""Least and most width of the cut [m]; what the trade sells, from memory. A cut in scrap tells yours."""

TRIMMED = 0.005, 0.01
"""Taken off each factory edge, which is no reference until it is cut (common practice, from memory). [m]"""
