"""A driver in section: true to scale, dashed where its sheet is silent, and no value on top of a line."""

import re
from xml.etree import ElementTree

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from calc.project import Driver
from calc.project_cabinet import Frame
from server.drawings.driver import driver_section

SIZES = ("flange", "flange_thickness", "cutout", "depth", "magnet")
UPRIGHT = {"flange": 11, "cutout": 9, "magnet": 7}

DOME = Driver(
    kind="tweeter", Sd=7e-4,
    frame=Frame(flange=0.104, flange_thickness=0.004, cutout=0.074, depth=0.034, magnet=0.072),
)  # fmt: skip
WOOFER = Driver(
    Sd=0.0133, frame=Frame(flange=0.166, flange_thickness=0.0045, cutout=0.146, depth=0.076, magnet=0.1)
)
LARGE = Driver(
    Sd=0.05, frame=Frame(flange=0.305, flange_thickness=0.008, cutout=0.28, depth=0.135, magnet=0.156)
)
DRIVERS = {"dome": DOME, "woofer": WOOFER, "large woofer": LARGE}


class Reading:
    """A drawing as its reader sees it: strokes by class, slashes, and where the fields lie."""

    def __init__(self, drawing):
        root = ElementTree.fromstring(drawing.svg)
        _, _, self.width, self.height = map(float, root.get("viewBox").split())
        self.label = root.get("aria-label")
        self.strokes = {}
        for path in root.iter("path"):
            points = re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", path.get("d"))
            pairs = [(float(x), float(y)) for x, y in points]
            self.strokes.setdefault(path.get("class"), []).append(pairs)
        self.slashes = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in self.strokes["tick"]]
        self.fields = {name: self.field(*spot) for name, spot in drawing.spots.items()}

    def field(self, column, row):
        """The rectangle of a field, 130 by 90 px on a plate 1140 px wide."""
        x, y, reach, half = self.width * column / 12, self.height * row / 12, 63, 44
        x = reach if column == 1 else self.width - reach if column == 11 else x
        return x - reach, y - half, x + reach, y + half

    def span(self, size):
        """Length between the slashes of a size, in units of the drawing."""
        if size in UPRIGHT:
            x = self.width * UPRIGHT[size] / 12
            ends = sorted(b for a, b in self.slashes if abs(a - x) < 0.2)
        else:
            middle = self.height / 2
            others = [self.width * column / 12 for column in UPRIGHT.values()]
            level = [(a, b) for a, b in self.slashes if all(abs(a - x) > 0.2 for x in others)]
            ends = sorted(a for a, b in level if (b < middle) == (size == "flange_thickness"))
        assert len(ends) == 2
        return ends[1] - ends[0]


def covers(field, point):
    return field[0] < point[0] < field[2] and field[1] < point[1] < field[3]


def covers_line(field, a, b):
    """Whether a straight stroke passes through a field; tried at points a unit apart."""
    steps = 2 + int(max(abs(a[0] - b[0]), abs(a[1] - b[1])))
    return any(
        covers(field, (a[0] + (b[0] - a[0]) * i / steps, a[1] + (b[1] - a[1]) * i / steps))
        for i in range(steps + 1)
    )


def assert_clear(drawing):
    """No field on another, beyond the paper, on a slash, on the driver or on a line that is not its own."""
    read = Reading(drawing)
    assert set(read.fields) == set(SIZES)
    boxes = list(read.fields.values())
    for n, a in enumerate(boxes):
        assert a[0] >= 0 and a[1] >= -2 and a[2] <= read.width and a[3] <= read.height + 2
        assert not any(a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3] for b in boxes[n + 1 :])
    for name, field in read.fields.items():
        assert not any(covers(field, slash) for slash in read.slashes), name
        for kind in ("o", "hid", "leaf", "mid", "dim"):
            for stroke in read.strokes.get(kind, []):
                for a, b in zip(stroke, stroke[1:], strict=False):
                    own = kind == "dim" and (
                        a[0] == b[0] if name in UPRIGHT else stroke[-1][0] < field[2]
                    )  # a value interrupts its own dimension line, or ends a leader
                    assert own or not covers_line(field, a, b), (name, kind, a, b)


@pytest.mark.parametrize("name", DRIVERS)
def test_every_size_is_drawn_to_one_scale(name):
    driver = DRIVERS[name]
    read = Reading(driver_section("w", driver))
    scales = [read.span(size) / getattr(driver.frame, size) for size in SIZES]
    for size, scale in zip(SIZES, scales, strict=True):
        assert scale == pytest.approx(scales[0], abs=0.25 / getattr(driver.frame, size)), size
    assert read.span("flange") > 0.6 * read.height


@pytest.mark.parametrize("name", DRIVERS)
def test_a_full_sheet_leaves_nothing_dashed(name):
    drawing = driver_section("w", DRIVERS[name])
    assert "hid" not in Reading(drawing).strokes
    assert drawing.notes == ()
    assert_clear(drawing)


@pytest.mark.parametrize("kind", ["woofer", "midrange", "tweeter"])
def test_an_empty_driver_is_all_dashed(kind):
    drawing = driver_section("new", Driver(kind=kind))
    read = Reading(drawing)
    assert "o" not in read.strokes and "leaf" not in read.strokes and read.strokes["hid"]
    assert all(word in read.label for word in ("flange", "hole", "depth", "magnet"))
    assert_clear(drawing)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", DRIVERS)
def test_one_missing_size_dashes_its_own_edges_only(name, size):
    driver = DRIVERS[name]
    frame = {other: getattr(driver.frame, other) for other in SIZES if other != size}
    drawing = driver_section("w", Driver(kind=driver.kind, Sd=driver.Sd, frame=Frame(**frame)))
    read = Reading(drawing)
    assert read.strokes["hid"] and read.strokes["o"]
    assert len(drawing.notes) == 1
    assert_clear(drawing)


def test_a_dome_of_unknown_area_is_dashed_and_said():
    drawing = driver_section("t", Driver(kind="tweeter", frame=DOME.frame))
    read = Reading(drawing)
    assert len(read.strokes["hid"]) == 1 and "dome" in read.label
    assert "dashed" in drawing.notes[0]


def test_a_magnet_that_does_not_pass_the_hole_is_drawn_as_given_and_said():
    frame = Frame(flange=0.166, flange_thickness=0.005, cutout=0.1, depth=0.06, magnet=0.12)
    drawing = driver_section("w", Driver(frame=frame))
    read = Reading(drawing)
    assert read.span("magnet") / read.span("flange") == pytest.approx(0.12 / 0.166, abs=0.002)
    assert "does not go in from the front" in drawing.notes[0]


def test_letters_follow_the_order_of_the_fields_and_ids_the_driver():
    drawing = driver_section("mid bass", WOOFER)
    assert drawing.letters == dict(zip(SIZES, "abcde", strict=True))
    assert 'id="driver-mid-bass-slant"' in drawing.svg
    assert 'id="p1-slant"' in driver_section("w", WOOFER, name="p1").svg


across = st.none() | st.floats(0.01, 0.8)  # as wide as a driver may be


@settings(max_examples=100)
@given(
    kind=st.sampled_from(["woofer", "midrange", "tweeter"]),
    flange=across,
    thickness=st.none() | st.floats(1e-4, 0.05),
    cutout=across,
    depth=st.none() | st.floats(0.005, 0.6),
    magnet=across,
    Sd=st.none() | st.floats(1e-5, 0.2),
)
def test_odd_sizes_leave_every_value_clear(kind, flange, thickness, cutout, depth, magnet, Sd):
    assume(not (flange and cutout) or cutout < flange)
    frame = Frame(flange=flange, flange_thickness=thickness, cutout=cutout, depth=depth, magnet=magnet)
    drawing = driver_section("odd", Driver(kind=kind, Sd=Sd, frame=frame))
    assert_clear(drawing)
    read = Reading(drawing)
    for kind_of in ("o", "hid", "dim", "mid"):
        for x, y in (point for stroke in read.strokes.get(kind_of, []) for point in stroke):
            assert -1 <= x <= read.width + 1 and -1 <= y <= read.height + 1
