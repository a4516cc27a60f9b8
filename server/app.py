"""The application, put together: nothing is decided here but who stands where."""

import json
import logging
from http import HTTPStatus
from pathlib import Path

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import PlainTextResponse, Response
from fastapi.staticfiles import StaticFiles
from pydantic import BaseModel
from starlette.exceptions import HTTPException
from starlette.middleware.gzip import GZipMiddleware

from calc.errors import InputError
from server import sharing
from server.documents import FieldErrors, NewerFormat, sentences
from server.pages import templates
from server.routes import (
    api_cabinet,
    api_network,
    api_shop,
    api_sound,
    as_cut,
    assembly,
    boring,
    box,
    braces,
    buying,
    cabinet,
    crossover,
    cutting,
    doubt,
    drivers,
    faces,
    fit,
    full_size,
    history,
    inside,
    loudness,
    map,
    materials,
    packet,
    port,
    saw,
    shelf,
    side_by_side,
    standing,
    steps,
    stock,
    tolerance,
    views,
    ways,
    wiring,
)
from server.security import HEADERS, Guard
from server.storage import Busy, Damaged, Missing, ReadOnly, Stale, Store, shipped

JSON_ROUTES = (api_sound, api_cabinet, api_network, api_shop)
PAGES = (
    shelf,
    drivers,
    box,
    map,
    loudness,
    inside,
    doubt,
    crossover,
    ways,
    fit,
    tolerance,
    wiring,
    side_by_side,
    port,
    cabinet,
    braces,
    materials,
    faces,
    standing,
    as_cut,
    views,
    cutting,
    stock,
    saw,
    boring,
    full_size,
    packet,
    steps,
    assembly,
    buying,
    history,
)

NOT_FOUND = sharing.Unknown.sentence
FAULT = "The workbench made a mistake and could not answer. What was saved is safe. Go back and try again."

log = logging.getLogger(__name__)


class Refusal(BaseModel):
    """Why an input was refused: a sentence at each field that is bad."""

    errors: dict[str, str]


REFUSALS = {
    413: {"model": Refusal, "description": "More than is read at once"},
    422: {"model": Refusal, "description": "Refused, field by field"},
}


def create_app(data: Path, read_only: bool = False, hosts=()) -> FastAPI:
    """Return the workbench for the projects in `data`.

    `hosts` are further names under which it answers, beside its addresses and the machine's own names.
    """
    app = FastAPI(title="Bafflewright", docs_url=None, redoc_url=None)
    app.state.store = Store(data, read_only)
    app.mount("/static", StaticFiles(directory=shipped("static")), name="static")
    for module in JSON_ROUTES:
        app.include_router(module.router, responses=REFUSALS)
    for module in PAGES:
        app.include_router(module.router, include_in_schema=False)
    app.include_router(sharing.router)
    app.add_middleware(GZipMiddleware, minimum_size=1000)
    app.add_middleware(Guard, hosts=tuple(hosts))
    _answer_errors(app)
    return app


def _answer_errors(app):
    """Say what went wrong, as a page or as JSON; never with a trace of the program."""

    @app.exception_handler(RequestValidationError)
    def unreadable(request, error):
        found = sentences(error.errors(), error.body)
        return _refusal(request, 422, found)

    @app.exception_handler(FieldErrors)
    def bad_fields(request, error):
        return _refusal(request, 422, error.by_field)

    @app.exception_handler(InputError)
    def bad_input(request, error):
        return _refusal(request, 422, {error.field: error.problem})

    @app.exception_handler(HTTPException)
    def by_status(request, error):
        if error.status_code == 404:
            return _page(request, 404, NOT_FOUND)
        if error.status_code == 400 and _wants_json(request):
            return _refusal(request, 422, {"body": "is not readable as JSON"})
        sentence = _STATUS.get(error.status_code) or HTTPStatus(error.status_code).phrase
        return _page(request, error.status_code, sentence, error.headers)

    @app.exception_handler(Exception)
    def fault(request, error):
        # The server logs the fault itself; this answer passes by the guard, so it is headed here.
        answer = _page(request, 500, FAULT)
        answer.headers.update({**HEADERS, "Cache-Control": "no-store"})
        return answer

    for kind, status in _KNOWN.items():
        app.add_exception_handler(kind, _known(status))


_STATUS = {
    400: "This could not be read.",
    405: "This address does not take that kind of request.",
    413: "This is more than the workbench takes at once.",
}

_KNOWN = {
    sharing.Unknown: 404,
    Missing: 404,
    ReadOnly: 403,
    Stale: 409,
    NewerFormat: 409,
    Damaged: 409,
    Busy: 503,
}
"""Refusals of the ground below the pages, for a page that has no better answer of its own."""


def _known(status):
    def answer(request, error):
        return _page(request, status, NOT_FOUND if status == 404 else error.sentence)

    return answer


def _refusal(request, status, by_field):
    if _wants_json(request):
        return _json(status, {"errors": by_field})
    return _page(request, status, "; ".join(f"{place}: {sentence}" for place, sentence in by_field.items()))


def _page(request: Request, status: int, sentence: str, headers=None) -> Response:
    """Answer with the template ``errors/<status>.html`` or else ``errors/refused.html``."""
    if _wants_json(request):
        return _json(status, {"errors": {"request": sentence}}, headers)
    try:
        page = templates.env.select_template([f"errors/{status}.html", "errors/refused.html"])
        context = {"status": status, "sentence": sentence}
        return templates.TemplateResponse(request, page.name, context, status, headers)
    except Exception:  # an error page must never fail for an error of its own
        log.exception("The page for an error could not be drawn")
        return PlainTextResponse(sentence, status, headers)


def _json(status, content, headers=None):
    # ASCII only: a name that was sent may hold half a character, which UTF-8 cannot say.
    return Response(json.dumps(content), status, headers, "application/json")


def _wants_json(request):
    return request.url.path.startswith("/api/")
