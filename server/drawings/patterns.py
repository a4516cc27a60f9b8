"""The hatches of the drawings, as SVG patterns.

Every drawing carries the few that it uses, under ids that begin with the drawing's own name
(``section-plyv``), so that several drawings share a page, and one alone can be printed or saved.
"""

PATTERNS = {
    # Plies run along the sheet: v for a sheet that stands, h for one that lies.
    "plyv": ("5", "10", '<rect class="pw" width="5" height="10"/><path class="ply" d="M2.5 0V10"/>'),
    "plyh": ("10", "5", '<rect class="pw" width="10" height="5"/><path class="ply" d="M0 2.5H10"/>'),
    # The same for a joint drawn large: three veneers, then the gap of a core.
    "bigv": (
        "17",
        "10",
        '<rect class="pw" width="17" height="10"/><path class="ply" d="M1 0V10M4 0V10M7 0V10"/>',
    ),
    "bigh": (
        "10",
        "17",
        '<rect class="pw" width="10" height="17"/><path class="ply" d="M0 1H10M0 4H10M0 7H10"/>',
    ),
    # Face grain: short broken strokes, level or upright.
    "grain": ("60", "12", '<path class="ply" d="M0 3H34M46 3H60M8 9H60"/>'),
    "grainv": ("12", "60", '<path class="ply" d="M3 0V34M3 46V60M9 8V60"/>'),
    # Shade and things cut away; things that take air; air itself.
    "slant": ("9", "9", '<path class="ply" d="M0 9L9 0M-1 1L1 -1M8 10L10 8"/>'),
    "cross": ("9", "9", '<path class="ply" d="M0 9L9 0M0 0L9 9"/>'),
    # What does not fit: crossed, heavier than any other.
    "clash": ("10", "10", '<path class="clash-line" d="M0 10L10 0M0 0L10 10"/>'),
    "level": ("8", "6", '<path class="ply" d="M0 1H8"/>'),
    "dots": (
        "8",
        "8",
        '<circle class="dot" cx="2" cy="2" r="1.3"/><circle class="dot" cx="6" cy="6" r="1.3"/>',
    ),
}


def definitions(names, prefix):
    """The ``<defs>`` of the patterns in `names`, their ids led by `prefix`."""
    return "<defs>" + "".join(_pattern(name, prefix) for name in sorted(names)) + "</defs>" if names else ""


def _pattern(name, prefix):
    width, height, marks = PATTERNS[name]
    return (
        f'<pattern id="{prefix}-{name}" width="{width}" height="{height}" '
        f'patternUnits="userSpaceOnUse">{marks}</pattern>'
    )
