"""The least distance to gimbal lock of each order over a dense grid of a joint's turns."""
import json
import sys

import numpy as np
from scipy.spatial.transform import Rotation

ORDERS = ["XYZ", "XZY", "YXZ", "YZX", "ZXY", "ZYX"]
GRID = 25


def solve(case):
    turns = [np.linspace(low, high, GRID) for low, high in case["ranges"]]
    # By axis; SciPy takes them in the order's own sequence.
    by_axis = np.array(np.meshgrid(*turns, indexing="ij")).reshape(3, -1).T
    sequence = by_axis[:, ["XYZ".index(axis) for axis in case["own"]]]
    rotations = Rotation.from_euler(case["own"], sequence)
    return [float(np.min(np.pi / 2 - np.abs(rotations.as_euler(order)[:, 1]))) for order in ORDERS]


if __name__ == "__main__":
    import warnings

    warnings.simplefilter("ignore")
    with open(sys.argv[1]) as file:
        json.dump([solve(case) for case in json.load(file)], sys.stdout)
