"""Which parts the right cabinet of a mirrored pair needs as mirror images."""

from calc.shop.features import Circle
from calc.shop.rings import mirrored

NEAR = 1e-6  # m; nearer than this, two places are one


def own_image(part):
    """Whether a part is its own mirror image about the middle of its width."""
    return _marks(part) == _marks(part, image=True)


def same(one, other):
    """Whether two parts have the same outline and the same cuts at the same places."""
    return _marks(one) == _marks(other)


def turns_over(part):
    """Whether it is all the same which face of a part lies up: nothing is cut into one face alone."""
    return all(each.through for each in part.features)


def _marks(part, image=False):
    return {
        (each.kind, each.face, round(each.depth / NEAR), _places(each.shape, part.width if image else None))
        for each in part.features
    }


def _places(shape, width):
    if isinstance(shape, Circle):
        x = shape.x if width is None else width - shape.x
        return tuple(round(each / NEAR) for each in (x, shape.y, shape.diameter))
    ring = shape if width is None else mirrored(shape, width)
    return frozenset((round(x / NEAR), round(y / NEAR)) for x, y, _ in ring)
