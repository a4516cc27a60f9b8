"""What many tests share: a small valid project, the application, and a server process of its own."""

import json
import os
import re
import shutil
import subprocess
import sys
from contextlib import contextmanager
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages

import pytest
from hypothesis import settings

import calc
import server

DATA = Path(__file__).parent / "data"

# Random draws take constants from the modules that are loaded. All are, so that a run does not depend on
# which test of another file came first.
for package in (calc, server):
    for module in walk_packages(package.__path__, f"{package.__name__}."):
        if module.name != "server.__main__":
            import_module(module.name)

settings.register_profile("steady", deadline=None, derandomize=True, database=None)
settings.load_profile("steady")

QUIET = (
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-quic",
    "--no-first-run",
)
"""What keeps the browser itself from asking the internet for anything."""


@pytest.fixture
def document():
    """A small project with a closed and a vented box; invented numbers. A fresh copy for each test."""
    return json.loads((DATA / "project_format_1.json").read_text())


@pytest.fixture
def app(tmp_path):
    from server.app import create_app

    return create_app(tmp_path / "shop")


@pytest.fixture
def store(app):
    return app.state.store


@pytest.fixture
def client(app):
    """The owner's browser, at the machine itself."""
    with _browser(app, "127.0.0.1") as browser:
        yield browser


@pytest.fixture
def visitor(app):
    """Somebody else's browser on the same network."""
    with _browser(app, "192.168.7.20") as browser:
        yield browser


@pytest.fixture(scope="session")
def serve():
    """A function that starts a server process of its own and gives its ``(address, process)``."""
    return running_server


@pytest.fixture(scope="session")
def chromium():
    """One browser for the session, benchmarks included; its absence is a failure, not a reason to skip."""
    path = shutil.which("chromium")
    assert path, "chromium is not installed: see the second command of README"
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=list(QUIET))
        yield browser
        browser.close()


@contextmanager
def running_server(data, *options):
    """A server process on a free port, stopped at the end by its own process object."""
    command = [sys.executable, "-m", "server", "--data", str(data), "--host", "127.0.0.1", "--port", "0"]
    process = subprocess.Popen(
        [*command, *options],
        stdout=subprocess.PIPE,
        text=True,
        cwd=Path(__file__).parent.parent,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )
    try:
        line = process.stdout.readline()
        found = re.search(r"http://[^/\s]+", line)
        assert found, f"no address in the first line: {line!r}"
        yield found[0], process
    finally:
        process.kill()
        process.wait()
        process.stdout.close()


@contextmanager
def _browser(app, address):
    from starlette.testclient import TestClient

    with TestClient(
        app,
        base_url="http://localhost",
        client=(address, 50000),
        follow_redirects=False,
        raise_server_exceptions=False,
    ) as browser:
        yield browser
