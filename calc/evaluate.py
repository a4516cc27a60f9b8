"""Project -> Result. Reads like a table of contents: air, drivers, cabinet, boxes, cutting, boring."""

from dataclasses import replace

import numpy as np

from calc.cabinet.mirrored import handed
from calc.errors import inputs_at
from calc.evaluate_boring import holes, radiator_seat, sawn, seats
from calc.evaluate_box import box as evaluated_box
from calc.evaluate_box import fields_of
from calc.evaluate_cabinet import cabinet as built_cabinet
from calc.evaluate_cabinet import clashes as found_clashes
from calc.evaluate_cabinet import laminated
from calc.evaluate_layout import held
from calc.result import AirResult, DriverResult, Result
from calc.shop.cut_list import cut_list
from calc.shop.sheet_layout import sheets_at_least
from calc.sound import air, alignments, driver
from calc.sound.losses import ORDINARY, ordinary_Q

FREQUENCIES = np.geomspace(10, 1000, 500)
"""Where every curve is reckoned. [Hz]"""

SHEET_HUMIDITY = 0.5
"""No data sheet says how moist its air was; that of an ordinary room, as everywhere else here."""

UNREAD = ("title", "notes", "show", "fraction", "network", "ways", "target", "drawer", "tolerance", "matched")
"""Decisions that no `Result` hangs on: `evaluate` never reads them, so that they change without its work."""


def evaluate(project, f=FREQUENCIES):
    """Compute the `Result` of a `Project` at frequencies `f`, shape (n,). [Hz]

    Raises
    ------
    InputError
        Where the decisions cannot stand together: a joint that cannot be cut, a port whose length would
        be below zero. The field is the dotted path in the project document.
    """
    place = _air(project.air)
    drivers = {}
    for key, each in project.drivers.items():
        with inputs_at(f"drivers.{key}"):
            drivers[key] = _driver(each, place)
    chosen = project.alternatives[project.chosen]

    cabinet = built_cabinet(project, chosen, place)
    boxes = {}
    for key in project.alternatives:
        with fields_of(project, key):
            boxes[key] = evaluated_box(key, project, drivers, place, cabinet, f)
    with fields_of(project, project.chosen):
        built = evaluated_box(project.chosen, project, drivers, place, cabinet, f, built=True)

    clashes = found_clashes(project, chosen.box, cabinet)
    misfits = tuple((each.field, each.sentence) for each in clashes)
    rows = cut_list(
        cabinet.carcass,
        # Rods come from no sheet.
        {n: b for n, b in cabinet.braces.items() if b.kind != "dowel"}
        | cabinet.plinth
        | (cabinet.grille.bars if cabinet.grille else {}),
        project.speakers,
        _sheet_of_each(project, cabinet),
        laminated(project),
        _left_long(project),
    )
    return Result(
        air=place,
        drivers=drivers,
        boxes=boxes,
        chosen=project.chosen,
        built=built,
        cabinet=cabinet,
        cut_list=rows,
        sheets_at_least=sheets_at_least(
            rows, project.workshop.sheets, project.workshop.kerf, project.workshop.trim, _stock(project)
        ),
        seats=seats(project, cabinet),
        radiator_seat=radiator_seat(project, cabinet),
        holes=holes(project, cabinet),
        sawn=sawn(cabinet),
        clashes=clashes,
        handed=handed(cabinet.carcass, cabinet.openings) if project.cabinet.mirrored else (),
        misfits=misfits,
        facts=(
            *misfits,
            *((f"cabinet.{field}", sentence) for field, sentence in cabinet.carcass.facts),
            *_power_fact(project, boxes[project.chosen]),
        ),
    )


def _air(place):
    with inputs_at("air"):
        return AirResult(
            c=air.speed_of_sound(place.T, place.p, place.humidity),
            rho=air.density(place.T, place.p, place.humidity),
            mu=air.viscosity(place.T),
        )


def _driver(each, place):
    """Complete the sheet's values, its Vas carried from the sheet's air to the place's."""
    sheet = {symbol: getattr(each, symbol) for symbol in driver.SYMBOLS}
    if sheet["Vas"] is not None:
        c_sheet = air.speed_of_sound(each.sheet_T, each.sheet_p, SHEET_HUMIDITY)
        rho_sheet = air.density(each.sheet_T, each.sheet_p, SHEET_HUMIDITY)
        sheet["Vas"] = driver.Vas_in(sheet["Vas"], c_sheet, rho_sheet, place.c, place.rho)
    completed = driver.completed(sheet, place.c, place.rho)
    if completed.missing:
        return DriverResult(completed)
    v = completed.values
    constants = driver.constants(
        v["fs"], v["Qms"], v["Qes"], v["Vas"], v["Sd"], v["Re"], place.c, place.rho,
        each.Le or 0.0, each.Le2, each.Re2, each.K, each.n,
    )  # fmt: skip
    efficiency = driver.eta0(constants.fs, constants.Vas, constants.Qes, place.c)
    return DriverResult(
        completed=completed,
        constants=constants,
        eta0=efficiency,
        level_1w=driver.level_1w(efficiency, place.c, place.rho),
        level_2v83=driver.level_2v83(efficiency, constants.Re, place.c, place.rho),
        Vd=None if each.Xmax is None else driver.Vd(constants.Sd, each.Xmax),
        EBP=driver.EBP(constants.fs, constants.Qes),
    )


def closed_starts(result):
    """Closed starting points of the chosen box's drivers; empty while the driver is not known."""
    v = _fed(result.box)
    return () if v is None else alignments.closed_starting_points(v.fs, v.Qts, v.Vas, v.Qes)


def vented_starts(result):
    """(starting points of the chosen box's drivers, their QL): one of that size loses as ordinary ones do.

    Empty and None while the driver is not known.
    """
    v = _fed(result.box)
    if v is None:
        return (), None
    QL = ORDINARY[0][1]
    for _ in range(3):  # the loss sets the size, and the size the loss
        starts = alignments.vented_starting_point(v.fs, v.Qts, v.Vas, QL, v.Qes)
        if starts:
            QL = ordinary_Q(starts[0].Vb)
    return starts, QL


def band_pass_starts(result):
    """Band-pass starting points of the chosen box's drivers; empty while the driver is not known."""
    v = _fed(result.box)
    return () if v is None else alignments.band_pass_starting_points(v.fs, v.Qts, v.Vas)


def _fed(box):
    """The drivers of a box as one, wired and mounted, their Qs as source and warmth leave them."""
    if box.group is None:
        return None
    v = box.group
    fed = driver.with_source(v.Qms, v.Qes, v.Re, box.circuit.Rs)
    return replace(v, Qes=fed.Qes, Qts=fed.Qts)


# --- What is said of it


def _power_fact(project, box):
    """Whether the drivers bear what is stated; nothing is said where their sheet is silent."""
    each = project.alternatives[box.key]
    Pe = project.drivers[each.driver].Pe
    watts = box.watts if box.watts is not None else each.P if each.V is None else None
    if None in (Pe, watts) or watts <= Pe * each.count * (1 + 1e-9):
        return
    many = "driver bears" if each.count == 1 else "drivers bear together"
    yield (
        f"alternatives.{box.key}.{'P' if each.V is None else 'V'}",
        f"The stated power of box {box.key} is more than its {many}.",
    )


# --- The shop


def _stock(project):
    return {good: held(project.workshop, good) for good in project.workshop.sheets}


def _left_long(project):
    """How much longer and wider each part is cut that is to be fitted. [m]"""
    over = project.workshop.over
    return {
        name: (over if side in ("length", "both") else 0.0, over if side in ("width", "both") else 0.0)
        for name, side in project.cabinet.fitted.items()
    }


def _sheet_of_each(project, cabinet):
    """Which sheet each panel, each brace, each layer and each board of the plinth is cut from."""
    made = project.cabinet
    sheets = made.panels | {name: each.sheet for name, each in (*made.braces.items(), *made.layers.items())}
    bars = dict.fromkeys(cabinet.grille.bars, made.grille.sheet) if cabinet.grille else {}
    return sheets | dict.fromkeys(cabinet.plinth, made.plinth and made.plinth.sheet) | bars
