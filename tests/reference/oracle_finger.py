"""Residuals that SciPy's bounded least squares reaches on planted pads, best of several starts."""
import json
import os
import sys
from multiprocessing import Pool

# One thread each: the matrices are 3 by 3.
os.environ["OPENBLAS_NUM_THREADS"] = "1"

import numpy as np
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation

AXES = np.eye(3)


def cross(axis):
    x, y, z = axis
    return np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])


def about(axis, angle):
    k = cross(axis)
    return np.eye(3) + np.sin(angle) * k + (1 - np.cos(angle)) * (k @ k)


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
                rotation = rotation @ about(AXES[axis], angle)
        return place + rotation @ pad, lines

    def error(x):
        return chain(x)[0] - target

    def slope(x):
        end, lines = chain(x)
        columns = [np.cross(axis, end - place) for axis, place in lines]
        return np.array([columns[0], columns[1], columns[2] + c * columns[3]]).T

    best = np.inf
    starts = [(0.5, 0.5, 0.1), (0.5, 0.2, 0.5), (0.5, 0.8, 0.5), (0.5, 0.5, 0.9), (0.1, 0.5, 0.3), (0.9, 0.5, 0.3)]
    for part in starts:
        found = least_squares(
            error, low + np.array(part) * (high - low), slope, bounds=(low, high), xtol=1e-15, ftol=1e-15, gtol=1e-15, max_nfev=100
        )
        best = min(best, float(np.linalg.norm(error(found.x))))
        if best < 1e-9:
            break
    return best


if __name__ == "__main__":
    with open(sys.argv[1]) as file:
        cases = json.load(file)
    with Pool() as pool:
        json.dump(pool.map(solve, cases, chunksize=50), sys.stdout)
