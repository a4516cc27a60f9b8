"""Geometry that drawings share: where panels face, the air inside, windows, the order of oblique faces."""

from functools import lru_cache

RIGHT, UP = 0.52, 0.30
"""How far an oblique view moves to the right and up for each unit that a point lies further back."""

FACING = {
    "front": (1, -1),
    "back": (1, 1),
    "left": (0, -1),
    "right": (0, 1),
    "top": (2, 1),
    "bottom": (2, -1),
}
"""Axis and direction in which each panel faces outwards."""


def inside(carcass):
    """The low and high corner of the air inside at its floor, in cabinet coordinates. [m]"""
    thickness = {name: panel.thickness for name, panel in carcass.panels.items()}
    low = (thickness["left"], carcass.front_inner(thickness["bottom"]), thickness["bottom"])
    width, height, depth = carcass.outer
    high = (width - thickness["right"], depth - thickness["back"], height - thickness["top"])
    return low, high


# Oblique solids -----------------------------------------------------------------------------------------


@lru_cache(maxsize=256)
def oblique_faces(shape):
    """The faces of a `Surface` that show in an oblique view from the front, the right and above.

    They come in drawing order, so that a near one covers what lies behind it.
    """
    faces = [face for face in shape.faces if _towards_eye(face.normal)]
    corners = [{point for piece in face.pieces for point in piece} for face in faces]
    after = [
        [g for g in range(len(faces)) if g != f and _hides(faces[f], corners[f], faces[g], corners[g])]
        for f in range(len(faces))
    ]
    order, done = [], set()

    def place(index):
        if index not in done:
            done.add(index)
            for behind in after[index]:
                place(behind)
            order.append(faces[index])

    for index in range(len(faces)):
        place(index)
    return tuple(order)


def _towards_eye(normal):
    return normal[1] - RIGHT * normal[0] - UP * normal[2] < -1e-9


def _hides(one, its_corners, other, other_corners):
    """Whether the face `one` may lie before `other` on the way to the eye."""
    return _nearer(one, its_corners, other, other_corners) and not _nearer(
        other, other_corners, one, its_corners
    )


def _nearer(one, its_corners, other, other_corners):
    """Whether all of `other` lies behind the plane of `one`, or all of `one` before that of `other`."""
    return all(_height(one, point) <= 1e-7 for point in other_corners) or all(
        _height(other, point) >= -1e-7 for point in its_corners
    )


def _height(face, point):
    return sum(n * p for n, p in zip(face.normal, point, strict=True)) - face.offset
