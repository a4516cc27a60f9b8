"""What builders read off an impedance curve to learn a driver's values is in the curve of the circuit."""

from dataclasses import replace
from math import sqrt

import numpy as np
import pytest
from numpy.testing import assert_allclose
from printed import CHECKS, checks, compare, name

from calc.sound.closed_box import closed_box
from calc.sound.driver import completed, constants

C, RHO = 343.2, 1.204
ROOM = 1e4  # free air: the air of so large a room is no spring [m³]
MECHANICAL = CHECKS["ts.forward"]["inputs"]
SIX = ("fs", "Qms", "Qes", "Vas", "Sd", "Re")


def driver(**coil):
    sheet = completed(MECHANICAL, C, RHO).values
    return constants(*(sheet[symbol] for symbol in SIX), C, RHO, **coil)


def read(one, V):
    """Resonance, its height r0 over Re, f1 and f2 where |Z| = Re sqrt(r0), and the Qs that follow."""
    f = np.geomspace(8, 300, 200001)
    Z = closed_box(f, one, V, C, RHO).Z / one.Re
    top = Z.argmax()
    r0 = Z[top]
    inside = f[sqrt(r0) <= Z]
    f1, f2 = inside[0], inside[-1]
    Qms = f[top] * sqrt(r0) / (f2 - f1)
    return {
        "fs": f[top], "r0": r0, "f1": f1, "f2": f2, "sqrt_f1f2": sqrt(f1 * f2),
        "Qms": Qms, "Qes": Qms / (r0 - 1), "Qts": Qms / r0,
    }  # fmt: skip


@pytest.mark.parametrize("check", checks("id.r0_"), ids=name)
def test_the_peak_in_free_air(check):
    """Exact for a plain resistance; half a millihenry shifts the Qs by half a percent."""
    compare(check, read(driver(Le=check["inputs"]["Le"]), ROOM))


def test_an_added_mass():
    check = CHECKS["id.added_mass"]
    at, bare = check["inputs"], driver()
    loaded = replace(bare, Mms=bare.Mms + at["added_mass"])
    fs, fs_loaded = read(bare, ROOM)["fs"], read(loaded, ROOM)["fs"]
    assert_allclose([fs, fs_loaded], [at["fs"], at["fs_loaded"]], rtol=1e-4)
    Mms = at["added_mass"] / ((fs / fs_loaded) ** 2 - 1)
    Cms = 1 / ((2 * np.pi * fs) ** 2 * Mms)
    found = {"fs_loaded": fs_loaded, "Mms": Mms, "Cms": Cms, "Vas": RHO * C**2 * at["Sd"] ** 2 * Cms}
    compare(check, found)


@pytest.mark.parametrize(
    ("name", "air_load"), [("id.known_volume", 0.0), ("id.known_volume_massload", 0.8e-3)]
)
def test_a_box_of_known_volume(name, air_load):
    """The air that the box loads the cone with spoils the bare frequency ratio; Small's form keeps right."""
    check = CHECKS[name]
    at, bare = check["inputs"], driver()
    free = read(bare, ROOM)
    boxed = read(replace(bare, Mms=bare.Mms + air_load), at["Vt"])
    assert_allclose([boxed["fs"], boxed["Qes"]], [at["fc"], at["Qec"]], rtol=2e-4)
    found = {
        "Vas_simple": at["Vt"] * ((boxed["fs"] / free["fs"]) ** 2 - 1),
        "Vas_small": at["Vt"] * (boxed["fs"] * boxed["Qes"] / (free["fs"] * free["Qes"]) - 1),
    }
    compare(check, found)
