"""Several people edit one project at once: nobody's accepted edit is lost, nobody's refusal is silent."""

import re
from concurrent.futures import ThreadPoolExecutor

import httpx2 as httpx

from server.storage import Store

EDITORS = 8
EDITS = 12


def edit(address, key, editor):
    """Make edits as a browser does, each on the page as it was shown; return what became of them."""
    outcome = []
    with httpx.Client(timeout=60) as browser:
        for number in range(EDITS):
            page = browser.get(f"{address}/projects/{key}/port")
            revision = re.search(r'name="revision"[^>]*value="(\d+)"', page.text)[1]
            notes = f"editor {editor}, edit {number}"
            typed = {"revision": revision, "notes": notes}
            answer = browser.post(f"{address}/projects/{key}/port", data=typed)
            outcome.append((answer.status_code, int(revision) + 1, notes, answer.text))
    return outcome


def test_accepted_and_refused_edits_are_all_that_were_sent_and_none_is_missing(serve, tmp_path, document):
    store = Store(tmp_path)
    id = store.create(document)
    keys = [id, store.set_link(id, "edit")]
    with serve(tmp_path) as (address, _), ThreadPoolExecutor(EDITORS) as together:
        at_work = [together.submit(edit, address, keys[editor % 2], editor) for editor in range(EDITORS)]
        outcomes = [outcome for one in at_work for outcome in one.result()]

    accepted = [outcome for outcome in outcomes if outcome[0] == 303]
    refused = [outcome for outcome in outcomes if outcome[0] == 409]
    assert len(accepted) + len(refused) == len(outcomes) == EDITORS * EDITS
    assert len(accepted) >= EDITS and refused, "they did meet"

    now = store.load(id)
    assert now.revision == 1 + len(accepted), "each accepted edit made one revision, each refused one none"
    assert sorted(number for _, number, _, _ in accepted) == list(range(2, now.revision + 1))
    for _, number, notes, _ in accepted:
        assert store.load_revision(id, number).document["notes"] == notes
    for _, _, notes, page in refused:
        assert notes in page, "the refusal shows what was typed"
