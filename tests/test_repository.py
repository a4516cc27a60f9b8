"""Rules for the files themselves: what may lie where, and what no file may say or load."""

import ast
import re
import subprocess
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
ALLOWED = {
    "README.md", "DEVELOPERS.md", "pyproject.toml", "server", "calc", "templates", "static", "tests", ".ci",
    ".gitignore",
}  # fmt: skip

# Put together here, so that this file does not say them either.
REGISTRIES = (
    "py" + "pi.",
    "python" + "hosted",
    "npm" + "js.",
    "jsde" + "livr",
    "un" + "pkg",
    "cdn" + "js",
    "cra" + "tes.io",
)
WORKPLACES = (".." + "/shared", "/work" + "/", "/tmp" + "/", "/root" + "/", "/home" + "/")


def kept_files():
    """The files that the repository keeps, or would keep: neither ignored nor vendored."""
    listed = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    if listed.returncode == 0:
        files = [ROOT / name for name in listed.stdout.splitlines()]
    else:  # an unpacked copy without its history
        files = [path for path in ROOT.rglob("*") if path.relative_to(ROOT).parts[0] in ALLOWED]
    return [path for path in files if path.is_file() and "__pycache__" not in path.parts]


def own_texts():
    """Each text file of our own with what it says."""
    for path in kept_files():
        if "vendor" not in path.parts and path.suffix not in (".png", ".jpg"):
            yield path.relative_to(ROOT), path.read_text("utf-8")


def modules(package):
    return sorted((ROOT / package).rglob("*.py"))


def relative(path):
    return str(path.relative_to(ROOT))


@cache
def parsed(path):
    return ast.parse(path.read_text("utf-8"))


def imported(tree):
    """The modules that an import statement names anywhere below `tree`."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield node.module or "."


def test_the_top_level_holds_only_what_belongs_there():
    assert {path.relative_to(ROOT).parts[0] for path in kept_files()} <= ALLOWED


def test_no_file_names_a_package_registry_or_a_workplace():
    found = [
        f"{path}: {word}"
        for path, text in own_texts()
        for said in [text.lower()]
        for word in (*REGISTRIES, *WORKPLACES)
        if word in said
    ]
    assert found == []


def test_pages_load_nothing_from_elsewhere():
    address = re.compile(r"""(?:src|href|action|url\(|import)\s*=?\s*["'(]?\s*(?:https?:)?//""", re.I)
    for path, text in own_texts():
        if path.parts[0] in ("templates", "static"):
            assert not address.search(text), path


def test_pages_hold_no_script_that_the_policy_forbids():
    for path, text in own_texts():
        if path.parts[0] == "templates":
            assert not re.search(r"<script(?![^>]*\bsrc=)(?![^>]*application/json)", text), path
            assert not re.search(r"\son[a-z]+=|hx-on|hx-vals=[\"']js:|javascript:", text), path


def test_every_vendored_file_is_named_with_its_version():
    vendor = ROOT / "static" / "vendor"
    versions = (vendor / "VERSIONS").read_text()
    for path in vendor.glob("*.js"):
        name, version = re.fullmatch(
            r"([a-z0-9-]+?)-([0-9]+\.[0-9]+\.[0-9]+)(?:\.min)?\.js", path.name
        ).groups()
        assert version in versions and name.split("-")[0] in versions, path.name
    assert list(vendor.glob("*LICENSE*"))


def test_every_template_compiles_strictly():
    from jinja2 import StrictUndefined

    from server.pages import templates

    environment = templates.env
    assert environment.undefined is StrictUndefined and environment.autoescape
    names = environment.list_templates()
    assert names
    for name in names:
        environment.get_template(name)


@pytest.mark.parametrize("path", modules("calc"), ids=relative)
def test_calc_knows_neither_the_web_nor_the_disk(path):
    tree = parsed(path)
    for name in imported(tree):
        assert name.split(".")[0] not in (
            "server",
            "fastapi",
            "starlette",
            "pydantic",
            "plotly",
            "jinja2",
            "os",
        ), name
        assert name.split(".")[0] not in ("pathlib", "io", "socket", "subprocess", "tempfile"), name
    calls = [
        node.func.id
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    ]
    assert not {"open", "print", "input", "eval", "exec"} & set(calls)


@pytest.mark.parametrize("path", modules("calc"), ids=relative)
def test_calc_loads_scipy_only_where_it_is_used(path):
    tree = parsed(path)
    at_once = [node for node in tree.body if isinstance(node, ast.Import | ast.ImportFrom)]
    for name in imported(ast.Module(at_once, [])):
        assert not name.startswith("scipy"), name


@pytest.mark.parametrize(
    "path", [path for package in ("calc", "server") for path in modules(package)], ids=str
)
def test_packages_say_what_they_are_and_nothing_more(path):
    tree = parsed(path)
    assert ast.get_docstring(tree), "a module opens with what it is for"
    if path.name == "__init__.py":
        assert len(tree.body) == 1


def test_only_the_store_writes_to_the_disk():
    writing = re.compile(r"\bopen\(|write_text|write_bytes|\.unlink\(|\.mkdir\(|os\.replace|shutil|tempfile")
    for path in modules("server"):
        if path.name != "storage.py":
            assert not writing.search(path.read_text("utf-8")), path.name
