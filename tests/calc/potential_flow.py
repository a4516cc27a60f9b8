"""Flow without friction through the end of a round pipe of radius 1, on a grid: what the end really adds.

Laplace's equation in rings about the axis, each face open by the share that the wall leaves of it. The pipe
comes up from below and ends at z = 0, in a wall or in the open air; far away the flow is that of a point.
"""

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import spsolve

FAR = 25.0
STRAIGHT = 1.5  # of pipe, before its flare


def wall(z, flare):
    """Radius of the bore at z < 0: straight, then widened by a quarter circle of radius `flare`."""
    x = np.maximum(z + flare, 0.0)
    return 1 + flare - np.sqrt(np.maximum(flare**2 - x**2, 0.0))


def growing(start, h, even):
    """From `start` in steps of `h`, after `even` of them growing, to FAR."""
    marks, step = [start + n * h for n in range(even + 1)], h
    while marks[-1] < FAR:
        step *= 1.08
        marks.append(marks[-1] + step)
    return np.array(marks)


def end_length(flare=0.0, h=0.05, free=False, panel=None):
    """Length that the end adds, in radii; `panel` is the distance of a wall before a free end."""
    length = flare + STRAIGHT
    pipe = np.linspace(-length, 0, round(length / h) + 1)
    r = growing(0.0, h, round((1.5 + flare) / h))
    z = np.concatenate([pipe[:-1], _front(h, panel)])
    if free:
        z = np.concatenate([pipe[0] - growing(0.0, h, 1)[:0:-1], z])
    zc, rc = (z[1:] + z[:-1]) / 2, (r[1:] + r[:-1]) / 2
    bore = (zc[:, None] < 0) & (rc[None] < wall(zc, flare)[:, None])
    up, out = _faces(z, r, flare, bore, free)
    n = np.arange(len(zc) * len(rc)).reshape(len(zc), len(rc))
    edges = [(n[:-1], n[1:], up / np.diff(zc)[:, None]), (n[:, :-1], n[:, 1:], out / np.diff(rc)[None])]
    i, j, g = (np.concatenate([edge[k].ravel() for edge in edges]) for k in range(3))
    i, j, g = i[g > 0], j[g > 0], g[g > 0]
    diagonal, source = np.zeros(n.size), np.zeros(n.size)
    np.add.at(diagonal, i, g)
    np.add.at(diagonal, j, g)
    ring = np.pi * (r[1:] ** 2 - r[:-1] ** 2)
    entry = bore[0]
    S = ring[entry].sum()
    source[n[0, entry]] = ring[entry]

    def far(cells, area, distance, z_at, r_at):
        solid_angle = 4 * np.pi if free else 2 * np.pi
        value = S / (solid_angle * np.hypot(z_at, r_at))
        if panel is not None:
            value = value + S / (solid_angle * np.hypot(z_at - 2 * panel, r_at))
        np.add.at(diagonal, cells, area / distance)
        np.add.at(source, cells, area / distance * value)

    outside = zc > (-FAR if free else 0.0)
    far(n[outside, -1], 2 * np.pi * r[-1] * np.diff(z)[outside], r[-1] - rc[-1], zc[outside], r[-1])
    if panel is None:
        far(n[-1], ring, z[-1] - zc[-1], z[-1], rc)
    if free:
        far(n[0, ~entry], ring[~entry], zc[0] - z[0], z[0], rc[~entry])
    diagonal[diagonal == 0] = 1  # solid
    rows = np.concatenate([np.arange(n.size), i, j])
    columns = np.concatenate([np.arange(n.size), j, i])
    matrix = coo_matrix((np.concatenate([diagonal, -g, -g]), (rows, columns))).tocsc()
    potential = spsolve(matrix, source).reshape(n.shape)
    return (potential[0, entry] * ring[entry]).sum() / S + zc[0]


def _front(h, panel):
    if panel is None:
        return growing(0.0, h, round(0.5 / h))
    marks = growing(0.0, h, round(0.5 / h))
    return np.append(marks[marks < panel - h / 2], panel)


def _faces(z, r, flare, bore, free):
    """Open area of the faces upwards and outwards between cells."""
    zc = (z[1:] + z[:-1]) / 2
    rings = np.broadcast_to(np.pi * (r[1:] ** 2 - r[:-1] ** 2), (len(z) - 2, len(r) - 1)).copy()
    if free:  # a wall without thickness, along the faces
        out = 2 * np.pi * r[1:-1] * np.diff(z)[:, None] * (bore[:, 1:] == bore[:, :-1])
        crossed = bore[1:] != bore[:-1]
        crossed[zc[:-1] > zc[zc < 0].max() - 1e-9] = False  # the mouth
        return rings * ~crossed, out
    below = z[1:-1] < 0
    reach = np.minimum(wall(z[1:-1][below], flare)[:, None], r[1:])
    rings[below] = np.clip(np.pi * (reach**2 - r[:-1] ** 2), 0, None)
    steps = (np.arange(40) + 0.5) / 40
    within = z[:-1, None] + np.diff(z)[:, None] * steps
    open_to = np.where(within < 0, wall(np.minimum(within, 0.0), flare), np.inf)
    share = (open_to[:, :, None] > r[1:-1]).mean(axis=1)
    return rings, 2 * np.pi * r[1:-1] * np.diff(z)[:, None] * share
