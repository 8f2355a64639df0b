"""How far tapered round-ended segments are from planes, rails and edges, and equal-radius ones from
each other, by Coal (PyPI `coal`). Coal has no tapered segment: of one, Coal's distance of the
sphere at each part of the way is minimised by SciPy's bounded search."""

import json
import sys

import coal
import numpy as np
from scipy.optimize import minimize_scalar
from scipy.spatial.transform import Rotation

# A rail and a bench are endless; these are longer than anything is far.
LONG = 2000.0


def placed(rotation, at):
    pose = coal.Transform3s()
    pose.setRotation(np.ascontiguousarray(rotation))
    pose.setTranslation(np.array(at, dtype=float))
    return pose


def distance(a, a_at, b, b_at):
    request, result = coal.DistanceRequest(), coal.DistanceResult()
    request.enable_signed_distance = True
    return coal.distance(a, a_at, b, b_at, request, result)


def surface(form, frame, radius):
    """What is pressed on, its pose, and how much it is grown all round."""
    rotation = Rotation.from_quat(frame["turn"]).as_matrix()
    at = np.array(frame["at"])
    if form == "plane":
        # The half-space n·x <= d in its own frame.
        return coal.Halfspace(np.array([0.0, 1.0, 0.0]), 0.0), placed(rotation, at), 0.0
    if form == "rail":
        # Along z of the frame, its top at the origin.
        return coal.Capsule(radius, LONG), placed(rotation, at + rotation @ [0, -radius, 0]), 0.0
    # The quarter space x, y < -radius, grown by the radius.
    middle = np.array([-radius - LONG / 2, -radius - LONG / 2, 0.0])
    return coal.Box(LONG, LONG, LONG), placed(rotation, at + rotation @ middle), radius


def clearance(case):
    solid, pose, grown = surface(case["form"], case["frame"], case["radius"])
    (a, b), (r, s) = np.array(case["ends"]), case["radii"]

    def off(part):
        sphere = coal.Sphere(r + (s - r) * part)
        return distance(sphere, placed(np.eye(3), a + (b - a) * part), solid, pose) - grown

    best = minimize_scalar(off, bounds=(0.0, 1.0), method="bounded", options={"xatol": 1e-11})
    return min(off(0.0), off(1.0), best.fun)


def capsule(ends, radius):
    a, b = np.array(ends)
    length = float(np.linalg.norm(b - a))
    along = (b - a) / length
    # Coal's capsule lies along its z.
    other = np.array([1.0, 0.0, 0.0]) if abs(along[0]) < 0.8 else np.array([0.0, 1.0, 0.0])
    x = np.cross(other, along)
    x /= np.linalg.norm(x)
    rotation = np.column_stack([x, np.cross(along, x), along])
    return coal.Capsule(radius, length), placed(rotation, 0.5 * (a + b))


def apart(case):
    one, at = capsule(case["ends"][0], case["radius"])
    other, there = capsule(case["ends"][1], case["radius"])
    return distance(one, at, other, there)


if __name__ == "__main__":
    with open(sys.argv[1]) as file:
        cases = json.load(file)
    answer = {
        "clearances": [clearance(case) for case in cases["segments"]],
        "gaps": [apart(case) for case in cases["pairs"]],
    }
    json.dump(answer, sys.stdout)
