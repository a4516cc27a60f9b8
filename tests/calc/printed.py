"""The check values of tests/data/box_acoustics.json, and the tolerances that they were given with."""

import json
from pathlib import Path

import numpy as np
from numpy.testing import assert_allclose

FILE = json.loads((Path(__file__).parents[1] / "data" / "box_acoustics.json").read_text())
CHECKS = {check["id"]: check for check in FILE["checks"]}


def checks(*starts):
    """All checks whose id begins with one of `starts`; there is at least one for each."""
    for start in starts:
        assert any(name.startswith(start) for name in CHECKS), start
    return [check for name, check in CHECKS.items() if name.startswith(starts)]


def name(check):
    """For pytest's ids."""
    return check["id"]


def compare(check, found):
    """Hold `found` {key: value} against a check: every key that it expects, within its own tolerance."""
    assert found.keys() == check["expected"].keys()
    for key, wanted in check["expected"].items():
        assert_allclose(np.asarray(found[key], float), wanted, **tolerance(check, key, wanted), err_msg=key)


def tolerance(check, key, wanted):
    """Absolute for decibel and degree, relative for the rest, 1e-4 for an expected zero."""
    given = check["tolerance"]
    if key == "Z_phase":
        return {"rtol": 0, "atol": given["phase"]}
    if key.startswith("level") or key.endswith("_db"):
        return {"rtol": 0, "atol": given.get("abs_db", given.get("abs", 0.01))}
    if np.all(np.asarray(wanted) == 0):
        return {"rtol": 0, "atol": 1e-4}
    return {"rtol": given.get("rel_mu", given["rel"]) if key == "mu" else given["rel"], "atol": 0}
