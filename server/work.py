"""The work in its order, as steps to be ticked: from the sheets to the leak test.

A step's key names parts and openings, never sizes: it stays the same when the project changes, so that a
tick stays where it belongs.
"""

from dataclasses import dataclass
from functools import partial
from hashlib import sha256

from calc.evaluate_assembly import assembly
from calc.evaluate_drilling import blind, screws
from calc.evaluate_layout import layouts
from calc.evaluate_network import lacking
from calc.evaluate_sawing import sawing
from calc.evaluate_wiring import before_power
from server import units
from server.drilling import pilot_words
from server.plates import letters

DOES = {
    "rip": "Rip", "crosscut": "Cut to length", "fit": "Trim to fit", "groove": "Groove", "rabbet": "Rabbet",
    "slot": "Slot", "bevel": "Bevel", "taper": "Taper",
}  # fmt: skip


@dataclass(frozen=True)
class Task:
    """One step. `ticks` are its boxes: ((key, label), ...), one, or one for each speaker."""

    words: str
    ticks: tuple


def tasks(bench):
    """All steps: ((heading, (Task, ...)), ...), in order; headings without steps are left out."""
    project, result = bench.project, bench.result
    built = assembly(project, result)
    found = (
        ("Sheets", tuple(_sheets(project, result))),
        ("Saw", tuple(_saw(bench))),
        ("Router and drill", tuple(_boring(project, result))),
        *((f"Glue-up {n}", tuple(_gluing(bench, n, each))) for n, each in enumerate(built.stages, 1)),
        ("Board and wires", tuple(_wiring(project))),
        ("When the box is closed", tuple(_finishing(project, result, built))),
        ("Before and at the first power", tuple(_power(project, result))),
    )
    return tuple((heading, each) for heading, each in found if each)


def keys(found):
    """Every key of `tasks`."""
    return {key for _, each in found for task in each for key, _ in task.ticks}


def _key(*names):
    """What a tick is kept under: short, whatever parts are called."""
    text = ":".join(names)
    return f"{names[0]}-{sha256(text.encode('utf-8', 'replace')).hexdigest()[:16]}"


def _once(words, *names):
    return Task(words, ((_key(*names), "done"),))


def _each(project, words, *names):
    """A step that is done on every speaker."""
    if project.speakers == 1:
        return _once(words, *names)
    return Task(words, tuple((_key(*names, str(n)), hand) for n, hand in enumerate(hands(project), 1)))


def hands(project):
    """What each speaker is called where it is ticked off: those of a mirrored pair left and right."""
    if project.speakers == 2 and project.cabinet.mirrored:
        return "left", "right"
    return tuple(f"speaker {n}" for n in range(1, project.speakers + 1))


def _sheets(project, result):
    for name, layout in layouts(project, result.cut_list).items():
        called = project.workshop.sheets[name].name or name
        yield _once(f"Measure {called} in three places with a calliper", "measure", name)
        for laid in layout.laid:
            sawn, pieces = laid.sawn, "piece" if len(laid.sawn.pieces) == 1 else "pieces"
            words = f"Break down {called}, {laid.words}: {len(sawn.pieces)} {pieces}, {len(sawn.cuts)} cuts"
            yield _once(words, "sheet", name, str(laid.number))


def _saw(bench):
    project = bench.project
    write = partial(units.with_unit, show=project.show, fraction=project.fraction)
    for step in sawing(project, bench.result).plan.steps:
        done = {}
        for cut in step.cuts:
            done.setdefault(cut.kind, []).append(f"{cut.row} {', '.join(cut.parts)}")
        words = "; ".join(f"{DOES[kind]} {', '.join(dict.fromkeys(parts))}" for kind, parts in done.items())
        # As the page Saw says it: what a joint lies at finer than what a tape shows.
        quantity = "fine offset" if step.cuts[0].depth or step.setting.distance < 0 else "length"
        if step.setting.guide == "jig":
            at = f"{step.setting.distance:.1f}°"
        elif step.setting.guide == "router" and not step.setting.distance:
            at = "the edge"
        else:
            at = write(step.setting.distance, quantity).replace("-", "−")
        yield _once(f"{words}: {step.setting.guide} at {at}", *_names(step))


def _names(step):
    """What one setting of the saw is known by: the cuts that are made at it."""
    return "saw", *sorted(f"{cut.kind} {' '.join(cut.parts)} {' '.join(cut.mates)}" for cut in step.cuts)


def saw_key(step):
    """The key of the tick of one setting of the saw."""
    return _key(*_names(step))


def _boring(project, result):
    for each in result.openings:
        yield _each(
            project, f"{each.name.capitalize()} in the {each.panel}: bored", "bore", each.panel, each.name
        )
    for name, solid in result.cabinet.braces.items():
        if solid.windows:
            yield _each(project, f"{name.capitalize()}: window cut", "window", name)
    for hole in blind(project, result):
        deep = units.with_unit(hole.depth, "fine length", project.show, project.fraction)
        words = (
            f"{hole.name.capitalize()}: {_holes(hole.count, 'blind hole')} in the {hole.panel}, {deep} deep"
        )
        yield _each(project, words, "blind", hole.panel, hole.name)
    for line in screws(project, result):
        if line.kind != "lid":
            yield _pilots(project, line)


def _pilots(project, line):
    words = f"{line.name.capitalize()}: {_holes(line.count, 'pilot hole')}"
    size = pilot_words(project, line)
    key = (line.name,) if line.kind == "driver" else (line.kind, line.name, line.panel)
    return _each(project, f"{words}, {size}" if size else words, "pilots", *key)


def _holes(count, what):
    return f"{count} {what}{'s' * (count != 1)}"


def _gluing(bench, n, stage):
    project, named = bench.project, letters(bench.result)
    yield _each(project, "Dry fit, clamps set", "dry", stage.steps[0].parts[0])
    for step in stage.steps:
        parts = ", ".join(f"{named.get(part, '')} {part}".strip() for part in step.parts)
        verb = "screwed on" if step.screwed else "glued in" if step.onto else "laid ready"
        yield _each(project, f"{parts}: {verb}", "glue", *step.parts)
    if stage.joints:
        yield _each(
            project, "Diagonals equal, glue wiped, left in its clamps", "square", stage.steps[0].parts[0]
        )


def _finishing(project, result, built):
    for name in (*built.linings, *built.skins):
        yield _each(project, f"{name.capitalize()}: glued on", "layer", name)
    yield _each(project, "Weighed, bare", "weigh")
    for line in screws(project, result):
        if line.kind == "lid":
            yield _pilots(project, line)
    if built.lining:
        yield _each(project, "Walls lined", "line")
    for what, _ in built.gaskets:
        yield _each(project, f"{what.capitalize()}: on its gasket, screwed in crosswise", "seat", what)
    yield _each(project, "Leak test", "leak")


def _wiring(project):
    """The crossover on its board, on the bench."""
    if project.network is None:
        return
    if project.network.board is not None:
        yield _each(project, "Parts tied to the board, coils as drawn, resistors off it", "board")
        yield _each(project, "Joints soldered, tugged and shining; no lead reaches another pad", "solder")
    yield _each(project, "Wires cut, marked plus and minus, joined to board and terminals", "wires")


def _power(project, result):
    """Tests that come before the amplifier, and the first sound."""
    if project.network is None:
        return
    names = [name for name, part in project.network.parts.items() if part.kind == "driver"]
    reads = ""
    if not lacking(project, result):
        ohms = units.with_unit(before_power(project, result).healthy, "resistance", project.show)
        reads = f" {ohms}, as Wiring tells"
    yield _each(project, f"Meter across the terminals reads{reads or ' as Wiring tells'}", "wire")
    yield _each(
        project, f"Plus on plus at the tags of {', '.join(names)}, by colour and by meter", "polarity"
    )
    yield _each(
        project, "First power, the knob at its lowest: every driver speaks, nothing gets hot", "power"
    )
