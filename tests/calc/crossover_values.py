"""The check values of tests/data/crossover.json."""

import json
from pathlib import Path

import numpy as np

FILE = json.loads((Path(__file__).parents[1] / "data" / "crossover.json").read_text())
CHECKS = {check["id"]: check for check in FILE["checks"]}


def check(name):
    """The inputs, the expected values and the tolerance of one check."""
    one = CHECKS[name]
    return one["inputs"], one["expected"], one["tolerance"]


def dB(H):
    """Level of a transfer; a perfect null is -400 dB."""
    return 20 * np.log10(np.maximum(abs(np.asarray(H)), 1e-20))
