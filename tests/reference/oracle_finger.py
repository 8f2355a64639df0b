"""Residuals that SciPy's bounded least squares reaches on planted pads, best of several starts."""
import json
import math
import os
import sys
from multiprocessing import Pool

# One thread each: the matrices are 3 by 3.
os.environ["OPENBLAS_NUM_THREADS"] = "1"

import numpy as np
from scipy.optimize import least_squares, minimize, root
from scipy.spatial.transform import Rotation


def about(axis, angle):
    """A turn about one of the three axes."""
    s, c = math.sin(angle), math.cos(angle)
    return np.array([[[1, 0, 0], [0, c, -s], [0, s, c]], [[c, 0, s], [0, 1, 0], [-s, 0, c]], [[c, -s, 0], [s, c, 0], [0, 0, 1]]][axis])


def cross(a, b):
    return np.array([a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]])


def solve(case):
    """Three joints, each with rest frame, order and limits; unknowns are the knuckle's two
    turns in its order and q; the last joint turns by coupling * q, its limits put on q."""
    rests = [Rotation.from_quat(joint["turn"]).as_matrix() for joint in case["joints"]]
    offsets = [np.array(joint["at"]) for joint in case["joints"]]
    free = [
        ["XYZ".index(axis) for axis in joint["order"] if joint["limits"]["XYZ".index(axis)] != [0, 0]]
        for joint in case["joints"]
    ]
    (outer, inner), (middle,), (last,) = free
    bounds = [case["joints"][0]["limits"][axis] for axis in (outer, inner)]
    q_low, q_high = case["joints"][1]["limits"][middle]
    c = case["coupling"]
    d_low, d_high = case["joints"][2]["limits"][last]
    d_low -= case["give"]
    if c != 0:
        ends = sorted([d_low / c, d_high / c])
        q_low, q_high = max(q_low, ends[0]), min(q_high, ends[1])
    bounds.append([q_low, q_high])
    low, high = np.array(bounds).T
    pad, target = np.array(case["pad"]), np.array(case["target"])

    def chain(x):
        lines, rotation, place = [], np.eye(3), np.zeros(3)
        for joint, turns in enumerate([[(outer, x[0]), (inner, x[1])], [(middle, x[2])], [(last, c * x[2])]]):
            place = place + rotation @ offsets[joint]
            rotation = rotation @ rests[joint]
            for axis, angle in turns:
                lines.append((rotation[:, axis].copy(), place))
                rotation = rotation @ about(axis, angle)
        return place + rotation @ pad, lines

    def error(x):
        return chain(x)[0] - target

    def slope(x):
        end, lines = chain(x)
        columns = [cross(axis, end - place) for axis, place in lines]
        return np.array([columns[0], columns[1], columns[2] + c * columns[3]]).T

    starts = [(0.5, 0.5, 0.1), (0.5, 0.2, 0.5), (0.5, 0.8, 0.5), (0.5, 0.5, 0.9), (0.1, 0.5, 0.3), (0.9, 0.5, 0.3)]
    starts = [low + np.array(part) * (high - low) for part in starts]
    # Where no limit is in the way it is an equation, and MINPACK's root is quickest.
    for start in starts[:2]:
        found = root(error, start, jac=slope, options={"xtol": 1e-14, "maxfev": 25})
        if np.all(found.x >= low) and np.all(found.x <= high):
            best = float(np.linalg.norm(error(found.x)))
            if best < 1e-9:
                return best

    def descend(x, tolerance, most):
        found = least_squares(
            error, x, slope, bounds=(low, high), xtol=tolerance, ftol=tolerance, gtol=tolerance, max_nfev=most
        ).x
        return float(np.linalg.norm(error(found))), found

    def cost(x):
        end, lines = chain(x)
        e = end - target
        columns = [cross(axis, end - place) for axis, place in lines]
        by = np.array([columns[0] @ e, columns[1] @ e, (columns[2] + c * columns[3]) @ e])
        return 0.5 * float(e @ e), by

    # All starts roughly, then what is best of them, or nearly, to the end.
    box = list(zip(low, high))
    ends = [minimize(cost, start, method="L-BFGS-B", jac=True, bounds=box, options={"ftol": 1e-10, "gtol": 1e-6, "maxiter": 60}).x for start in starts]
    ends = sorted(((float(np.linalg.norm(error(end))), at, end) for at, end in enumerate(ends)))
    best = np.inf
    kept = []
    for rough, _, x in ends:
        if rough > ends[0][0] + 0.1 or any(np.abs(x - other).max() < 1e-2 for other in kept):
            continue
        kept.append(x)
        inside = np.clip(x, low + 1e-9 * (high - low), high - 1e-9 * (high - low))
        best = min(best, rough, descend(inside, 1e-15, 100)[0])
        if best < 1e-9:
            break
    return best


if __name__ == "__main__":
    with open(sys.argv[1]) as file:
        cases = json.load(file)
    with Pool() as pool:
        json.dump(pool.map(solve, cases, chunksize=50), sys.stdout)
