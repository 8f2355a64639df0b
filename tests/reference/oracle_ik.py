"""Residuals that SciPy's bounded least squares reaches on reachable targets."""
import json
import math
import os
import sys
from multiprocessing import Pool

# One thread each: the matrices are 3 by 3.
os.environ["OPENBLAS_NUM_THREADS"] = "1"

import numpy as np
from scipy.optimize import least_squares


def turn(axis, angle):
    c, s = math.cos(angle), math.sin(angle)
    i, j = [(1, 2), (2, 0), (0, 1)]["XYZ".index(axis)]
    matrix = np.eye(3)
    matrix[i, i] = matrix[j, j] = c
    matrix[i, j], matrix[j, i] = -s, s
    return matrix


def cross(a, b):
    """Row by row."""
    return a[:, [1, 2, 0]] * b[:, [2, 0, 1]] - a[:, [2, 0, 1]] * b[:, [1, 2, 0]]


def solve(case):
    """The chain's nodes in order, all unturned at rest; the last is the end."""
    free = [
        (n, axis) for n, node in enumerate(case["nodes"][:-1]) for axis in node["order"]
        if node["limits"]["XYZ".index(axis)] != [0, 0]
    ]
    bounds = [case["nodes"][n]["limits"]["XYZ".index(axis)] for n, axis in free]
    low = [-np.inf if lo is None else lo for lo, _ in bounds]
    high = [np.inf if hi is None else hi for _, hi in bounds]
    offsets = [np.array(node["at"]) for node in case["nodes"]]
    target = np.array(case["target"])

    def chain(q):
        """End position, and for each freedom its world axis and its joint's place."""
        rotation, place, lines = np.eye(3), offsets[0], []
        for k, (n, axis) in enumerate(free):
            if k and free[k - 1][0] != n:
                for passed in range(free[k - 1][0] + 1, n + 1):
                    place = place + rotation @ offsets[passed]
            lines.append((rotation[:, "XYZ".index(axis)].copy(), place))
            rotation = rotation @ turn(axis, q[k])
        for passed in range(free[-1][0] + 1, len(offsets)):
            place = place + rotation @ offsets[passed]
        return place, lines

    def error(q):
        return chain(q)[0] - target

    def slope(q):
        end, lines = chain(q)
        axes, places = np.array(lines).transpose(1, 0, 2)
        return cross(axes, end - places).T

    start = np.clip([case["nodes"][n]["channels"]["XYZ".index(axis)] for n, axis in free], low, high)
    found = least_squares(error, start, slope, bounds=(low, high), xtol=1e-15, ftol=1e-15, gtol=1e-15, max_nfev=300)
    return float(np.linalg.norm(error(found.x)))


if __name__ == "__main__":
    with open(sys.argv[1]) as file:
        cases = json.load(file)
    with Pool() as pool:
        json.dump(pool.map(solve, cases, chunksize=20), sys.stdout)
