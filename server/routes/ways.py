"""Ways: how each driver of the crossover sounds, and whether they add up."""

from fastapi import APIRouter, Depends, Request

from calc.errors import InputError
from calc.evaluate_network import lacking, network
from calc.evaluate_sum import acoustic_sum
from server.curve_text import curve
from server.documents import amend, without
from server.pages import GONE, bench, render, take, typed_fields

router = APIRouter(prefix="/projects/{key}")


async def sent_file(request: Request):
    """What a form with one file sends, as the fields that `read` asks for."""
    async with request.form(max_files=1, max_fields=20) as form:
        typed = {name: value for name, value in form.multi_items() if isinstance(value, str)}
        sent = form.get("file")
        is_file = sent is not None and not isinstance(sent, str)
        data = await sent.read() if is_file else b""
        named = (sent.filename or "") if is_file else ""
    driver = typed.pop("driver", "")
    brought = {f"pasted.{driver}": text_of(data), f"named.{driver}": named[:80]}
    return {**typed, **brought, "do": f"curve:{driver}"}


def text_of(data):
    """The text of a file, in whichever letters it is written."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", "replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")


@router.get("/ways")
def show(request: Request, key: str):
    """Show the ways and their sum."""
    now = bench(request, key)
    return render(request, "ways", now, **view(now))


@router.post("/ways")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take offsets and pasted curves."""
    return take(request, key, "ways", typed, view, ACTIONS, aside=_aside(typed))


@router.post("/ways-file")
def upload(request: Request, key: str, typed=Depends(sent_file)):
    """Take a curve from a file."""
    return take(request, key, "ways", typed, view, ACTIONS, aside=_aside(typed))


def _aside(typed):
    return tuple(name for name in typed if name.startswith(("pasted.", "named.")))


def view(bench):
    """Each driver's own sound, the charts of their sum, and how they meet."""
    from server.charts_sum import phase_chart, sound_chart, verdict, voices_chart

    project, result = bench.project, bench.result
    missing = lacking(project, result) if project.network else {}
    known = project.network and not missing
    heard = acoustic_sum(project, result, network(project, result)) if known else None
    return {
        "heard": heard,
        "missing": missing,
        "verdict": verdict(heard) if heard else (),
        "charts": [sound_chart(heard), phase_chart(heard), voices_chart(heard)] if heard else [],
        "keys": dict.fromkeys(
            part.driver for part in (project.network.parts.values() if project.network else ()) if part.driver
        ),
    }


# --- Actions


def read(document, driver, typed, result):
    """Read the curve that was pasted, or that a file brought."""
    path = _way(document, driver)
    try:
        found = curve(typed.get(f"pasted.{driver}", ""), typed.get(f"named.{driver}", ""))
    except InputError as error:
        raise InputError(f"pasted.{driver}", error.problem) from None
    return amend(document, {f"{path}.curve": found})


def drop(document, driver, typed, result):
    """Take a measured curve away."""
    return without(document, f"{_way(document, driver)}.curve")


def _way(document, driver):
    if driver not in document["drivers"]:
        raise InputError("ways", GONE)
    return f"ways.{driver}"


ACTIONS = {"curve": read, "uncurve": drop}
