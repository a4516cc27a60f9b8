"""Project and result -> what must be bought, for one speaker and for all, at the prices that were typed."""

from collections import Counter
from dataclasses import dataclass, replace
from math import isclose

from calc.evaluate_assembly import assembly
from calc.evaluate_board import boarded
from calc.evaluate_drilling import screws
from calc.evaluate_layout import layouts
from calc.evaluate_leads import leads
from calc.evaluate_network import lacking, network
from calc.evaluate_port import tubes
from calc.sound.filling import material_called

VALUES = {"resistor": "resistance", "coil": "inductance", "capacitor": "capacitance"}
"""What tells two crossover parts of a kind apart."""

TIES = 2
"""Cable ties that hold one part on its board (common practice, no source)."""


@dataclass(frozen=True)
class Line:
    """One thing to buy.

    key : under which its price is kept. group : the heading that it stands under. words : what it is.
    sizes : ((value, quantity, what it is), ...) in SI. unit : "piece", "mass", "length" or "sheet area", the
    quantity in which it is bought. one, all : how much of it, for one speaker and for all of them.
    price : of one unit: a piece, kg, m or m²; None while nobody typed it, here or in the drawer of parts.
    owned : how many the drawer has, which are not bought.
    """

    key: str
    group: str
    words: str
    sizes: tuple
    unit: str
    one: float
    all: float
    price: float | None = None
    owned: int = 0

    @property
    def cost(self):
        """For one speaker and for all; None without a price."""
        return None if self.price is None else (self.one * self.price, self.all * self.price)


@dataclass(frozen=True)
class Buying:
    """The `lines`; `one` and `all`: what those with a price cost together; `unpriced`: how many have none.

    drawer : lines of which the drawer has enough.
    """

    lines: tuple
    one: float
    all: float
    unpriced: int
    drawer: tuple


def buying(project, result):
    """What is to be bought: wood, what joins it, what goes in, drivers and crossover."""
    found = [
        replace(line, price=project.prices.get(line.key, line.price))
        for line in (
            *_sheets(project, result),
            *_rods(project, result),
            *_joining(project, result),
            *_fittings(project, result),
            *_drivers(project),
            *_crossover(project),
            *_wiring(project, result),
        )
    ]
    wanted = tuple(line for line in found if line.all)
    costs = [line.cost for line in wanted if line.cost is not None]
    return Buying(
        wanted, sum(one for one, _ in costs), sum(whole for _, whole in costs), len(wanted) - len(costs),
        tuple(line for line in found if not line.all),
    )  # fmt: skip


def _line(project, key, group, words, amount, unit="piece", sizes=()):
    """A line of what each speaker needs alike."""
    return Line(key, group, words, tuple(sizes), unit, amount, amount * project.speakers)


def _sheets(project, result):
    shop = project.workshop
    alone = [replace(row, count=row.count // project.speakers) for row in result.cut_list]
    one, whole = layouts(project, alone, speakers=1), layouts(project, result.cut_list)
    for name, layout in whole.items():
        if not layout.bought:
            continue
        sheet = shop.sheets[name]
        sizes = (
            (sheet.length, "length", "long"), (sheet.width, "length", "wide"),
            (sheet.thickness, "fine length", "thick"),
        )  # fmt: skip
        words = sheet.name or name
        yield Line(f"sheet {name}", "Wood", words, sizes, "piece", one[name].bought, layout.bought)


def _rods(project, result):
    lengths = Counter()
    for brace in result.cabinet.braces.values():
        if brace.kind == "dowel":
            lengths[round(brace.width, 5)] += brace.length
    for width, length in lengths.items():
        sizes = ((width, "length", "across"),)
        yield _line(project, f"rod {_micrometres(width)}", "Wood", "Round rod", length, "length", sizes)


def _joining(project, result):
    built = assembly(project, result)
    if built.glue:
        yield _line(project, "glue", "To join it", "Wood glue, in the joints", built.glue, "mass")
    yield from _screws(project, result)
    around = sum(length for _, length in built.gaskets)
    if around and project.cabinet.seal == "gasket":
        yield _line(project, "gasket", "To join it", "Gasket tape", around, "length")
    elif around and project.cabinet.seal == "mastic":
        yield _line(project, "mastic", "To join it", "Mastic, as a bead", around, "length")


SCREWED = (
    (("driver", "radiator"), "screws", "Screws for the drivers"),
    (("plate",), "plate screws", "Screws for terminals and plates"),
    (("lid",), "lid screws", "Screws for the panel that comes off"),
    (("feet",), "feet screws", "Screws for the feet"),
)
"""What is screwed on, of the kinds of the drill list: the key and the words of its line."""


def _screws(project, result):
    """Those of the drill list, with the longest that does not come through."""
    drilled = screws(project, result)
    for kinds, key, words in SCREWED:
        lines = [line for line in drilled if line.kind in kinds]
        if not lines:
            continue
        sizes = [(project.workshop.screw, "fine length", "thick")]
        if lines[0].length is not None:
            sizes.append((lines[0].length, "length", "long"))
        elif all(line.depth for line in lines):
            longest = min(line.lifted + line.depth.thread for line in lines)
            sizes.append((longest, "length", "long at most"))
        count = sum(line.count for line in lines)
        yield _line(project, key, "To join it", words, count, sizes=sizes)


def _fittings(project, result):
    made, box = project.cabinet, project.alternatives[project.chosen].box
    for name, port in tubes(box).items():
        length = result.cabinet.port_lengths.get(name)
        if port.shape.kind == "round" and length:
            sizes = ((port.shape.diameter, "length", "inside"), (length, "length", "long"))
            yield _line(project, f"tube {name}", "To go in", "Port tube", port.count, sizes=sizes)
    for name, _ in made.holes.items():
        yield _line(project, f"hole {name}", "To go in", name.capitalize(), 1)
    yield from _lining(project, result, box)
    if made.feet:
        sizes = ((made.feet.diameter, "length", "across"), (made.feet.height, "length", "high"))
        yield _line(project, "feet", "To go in", "Feet", made.feet.count, sizes=sizes)
    grille = result.cabinet.grille
    if grille:
        sizes = ((grille.cloth[0], "length", "wide"), (grille.cloth[1], "length", "high"))
        yield _line(project, "cloth", "To go in", "Grille cloth", 1, sizes=sizes)
        sizes = ((made.grille.diameter, "length", "across"),)
        # A magnet needs another one or a plate that it holds to.
        count = len(grille.holes) * (2 if made.grille.holds == "magnets" else 1)
        words = made.grille.holds.capitalize()
        yield _line(project, made.grille.holds, "To go in", words, count, sizes=sizes)


def _lining(project, result, box):
    """Fibres by weight: their share of the air times how dense they lie there."""
    lining = box.lining
    if lining is not None and lining.share:
        weight = lining.share * lining.density * result.cabinet.net
        yield _line(
            project, "lining", "To go in", f"Lining: {material_called(lining.material).words}", weight, "mass"
        )


def _drivers(project):
    chosen = project.alternatives[project.chosen]
    counts = Counter(seat.driver for seat in project.cabinet.seats.values())
    if chosen.driver not in counts:
        counts[chosen.driver] = chosen.count
    for name, count in counts.items():
        words = project.drivers[name].name or name
        yield _line(project, f"driver {name}", "Drivers", words, count)
    if chosen.box.kind == "passive_radiator":
        yield _line(project, "radiator", "Drivers", "Passive radiator", chosen.box.radiator.count)


def _crossover(project):
    """Equal parts as one line, by kind and value, less those in the drawer, whose prices count here, too."""
    counts = Counter()
    for part in (project.network.parts if project.network else {}).values():
        if part.kind in VALUES:
            counts[part.kind, getattr(part, VALUES[part.kind])] += 1
    for (kind, value), count in sorted(counts.items()):
        sizes = ((value, VALUES[kind], ""),)
        key = f"{kind} {value:.4g}".replace(".", "-")
        alike = [
            each for each in project.drawer if each.kind == kind and isclose(each.value, value, rel_tol=1e-3)
        ]
        owned = sum(each.price is None for each in alike)
        price = min((each.price for each in alike if each.price is not None), default=None)
        one, whole = (max(0, many * count - owned) for many in (1, project.speakers))
        yield Line(key, "Crossover", kind.capitalize(), sizes, "piece", one, whole, price, owned)


def _wiring(project, result):
    """Wire by its gauge, sockets for the drivers' tags, the crossover's board and its parts' ties."""
    made = boarded(project)
    if made:
        plan = made.layout
        sizes = ((plan.width, "length", "wide"), (plan.height, "length", "high"))
        yield _line(project, "board", "Wiring", "Board for the crossover", 1, sizes=sizes)
        yield _line(project, "ties", "Wiring", "Cable ties for its parts", TIES * len(plan.spots))
    if project.network is None or lacking(project, result):
        return
    runs = leads(project, result, network(project, result).least.Z).runs
    lengths = Counter()
    for run in runs:
        lengths[run.gauge, run.key == "amplifier"] += (1 if run.key == "amplifier" else 2) * run.length
    for (gauge, outside), length in sorted(lengths.items()):
        words = f"Cable to the amplifier, two wires of {gauge}" if outside else f"Single wire, {gauge}"
        key = f"{'cable' if outside else 'wire'} {gauge}".replace(".", "-").replace("²", "2")
        yield _line(project, key, "Wiring", words, length, "length")
    ends = 2 * sum(run.driver is not None for run in runs)
    if project.network.leads.joint == "push-on" and ends:
        yield _line(project, "sockets", "Wiring", "Push-on sockets for the drivers’ tags", ends)


def _micrometres(length):
    return round(length * 1e6)
