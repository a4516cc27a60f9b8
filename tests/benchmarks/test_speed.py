"""How long the bench takes to answer. These report, they never judge: a busy machine is not a fault.

Run alone: ``python -m pytest tests/benchmarks --benchmark-only``. README prints what they measured.
"""

import gzip
import re
import socket
import subprocess
import sys
import time
from contextlib import contextmanager
from itertools import count
from urllib.request import urlopen

import numpy as np
import pytest
from fastapi.testclient import TestClient

from calc.evaluate import FREQUENCIES, evaluate
from calc.evaluate_cabinet import cabinet
from server.app import create_app
from server.beginnings import demo
from server.charts import box_charts
from server.documents import amend, read_project


@pytest.fixture
def project():
    return read_project(demo("reading_room"))


def test_a_whole_project_at_500_frequencies(benchmark, project):
    assert len(FREQUENCIES) == 500
    result = benchmark(evaluate, project)
    assert len(result.boxes) == 3


def test_the_demos_cabinet(benchmark, project):
    air = evaluate(project).air
    made = benchmark(cabinet, project, project.alternatives[project.chosen], air)
    assert made.braces


def test_a_cabinet_with_lean_layers_lid_rounded_edges_and_braces(benchmark):
    edits = {
        "cabinet.hold": "volume", "cabinet.slope": 5.0, "cabinet.rounding": {"size": 0.012, "along": "all"},
        "cabinet.layers.skin": {"panel": "front", "sheet": "ply"}, "cabinet.lid": {"panel": "front"},
        "cabinet.layers.lining": {"panel": "back", "sheet": "ply", "place": "inside"},
        "cabinet.braces.rib": {"kind": "rib", "at": 0.08, "sheet": "ply", "depth": 0.006},
    }  # fmt: skip
    project = read_project(amend(demo("reading_room"), edits))
    air = evaluate(project).air
    made = benchmark(cabinet, project, project.alternatives[project.chosen], air)
    assert made.carcass.layers and made.carcass.gasket


def test_six_charts_of_three_boxes(benchmark, project):
    result = evaluate(project)
    assert len(benchmark(box_charts, result)) == 6


@contextmanager
def changing(folder):
    """A function that changes a page of a demo as htmx does, by a POST, through storage with its fsync."""
    app = create_app(folder)
    key = app.state.store.create(demo("reading_room"))
    with TestClient(app, base_url="http://localhost", client=("127.0.0.1", 1)) as client:
        revisions = count(1)

        def change(page, **form):
            form["revision"] = str(next(revisions))
            answer = client.post(f"/projects/{key}/{page}", data=form, headers={"HX-Request": "true"})
            assert answer.status_code == 200
            return answer

        yield change


def test_a_changed_field_to_a_new_panel_with_charts(benchmark, tmp_path):
    """To the panel with six charts."""
    volumes = iter(np.linspace(13, 19, 2000))
    with changing(tmp_path) as change:

        def volume():
            return change("box", **{"alternatives.B.box.Vb": f"{next(volumes):.4f}"})

        volume()
        answer = benchmark.pedantic(volume, rounds=60, warmup_rounds=3)
    assert answer.text.count("data-figure") == 6
    times = np.array(benchmark.stats.stats.data) * 1e3
    p50, p95 = np.percentile(times, [50, 95])
    benchmark.extra_info["p50_ms"], benchmark.extra_info["p95_ms"] = round(p50, 1), round(p95, 1)
    print(f"\na changed field: p50 {p50:.0f} ms, p95 {p95:.0f} ms")


def test_a_changed_part_to_a_new_panel_of_the_crossover(benchmark, tmp_path):
    """Eight parts, two drivers, the schematic and four charts."""
    values = iter(np.linspace(0.5, 2, 2000))
    with changing(tmp_path) as change:
        change("crossover", do="begin:linkwitz-riley 4")

        def coil():
            return change("crossover", **{"network.parts.low L1.inductance": f"{next(values):.4f}"})

        answer = benchmark.pedantic(coil, rounds=40, warmup_rounds=3)
    assert answer.text.count("data-figure") == 4


def test_a_changed_kerf_with_stock_and_a_run_of_grain(benchmark, tmp_path):
    """The layout anew, with and without the run, and every sheet and panel drawn."""
    kerfs = iter(np.linspace(2.2, 3.4, 2000))
    with changing(tmp_path) as change:
        change("stock", do="offcut:ply")
        change("stock", **{"workshop.stock.offcut 1.length": "1800", "workshop.stock.offcut 1.width": "820"})
        change("cutting", do="match:wrap")

        def kerf():
            return change("cutting", **{"workshop.kerf": f"{next(kerfs):.4f}"})

        answer = benchmark.pedantic(kerf, rounds=20, warmup_rounds=2)
    assert "from your stock" in answer.text


@contextmanager
def server(folder):
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [
        sys.executable,
        "-m",
        "server",
        "--host",
        "127.0.0.1",
        "--port",
        str(port),
        "--data",
        str(folder),
    ]
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        yield f"http://127.0.0.1:{port}"
    finally:
        process.kill()
        process.wait()


def first_answer(address):
    until = time.monotonic() + 30
    while time.monotonic() < until:
        try:
            with urlopen(address) as answer:
                return answer.read().decode()
        except OSError:
            time.sleep(0.01)
    raise TimeoutError(address)


def test_server_start_to_first_answer(benchmark, tmp_path):
    def start():
        with server(tmp_path) as address:
            return first_answer(address)

    assert "Reading-room pair" in benchmark.pedantic(start, rounds=3)


def test_first_page_in_a_cold_browser(benchmark, tmp_path, chromium):
    """From typing the address to drawn charts, nothing cached; and what goes over the wire."""
    wire = []
    with server(tmp_path) as address:
        page_address = address + re.search(r"/projects/[\w-]+/box", first_answer(address))[0]

        def visit():
            context = chromium.new_context()
            page = context.new_page()
            answers = []
            page.on("response", lambda answer: answers.append(answer))
            page.goto(page_address)
            page.wait_for_selector("#plot-level .main-svg")
            wire.append(sum(on_the_wire(answer) for answer in answers))
            context.close()

        benchmark.pedantic(visit, rounds=3, warmup_rounds=1)
    benchmark.extra_info["kB"] = round(wire[0] / 1e3)
    print(f"\non the wire: {wire[0] / 1e3:.0f} kB")
    assert wire[0] < 750e3


def on_the_wire(answer):
    """Bytes of the body as it was sent: gzipped where the server says so."""
    body = answer.body()
    if answer.headers.get("content-encoding") == "gzip":
        return len(gzip.compress(body, 9))
    return len(body)
