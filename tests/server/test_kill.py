"""A save that was acknowledged is there after the process was killed, whatever it was doing."""

import random
import subprocess
import sys
import time
from threading import Timer

import httpx2 as httpx

from server.documents import amend
from server.storage import Store

SAVES = 120

WRITER = """
import sys
from server.documents import amend
from server.storage import Store

store = Store(sys.argv[1])
while True:
    stored = store.load(sys.argv[2])
    number = stored.revision + 1
    store.save(stored.id, amend(stored.document, {"notes": f"save {number}"}), stored.revision)
    print(number, flush=True)
"""


def holds_everything(store, id, acknowledged):
    """Check each revision that was acknowledged, and that none of the others is broken."""
    now = store.load(id)
    assert now.damaged is None
    assert now.revision >= max(acknowledged)
    assert [number for number, _ in store.earlier(id)] == list(range(now.revision - 1, 0, -1))
    for number, notes in acknowledged.items():
        assert store.load_revision(id, number).document["notes"] == notes


def test_a_server_killed_during_its_saves_has_kept_every_acknowledged_one(serve, tmp_path, document):
    """Each life ends some saves in, at any moment of the next two: counted in saves, so on any machine."""
    chance = random.Random(20261125)
    store = Store(tmp_path)
    id = store.create(document)
    acknowledged, kills = {}, 0
    while len(acknowledged) < SAVES:
        with serve(tmp_path) as (address, process), httpx.Client(timeout=120) as browser:
            revision = store.load(id).revision
            before_death, death, took = chance.randint(2, 40), None, 0.0
            try:
                while True:
                    if before_death == 0:
                        death = Timer(chance.uniform(0, 2 * took), process.kill)
                        death.start()
                    notes = f"save {revision + 1} of life {kills}"
                    begun = time.perf_counter()
                    answer = browser.post(
                        f"{address}/projects/{id}/box", data={"revision": str(revision), "notes": notes}
                    )
                    took = time.perf_counter() - begun
                    assert answer.status_code == 303, answer.text
                    revision += 1
                    before_death -= 1
                    acknowledged[revision] = notes
            except httpx.TransportError:
                kills += 1
            finally:
                if death:
                    death.cancel()
        holds_everything(store, id, acknowledged)
    assert kills >= 5
    assert len(acknowledged) >= SAVES


def test_a_writer_killed_in_the_middle_leaves_whole_files(tmp_path, document):
    """No pages between: the kill comes far more often within a write than beside it."""
    chance = random.Random(7)
    store = Store(tmp_path)
    id = store.create(document)
    acknowledged = {1: document["notes"]}
    for _ in range(15):
        with subprocess.Popen(
            [sys.executable, "-c", WRITER, str(tmp_path), id], stdout=subprocess.PIPE, text=True
        ) as writer:
            begun = time.perf_counter()
            lines = [writer.stdout.readline() for _ in range(1 + chance.randint(1, 4))]
            took = (time.perf_counter() - begun) / len(lines)
            time.sleep(chance.uniform(0, min(2 * took, 0.05)))
            writer.kill()
            lines += writer.stdout.readlines()
        for line in lines:
            if line.endswith("\n"):
                acknowledged[int(line)] = f"save {int(line)}"
        holds_everything(store, id, acknowledged)
    assert len(acknowledged) > 30
    revision = store.load(id).revision
    assert store.save(id, amend(document, {"notes": "life goes on"}), revision) == revision + 1
    left = [path.name for path in (tmp_path / "projects" / id).rglob("*") if path.name.startswith(".")]
    assert left == [], "what was half written is cleared away"
