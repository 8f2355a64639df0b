"""What SciPy's bounded least squares leaves of a rolled end's miss, best of several starts; and
where an outline goes that rolls without slipping, integrated."""
import json
import math
import os
import sys
from multiprocessing import Pool

# One thread each: the matrices are 3 by 3.
os.environ["OPENBLAS_NUM_THREADS"] = "1"

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq, least_squares, root


def about_x(angle):
    s, c = math.sin(angle), math.cos(angle)
    return np.array([[1, 0, 0], [0, c, -s], [0, s, c]])


def about_z(angle):
    s, c = math.sin(angle), math.cos(angle)
    return np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])


def cross(a, b):
    return np.array([a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]])


def end(case, x):
    """The tip's centre and the last bone's frame for abduction, knuckle, middle joint."""
    first, second, _ = case["lengths"]
    turn = about_x(x[0]) @ about_z(x[1])
    place = -first * turn[:, 1]
    turn = turn @ about_z(x[2])
    place = place - second * turn[:, 1]
    turn = turn @ about_z(case["coupling"] * x[2])
    return place + turn @ case["tip"], turn


def miss(case, x):
    """From where the core should have rolled to, to where it is; seen from the knuckle."""
    frame = case["surface"]  # columns: the target's axes
    normal, at = frame[:, 1], case["at"]
    contact = case["contact"]
    r, big, seam = contact["radius"], contact["pad"], contact["changeover"]
    centre, turn = end(case, x)
    palm, bone, axis = turn[:, 0], -turn[:, 1], turn[:, 2]
    pitch = math.atan2(-bone @ normal, -palm @ normal)
    tilt = math.asin(min(max(-axis @ normal, -1.0), 1.0))
    level = cross(axis, normal)
    level = level / math.sqrt(level @ level)
    ahead = frame @ np.array([math.cos(contact["heading"]), 0, -math.sin(contact["heading"])])
    halfway = ahead + level
    halfway = halfway / math.sqrt(halfway @ halfway)
    core = centre
    if pitch < seam:
        core = centre + (big - r) * (
            palm * (math.cos(pitch) - math.cos(seam)) + bone * (math.sin(pitch) - math.sin(seam))
        )
    # The arc's length as the two parts between the pitches, each with its own radius.
    low, high = sorted([contact["pitch"], pitch])
    length = big * max(0, min(high, seam) - low) + r * max(0, high - max(low, seam))
    length = length if pitch > contact["pitch"] else -length
    place = at + length * halfway + r * (tilt - contact["tilt"]) * cross(normal, level)
    return core - place, normal


def solve(case):
    low, high = np.array(case["bounds"]).T
    case = {**case, "surface": np.array(case["surface"]), "at": np.array(case["at"]), "tip": np.array(case["tip"])}

    def weighed(x):
        e, normal = miss(case, x)
        return e + (case["stiff"] - 1) * (e @ normal) * normal

    starts = [low + np.array(part) * (high - low) for part in [(0.5, 0.5, 0.2), (0.5, 0.3, 0.6)]]
    # Where no limit is in the way it is an equation, and MINPACK's root is quickest.
    for start in starts:
        found = root(lambda x: miss(case, x)[0], start, options={"xtol": 1e-14, "maxfev": 60}).x
        if np.all(found >= low) and np.all(found <= high):
            left = float(np.linalg.norm(weighed(found)))
            if left < 1e-8:
                return [left, *found.tolist(), float(np.linalg.norm(miss(case, found)[0]))]
    best, angles = np.inf, None
    for start in starts:
        found = least_squares(weighed, start, bounds=(low, high), xtol=1e-11, ftol=1e-11, gtol=1e-11, max_nfev=40)
        left = float(np.linalg.norm(found.fun))
        if left < best:
            best, angles = left, found.x
        if best < 1e-8:
            break
    # What still sinks is opened at the knuckle, as far as its limit lets it.
    def height(knuckle):
        e, normal = miss(case, [angles[0], knuckle, angles[2]])
        return e @ normal

    opened = float(angles[1])
    if best > 1e-8 and height(opened) < 0:
        opened = brentq(height, low[1], opened, xtol=1e-14) if height(low[1]) > 0 else low[1]
    return [best, *map(float, angles), float(np.linalg.norm(miss(case, [angles[0], opened, angles[2]])[0]))]


def roll(case):
    """The tip's centre at each pitch: a body whose point in contact is at rest, that point being
    the lowest of its outline."""
    r, big, seam = case["radius"], case["pad"], case["changeover"]

    def lowest(pitch):
        """From the tip's centre to the outline's lowest place: (forward, up)."""
        # Seen from the body: forward along the bone, down out of the palm.
        if pitch >= seam:
            body = np.array([np.sin(pitch), np.cos(pitch)]) * r
        else:
            middle = -(big - r) * np.array([np.sin(seam), np.cos(seam)])
            body = middle + big * np.array([np.sin(pitch), np.cos(pitch)])
        along, palmwards = body
        return np.array([along * np.cos(pitch) - palmwards * np.sin(pitch), -along * np.sin(pitch) - palmwards * np.cos(pitch)])

    def rate(pitch, centre):
        # Pitching turns forward to down: a turn of -1 about the axis that takes forward to up.
        forward, up = lowest(pitch)
        return [-up, forward]

    places = []
    here, centre = case["from"], np.array(case["start"])
    for to in case["to"]:
        stops = [here] + ([seam] if min(here, to) < seam < max(here, to) else []) + [to]
        for a, b in zip(stops, stops[1:]):
            if a != b:
                centre = solve_ivp(
                    lambda t, c: rate(min(t, seam - 1e-15) if max(a, b) <= seam else max(t, seam), c),
                    (a, b), centre, method="DOP853", rtol=1e-13, atol=1e-13,
                ).y[:, -1]
        here = to
        places.append(centre.tolist())
    return places


def roll_round(case):
    """The tip's centre at each pitch of its bone, on a surface with a round part: the point of the
    tip's circle that is nearest to the surface is at rest."""
    r, curve, ahead, (first, last) = case["radius"], case["curve"], case["ahead"], case["spread"]

    def off(centre):
        """Unit off the surface under the centre: what is flat goes on from where it is round."""
        angle = math.atan2(centre[0] - ahead, centre[1] + curve + r)
        angle = min(max(angle, first), last)
        return math.sin(angle), math.cos(angle)

    def rate(pitch, centre):
        # The body turns from up to forward: the contact, r against the normal, stays.
        along, up = off(centre)
        return [r * up, -r * along]

    places = []
    here, centre = case["from"], np.array([0.0, 0.0])
    for to in case["to"]:
        if to != here:
            centre = solve_ivp(rate, (here, to), centre, method="DOP853", rtol=1e-13, atol=1e-13, max_step=0.005).y[:, -1]
        here = to
        places.append(centre.tolist())
    return places


if __name__ == "__main__":
    with open(sys.argv[1]) as file:
        asked = json.load(file)
    with Pool() as pool:
        work = {"roll": roll, "roll-round": roll_round, "solve": solve}[asked["task"]]
        json.dump(pool.map(work, asked["cases"], chunksize=20), sys.stdout)
