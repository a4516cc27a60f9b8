"""What the workbench refuses before a page sees it, and what it says about every answer."""

import asyncio
import socket
from concurrent.futures import ThreadPoolExecutor

import pytest
from fastapi import Request
from pydantic import BaseModel, ConfigDict

from server.app import create_app
from server.documents import NewerFormat
from server.security import HEADERS, LIMIT, POLICY, Guard, lan_address
from server.storage import Busy, Damaged, Missing, ReadOnly, Stale

STRICT = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False)


class Wanted(BaseModel):
    model_config = STRICT
    Vb: float
    names: list[str] = []


@pytest.fixture(autouse=True)
def pages(app):
    """Pages and a JSON route, as the others make them."""

    def echo(wanted: Wanted):
        return {"Vb": wanted.Vb}

    async def post(request: Request):
        return {"size": len(await request.body())}

    def broken():
        raise RuntimeError("secret detail of the program")

    app.add_api_route("/page", lambda: "page", methods=["GET"])
    app.add_api_route("/page", post, methods=["POST"])
    app.add_api_route("/broken", broken)
    app.add_api_route("/api/broken", broken)
    app.add_api_route("/api/echo", echo, methods=["POST"])


@pytest.mark.parametrize(
    "host",
    ["localhost", "localhost:8760", "127.0.0.1:8760", "192.168.7.20", "[::1]:8760", "[fe80::1]", "LOCALHOST",
     socket.gethostname(), f"{socket.gethostname().partition('.')[0]}.local:8760"],
)  # fmt: skip
def test_its_own_names_and_addresses_are_answered(client, host):
    assert client.get("/page", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize(
    "host",
    ["rebound.example", "localhost.rebound.example", "127.0.0.1.rebound.example", "", "[",
     "localhost@evil.example", "1.2.3", "a b"],
)  # fmt: skip
def test_foreign_names_are_refused(client, host):
    answer = client.get("/page", headers={"Host": host})
    assert answer.status_code == 400
    assert "address it printed" in answer.text


def test_a_name_that_was_given_at_the_start_is_answered(tmp_path):
    guard = create_app(tmp_path, hosts=("Shop.Example",)).build_middleware_stack()
    found = [guard]
    while hasattr(found[-1], "app"):
        found.append(found[-1].app)
    guards = [layer for layer in found if isinstance(layer, Guard)]
    assert guards[0].knows("shop.example:8760") and not guards[0].knows("other.example")


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({}, 200),
        ({"Sec-Fetch-Site": "same-origin", "Origin": "http://localhost"}, 200),
        ({"Sec-Fetch-Site": "none"}, 200),
        ({"Origin": "http://localhost"}, 200),
        ({"Sec-Fetch-Site": "cross-site"}, 403),
        ({"Sec-Fetch-Site": "same-site"}, 403),
        ({"Origin": "http://evil.example"}, 403),
        ({"Origin": "http://localhost:9999"}, 403),
        ({"Origin": "null"}, 403),
        ({"Origin": "http://[broken"}, 403),
        ({"Sec-Fetch-Site": "same-origin", "Origin": "http://evil.example"}, 403),
    ],
)
def test_posts_from_other_sites_are_refused(client, headers, status):
    assert client.post("/page", content=b"x", headers=headers).status_code == status
    assert client.get("/page", headers=headers).status_code == 200, "a link from elsewhere may be followed"


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE"])
def test_no_other_method_slips_past(client, method):
    assert client.request(method, "/page", headers={"Sec-Fetch-Site": "cross-site"}).status_code == 403


def test_the_largest_body_passes_and_one_byte_more_does_not(client):
    assert client.post("/page", content=b"x" * LIMIT).json() == {"size": LIMIT}
    answer = client.post("/page", content=b"x" * (LIMIT + 1))
    assert answer.status_code == 413
    assert "1 MB" in answer.text
    assert answer.headers["content-security-policy"] == POLICY


def test_pieces_of_an_unannounced_body_are_counted(client):
    read = 0

    def endless():
        nonlocal read
        for _ in range(1000):
            read += 1
            yield b"x" * 10_000

    answer = client.post("/api/echo", content=endless())
    assert answer.status_code == 413
    assert "1 MB" in answer.json()["errors"]["body"]
    assert client.post("/page", content=iter([b"ab", b"cd"])).json() == {"size": 4}


def test_an_endless_body_is_not_read_to_its_end(app):
    """Straight at the application, because the test client gathers the pieces first."""
    received, sent = [], []

    async def receive():
        received.append(1)
        return {"type": "http.request", "body": b"x" * 50_000, "more_body": True}

    async def send(message):
        sent.append(message)

    scope = {
        "type": "http", "method": "POST", "path": "/page", "raw_path": b"/page", "query_string": b"",
        "scheme": "http",
        "headers": [(b"host", b"localhost"), (b"transfer-encoding", b"chunked")], "http_version": "1.1",
        "client": ("127.0.0.1", 1), "server": ("127.0.0.1", 80), "root_path": "",
    }  # fmt: skip
    with ThreadPoolExecutor(1) as beside:  # a browser's driver may hold a loop of its own here
        beside.submit(asyncio.run, app(scope, receive, send)).result()
    assert sent[0]["status"] == 413
    assert len(received) == LIMIT // 50_000 + 1


@pytest.mark.parametrize(
    "path", ["/page", "/nowhere", "/static/app.css", "/broken", "/api/broken", "/api/nowhere"]
)
def test_every_answer_is_headed(client, path):
    answer = client.get(path)
    for name, value in HEADERS.items():
        assert answer.headers[name] == value
        assert len(answer.headers.get_list(name)) == 1
    assert answer.headers["cache-control"] == ("no-cache" if path.startswith("/static/") else "no-store")


def test_the_policy_lets_nothing_in_from_elsewhere():
    rules = dict(rule.split(" ", 1) for rule in POLICY.split("; "))
    assert rules["default-src"] == "'self'"
    assert set(" ".join(rules.values()).split()) <= {"'self'", "'none'", "'unsafe-inline'", "data:", "blob:"}
    assert [name for name, value in rules.items() if "unsafe" in value] == ["style-src"]


def test_vendored_files_are_kept_for_good_and_zipped(client):
    from server.storage import shipped

    vendored = sorted((shipped("static") / "vendor").glob("*.js"))
    assert vendored
    for path in vendored:
        answer = client.get(f"/static/vendor/{path.name}", headers={"Accept-Encoding": "gzip"})
        assert answer.status_code == 200
        assert answer.headers["cache-control"] == "public, max-age=31536000, immutable"
        assert answer.headers["content-encoding"] == "gzip"
    assert client.get("/static/vendor/none.js").headers["cache-control"] == "no-store"


@pytest.mark.parametrize(
    "path",
    ["/static/../server/app.py", "/static/..%2fserver/app.py", "/static/%2e%2e/pyproject.toml",
     "/static/vendor/..%2f..%2fserver/app.py", "/static//etc/passwd", "/static/%00",
     "/projects/..%2f..%2fshelf-key", "/open/..%2f..%2fetc"],
)  # fmt: skip
def test_tricks_with_paths_find_nothing(client, path):
    answer = client.get(path)
    assert answer.status_code in (400, 404, 405)
    assert "create_app" not in answer.text and "bafflewright" not in answer.text


@pytest.mark.parametrize(("path", "kind"), [("/broken", "text/"), ("/api/broken", "application/json")])
def test_a_fault_of_ours_shows_no_trace(client, path, kind):
    answer = client.get(path)
    assert answer.status_code == 500
    assert answer.headers["content-type"].startswith(kind)
    for word in ("Traceback", "RuntimeError", "secret", ".py"):
        assert word not in answer.text


def test_an_error_page_that_fails_itself_still_says_its_sentence(client, monkeypatch):
    from server.pages import templates

    def fails(*_):
        raise RuntimeError("no such template")

    monkeypatch.setattr(templates.env, "select_template", fails)
    answer = client.get("/nowhere")
    assert answer.status_code == 404 and answer.text.startswith("Nothing is found")


@pytest.mark.parametrize(
    ("fault", "status"),
    [(Missing("revision 3"), 404), (ReadOnly(), 403), (Stale(None), 409), (Damaged("It is damaged."), 409),
     (Busy(), 503), (NewerFormat(7), 409)],
)  # fmt: skip
def test_refusals_from_below_become_sentences(app, client, fault, status):
    def page():
        raise fault

    app.add_api_route("/fails", page)
    app.add_api_route("/api/fails", page)
    answer = client.get("/fails")
    assert answer.status_code == status
    sentence = getattr(fault, "sentence", "Nothing is found")
    assert sentence in answer.text.replace("&#39;", "'")
    assert sentence in client.get("/api/fails").json()["errors"]["request"]


@pytest.mark.parametrize(
    ("body", "errors"),
    [
        ({"Vb": "x", "zz": 1}, {"Vb": "must be a number", "zz": "is not known here"}),
        ({"names": [1]}, {"Vb": "is needed", "names.0": "must be text"}),
        ([1], {"body": "must be a set of named values"}),
        (None, {"body": "is needed"}),
    ],
)
def test_a_bad_body_is_refused_field_by_field(client, body, errors):
    answer = client.post("/api/echo", json=body)
    assert answer.status_code == 422
    assert answer.json() == {"errors": errors}


@pytest.mark.parametrize(
    "body",
    [b"{", b"\xff\xfe", b'{"Vb": NaN}', b'{"Vb": 1e999}', b'{"Vb": Infinity}', b"[" * 100_000,
     b'{"\\ud800": 1}', b'{"Vb": ' + b"9" * 5000 + b"}", b'{"Vb": "\\ud800"}', b"", b'"x"'],
)  # fmt: skip
def test_strange_bodies_are_refused_and_never_a_fault(client, body):
    answer = client.post("/api/echo", content=body, headers={"Content-Type": "application/json"})
    assert answer.status_code == 422
    assert answer.json()["errors"]
    assert "NaN" not in answer.text


def test_the_description_is_of_the_json_interface_alone(tmp_path):
    app = create_app(tmp_path)
    paths = app.openapi()["paths"]
    assert all(path.startswith("/api/") for path in paths)
    for methods in paths.values():
        for operation in methods.values():
            schema = operation["responses"]["422"]["content"]["application/json"]["schema"]
            assert schema == {"$ref": "#/components/schemas/Refusal"}
    assert app.docs_url is None and app.redoc_url is None


def test_the_network_address_is_no_loopback_and_nothing_is_sent(monkeypatch):
    sent = []
    monkeypatch.setattr(socket.socket, "send", lambda *_: sent.append(1), raising=False)
    monkeypatch.setattr(socket.socket, "sendto", lambda *_: sent.append(1), raising=False)
    address = lan_address()
    assert address is None or not address.startswith("127.")
    assert sent == []
