"""The command that starts the workbench."""

import socket
import subprocess
import sys
import time
import urllib.request

import pytest

from server import __main__ as command
from server.storage import TOKEN


def test_it_says_where_it_is_found_and_answers_there(serve, tmp_path):
    with serve(tmp_path / "shop") as (address, process):
        description = urllib.request.urlopen(f"{address}/openapi.json", timeout=10).read()
        assert b"Bafflewright" in description
        lines = [process.stdout.readline() for _ in range(2)]
        assert lines[0].startswith("From a phone:")
        assert lines[1] == f"Projects:         {tmp_path / 'shop'}\n"
        assert (tmp_path / "shop" / "projects").is_dir()


def test_who_asks_is_who_connects_whatever_a_header_claims(serve, tmp_path):
    """A claim that were believed would make a stranger of the owner here, and elsewhere the reverse."""
    with serve(tmp_path) as (address, _):
        claim = urllib.request.Request(f"{address}/", headers={"X-Forwarded-For": "192.168.7.20"})
        assert urllib.request.urlopen(claim, timeout=10).status == 200


def test_read_only_makes_no_folder(serve, tmp_path):
    with serve(tmp_path / "shop", "--read-only") as (address, process):
        assert urllib.request.urlopen(f"{address}/openapi.json", timeout=10).status == 200
        assert any("Read-only" in process.stdout.readline() for _ in range(3))
    assert not (tmp_path / "shop").exists()


def test_a_port_that_was_asked_for_and_is_taken_is_said_plainly(tmp_path):
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        options = ["--host", "127.0.0.1", "--port", str(port), "--data", str(tmp_path)]
        command_line = [sys.executable, "-m", "server", *options]
        ended = subprocess.run(command_line, capture_output=True, text=True, timeout=30, check=False)
    assert ended.returncode == 1
    assert ended.stderr.strip() == f"Cannot listen on 127.0.0.1, port {port}: address already in use."


def test_another_port_is_found_where_none_was_asked_for(monkeypatch):
    with socket.create_server(("127.0.0.1", 0)) as other:
        monkeypatch.setattr(command, "PORT", other.getsockname()[1])
        with command.listening("127.0.0.1", None) as found:
            assert found.getsockname()[1] not in (0, command.PORT)
    with pytest.raises(OSError, match="."):
        command.listening("203.0.113.77", None)


def test_a_folder_that_cannot_be_used_is_said_plainly(tmp_path):
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(SystemExit) as ended:
        command.main(["--host", "127.0.0.1", "--port", "0", "--data", str(tmp_path / "file" / "shop")])
    assert "Cannot keep projects in" in str(ended.value)


@pytest.mark.parametrize("port", ["x", "-1", "70000", "1.5"])
def test_a_port_that_is_none_is_refused(port, capsys):
    with pytest.raises(SystemExit):
        command.main(["--port", port])
    assert "whole number" in capsys.readouterr().err


def test_the_lines_carry_the_key_only_where_another_device_needs_it(monkeypatch, tmp_path):
    key = "k" * 22
    assert TOKEN.fullmatch(key)
    monkeypatch.setattr("server.security.lan_address", lambda: "192.168.7.5")
    here, phone, projects = command.announcement("0.0.0.0", 8760, key, tmp_path)
    assert here.endswith("http://localhost:8760/")
    assert f"http://192.168.7.5:8760/open/{key}" in phone
    assert projects.endswith(str(tmp_path))
    alone = command.announcement("127.0.0.1", 8760, key, tmp_path)
    assert not any(key in line for line in alone)
    named = command.announcement("192.168.7.5", 8760, key, tmp_path)
    assert all(f"http://192.168.7.5:8760/open/{key}" in line for line in named[:2])
    six = command.announcement("::1", 8760, key, tmp_path)
    assert "http://[::1]:8760/" in six[0]
    monkeypatch.setattr("server.security.lan_address", lambda: None)
    assert "no network" in command.announcement("0.0.0.0", 8760, key, tmp_path)[1]


def loaded_after(program):
    """The modules that are loaded when `program` has run in an interpreter of its own."""
    command_line = [sys.executable, "-c", f"import sys\n{program}\nprint(*sys.modules)"]
    return subprocess.run(command_line, capture_output=True, text=True, check=True).stdout.split()


def test_importing_calc_costs_numpy_alone():
    loaded = loaded_after("import calc, calc.project, calc.evaluate")
    assert "numpy" in loaded
    for heavy in ("scipy", "plotly", "fastapi", "pydantic", "starlette", "jinja2", "ezdxf", "reportlab"):
        assert heavy not in loaded


def test_starting_loads_nothing_that_only_a_page_or_an_export_needs(tmp_path):
    loaded = loaded_after(f"from server.app import create_app\ncreate_app({str(tmp_path)!r})")
    assert "fastapi" in loaded
    for heavy in ("scipy", "ezdxf", "reportlab", "segno"):
        assert heavy not in loaded


def test_the_first_answer_comes_and_how_soon_is_reported(serve, tmp_path, record_property):
    begun = time.perf_counter()
    with serve(tmp_path) as (address, _):
        assert urllib.request.urlopen(f"{address}/openapi.json", timeout=30).status == 200
        record_property("seconds to the first answer", round(time.perf_counter() - begun, 2))
