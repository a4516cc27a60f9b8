"""What a user's hands do at a page, and what the project's file holds afterwards."""

import json
import re
from contextlib import contextmanager

from calc.evaluate import evaluate
from server.documents import read_project

WIDE, PHONE, SMALL_PHONE = 1440, 360, 320
"""Widths of the screens that the pages are looked at on. [px]"""


def made(page, do, show="metric"):
    """The key of a project that is begun by the button `do` of the shelf."""
    answer = page.request.post("/", form={"do": do, "show": show}, max_redirects=0)
    return answer.headers["location"].split("/")[2]


def field(page, path):
    """The input that stands at a dotted path of the document."""
    return page.locator(f'[name="{path}"]')


@contextmanager
def answered(page, status=200):
    """Wait for the answer to the change that is made inside, and until the page shows it."""
    before = page.evaluate("window.swapped")
    with page.expect_response(lambda got: got.request.method == "POST") as waiting:
        yield
    got = waiting.value
    assert got.status == status, f"{got.status} for {got.request.post_data!r}"
    page.wait_for_function("before => window.swapped > before", arg=before)


def typed(page, path, text, status=200):
    """Type into a field as one does, and go on to the next."""
    with answered(page, status):
        field(page, path).fill(text)
        page.keyboard.press("Tab")


def pressed(page, action, status=200):
    """Press the button that does `action`, folded away or not."""
    button = page.locator(f'#page button[value="{action}"]')
    unfolded(button)
    with answered(page, status):
        button.click()


def unfolded(locator):
    """Open whatever fold something is in, as one must to reach it."""
    locator.evaluate("it => { while (it = it.closest('details:not([open])')) it.open = true }")


def kept(workshop, key):
    """The project as its file holds it, read and solved without any server: (project, result)."""
    stored = json.loads((workshop.data / "projects" / key / "project.json").read_text())
    project = read_project(stored["project"])
    return project, evaluate(project)


def link(page, key, kind):
    """The address that opens the project for a helper."""
    page.request.post(f"/projects/{key}/history", form={"do": f"link:{kind}"}, max_redirects=0)
    page.goto(f"/projects/{key}/history")
    first = {"edit": "box", "look": "packet"}[kind]
    return re.search(rf"/projects/([\w-]{{22}})/{first}", page.content().replace(key, ""))[1]
