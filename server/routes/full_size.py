"""Templates: each part at full size, to be glued on or sent to a machine."""

import re
from functools import partial
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZipFile

from fastapi import APIRouter, Request, Response

from calc.evaluate_features import handed
from calc.evaluate_features import parts as features_of
from calc.evaluate_nested import apart, nested
from calc.evaluate_sawing import sawing
from calc.shop.features import HANDS, PRICKED, sides
from server import units
from server.pages import bench, render
from server.plates import letters
from server.routes.saw import EDGES
from server.storage import Missing

router = APIRouter(prefix="/projects/{key}/full_size")

PAPERS = {"a4": "A4", "letter": "Letter"}

APART = {"bit": "As the router cuts", "saw": "As the saw cuts"}


@router.get("")
def show(request: Request, key: str, paper: str = "", bones: str = "", by: str = "bit"):
    """Show what can be taken away, part by part."""
    now = bench(request, key)
    return render(request, "full_size", now, **view(now, paper, bones, by))


def view(bench, paper, bones, by):
    """Each side of each part, drawn, with what is cut there; and the sheets."""
    from server.drawings.template import template

    usual = "letter" if bench.project.show == "imperial" else "a4"
    bones = bones == "yes"
    labels, found = letters(bench.result), _sides(bench, bones)
    return {
        "papers": PAPERS,
        "pricked": PRICKED,
        "paper": paper if paper in PAPERS else usual,
        "bones": bones,
        "grooved": any(each.kind == "groove" for side in found.values() for each in side.features),
        "shown_sides": [
            (key, side, labels.get(side.part.name, ""), template(side, name=f"template-{n}"))
            for n, (key, side) in enumerate(found.items(), 1)
        ],
        "by": by if by in APART else "bit",
        "apart": {each: (words, apart(bench.project, each)) for each, words in APART.items()},
        "sheets": [sheet for of in _nested(bench, by, "").values() for sheet in of],
    }


def _nested(bench, by, bones):
    return nested(bench.project, bench.result, by, bones == "yes")


def _sides(bench, bones):
    """Every face that is worked, {key of its files: side}."""
    found = {}
    parts = features_of(bench.project, bench.result)
    two_hands = handed(bench.project, bench.result, parts)
    for name, part in parts.items():
        hands = HANDS if name in two_hands else ("",)
        for hand in hands:
            for side in sides(part, hand=hand, bones=bones):
                found[" ".join(filter(None, (side.called, side.face, hand)))] = side
    return found


# Files ------------------------------------------------------------------------------------------------


@router.get("/part.dxf")
def part_dxf(request: Request, key: str, part: str, bones: str = ""):
    """One side of a part for a machine."""
    from server.exports.dxf import side_dxf

    return _file(side_dxf(_side(bench(request, key), part, bones)), f"{part}.dxf", "image/vnd.dxf")


@router.get("/part.svg")
def part_svg(request: Request, key: str, part: str, bones: str = ""):
    """One side of a part as a drawing in millimetres."""
    from server.exports.svg import side_svg

    return _file(side_svg(_side(bench(request, key), part, bones)), f"{part}.svg", "image/svg+xml")


@router.get("/part.pdf")
def part_pdf(request: Request, key: str, part: str, paper: str = "a4", bones: str = ""):
    """One side of a part on paper, in pages that are joined."""
    now = bench(request, key)
    return _file(_pdf(now, [_side(now, part, bones)], paper), f"{part}.pdf", "application/pdf")


@router.get("/all.pdf")
def all_pdf(request: Request, key: str, paper: str = "a4", bones: str = ""):
    """Every part on paper."""
    now = bench(request, key)
    return _file(
        _pdf(now, _sides(now, bones == "yes").values(), paper),
        "templates.pdf",
        "application/pdf",
    )


@router.get("/all.zip")
def all_zip(request: Request, key: str, bones: str = "", by: str = "bit"):
    """Every side of every part and every sheet for a machine, in one file."""
    from server.exports.dxf import sheet_dxf, side_dxf

    now, packed = bench(request, key), BytesIO()
    with ZipFile(packed, "w", ZIP_DEFLATED) as archive:
        for name, side in _sides(now, bones == "yes").items():
            archive.writestr(_file_name(f"{name}.dxf"), side_dxf(side))
        for name, sheets in _nested(now, by, bones).items():
            for n, sheet in enumerate(sheets, 1):
                archive.writestr(_file_name(f"sheet {name} {n}.dxf"), sheet_dxf(sheet))
    return _file(packed.getvalue(), "templates.zip", "application/zip")


@router.get("/sheet.dxf")
def sheet_as_dxf(request: Request, key: str, sheet: str, number: int, bones: str = "", by: str = "bit"):
    """One sheet with its parts, for a machine."""
    from server.exports.dxf import sheet_dxf

    found = _sheet(bench(request, key), sheet, number, by, bones)
    return _file(sheet_dxf(found), f"sheet {sheet} {number}.dxf", "image/vnd.dxf")


@router.get("/sheet.svg")
def sheet_as_svg(request: Request, key: str, sheet: str, number: int, bones: str = "", by: str = "bit"):
    """One sheet with its parts as a drawing in millimetres."""
    from server.exports.svg import sheet_svg

    found = _sheet(bench(request, key), sheet, number, by, bones)
    text = sheet_svg(found, f"{sheet}, sheet {number}")
    return _file(text, f"sheet {sheet} {number}.svg", "image/svg+xml")


@router.get("/parts.csv")
def as_csv(request: Request, key: str):
    """The cut list as a table."""
    from server.exports.parts_csv import parts_csv

    now = bench(request, key)
    show, fraction = now.project.show, now.project.fraction
    write = partial(units.with_unit, show=show, fraction=fraction)
    datums = sawing(now.project, now.result).datums
    text = parts_csv(
        now.result.cut_list, now.project.workshop.sheets, write, lambda names: _datum_words(names, datums)
    )
    return _file(text, "parts.csv", "text/csv; charset=utf-8")


def _datum_words(names, datums):
    """Which edges of the parts of one blank all is measured from; any will do where nothing is grooved."""
    own = {name: " and ".join(EDGES[edge] for edge in datums[name]) for name in names if name in datums}
    if len(names) == 1 or not own:
        return next(iter(own.values()), "any straight one")
    return "; ".join(f"{name} {edges}" for name, edges in own.items())


def _side(bench, part, bones):
    found = _sides(bench, bones == "yes")
    if part not in found:
        raise Missing("part")
    return found[part]


def _sheet(bench, name, number, by, bones):
    found = _nested(bench, by, bones)
    if name not in found or not 1 <= number <= len(found[name]):
        raise Missing("sheet")
    return found[name][number - 1]


def _pdf(bench, found, paper):
    from server.exports.tiles import sides_pdf, stamped

    if paper not in PAPERS:
        raise Missing("paper")
    show, fraction = bench.project.show, bench.project.fraction
    write = partial(units.with_unit, quantity="fine length", show=show, fraction=fraction)
    return sides_pdf(found, paper, stamped(bench.project.title, bench.stored.revision), write)


def _file(contents, name, kind):
    """A file that the browser keeps instead of showing it."""
    kept = {"Content-Disposition": f'attachment; filename="{_file_name(name)}"', "Cache-Control": "no-store"}
    return Response(contents, media_type=kind, headers=kept)


def _file_name(name):
    """A name that every disk takes."""
    stem, _, ending = name.rpartition(".")
    return f"{re.sub(r'[^A-Za-z0-9]+', '-', stem).strip('-') or 'part'}.{ending}"
