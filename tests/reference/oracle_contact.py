"""What SciPy's bounded least squares leaves of a rolled end's miss, best of several starts; and
where an outline goes that rolls without slipping, integrated."""
import json
import os
import sys
from multiprocessing import Pool

# One thread each: the matrices are 3 by 3.
os.environ["OPENBLAS_NUM_THREADS"] = "1"

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import least_squares


def about(axis, angle):
    x, y, z = axis
    k = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.eye(3) + np.sin(angle) * k + (1 - np.cos(angle)) * (k @ k)


X, Y, Z = np.eye(3)


def end(case, x):
    """The tip's centre and the last bone's frame for abduction, knuckle, middle joint."""
    first, second, _ = case["lengths"]
    turn = about(X, x[0]) @ about(Z, x[1])
    place = turn @ (-first * Y)
    turn = turn @ about(Z, x[2])
    place = place + turn @ (-second * Y)
    turn = turn @ about(Z, case["coupling"] * x[2])
    return place + turn @ np.array(case["tip"]), turn


def miss(case, x):
    """From where the core should have rolled to, to where it is; seen from the knuckle."""
    frame = np.array(case["surface"])  # columns: the target's axes
    normal, at = frame[:, 1], np.array(case["at"])
    contact = case["contact"]
    r, big, seam = contact["radius"], contact["pad"], contact["changeover"]
    centre, turn = end(case, x)
    palm, bone, axis = turn[:, 0], -turn[:, 1], turn[:, 2]
    pitch = np.arctan2(-bone @ normal, -palm @ normal)
    tilt = np.arcsin(np.clip(-axis @ normal, -1, 1))
    level = np.cross(axis, normal)
    level = level / np.linalg.norm(level)
    ahead = frame @ np.array([np.cos(contact["heading"]), 0, -np.sin(contact["heading"])])
    halfway = (ahead + level) / np.linalg.norm(ahead + level)
    out = lambda angle: palm * np.cos(angle) + bone * np.sin(angle)
    core = centre + ((big - r) * (out(pitch) - out(seam)) if pitch < seam else 0)
    # The arc's length as the two parts between the pitches, each with its own radius.
    low, high = sorted([contact["pitch"], pitch])
    length = big * max(0, min(high, seam) - low) + r * max(0, high - max(low, seam))
    length = length if pitch > contact["pitch"] else -length
    place = at + length * halfway + r * (tilt - contact["tilt"]) * np.cross(normal, level)
    return core - place, normal


def solve(case):
    low, high = np.array(case["bounds"]).T

    def weighed(x):
        e, normal = miss(case, x)
        return e + (case["stiff"] - 1) * (e @ normal) * normal

    best, angles = np.inf, None
    for part in [(0.5, 0.5, 0.2), (0.5, 0.3, 0.6), (0.2, 0.6, 0.3), (0.8, 0.6, 0.3), (0.5, 0.7, 0.05)]:
        found = least_squares(
            weighed, low + np.array(part) * (high - low), bounds=(low, high), xtol=1e-15, ftol=1e-15, gtol=1e-15, max_nfev=100
        )
        left = float(np.linalg.norm(found.fun))
        if left < best:
            best, angles = left, found.x
        if best < 1e-8:
            break
    return [best, *map(float, angles), float(np.linalg.norm(miss(case, angles)[0]))]


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


if __name__ == "__main__":
    with open(sys.argv[1]) as file:
        asked = json.load(file)
    with Pool() as pool:
        work = roll if asked["task"] == "roll" else solve
        json.dump(pool.map(work, asked["cases"], chunksize=20), sys.stdout)
