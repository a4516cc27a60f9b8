"""One project -> the map of all boxes that its chosen drivers could have, and any one box on it."""

from dataclasses import dataclass, replace

import numpy as np

from calc.errors import InputError
from calc.evaluate import FREQUENCIES
from calc.evaluate_box import box as evaluated_box
from calc.evaluate_box import fields_of
from calc.evaluate_port import sized, tubes, way
from calc.project import ClosedBox
from calc.sound import alignments, box_map, limits, port
from calc.sound.box_circuit import ClosedCircuit, VentedCircuit
from calc.sound.ranges import require_physical

GRID = 60, 45
"""Volumes and tunings of the map."""

NEAR = 0.1
"""How far the driver's Q may lie off that of a response whose box is named on the map. [-]"""


@dataclass(frozen=True)
class Spot:
    """A box with a name: its net volume Vb [m³] and its tuning fb [Hz], None for a closed one."""

    name: str
    Vb: float
    fb: float | None


@dataclass(frozen=True)
class Land:
    """The map of vented boxes of the chosen drivers, and the strip of their closed ones.

    Vb : (n,) real net volumes [m³]; fb : (m,) tunings [Hz]
    boxes : `BoxMap`, strip : `ClosedStrip`; their own Vb is as large as the filling makes it seem
    length : masked array (n, m), port length [m], masked where those ports cannot tune that box; None if
        the chosen box has no ports
    flat : masked array (n,), the tuning of each volume that reaches lowest without a rise [Hz]
    designs : `Spot`s of the boxes being weighed that have the same drivers, wired and fed alike
    families : `Spot`s by filter theory, in the same drivers' own size
    wider, lower, both : cut-off [Hz] of the chosen box with half as much air again, with a tuning 15 percent
        lower, with both; each None where it makes no sense or is out of sight
    drive : what travel and air speed hold for, over 2.83 V
    """

    Vb: np.ndarray
    fb: np.ndarray
    boxes: box_map.BoxMap
    strip: box_map.ClosedStrip
    length: np.ma.MaskedArray | None
    flat: np.ma.MaskedArray
    designs: tuple
    families: tuple
    wider: float | None
    lower: float | None
    both: float | None


MORE_AIR, LESS_TUNING = 1.5, 0.85
"""What is tried for the answer."""


def land(project, result):
    """The `Land` of the chosen box's drivers; None while they are not known."""
    box = result.box
    if box.missing:
        return None
    each = project.alternatives[result.chosen]
    known = _known(box)
    families = _families(box, known)
    designs = tuple(
        Spot(key, other.Vb, other.fb)
        for key, other in result.boxes.items()
        if other.kind in ("closed", "vented") and _fed_alike(project, result, key)
    )
    Vb, fb = _span(box, designs, families)
    ratio = _ratio(box)
    ports = _ports(each.box)
    boxes = box_map.box_map(known["driver"], Vb * ratio, fb, ports=ports, **_settings(known))
    return Land(
        Vb=Vb,
        fb=fb,
        boxes=boxes,
        strip=box_map.closed_strip(
            known["driver"], Vb * ratio, **{k: v for k, v in _settings(known).items() if k != "QP"}
        ),
        length=_lengths(each.box, Vb[:, None] * ratio, fb, ports, known["c"]) if ports else None,
        flat=box_map.flattest(boxes),
        designs=designs,
        families=tuple(spot for spot in families if _on(spot, Vb, fb)),
        **_answer(box, known),
    )


def _known(box):
    """What all boxes of the map share, as `box_map` calls it; its source gives the stated power."""
    circuit = box.circuit
    return dict(
        driver=circuit.driver, c=circuit.c, rho=circuit.rho, V=box.volts, Rs=circuit.Rs, QL=circuit.QL,
        QA=getattr(circuit, "QA", None), QP=getattr(circuit, "QP", None),
        capacitor=circuit.capacitor, high_pass=circuit.high_pass,
    )  # fmt: skip


def _settings(known):
    return {name: value for name, value in known.items() if name != "driver"}


def _ratio(box):
    """How much larger the air seems than it is; a band-pass is lined behind the cone alone. [-]"""
    return 1.0 if box.kind == "band_pass" else box.apparent / box.Vb


def _fed_alike(project, result, key):
    mine, other = (project.alternatives[k] for k in (result.chosen, key))
    return result.boxes[key].group == result.box.group and mine.Rs == other.Rs


def _ports(box):
    """What `box_map` has to know of the ports of a vented box; none of any other."""
    return tuple(sized(each, name) for name, each in tubes(box).items()) if box.kind == "vented" else ()


def _lengths(box, Vb, fb, ports, c):
    """Lengths of the first ports [m], masked where they cannot be: too short, or others tune higher alone."""
    least = max(way(each, name).least for name, each in tubes(box).items())
    if box.other is None or box.other.length is None:
        lengths = box_map.common_lengths(Vb, fb, ports, c)
        return np.ma.array(lengths, mask=lengths < least)
    (count, area, ends), other = ports
    left = (2 * np.pi * fb) ** 2 * Vb / c**2 - port.conductance([other], [box.other.length])
    reached = left > 0
    lengths = count * area / np.where(reached, left, 1.0) - ends
    return np.ma.array(lengths, mask=~reached | (lengths < least))


def _families(box, known):
    """`Spot`s that filter theory finds for these drivers, their losses taken together as one leak."""
    driver = known["driver"]
    lost = sum(1 / Q for Q in (known["QL"], known["QA"], known["QP"]) if Q is not None)
    QL = 1 / lost if lost else None
    ratio = _ratio(box)
    vented = alignments.vented_starting_point(driver.fs, box.Qts, driver.Vas, QL)
    closed = alignments.closed_starting_points(driver.fs, box.Qts, driver.Vas)
    return (
        *(Spot(start.name, start.Vb / ratio, start.fb) for start in vented if abs(start.off) <= NEAR),
        *(Spot(start.name, start.Vb / ratio, None) for start in closed if start.Vb is not None),
    )


def _span(box, designs, families):
    """Volumes [m³] and tunings [Hz] of the map, evenly on log scales, about the driver and what is drawn."""
    driver, ratio = box.circuit.driver, _ratio(box)
    here = [Spot("", box.Vb, box.fb), *designs]
    middle = driver.Vas / ratio
    near = [spot.Vb for spot in families if middle / 12 < spot.Vb < 4 * middle]
    volumes = [middle / 6, 2 * middle, *(spot.Vb * x for spot in here for x in (0.6, 1.8))]
    tunings = [0.6 * driver.fs, 1.7 * driver.fs]
    tunings += [spot.fb * x for spot in here if spot.fb for x in (0.75, 1.3)]
    volumes += [Vb * x for Vb in near for x in (0.8, 1.2)]
    return np.geomspace(min(volumes), max(volumes), GRID[0]), np.geomspace(
        min(tunings), max(tunings), GRID[1]
    )


def _on(spot, Vb, fb):
    return Vb[0] <= spot.Vb <= Vb[-1] and (spot.fb is None or fb[0] <= spot.fb <= fb[-1])


def _answer(box, known):
    """Cut-offs of a larger box, of one tuned lower, and of both."""
    if box.kind not in ("closed", "vented"):
        return dict(wider=None, lower=None, both=None)
    Vb = box.apparent * np.array([1.0, MORE_AIR])
    if box.kind == "closed":
        settings = {name: value for name, value in _settings(known).items() if name != "QP"}
        f3 = box_map.closed_strip(known["driver"], Vb, **settings).f3
        return dict(wider=_seen(f3[1]), lower=None, both=None)
    f3 = box_map.box_map(known["driver"], Vb, box.fb * np.array([1.0, LESS_TUNING]), **_settings(known)).f3
    return dict(wider=_seen(f3[1, 0]), lower=_seen(f3[0, 1]), both=_seen(f3[1, 1]))


def _seen(f3):
    return None if f3 is np.ma.masked else float(f3)


# --- One box of it


@dataclass(frozen=True)
class Tried:
    """A box that is looked at on the map: what it would do, as the other pages would tell it.

    f3 [Hz] is None where it is out of sight, peak [dB], travel [m]; speed [m/s] and length [m] of the first
    ports are None where there are none, or where `refused` says why they cannot be. `room` [m] is how deep
    the box is where they go in. A box of the chosen one's kind is reckoned anew, with its own losses and
    filling; any other, and one that is refused, with those of the chosen box.
    """

    Vb: float
    fb: float | None
    f3: float | None
    peak: float
    travel: float
    speed: float | None = None
    length: float | None = None
    room: float | None = None
    refused: str | None = None


def tried(project, result, Vb, fb):
    """The `Tried` box of net volume Vb [m³] and tuning fb [Hz], None for closed; None without driver data.

    Raises
    ------
    InputError
        At "Vb" or "fb" for a size that no loudspeaker has.
    """
    require_physical(Vb=Vb, fb=fb)
    box = result.box
    if box.missing:
        return None
    each = project.alternatives[result.chosen].box
    if each.kind == ("closed" if fb is None else "vented"):
        moved = moved_box(each, Vb, fb)
        try:
            return _told(Vb, fb, _evaluated(project, result, moved))
        except InputError as error:
            return _alone(
                box, Vb, fb, f"{_NAMES.get(error.field.rpartition('.')[2], 'This')} {error.problem}."
            )
    return _alone(box, Vb, fb, None)


_NAMES = {"fb": "The tuning"}


def moved_box(box, Vb, fb):
    """The same box with that air and that tuning; its ports' length follows."""
    if isinstance(box, ClosedBox):
        return replace(box, Vb=Vb)
    return replace(box, Vb=Vb, fb=fb, port=replace(box.port, length=None))


def _evaluated(project, result, box):
    """The `BoxResult` of the chosen alternative with another box, in the cabinet as it is."""
    key = result.chosen
    other = replace(project.alternatives[key], box=box)
    changed = replace(project, alternatives={**project.alternatives, key: other})
    with fields_of(changed, key):
        return evaluated_box(key, changed, result.drivers, result.air, result.cabinet, FREQUENCIES)


def _told(Vb, fb, box):
    return Tried(
        Vb=Vb,
        fb=fb,
        f3=box.cutoffs[3.0],
        peak=_rise(box.circuit, box.reference),
        travel=box.travel_peak,
        speed=box.port.speed if box.port else None,
        length=box.port.length if box.port else None,
        room=box.port.room if box.port else None,
    )


def _alone(box, Vb, fb, refused):
    """The same by the circuit alone, with the losses of the chosen box and no ports."""
    known, apparent = _known(box), Vb * _ratio(box)
    if fb is None:
        del known["QP"]
        circuit = ClosedCircuit(Vb=apparent, **known)
    else:
        circuit = VentedCircuit(Vb=apparent, fb=fb, **known)
    plain = circuit.plain
    reference = limits.reference_level(plain.driver, circuit.V, circuit.Rs, circuit.c, circuit.rho)
    return Tried(
        Vb=Vb,
        fb=fb,
        f3=limits.cutoffs(plain.response, reference, (3.0,))[3.0],
        peak=_rise(circuit, reference),
        travel=float(np.max(circuit.response(FREQUENCIES[FREQUENCIES >= limits.AUDIBLE]).cone)),
        refused=refused,
    )


def _rise(circuit, reference):
    """How far the level of a box rises over its reference, the coil's inductance left out. [dB]"""
    return max(0.0, float(np.max(circuit.plain.response(FREQUENCIES).level)) - reference)
