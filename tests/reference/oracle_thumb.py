"""What SciPy's bounded solvers reach on planted thumb pads, best of several starts: the residual
of least squares, and where that is none the least sum of squares from the rest flexions."""
import json
import math
import os
import sys
from multiprocessing import Pool

# One thread each: the matrices are 3 by 4.
os.environ["OPENBLAS_NUM_THREADS"] = "1"

import numpy as np
from scipy.optimize import least_squares, minimize
from scipy.spatial.transform import Rotation

REACHED = 1e-8


def about(axis, angle):
    """A turn about one of the three axes."""
    s, c = math.sin(angle), math.cos(angle)
    return np.array([[[1, 0, 0], [0, c, -s], [0, s, c]], [[c, 0, s], [0, 1, 0], [-s, 0, c]], [[c, -s, 0], [s, c, 0], [0, 0, 1]]][axis])


def cross(a, b):
    """Row by row."""
    return a[:, [1, 2, 0]] * b[:, [2, 0, 1]] - a[:, [2, 0, 1]] * b[:, [1, 2, 0]]


def apart(ends):
    """Of ends as good as each other, one for each place."""
    kept = []
    for end in ends:
        if all(np.abs(end[1] - other[1]).max() > 0.02 for other in kept):
            kept.append(end)
    return kept


def solve(case):
    """Three joints, each with rest frame, order and limits; unknowns are the base's two turns in
    its order, and the two hinges'."""
    rests = [Rotation.from_quat(joint["turn"]).as_matrix() for joint in case["joints"]]
    offsets = [np.array(joint["at"]) for joint in case["joints"]]
    free = [
        ["XYZ".index(axis) for axis in joint["order"] if joint["limits"]["XYZ".index(axis)] != [0, 0]]
        for joint in case["joints"]
    ]
    turns = [(joint, axis) for joint, axes in enumerate(free) for axis in axes]
    assert [joint for joint, _ in turns] == [0, 0, 1, 2]
    low, high = np.array([case["joints"][joint]["limits"][axis] for joint, axis in turns]).T
    pad, target, rest = (np.array(case[name]) for name in ("pad", "target", "rest"))

    def chain(x):
        lines, rotation, place = [], np.eye(3), np.zeros(3)
        for joint in range(3):
            place = place + rotation @ offsets[joint]
            rotation = rotation @ rests[joint]
            for (at, axis), angle in zip(turns, x):
                if at == joint:
                    lines.append((rotation[:, axis].copy(), place))
                    rotation = rotation @ about(axis, angle)
        return place + rotation @ pad, lines

    def error(x):
        return chain(x)[0] - target

    def slope(x):
        end, lines = chain(x)
        axes, places = (np.array(part) for part in zip(*lines))
        return cross(axes, end - places).T

    def unrest(x):
        return float((x[2:] - rest) @ (x[2:] - rest))

    def descend(x, tolerance, most):
        found = least_squares(
            error, x, slope, bounds=(low, high), xtol=tolerance, ftol=tolerance, gtol=tolerance, max_nfev=most
        ).x
        return float(np.linalg.norm(error(found))), found

    # All starts roughly, then the best of them to the end.
    parts = [(0.5, 0.5, a, b) for a in (0.15, 0.5, 0.85) for b in (0.15, 0.5, 0.85)]
    parts += [(a, b, 0.3, 0.3) for a in (0.1, 0.9) for b in (0.1, 0.9)]
    ends = [descend(low + np.array(part) * (high - low), 1e-4, 15) for part in parts]
    ends = apart(sorted(ends, key=lambda end: end[0]))
    best = np.inf
    for _, x in ends[:3]:
        best = min(best, descend(x, 1e-13, 100)[0])
        if best <= REACHED:
            break
    else:
        return [best, None]
    least = np.inf
    for _, x in [end for end in ends if end[0] < 1]:
        # Lengths in the size of the chain, so that both kinds of number are near 1.
        found = minimize(
            unrest,
            x,
            method="SLSQP",
            jac=lambda x: np.concatenate([np.zeros(2), 2 * (x[2:] - rest)]),
            bounds=list(zip(low, high)),
            constraints={"type": "eq", "fun": lambda x: error(x) / 50, "jac": lambda x: slope(x) / 50},
            options={"ftol": 1e-14, "maxiter": 60},
        )
        inside = np.clip(found.x, low, high)
        if np.linalg.norm(error(inside)) <= REACHED:
            least = min(least, unrest(inside))
    least = None if least == np.inf else least
    return [best, least]


if __name__ == "__main__":
    with open(sys.argv[1]) as file:
        cases = json.load(file)
    with Pool() as pool:
        json.dump(pool.map(solve, cases, chunksize=20), sys.stdout)
