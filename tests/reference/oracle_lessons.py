"""The numbers of lessons 1 to 5 by SciPy: rotations applied, roots found, minima sought."""
import json
import sys

import numpy as np
from scipy.optimize import brentq, minimize
from scipy.spatial.transform import Rotation, Slerp

PALM, BONE, WIDE = 90.0, 40.0, 80.0


def turned(degrees, vector):
    return Rotation.from_euler("z", degrees, degrees=True).apply(vector)


def moved(degrees, arm):
    return float(np.linalg.norm(turned(degrees, [arm, 0, 0]) - [arm, 0, 0]))


def overshoot():
    """The wrist low, then raised and tilted so that the knuckle stays; halfway between."""
    tilt = Rotation.from_euler("z", [[0], [-40]], degrees=True)
    wrists = -tilt.apply([PALM, 0, 0])
    halfway = Slerp([0, 1], tilt)(0.5)
    return float(np.linalg.norm(wrists.mean(axis=0) + halfway.apply([PALM, 0, 0])))


def bend(distance):
    """Bend in degrees at which two bones reach `distance`."""
    def miss(degrees):
        return np.linalg.norm(np.array([BONE, 0, 0]) + turned(degrees, [BONE, 0, 0])) - distance
    return brentq(miss, 0, 180, xtol=1e-13)


def bend_of_gain(limit):
    """Rest bend at which a millimetre costs `limit` degrees, by central differences."""
    def over(degrees):
        reach = 2 * BONE * np.cos(np.radians(degrees / 2))
        return (bend(reach - 1e-4) - bend(reach + 1e-4)) / 2e-4 - limit
    return brentq(over, 5, 120, xtol=1e-9)


def straight_path():
    """Wrist paths straight from one ray to another, 40° apart as the knuckle sees them: how
    far their ends lie from the knuckle, and the worst slip, made least."""
    ends = turned(0, [1, 0, 0]), turned(40, [1, 0, 0])

    def worst(radii):
        a, b = radii[0] * ends[0], radii[1] * ends[1]
        t = np.clip(-np.dot(a, b - a) / np.dot(b - a, b - a), 0, 1)
        nearest = np.linalg.norm(a + t * (b - a))
        return max(abs(nearest - PALM), abs(radii[0] - PALM), abs(radii[1] - PALM))

    found = minimize(worst, [PALM + 1, PALM - 1], method="Nelder-Mead", options={"xatol": 1e-11, "fatol": 1e-13, "maxiter": 5000})
    return {"radii": found.x.tolist(), "slip": float(found.fun)}


json.dump(
    {
        "carried_tip": moved(30, PALM + 2 * BONE),
        "overshoot": overshoot(),
        "first_bend": bend(2 * BONE - 1),
        "second_bend": bend(2 * BONE - 2) - bend(2 * BONE - 1),
        "rest_bend": bend_of_gain(5),
        "knuckle_slip": moved(40, PALM),
        "straight_path": straight_path(),
        "misplaced_pivot": moved(40, 6),
        "low_edge": float(-turned(20, [-WIDE / 2, 0, 0])[1]),
    },
    sys.stdout,
)
