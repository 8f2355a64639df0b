"""The numbers of the lessons Zero and Turn order by SciPy: chains of `Rotation`, read back in six orders."""
import json
import sys

import numpy as np
from scipy.optimize import minimize
from scipy.spatial.transform import Rotation

from oracle_orders import ORDERS

BONE = 40.0
# Places across each turn's range.
GRID = 25
MIRROR = np.array([1.0, 1.0, -1.0])


def bent(*degrees):
    """The tip of bones in a row, each turned down from the one before."""
    turns = Rotation.from_euler("z", [[-total] for total in np.cumsum(degrees)], degrees=True)
    return turns.apply([BONE, 0, 0]).sum(axis=0)


def finger(spread, twist, curl):
    """The tip of a finger spread, then twisted, then curled at two joints."""
    knuckle = Rotation.from_euler("YXZ", [-spread, -twist, -curl], degrees=True)
    middle = Rotation.from_euler("Z", -curl, degrees=True)
    return knuckle.apply(np.array([BONE, 0, 0]) + middle.apply([BONE, 0, 0]))


def off(a, b):
    return float(np.linalg.norm(a - b))


def mirrored(spread, twist, curl):
    """From the mirror place to the tip whose dials count by these signs."""
    return off(finger(15 * spread, 10 * twist, 40 * curl), finger(15, 10, 40) * MIRROR)


def locks(measured, ranges):
    """Of each order, over every pose whose turns, taken in `measured`, are in these ranges: the least of
    a grid, made less from there."""
    bounds = [ranges[axis] for axis in measured]
    grid = np.meshgrid(*(np.linspace(*each, GRID) for each in bounds), indexing="ij")
    places = np.reshape(grid, (3, -1)).T

    def margin(turns, order):
        rotations = Rotation.from_euler(measured, turns, degrees=True)
        return 90 - np.abs(np.atleast_2d(rotations.as_euler(order, degrees=True))[:, 1])

    def least(order):
        start = places[np.argmin(margin(places, order))]
        found = minimize(lambda turns: margin(turns, order)[0], start, method="Nelder-Mead", bounds=bounds, options={"xatol": 1e-9, "fatol": 1e-9})
        return float(found.fun)

    return [least(order) for order in ORDERS]


def felt(order):
    """Dials, flexed by 80 degrees, after a turn of the palm by 10 to the little finger's side about the
    upright."""
    flexed = Rotation.from_euler("Z", -80, degrees=True)
    turned = Rotation.from_euler("Y", -10, degrees=True) * flexed
    by_axis = dict(zip(order, turned.as_euler(order, degrees=True)))
    return [by_axis["X"], -by_axis["Z"], -by_axis["Y"]]


def hold(twist, deviation):
    """The thumb mark with flexion at 90, in the order twist, flexion, deviation."""
    return Rotation.from_euler("XZY", [twist, -90, -deviation], degrees=True).apply([0, 0, -40])


if __name__ == "__main__":
    import warnings

    warnings.simplefilter("ignore")
    rested = bent(25, 30)
    signs = [[1, 1, 1], [-1, 1, 1], [1, -1, 1], [-1, -1, 1], [-1, -1, -1], [1, 1, -1], [-1, 1, -1], [1, -1, -1]]
    json.dump(
        {
            "nought": off(bent(0, 0), rested),
            "knuckle_only": off(bent(25, 0), rested),
            "middle_only": off(bent(0, 30), rested),
            "twice": off(bent(50, 60), rested),
            "copied_spread": off(finger(15, 0, 0), finger(-15, 0, 0)),
            "mirrored": [mirrored(*each) for each in signs],
            "wrist": locks("ZYX", {"X": (-80, 80), "Y": (-30, 20), "Z": (-80, 70)}),
            "knuckle": locks("YXZ", {"X": (-5, 5), "Y": (-20, 20), "Z": (-90, 45)}),
            "twist_alone": off(hold(30, 0), hold(0, 0)),
            "both": off(hold(30, 30), hold(0, 0)),
            "felt": [felt("XZY"), felt("ZYX")],
        },
        sys.stdout,
    )
