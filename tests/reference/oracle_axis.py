"""Direction and objective of the best line through weighted points of a plane, by NumPy's eigenvectors."""
import json
import sys

import numpy as np


def solve(case):
    points, weights = np.array(case["points"]), np.array(case["weights"])
    centre = weights @ points / weights.sum()
    off = points - centre
    values, vectors = np.linalg.eigh(off.T @ (weights[:, None] * off))
    return [*centre, *vectors[:, 1], values[0]]


with open(sys.argv[1]) as file:
    cases = json.load(file)
json.dump([list(map(float, solve(case))) for case in cases], sys.stdout)
