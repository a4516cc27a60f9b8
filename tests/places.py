"""What the tests of pages, read or in the browser, walk through."""

PLACES = (
    "drivers",
    "box",
    "map",
    "loudness",
    "inside",
    "doubt",
    "crossover",
    "ways",
    "fit",
    "wiring",
    "side_by_side",
    "port",
    "cabinet",
    "braces",
    "materials",
    "faces",
    "standing",
    "as_cut",
    "views",
    "cutting",
    "saw",
    "boring",
    "packet",
    "history",
)
"""The pages of a project, in the order of the job."""
