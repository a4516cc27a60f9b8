"""A real browser at a server of its own; it watches that nothing goes elsewhere and nothing goes wrong."""

import re
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit
from urllib.request import urlopen

import pytest
from hands import PHONE, WIDE, made
from playwright.sync_api import Page, expect

expect.set_options(timeout=20_000)  # a busy machine draws a turning body in ten seconds

COUNT_SWAPS = "window.swapped = 0; document.addEventListener('htmx:after:swap', () => window.swapped++)"

# A console note about each answer that was refused on purpose; and, of the 3-D drawing library, that it reads
# its own canvas back, with the same said by a machine without a graphics card. Neither is a fault of a page.
REFUSALS = (403, 404, 409, 422)
HARMLESS = re.compile(
    rf"status of ({'|'.join(map(str, REFUSALS))})\b"
    r"|willReadFrequently|GL Driver Message \(OpenGL, Performance"
)


@dataclass(frozen=True)
class Workshop:
    """A running server: its address, and the folder where it keeps the projects."""

    address: str
    data: Path


@dataclass
class Watch:
    """What a browser did that it should not: `faults` in words."""

    home: str
    faults: list = field(default_factory=list)

    def over(self, context):
        context.on("request", self.request)
        context.on("response", self.response)
        context.on("console", self.console)
        context.on("weberror", lambda error: self.faults.append(f"script error: {error.error}"))

    def request(self, request):
        to = urlsplit(request.url)
        if to.scheme not in ("data", "blob") and to.netloc != self.home:
            self.faults.append(f"asked elsewhere: {request.url}")

    def response(self, response):
        on_purpose = response.status in REFUSALS and urlsplit(response.url).path.startswith("/projects/")
        if response.status >= 400 and not on_purpose:
            self.faults.append(f"{response.status} for {response.url}")

    def console(self, message):
        if message.type in ("error", "warning") and not HARMLESS.search(message.text):
            self.faults.append(f"console: {message.text} at {message.page and message.page.url}")


@pytest.fixture(scope="session")
def workshop(serve, tmp_path_factory):
    """The server that the whole session works at, after a first visit to its shelf."""
    data = tmp_path_factory.mktemp("browser") / "shop"
    with serve(data) as (address, _):
        with urlopen(f"{address}/") as shelf:  # which puts the demos on it
            assert shelf.status == 200
        yield Workshop(address, data)


@pytest.fixture(scope="session")
def seats():
    """Pages that nobody sits at, with the watch over each: a page that stays open need not start afresh."""
    return []


@contextmanager
def watched(chromium, workshop, seats):
    """A function that gives a page at the workshop, in a browser profile of its own.

    At the end none of them may have asked elsewhere or complained.
    """
    taken = []

    def seat(**options):
        context = chromium.new_context(base_url=workshop.address, reduced_motion="reduce", **options)
        context.set_default_timeout(20_000)
        context.add_init_script(COUNT_SWAPS)
        watch = Watch(urlsplit(workshop.address).netloc)
        watch.over(context)
        return context.new_page(), watch, bool(options)

    def open_page(width=WIDE, height=900, dark=False, **options) -> Page:
        taken.append(seat(**options) if options or not seats else seats.pop())
        page = taken[-1][0]
        page.set_viewport_size({"width": width, "height": height})
        page.emulate_media(color_scheme="dark" if dark else "light", media="null")
        return page

    yield open_page
    faults = []
    for page, watch, once in taken:
        if once:
            page.context.close()
        else:
            page.goto("about:blank")
            for other in page.context.pages[1:]:
                other.close()
            page.context.clear_cookies()
            seats.append((page, watch, once))
        faults += watch.faults
        watch.faults.clear()
    assert not faults, "\n".join(faults)


@pytest.fixture
def sit_down(chromium, workshop, seats):
    """As `watched`, for one test."""
    with watched(chromium, workshop, seats) as open_page:
        yield open_page


@pytest.fixture
def page(sit_down):
    """A page on a wide screen."""
    return sit_down()


@pytest.fixture(scope="module")
def screens(chromium, workshop, seats):
    """A wide screen and a phone for all tests of a module that only look."""
    with watched(chromium, workshop, seats) as open_page:
        yield open_page(WIDE), open_page(PHONE)


@pytest.fixture
def left_alone(chromium, serve, tmp_path):
    """A function that opens a place of a demo and stops its server, one of its own.

    Nobody watches: that the browser complains then is no fault.
    """
    with serve(tmp_path / "shop") as (address, process), chromium.new_context(base_url=address) as context:

        def open_page(place):
            page = context.new_page()
            page.goto(f"/projects/{made(page, 'demo:reading_room')}/{place}")
            process.kill()
            process.wait()
            return page

        yield open_page


# --- axe-core

AXE = Path(__file__).parents[1] / "vendor" / "axe-4.14.1.min.js"
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]

# Started on all screens before any verdict is asked for, so that they judge at the same time.
START = """runOnly => {
    document.querySelectorAll("details").forEach(fold => { fold.open = true });
    window.judged = axe.run(document, {runOnly, resultTypes: ["violations"]});
}"""

VERDICT = """async () => (await window.judged).violations.flatMap(each =>
    each.nodes.map(node => `${each.id}: ${node.target} ${node.html.slice(0, 160)} ${node.failureSummary}`))"""

BOTH = {"light": TAGS, "dark": {"type": "rule", "values": ["color-contrast"]}}
"""What is judged in each light: in the dark only what the dark changes, the colours."""


@pytest.fixture(scope="module")
def axe():
    return AXE.read_text(encoding="utf-8")


@pytest.fixture
def judge(axe, screens):
    """A function that has axe look at all screens in both lights, and gives all that it objects to."""

    def judged(schemes=BOTH):
        faults = []
        for screen in screens:
            screen.evaluate(axe)
        for scheme in schemes:
            for screen in screens:
                screen.emulate_media(color_scheme=scheme)
                screen.evaluate(START, BOTH[scheme])
            for screen in screens:
                where = f"{screen.url}, {scheme}, {screen.viewport_size['width']} px"
                faults += [f"{where}: {fault}" for fault in screen.evaluate(VERDICT)]
        return faults

    return judged
