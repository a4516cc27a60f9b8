"""Fit: where the sound should go, and which values of the parts bring it there."""

from fastapi import APIRouter, Depends, Request

from calc import evaluate_fit
from calc.errors import InputError
from calc.evaluate import evaluate
from calc.evaluate_network import lacking, network
from calc.evaluate_sum import acoustic_sum
from calc.network import fit
from calc.project_network import VALUE
from server import drawer_text
from server.documents import amend, read_project
from server.pages import bench, path_words, render, take, typed_fields

router = APIRouter(prefix="/projects/{key}/fit")

SLOPES = [
    ("butterworth 1", "Butterworth, 1st order"),
    ("butterworth 2", "Butterworth, 2nd"),
    ("butterworth 3", "Butterworth, 3rd"),
    ("butterworth 4", "Butterworth, 4th"),
    ("bessel 2", "Bessel, 2nd"),
    ("bessel 3", "Bessel, 3rd"),
    ("bessel 4", "Bessel, 4th"),
    ("linkwitz-riley 2", "Linkwitz-Riley, 2nd"),
    ("linkwitz-riley 4", "Linkwitz-Riley, 4th"),
]

SOURCES = {
    "E6": "E6 values",
    "E12": "E12 values",
    "E24": "E24 values",
    "exact": "exact values",
    "drawer": "your drawer",
}
"""Where values come from: what the button sends, and what it says."""


@router.get("")
def show(request: Request, key: str, compare: str = ""):
    """Show how far the sound is from its target; with `compare`, what each row of values makes of it."""
    now = bench(request, key)
    return render(request, "fit", now, **view(now, compare == "yes"))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take the target, what is held and the drawer, and fit."""
    return take(request, key, "fit", typed, view, ACTIONS, aside=("drawer_lines",))


def view(bench, compare=False):
    """How far off it is now, and, where it is asked for, the rows of values."""
    from server.charts_fit import fit_chart

    project, result = bench.project, bench.result
    missing = lacking(project, result) if project.network else {}
    now, refusal, to_fit = None, "", None
    if project.network and not missing:
        try:
            to_fit = _task(project, result)
        except InputError as error:
            refusal = f"{path_words(error.field)} {error.problem}"
    if to_fit is not None:
        now = fit.judged(to_fit, to_fit.start)
    rows, short = (), ""
    if compare and to_fit is not None and to_fit.names:
        sources = [source for source in SOURCES if source != "drawer" or project.drawer]
        try:
            rows = evaluate_fit.chosen(project, to_fit, sources)
        except InputError as error:
            short = error.problem
            rows = evaluate_fit.chosen(project, to_fit, sources[:-1])
    return {
        "now": now,
        "missing": missing,
        "refusal": refusal,
        "to_fit": to_fit,
        "charts": [fit_chart(to_fit, now)] if now else [],
        "rows": rows,
        "short": short,
        "slopes": SLOPES,
        "slope_words": dict(SLOPES)[project.target.slope],
        "sources": {
            source: words for source, words in SOURCES.items() if source != "drawer" or project.drawer
        },
        "drawer_lines": drawer_text.text_of(project.drawer),
    }


def _task(project, result):
    found = network(project, result)
    heard = acoustic_sum(project, result, found)
    if heard is None:
        raise InputError("ways", "lack what tells how loud the drivers are against each other")
    return evaluate_fit.task(project, result, found, heard)


# --- Actions


def values(document, source, typed, result):
    """Fit the parts, and write the values of one row into the crossover."""
    if source not in SOURCES or not document.get("network"):
        raise InputError("network", "is not there yet: begin with a filter on the page Crossover")
    project = read_project(document)
    result = evaluate(project)
    if lacking(project, result):
        raise InputError("network", "lacks data of its drivers")
    (choice,) = evaluate_fit.chosen(project, _task(project, result), (source,))
    edits = {
        f"network.parts.{name}.{VALUE[project.network.parts[name].kind]}": value
        for name, value in choice.values.items()
    }
    wires = {f"network.parts.{name}.Rdc": Rdc for name, Rdc in choice.wires.items()}
    return amend(document, edits | wires)


def stock(document, argument, typed, result):
    """Take the lines of the drawer."""
    try:
        parts = drawer_text.drawer(typed.get("drawer_lines", ""))
    except InputError as error:
        raise InputError("drawer_lines", error.problem) from None
    return amend(document, {"drawer": parts})


ACTIONS = {"fit": values, "stock": stock}
