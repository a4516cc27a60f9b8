"""Sheet goods to start from, against the printed rows."""

import json
from pathlib import Path

import pytest
from numpy.testing import assert_allclose

from calc.cabinet.materials import (
    FEET_4_BY_8,
    FEET_5_BY_5,
    LARGE,
    METRIC,
    METRIC_4_BY_8,
    SHEET_GOODS,
)
from calc.project import Sheet

DATA = json.loads((Path(__file__).parents[1] / "data/shop.json").read_text())["records"]
BIRCH = {round(good.nominal, 6): good for good in SHEET_GOODS if good.name.startswith("birch")}


@pytest.mark.parametrize("row", DATA["birch_plywood"]["rows"], ids=lambda row: f"{row['nominal'] * 1e3:g} mm")
def test_birch_plywood_is_as_thick_and_heavy_as_printed(row):
    good = BIRCH[row["nominal"]]
    assert_allclose(good.thickness, row["mean"], rtol=1e-12)
    assert_allclose(good.thickness_range, (row["least"], row["most"]), rtol=1e-12)
    assert good.density == row["density"] and good.confidence == "seen"


def test_a_whole_sheet_of_birch_plywood_weighs_what_is_printed():
    printed = DATA["birch_plywood"]["sheet_of_18"]
    mass = printed["length"] * printed["width"] * 0.018 * BIRCH[0.018].density
    assert_allclose(mass, printed["mass"], rtol=printed["tolerance"])


def test_plywood_sold_by_the_inch_is_thinner_than_its_name():
    sold = {good.name: good for good in SHEET_GOODS if good.name.startswith("softwood")}
    record = DATA["plywood_fractions"]
    for name, part in (("1/2", "15/32"), ("5/8", "19/32"), ("3/4", "23/32")):
        good = sold[f"softwood plywood {name} in"]
        assert_allclose(good.thickness, record[part], rtol=1e-9)
        assert 0.0005 < good.nominal - good.thickness < 0.001


def test_whole_sheets_have_the_areas_of_the_reference():
    record = DATA["sheet_areas"]
    known = {(length, width): area for length, width, area in record["rows"]}
    for size in (FEET_4_BY_8, FEET_5_BY_5, METRIC_4_BY_8, METRIC, LARGE):
        assert_allclose(size[0] * size[1], known[size], rtol=0, atol=record["tolerance"])


def test_every_row_can_become_a_sheet_of_the_workshop():
    assert len({good.name for good in SHEET_GOODS}) == len(SHEET_GOODS)
    for good in SHEET_GOODS:
        length, width = good.sizes[0]
        Sheet(good.name, good.thickness, good.density, good.nominal, length, width)
        assert good.source and good.confidence in ("seen", "derived", "from memory")
        assert 400 < good.density < 900 and length >= width
