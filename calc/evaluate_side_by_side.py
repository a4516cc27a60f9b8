"""Result -> what is said of each box, how it takes a sudden push, and what tells two boxes apart."""

from dataclasses import dataclass

from calc.sound.differences import compare
from calc.sound.time_domain import step_response
from calc.sound.verdict import Numbers, PortNeed, verdict


@dataclass(frozen=True)
class SideBySide:
    """Of each box whose driver is known, by its key: `numbers`, `verdicts`, `steps` (None: rings for ever).

    `differences` are those of each other box from the chosen one; empty while that one is not known.
    """

    numbers: dict
    verdicts: dict
    steps: dict
    differences: dict


def side_by_side(project, result):
    """The `SideBySide` of a project's boxes."""
    known = {key: box for key, box in result.boxes.items() if not box.missing}
    steps = {key: step_of(box) for key, box in known.items()}
    numbers = {key: _numbers(project, box, steps[key]) for key, box in known.items()}
    chosen = numbers.get(result.chosen)
    return SideBySide(
        numbers=numbers,
        verdicts={key: verdict(each) for key, each in numbers.items()},
        steps=steps,
        differences={
            key: compare(chosen, each) for key, each in numbers.items() if chosen and key != chosen.key
        },
    )


def verdict_of(project, box):
    """What is said of one `BoxResult`, a tuple of `Said`; empty while its driver is not known."""
    return () if box.missing else verdict(_numbers(project, box, step_of(box)))


def step_of(box):
    """The `Step` of a `BoxResult`, judged without the coil's inductance as its cut-offs are."""
    return step_response(box.circuit.plain.response)


def _numbers(project, box, step):
    """The `Numbers` of a `BoxResult` whose driver is known."""
    f = box.response.f
    wanted = project.alternatives[box.key].box
    return Numbers(
        key=box.key,
        kind=box.kind,
        Vb=box.Vb,
        f=f,
        level=box.circuit.plain.response(f).level - box.reference,
        reference=box.reference,
        f3=box.cutoffs[3.0],
        upper=box.upper,
        limit=box.limits.level,
        by=box.limits.by,
        unknown=box.limits.unknown,
        speakers=project.speakers,
        settled=None if step is None else step.settled,
        delay=box.delay_peak,
        speed=box.fastest_air,
        ports=tuple(
            PortNeed(count=port.count, length=port.length, fits=port.fits, breathes=port.breathes)
            for port in box.ports.values()
        ),
        radiators=0 if box.radiator is None else box.radiator.count,
        added=None if box.radiator is None else box.radiator.added,
        Vr=_chamber(wanted, "Vr", box.Vb),
        Vf=_chamber(wanted, "Vf", box.Vb),
    )


def _chamber(wanted, name, Vb):
    """Air of one chamber of a band-pass, where both hold Vb [m³]; None of other boxes."""
    return getattr(wanted, name) * Vb / wanted.Vb if wanted.kind == "band_pass" else None
