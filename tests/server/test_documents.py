"""Plain data in and out, and refusals at the place where they belong."""

import copy
import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import BaseModel, ConfigDict, TypeAdapter, ValidationError

from calc.project import FORMAT, ClosedBox, VentedBox
from server import documents
from server.documents import (
    FieldErrors,
    NewerFormat,
    amend,
    at,
    plain,
    read_project,
    sentences,
    without,
)

DATA = Path(__file__).parent.parent / "data"


def refusals(document):
    with pytest.raises(FieldErrors) as caught:
        read_project(document)
    return caught.value.by_field


def test_a_project_comes_back_as_it_went_in(document):
    project = read_project(document)
    assert isinstance(project.alternatives["A"].box, ClosedBox)
    assert isinstance(project.alternatives["B"].box, VentedBox)
    assert project.alternatives["B"].box.port.shape.diameter == 0.056
    assert read_project(plain(project)) == project
    assert read_project(json.loads(json.dumps(plain(project)))) == project


def test_every_past_format_still_opens():
    samples = {int(path.stem.rpartition("_")[2]): path for path in DATA.glob("project_format_*.json")}
    assert sorted(samples) == list(range(1, FORMAT + 1)), "one sample for each format there was"
    for path in samples.values():
        assert read_project(json.loads(path.read_text())).format == FORMAT


def test_a_document_of_an_older_format_is_brought_up_first(document, monkeypatch):
    def from_0(old):
        return {**old, "format": 1, "title": old["headline"]} | {"headline": None}

    def dropped(old):
        new = from_0(old)
        del new["headline"]
        return new

    monkeypatch.setitem(documents.MIGRATIONS, 0, dropped)
    old = {**without(document, "title"), "format": 0, "headline": "From long ago"}
    before = copy.deepcopy(old)
    assert read_project(old).title == "From long ago"
    assert old == before


def test_a_newer_format_is_refused_politely(document):
    with pytest.raises(NewerFormat) as caught:
        read_project({**document, "format": FORMAT + 1})
    assert "newer version" in caught.value.sentence
    assert "Nothing was changed" in caught.value.sentence


@pytest.mark.parametrize("given_format", [None, "1", 0, -1, True, 1.5, [1]])
def test_a_format_that_never_was_is_refused(document, given_format):
    assert list(refusals({**document, "format": given_format})) == ["format"]


@pytest.mark.parametrize("nothing", [None, [], "text", 3])
def test_what_is_no_set_of_values_is_refused(nothing):
    assert refusals(nothing) == {"project": "must be a set of named values"}


@pytest.mark.parametrize(
    ("path", "value", "sentence"),
    [
        ("title", "  ", "needs a name to find it by"),
        ("title", 5, "must be text"),
        ("alternatives.A.box.Vb", -1, "must be a number above zero"),
        ("alternatives.A.box.Vb", "twenty", "must be a number"),
        ("alternatives.A.box.Vb", "0.009", "must be a number"),
        ("alternatives.A.box.Vb", True, "must be a number"),
        ("alternatives.A.box.Vb", float("nan"), "must be a finite number"),
        ("alternatives.A.box.Vb", float("inf"), "must be a finite number"),
        ("alternatives.A.box.fb", 40.0, "is not known here"),
        ("alternatives.B.box.port.shape.diameter", 0, "must be a number above zero"),
        ("alternatives.B.box.port.shape.width", 0.1, "is not known here"),
        ("alternatives.B.box.port.count", 0, "must be a whole number from 1 to 16"),
        ("alternatives.B.box.port.count", 1.5, "must be a whole number"),
        ("alternatives.B.box.kind", "open", "must be one of band_pass, closed, passive_radiator, vented"),
        ("alternatives.B.wiring", "star", "must be parallel, series or series_parallel"),
        ("alternatives.B.driver", "nobody", "must be one of this project's drivers"),
        ("drivers.woofer.Qts2", 0.4, "is not known here"),
        ("drivers.woofer.frame.cutout", 0.2, "must be smaller than the flange, or the driver falls through"),
        ("cabinet.edges.left-top.depth", -0.1, "must be zero or a number above it"),
        ("cabinet.edges.left-top.into", "front", "must be one of the edge's own two panels"),
        ("cabinet.panels.top", "oak", "must be one of this project's sheets"),
        ("cabinet.braces.shelf.window.radius", 0.2, "must be at most half the window's smaller side"),
        ("cabinet.size.height", None, "must be a number"),
        ("workshop.bits.straight", 2.0, "must be the diameter of a router bit"),
        ("workshop.bit", "lost", "must be one of the bits that the shop owns"),
        ("air.humidity", 2, "must be between 0 and 100 percent"),
        ("fraction", 17, "must be 16, 32 or 64"),
    ],
)
def test_a_refusal_stands_at_its_field_in_words(document, path, value, sentence):
    assert refusals(amend(document, {path: value})) == {path: sentence}


def test_what_is_missing_is_named(document):
    assert refusals(without(document, "cabinet.size.width")) == {"cabinet.size.width": "is needed"}
    assert refusals(without(document, "alternatives.A.driver")) == {"alternatives.A.driver": "is needed"}
    assert refusals(without(document, "alternatives.A.box.kind")) == {"alternatives.A.box.kind": "is needed"}


def test_all_bad_fields_are_named_at_once_even_within_one_record(document):
    bad = {
        "title": "",
        "drivers.woofer.fs": -38.0,
        "drivers.woofer.Re": "8",
        "drivers.woofer.colour": "grey",
        "alternatives.A.box.Vb": 0,
        "alternatives.B.box.fb": -46.0,
        "alternatives.B.box.QL": -1.0,
        "alternatives.B.box.port.shape.diameter": -0.05,
        "cabinet.size.width": -1.0,
        "cabinet.size.height": -1.0,
        "cabinet.edges.left-top.depth": -0.01,
        "workshop.kerf": 0,
        "workshop.bits.straight": 3.0,
    }
    assert set(refusals(amend(document, bad))) == set(bad)


@pytest.mark.parametrize("name", ["", "a.b", "-x", "a\nb", "x" * 61, "<b>"])
def test_names_that_cannot_stand_in_a_path_are_refused(document, name):
    document["drivers"][name] = {}
    assert list(refusals(document)) == [f"drivers.{name}"]


def test_absurd_nesting_is_refused(document):
    deep = {}
    for _ in range(500):
        deep = {"a": deep}
    assert refusals({**document, "air": deep})


numbers = st.one_of(
    st.floats(), st.integers(-(10**400), 10**400), st.none(), st.text(max_size=5), st.booleans()
)


@given(
    path=st.sampled_from(
        [
            "drivers.woofer.fs", "alternatives.A.box", "alternatives.B.box.fb", "cabinet.edges.left-top",
            "cabinet.size.width", "workshop.bits.straight", "cabinet", "chosen", "fraction", "speakers",
        ]
    ),
    value=st.recursive(
        numbers, lambda inner: st.dictionaries(st.text(max_size=4), inner, max_size=3), max_leaves=6
    ),
)  # fmt: skip
def test_any_value_anywhere_gives_a_project_or_sentences(path, value):
    document = amend(json.loads((DATA / "project_format_1.json").read_text()), {path: value})
    try:
        read_project(document)
    except FieldErrors as refusal:
        assert refusal.by_field
        for place, sentence in refusal.by_field.items():
            assert isinstance(place, str) and sentence and "Input should" not in sentence


def test_amending_never_touches_the_old_document_and_shares_what_stays(document):
    before = copy.deepcopy(document)
    new = amend(document, {"alternatives.B.box.fb": 41.0, "air.T": 290.0, "alternatives.A.box.Vb": None})
    assert document == before
    assert at(new, "alternatives.B.box.fb") == 41.0
    assert at(new, "air") == {"T": 290.0}
    assert "Vb" in new["alternatives"]["A"]["box"] and at(new, "alternatives.A.box.Vb") is None
    assert new["drivers"] is document["drivers"]


def test_taking_a_part_out(document):
    before = copy.deepcopy(document)
    new = without(document, "alternatives.A")
    assert list(new["alternatives"]) == ["B"]
    assert without(document, "alternatives.Z.box") == document == before
    assert at(document, "alternatives.Z.box") is None


class Round(BaseModel):
    model_config = ConfigDict(extra="forbid")
    kind: str = "round"
    diameter: float


class Air(BaseModel):
    model_config = ConfigDict(extra="forbid")
    rho: float
    c: float


class Weather(BaseModel):
    model_config = ConfigDict(extra="forbid")
    T: float


def test_a_union_without_kinds_keeps_the_complaints_of_the_nearest_member():
    sent = {"air": {"T": "warm"}, "shapes": [{"diameter": 1}, {"diameter": "wide"}]}

    class Sent(BaseModel):
        air: Air | Weather
        shapes: list[Round]

    with pytest.raises(ValidationError) as caught:
        TypeAdapter(Sent).validate_python(sent)
    wanted = {"air.T": "must be a number", "shapes.1.diameter": "must be a number"}
    assert sentences(caught.value.errors(), sent) == wanted
    as_a_body = [{**error, "loc": ("body", *error["loc"])} for error in caught.value.errors()]
    assert sentences(as_a_body, sent) == wanted
