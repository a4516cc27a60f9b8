r"""Fibres in a box: how much larger they make it seem, and what they absorb.

Air that is squeezed grows warm and resists the more; fibres take that heat up. Slow and with heat to spare
they make the air isothermal, which yields 1.4 times as much; but heat needs time, fibres take room, and air
that moves among them rubs. The model has one relaxation and one resistance:

.. math:: K(\omega) = 1 - s + s\,\hat C\,\frac{\tanh q}{q}, \qquad
   \hat C = (1-\varphi)\left(1 + \frac{\kappa - 1}{1 + j\omega\tau}\right), \qquad
   q^2 = \frac{j\omega\sigma\hat C t^2}{\rho c^2}

K is the compliance of the box over that of the same box empty, s the share that is filled, phi the volume of
fibres over that of the filling, kappa see `heat_ratio`, tau see `heat_time`, sigma see `flow_resistivity`,
t the thickness of the filling before the wall behind it.
"""

from dataclasses import dataclass
from math import inf, pi

import numpy as np

from calc.errors import InputError, require_positive
from calc.sound.lined_line import GAMMA, PRANDTL
from calc.sound.ranges import require_physical

CP = 1006.0
"""Specific heat of air at constant pressure [J/(kg K)] (from memory, any table of air at 20 °C)."""

GLASS = 2550.0
"""Density of glass [kg/m³] (from memory), whose fibres the law of `flow_resistivity` was measured on."""

USUAL_GAIN = (1.15, 1.25)
"""Apparent over real volume that filled boxes usually reach: a handbook figure, from memory."""

RANGE = (
    "Fibres spread evenly and at rest, in a box that is small against the wavelength. Real filling lies in"
    " tufts, which take up heat more slowly, and loose fibres drift with the air: take the gain as the most"
    " that can be had. Filled boxes usually come to 1.15 to 1.25."
)
"""What a page says of the model."""

DENSITIES = np.geomspace(1, 200, 107)
"""Packed densities that are tried for the best one, 5 % apart: all that a project may state. [kg/m³]"""


@dataclass(frozen=True)
class Material:
    """A fibre: `diameter` [m], `density` [kg/m³] and specific heat `cf` [J/(kg K)] of the fibre itself.

    `packed` [kg/m³] is how dense it usually lies, least and most.
    """

    words: str
    diameter: float
    density: float
    cf: float
    packed: tuple[float, float]
    source: str


_HANDBOOK = (
    "specific heat and density of the fibre from memory, any handbook; diameter and packing common practice"
)

MATERIALS = {
    "polyester": Material("polyester wadding", 25e-6, 1380, 1250, (6, 20), _HANDBOOK),
    "glass": Material("glass wool", 7e-6, GLASS, 820, (10, 40), _HANDBOOK),
    "mineral": Material("mineral wool", 6e-6, 2750, 840, (25, 60), _HANDBOOK),
    "wool": Material("sheep's wool", 28e-6, 1310, 1360, (8, 25), _HANDBOOK),
    "cotton": Material("cotton felt", 16e-6, 1520, 1330, (20, 60), _HANDBOOK),
}

DUST = (
    "Glass and mineral wool shed fibres that sting skin, eyes and lungs: gloves, long sleeves, goggles and a"
    " dust mask, and a cloth over it in the box so that none blows out of a port. Follow what its maker says."
)
"""The caution that stands beside these materials."""


def material_called(name):
    """The `Material` of that key."""
    if name not in MATERIALS:
        raise InputError("material", "must be one of the fibres that are known here")
    return MATERIALS[name]


# --- one fibre and the air around it ---


def fibre_share(density, material):
    """phi [-]: volume of the fibres over that of the filling of packed `density` [kg/m³]."""
    _require_density(density, material)
    return np.asarray(density, dtype=float) / material.density


def heat_ratio(density, material, rho, gamma=GAMMA):
    r"""kappa [-]: how much more the air among fibres yields when there is time for their heat, 1 to gamma.

    With m kg of fibre per m³ of air and both at one temperature, heating at constant pressure takes
    cp rho + m cf, at constant volume cv rho + m cf. Their ratio is the gamma of the mixture [1]_, and the
    compliance goes as its inverse:

    .. math:: \kappa = \frac{\gamma}{\gamma_e} = \gamma\,\frac{c_v\rho + m c_f}{c_p\rho + m c_f}
       = 1 + (\gamma - 1)\frac{b}{1 + b}, \qquad b = \frac{m c_f}{c_p\rho}

    Parameters
    ----------
    density : array_like
        Packed. [kg/m³]
    material : Material
    rho : float
        Density of air. [kg/m³]

    References
    ----------
    .. [1] Isothermal and adiabatic limits: any text on heat; R. H. Small, Closed-Box Loudspeaker Systems,
       Part I, J. Audio Eng. Soc. 20, 1972, takes them for filled boxes (from memory). Derived.
    """
    b = _heat_of_fibres(density, material, rho)
    return 1 + (gamma - 1) * b / (1 + b)


def _heat_of_fibres(density, material, rho):
    """b [-]: heat capacity of the fibres over that of the air among them."""
    require_physical(rho=rho)
    phi = fibre_share(density, material)
    return phi / (1 - phi) * material.density * material.cf / (CP * rho)


def heat_time(density, material, rho, mu):
    r"""tau [s]: how long air and fibres need to come to one temperature.

    A fibre of radius a stands in a cell of air of radius R = a/sqrt(phi), across whose rim no heat goes. If
    q W/m³ are set free evenly, k T'' + k T'/r = -q, T(a) = 0, T'(R) = 0 give
    T = q/(2k) (R² ln(r/a) - (r² - a²)/2), and the mean over the air

    .. math:: \frac{\rho c_p \bar T}{q} = \frac{R^2}{2\alpha}
       \left(\frac{-\ln\varphi}{2(1-\varphi)} - \frac34 + \frac\varphi4\right)

    is the time in which it settles; for thin fibres the bracket is ln(R/a) - 3/4. As the fibre grows warm
    itself, both meet sooner, by b/(1 + b): see `heat_ratio`.

    Parameters
    ----------
    density : array_like
        Packed. [kg/m³]
    material : Material
    rho, mu : float
        Density [kg/m³] and viscosity [Pa s] of air; alpha = mu/(rho Prandtl) is how fast heat spreads in it.

    Notes
    -----
    One time stands for a row of them. Against the cell solved on a grid, heat in the fibre included, the gain
    is within 2.5 % up to w tau = 0.5, 5.5 % at 1 and 18 % at 3 (there dense wool; thin packing half of that).
    Even spacing: tufts are slower.
    """
    phi = fibre_share(density, material)
    alpha = mu / (rho * PRANDTL)
    R2 = (material.diameter / 2) ** 2 / phi
    settled = R2 / (2 * alpha) * (-np.log(phi) / (2 * (1 - phi)) - 0.75 + phi / 4)
    b = _heat_of_fibres(density, material, rho)
    return settled * b / (1 + b)


def flow_resistivity(density, material):
    """sigma [Pa s/m²]: resistance to steady flow through a metre of fibres of packed `density` [kg/m³].

    3.18e-9 rho^1.53/d² [1]_ for glass; other fibres count by the room that they take, since it is their
    surface and not their weight that rubs.

    Notes
    -----
    The law fits glass and mineral wools within some 30 %; the step to other fibres is an estimate. Below what
    evenly spaced fibres across the flow would do (Kuwabara's cell), as real ones lie in bunches.

    References
    ----------
    .. [1] D. A. Bies and C. H. Hansen, "Flow resistance information for acoustical design," Applied
       Acoustics 13, 1980 (from memory).
    """
    _require_density(density, material)
    as_glass = np.asarray(density, dtype=float) * GLASS / material.density
    return 3.18e-9 * as_glass**1.53 / material.diameter**2


# --- a box with fibres ---


def layer_thickness(place, share, Vb, reach=None):
    """How thick the filling lies before the wall behind it [m]: what the air has to go through.

    Parameters
    ----------
    place : {"walls", "throughout"}
        A lining on all six walls, here of a cube: air hardly moves there, and only to squeeze the lining
        itself. Or loose from the far wall forward: air goes through all of it.
    share : float
        Of the box that is filled. [-]
    Vb : float
        [m³]
    reach : float, optional
        From the driver to the far wall [m]; the side of a cube of Vb if not given.
    """
    _require_share(share)
    require_physical(Vb=Vb)
    side = np.cbrt(Vb)
    if place == "walls":
        return side / 2 * (1 - (1 - share) ** (1 / 3))
    if place != "throughout":
        raise InputError("place", "must be on the walls or throughout")
    if reach is None:
        reach = side
    require_positive(reach=reach)
    return share * reach


def relative_compliance(f, share, density, material, thickness, c, rho, mu, gamma=GAMMA):
    """K [-]: compliance of a box with fibres over that of the same box empty; complex, as the module says.

    Parameters
    ----------
    f : array_like
        [Hz]
    share : float
        Of the box that is filled, 0 to 1. [-]
    density : array_like
        Packed, of the filled part. [kg/m³]
    material : Material
        See `MATERIALS`.
    thickness : float
        See `layer_thickness`. [m]
    c, rho, mu : float
        Of air: speed of sound [m/s], density [kg/m³], viscosity [Pa s].
    gamma : float
        Of air. [-]

    Returns
    -------
    K : ndarray of complex

    Raises
    ------
    InputError
        For a share outside 0 to 1 or a density that is none.

    Notes
    -----
    See `RANGE`, and up to `highest_frequency`. The resistance is the flow's through the filling for the air
    of the filling alone; what a port's air rubs when it must come through fibres is not in it, so the way
    from driver to port is left free. Fibres that move with the air rub less and add to the moving mass, which
    is not in it either.
    """
    _require_share(share)
    require_physical(f=f, c=c, rho=rho)
    if not np.all(np.asarray(thickness) >= 0):
        raise InputError("thickness", "must be zero or a number above it")
    s = 2j * pi * np.asarray(f, dtype=float)
    phi = fibre_share(density, material)
    kappa, tau = heat_ratio(density, material, rho, gamma), heat_time(density, material, rho, mu)
    C = (1 - phi) * (1 + (kappa - 1) / (1 + s * tau))
    q = np.sqrt(s * flow_resistivity(density, material) * C * thickness**2 / (rho * c**2))
    return 1 - share + share * C * _tanh_over(q)


def _tanh_over(q):
    """tanh(q)/q, which is 1 at 0."""
    small = abs(q) < 1e-4
    q = np.where(small, 1.0, q)
    return np.where(small, 1.0, np.tanh(q) / q)


def apparent_ratio(f, share, density, material, thickness, c, rho, mu, gamma=GAMMA):
    """Apparent over real volume of a box with fibres at f [Hz], 1 to gamma; below 1 where they choke it.

    1/Re(1/K), the air that in series with a resistance does the same. Arguments as for `relative_compliance`.
    """
    return 1 / (1 / relative_compliance(f, share, density, material, thickness, c, rho, mu, gamma)).real


def absorption_Q(f, share, density, material, thickness, c, rho, mu, gamma=GAMMA):
    """QA [-] of the fibres at f [Hz], by heat and by friction; infinite where nothing is lost.

    Re(1/K)/Im(1/K), QA = 1/(w Cab Rab) of the apparent volume. Arguments as for `relative_compliance`.
    """
    stiffness = 1 / relative_compliance(f, share, density, material, thickness, c, rho, mu, gamma)
    lost = np.maximum(stiffness.imag, 0.0)
    return np.divide(stiffness.real, lost, out=np.full(lost.shape, inf), where=lost > 0)[()]


def highest_frequency(reach, c):
    """Up to where the air of a box is one lump [Hz]: half a radian of a wave fits in `reach` [m].

    The lump errs by a twelfth there, more above, where standing waves begin.
    """
    require_positive(reach=reach)
    require_physical(c=c)
    return c / (4 * pi * reach)


# --- how much to take ---


@dataclass(frozen=True)
class Advice:
    """What the model says of a packed density: `verdict`, in `words`, and what would do best.

    verdict : "little" | "right" | "much" | "nothing"
    best : density that makes the box seem largest [kg/m³]; ratio, QA : what that gives [-].
    enough : density from which nine tenths of that gain are had [kg/m³].
    most : density up to which they are kept [kg/m³]; None if all that were tried keep them.
    """

    verdict: str
    words: str
    best: float
    ratio: float
    QA: float
    enough: float
    most: float | None


_ADVICE = {
    "little": "Too little to do much: fibres so far apart take up heat too slowly, or hold too little of it.",
    "right": "About right: denser or looser would change little.",
    "much": "More than is good: the fibres take room, and the air cannot get through them in time.",
    "nothing": "Nothing is gained here: fibres this thick or this dense only take room.",
}


def density_advice(f, share, density, material, thickness, c, rho, mu):
    """The `Advice` on a packed density, by trying `DENSITIES` at f [Hz]; arguments as `relative_compliance`.

    It judges how large the box seems. A box that is only to be quietened at middle frequencies is lined by
    other rules.
    """
    _require_density(density, material)
    rest = (material, thickness, c, rho, mu)
    ratios = apparent_ratio(f, share, DENSITIES, *rest)
    best = DENSITIES[np.argmax(ratios)]
    gain = ratios.max() - 1
    kept = DENSITIES[ratios - 1 >= 0.9 * gain] if gain > 0 else DENSITIES
    verdict = _verdict(density, gain, kept)
    return Advice(
        verdict=verdict,
        words=_ADVICE[verdict],
        best=float(best),
        ratio=float(ratios.max()),
        QA=float(absorption_Q(f, share, best, *rest)),
        enough=float(kept[0]),
        most=None if kept[-1] == DENSITIES[-1] else float(kept[-1]),
    )


def _verdict(density, gain, kept):
    if gain <= 0.005:
        return "nothing"
    if density < kept[0]:
        return "little"
    return "much" if density > kept[-1] else "right"


def filling_mass(share, density, Vb):
    """What to weigh out for one box. [kg]"""
    _require_share(share)
    require_physical(Vb=Vb)
    return share * density * Vb


def _require_share(share):
    if not np.all((np.asarray(share) >= 0) & (np.asarray(share) <= 1)):
        raise InputError("share", "must be a share of the box, from 0 to 100 percent")


def _require_density(density, material):
    density = np.asarray(density, dtype=float)
    if not np.all((density > 0) & (density <= 0.5 * material.density)):
        raise InputError(
            "density", "must be how heavy the packed fibres are, above zero and well under their own"
        )
