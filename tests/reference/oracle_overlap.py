"""How deep bones of a hand are in each other, by Coal (PyPI `coal`) and by SciPy.

A tapered segment of radii r < R is the ball of radius r rolled over the hull of a point and a ball
of radius R - r. That hull is one of Coal's cones, from the point to the circle where it touches the
ball, together with the ball. So two tapered segments are as far apart as the nearest of those
parts, less both small radii: exactly, as long as the hulls themselves do not meet. Where they do
(depths over both small radii), and for the deepest pair of each setting besides, SciPy minimises
the gap of two balls over one of each segment.

Which segments of two bones can be nearest is told by planes between them, with NumPy."""

import json
import sys

import coal
import numpy as np
from scipy.optimize import minimize_scalar

# How far Coal goes on, and the smallest taper that is one, mm.
TOLERANCE = 1e-13
STRAIGHT = 1e-12


def pose(rotation, at):
    made = coal.Transform3s()
    made.setRotation(np.ascontiguousarray(rotation))
    made.setTranslation(np.ascontiguousarray(at))
    return made


def upright(along):
    """A rotation that takes z to this unit."""
    other = np.eye(3)[np.argmin(np.abs(along))]
    x = np.cross(other, along)
    x /= np.linalg.norm(x)
    return np.column_stack([x, np.cross(along, x), along])


def parts(link):
    """Coal's shapes of a segment's hull, each with its pose, and the radius rolled over them."""
    (a, r), (b, s) = ((np.array(ball[:3]), ball[3]) for ball in link)
    if r > s:
        (a, r), (b, s) = (b, s), (a, r)
    length, taper = np.linalg.norm(b - a), s - r
    if length <= taper:
        return [(coal.Sphere(0.0), np.eye(3), b)], s
    along = (b - a) / length
    turned = upright(along)
    if taper < STRAIGHT:
        # Coal's capsule of no radius: a line.
        return [(coal.Capsule(0.0, length), turned, 0.5 * (a + b))], r
    # Where the cone from a touches the ball: so far along, and so wide.
    deep = (length * length - taper * taper) / length
    wide = taper * np.sqrt(length * length - taper * taper) / length
    # A cone of Coal's points along z, its middle at its origin.
    cone = coal.Cone(wide, deep)
    return [(cone, turned * [[1, -1, -1]], a + along * 0.5 * deep), (coal.Sphere(taper), np.eye(3), b)], r


class Bone:
    """Segments carried by one joint."""

    def __init__(self, links):
        self.links = np.array(links)  # segment, end, (x, y, z, radius)
        self.parts = [parts(link) for link in links]
        self.middle = self.links[:, :, :3].mean(axis=1)
        self.radii = self.links[:, :, 3]


class Placed:
    """A bone where its joint is in a setting."""

    def __init__(self, bone, at, turn):
        x, y, z, w = turn
        self.rotation = np.array(
            [
                [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
                [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
                [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
            ]
        )
        self.bone, self.at = bone, np.array(at)
        self.middle = bone.middle @ self.rotation.T + self.at
        self.ends = bone.links[:, :, :3] @ self.rotation.T + self.at
        self.made = {}

    def parts(self, segment):
        if segment not in self.made:
            shapes, radius = self.bone.parts[segment]
            placed = [(shape, pose(self.rotation @ turn, self.rotation @ at + self.at)) for shape, turn, at in shapes]
            self.made[segment] = placed, radius
        return self.made[segment]


REQUEST = coal.DistanceRequest()
REQUEST.enable_signed_distance = True
REQUEST.gjk_tolerance = TOLERANCE
REQUEST.gjk_max_iterations = 2000
REQUEST.epa_tolerance = TOLERANCE


def by_coal(a, i, b, j):
    """The clearance of two segments; none where their hulls meet."""
    (ones, r), (others, s) = a.parts(i), b.parts(j)
    least = np.inf
    for one, there in ones:
        for other, where in others:
            result = coal.DistanceResult()
            least = min(least, coal.distance(one, there, other, where, REQUEST, result))
    return least - r - s if least > 1e-6 else None


def by_scipy(a, i, b, j):
    """The least gap of a ball of each: convex over both parts, so one search within another."""
    (p, q), (r, s) = a.ends[i], a.bone.radii[i]
    (u, v), (c, d) = b.ends[j], b.bone.radii[j]

    def gap(one, other):
        off = p + (q - p) * one - u - (v - u) * other
        return np.sqrt(off @ off) - r - (s - r) * one - c - (d - c) * other

    def least(of):
        found = minimize_scalar(of, bounds=(0.0, 1.0), method="bounded", options={"xatol": 1e-8})
        return min(of(0.0), of(1.0), found.fun)

    return least(lambda one: least(lambda other: gap(one, other)))


def bounds(a, b):
    """The clearance of each segment of one bone from each of another's is not less than what planes
    across the line of their middles part them by, nor more than that of their middle balls."""
    line = b.middle[None, :] - a.middle[:, None]
    off = np.linalg.norm(line, axis=2)
    way = line / off[:, :, None]
    far = np.einsum("ijk,iek->ije", way, a.ends - a.middle[:, None]) + a.bone.radii[:, None, :]
    near = np.einsum("ijk,jek->ije", -way, b.ends - b.middle[:, None]) + b.bone.radii[None, :, :]
    mean = a.bone.radii.mean(axis=1)[:, None] + b.bone.radii.mean(axis=1)[None, :]
    return off - far.max(axis=2) - near.max(axis=2), off - mean


def nearest(a, b, webbed):
    """The least clearance of two bones, where, and how many segments were asked for by Coal and by
    SciPy. The first ones of each, so many, are not asked for against each other."""
    low, high = bounds(a, b)
    low[:webbed, :webbed] = high[:webbed, :webbed] = np.inf
    best = high.min() + 1e-9
    order = [(low[i, j], i, j) for i, j in zip(*np.nonzero(low <= best))]
    least, where, asked, again = np.inf, None, 0, 0
    for bound, i, j in sorted(order):
        if bound > least:
            break
        found = by_coal(a, i, b, j)
        asked += 1
        if found is None:
            found = by_scipy(a, i, b, j)
            again += 1
        if found < least:
            least, where = found, (i, j)
    return least, where, asked, again


if __name__ == "__main__":
    with open(sys.argv[1]) as file:
        case = json.load(file)
    bones = [Bone(bone["links"]) for bone in case["bones"]]
    joints = [bone["joint"] for bone in case["bones"]]
    clearances, second = [], []
    asked = again = 0
    for setting in case["settings"]:
        placed = [Placed(bone, *setting[joint]) for bone, joint in zip(bones, joints)]
        here, deepest = [], (np.inf, None)
        for one, other, webbed in case["pairs"]:
            a, b = placed[one], placed[other]
            least, where, by_one, by_two = nearest(a, b, webbed)
            here.append(least)
            asked, again = asked + by_one, again + by_two
            if least < deepest[0]:
                deepest = least, (a, where[0], b, where[1])
        clearances.append(here)
        second.append(by_scipy(*deepest[1]))
    json.dump({"clearances": clearances, "deepest": second, "asked": asked, "again": again}, sys.stdout)
