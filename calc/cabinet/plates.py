"""How stiffly a panel bends: one board, or layers that are glued, or that slip.

A second layer glued on all over makes a panel of twice the thickness: eight times as stiff, twice as heavy,
its notes twice as high. The same layer only screwed on slips: twice as stiff, twice as heavy, no higher.
"""

from dataclasses import dataclass

import numpy as np

from calc.errors import InputError, require_positive, require_within


@dataclass(frozen=True)
class Layer:
    """A board or a layer of one.

    h : thickness [m]. density : [kg/m³]. E1, E2 : moduli along the panel's two sides a and b [Pa].
    G : shear in its plane [Pa]. nu : Poisson's ratio of a pull along a. Left out, E2 and G are those of a
    stuff alike in all directions.
    """

    h: float
    density: float
    E1: float
    E2: float | None = None
    G: float | None = None
    nu: float = 0.3

    def __post_init__(self):
        require_positive(h=self.h, density=self.density, E1=self.E1, E2=self.E2, G=self.G)
        require_within(0, 0.499, "must be at least zero and less than a half", nu=self.nu)
        if self.E2 is None:
            object.__setattr__(self, "E2", self.E1)
        if self.G is None:
            object.__setattr__(self, "G", self.E1 / (2 * (1 + self.nu)))
        if self.nu**2 * self.E2 >= self.E1:
            raise InputError("nu", "is too large for a stuff that is so much stiffer across than along")

    @property
    def Q(self):
        """Stiffness in its plane [[Q11, Q12], [Q12, Q22]], what the sides stretch. [Pa]"""
        across = self.nu * self.E2
        return np.array([[self.E1, across], [across, self.E2]]) / (1 - self.nu**2 * self.E2 / self.E1)


@dataclass(frozen=True)
class Plate:
    """What a plate's bending needs: rigidities `D1` along a, `D2` along b, `H` mixed [N m], mass `m` [kg/m²].

    H is D12 + 2 D66. Of a plate alike in all directions all three are E h³ / (12 (1 - nu²)).
    """

    D1: float
    D2: float
    H: float
    m: float


def glued(*layers):
    """One `Plate` of layers that are glued face to face, given from one face to the other.

    Notes
    -----
    Laminate theory. Layers that do not lie alike about the middle stretch as they bend: that is condensed out
    of the bending, D - B A⁻¹ B, which puts the neutral plane where it costs least.
    """
    z = _middles(layers)
    A = sum(layer.Q * layer.h for layer in layers)
    B = sum(layer.Q * layer.h * at for layer, at in zip(layers, z, strict=True))
    D = sum(layer.Q * (layer.h**3 / 12 + layer.h * at**2) for layer, at in zip(layers, z, strict=True))
    D = D - B @ np.linalg.solve(A, B)
    a = sum(layer.G * layer.h for layer in layers)
    b = sum(layer.G * layer.h * at for layer, at in zip(layers, z, strict=True))
    d = sum(layer.G * (layer.h**3 / 12 + layer.h * at**2) for layer, at in zip(layers, z, strict=True))
    D66 = d - b**2 / a
    return Plate(float(D[0, 0]), float(D[1, 1]), float(D[0, 1]) + 2 * D66, _mass(layers))


def slipping(*layers):
    """One `Plate` of layers that lie on each other and slip: screwed, or glued with something soft."""
    if not layers:
        raise InputError("layers", "must be at least one")
    each = [glued(layer) for layer in layers]
    return Plate(
        sum(p.D1 for p in each), sum(p.D2 for p in each), sum(p.H for p in each), sum(p.m for p in each)
    )


def _middles(layers):
    """Height of each layer's middle above the lower face. [m]"""
    if not layers:
        raise InputError("layers", "must be at least one")
    tops = np.cumsum([layer.h for layer in layers])
    return [float(top) - layer.h / 2 for top, layer in zip(tops, layers, strict=True)]


def _mass(layers):
    return sum(layer.density * layer.h for layer in layers)
