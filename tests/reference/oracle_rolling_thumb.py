"""What SciPy finds best for a thumb that rolls, from several starts: the least of half the squared
way of the flexions from their rest, plus a weight by what the tip's centre misses of where it has
rolled to; what reaches by SLSQP, what misses by L-BFGS-B. Beside it what the pose given costs.

The law is written here anew, on SciPy's rotation vectors; a second question, 'roll', integrates the
condition that the flesh does not slip, along a way of the last bone, by solve_ivp."""
import json
import math
import os
import sys
from multiprocessing import Pool

# One thread each: the matrices are 3 by 4.
os.environ["OPENBLAS_NUM_THREADS"] = "1"

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import least_squares, minimize, minimize_scalar
from scipy.spatial.transform import Rotation

UP = np.array([0.0, 1.0, 0.0])
STEPS = 1e-5 * np.concatenate([np.eye(4), -np.eye(4)])


def about(axis, angle):
    """Turns about one of the three axes, for one angle or many."""
    angle = np.asarray(angle, dtype=float)
    turn = np.zeros((*angle.shape, 3, 3))
    i, j = (axis + 1) % 3, (axis + 2) % 3
    turn[..., axis, axis] = 1.0
    turn[..., i, i] = turn[..., j, j] = np.cos(angle)
    turn[..., j, i] = np.sin(angle)
    turn[..., i, j] = -turn[..., j, i]
    return turn


def lie(bones):
    """Pitches, tilts and headings of bones' frames over the level surface y = const."""
    out, along, side = bones[:, 1, 0], -bones[:, 1, 1], bones[:, :, 2]
    pitch = np.arctan2(-along, -out)
    pitch = np.where(pitch > -np.pi / 2, pitch, pitch + 2 * np.pi)
    # Level forward is (-side z, 0, side x).
    return pitch, np.arcsin(np.clip(-side[:, 1], -1, 1)), np.arctan2(-side[:, 0], -side[:, 2])


def stand(pitch, tilt, heading):
    """The bone's frame that lies so: flat along x first, then pitched, tilted and headed."""
    flat = np.array([[0, -1, 0], [-1, 0, 0], [0, 0, -1.0]])
    return about(1, heading) @ about(0, -tilt) @ about(2, -pitch) @ flat


def cores(bones, pitch, contact):
    """From the tips' centres to the outlines' cores over the contact."""
    seam, more = contact["changeover"], contact["pad"] - contact["radius"]
    on = np.where(pitch < seam, more, 0.0)
    by_out, by_along = on * (np.cos(pitch) - math.cos(seam)), on * (np.sin(pitch) - math.sin(seam))
    return bones[:, :, 0] * by_out[:, None] - bones[:, :, 1] * by_along[:, None]


def rotvecs(turns):
    """Rotations' axes, each as long as its angle."""
    across = np.stack([turns[:, 2, 1] - turns[:, 1, 2], turns[:, 0, 2] - turns[:, 2, 0], turns[:, 1, 0] - turns[:, 0, 1]], axis=1)
    size = np.sqrt((across * across).sum(axis=1))
    trace = turns[:, 0, 0] + turns[:, 1, 1] + turns[:, 2, 2]
    part = np.where(size > 0, np.arctan2(size, trace - 1) / np.where(size > 0, size, 1.0), 1.0)
    return across * part[:, None]


def rolled(bones, contact, planted):
    """Where the cores are to be, from where they were planted."""
    pitch, _, heading = lie(bones)
    turn = rotvecs(bones @ planted.T)
    on_pad = lambda at: np.minimum(at - contact["changeover"], 0.0)
    by = (heading - contact["heading"] + np.pi) % (2 * np.pi) - np.pi
    half = contact["heading"] + by / 2
    way = (contact["pad"] - contact["radius"]) * (on_pad(pitch) - on_pad(contact["pitch"]))
    # A turn's product with the surface's normal y is (-z, 0, x).
    radius, none = contact["radius"], np.zeros(len(bones))
    place = np.stack([way * np.cos(half) - radius * turn[:, 2], none, radius * turn[:, 0] - way * np.sin(half)], axis=1)
    return place, pitch


def solve(case):
    """Three joints, each with rest frame, order and limits; unknowns are the base's two turns in
    its order, and the two hinges'. All is seen from the surface's frame."""
    joints, contact, weight = case["joints"], case["contact"], case["weight"]
    surface = Rotation.from_quat(case["surface"]).as_matrix()
    target, tip, rest = (np.array(case[name]) for name in ("target", "tip", "rest"))
    frames = [Rotation.from_quat(joint["turn"]).as_matrix() for joint in joints]
    offsets = [np.array(joint["at"]) for joint in joints]
    free = [["XYZ".index(a) for a in joint["order"] if joint["limits"]["XYZ".index(a)] != [0, 0]] for joint in joints]
    turns = [(joint, axis) for joint, axes in enumerate(free) for axis in axes]
    low, high = np.array([joints[joint]["limits"][axis] for joint, axis in turns]).T
    planted = stand(contact["pitch"], contact["tilt"], contact["heading"])

    def errors(xs):
        """Of many poses at once: of NumPy's time most goes by calls."""
        rotation, place = np.eye(3), np.zeros(3)
        for joint in range(3):
            place = place + rotation @ offsets[joint]
            rotation = rotation @ frames[joint]
            for i, (at, axis) in enumerate(turns):
                if at == joint:
                    rotation = rotation @ about(axis, xs[:, i])
        bones = surface.T @ rotation
        at = (place + rotation @ tip - target) @ surface
        goal, pitch = rolled(bones, contact, planted)
        return at + cores(bones, pitch, contact) - goal

    def error(x):
        return errors(x[None])[0]

    def slope(x):
        """By central differences."""
        told = errors(x + STEPS)
        return ((told[:4] - told[4:]) / 2e-5).T

    def unrest(x):
        return 0.5 * float((x[2:] - rest) @ (x[2:] - rest))

    def cost(x):
        return unrest(x) + weight * float(np.linalg.norm(error(x)))

    def cost_and_slope(x):
        told = errors(np.concatenate([x[None], x + STEPS]))
        e, by = told[0], (told[1:5] - told[5:]) / 2e-5
        size = np.linalg.norm(e)
        pull = by @ (e / size) if size > 0 else np.zeros(4)
        return unrest(x) + weight * float(size), weight * pull + np.concatenate([np.zeros(2), x[2:] - rest])

    parts = [(0.5, 0.5, a, b) for a in (0.2, 0.7) for b in (0.2, 0.7)] + [(a, b, 0.3, 0.3) for a in (0.1, 0.9) for b in (0.1, 0.9)]
    starts = [low + np.array(part) * (high - low) for part in parts]
    starts[0][2:] = np.clip(rest, low[2:], high[2:])
    best = np.inf
    bounds = list(zip(low, high))
    ends = []
    for x in starts:
        ends.append(least_squares(error, x, slope, bounds=(low, high), xtol=1e-6, ftol=1e-6, gtol=1e-6, max_nfev=8).x)
    ends.sort(key=cost)
    for x in ends[:2]:
        found = minimize(
            unrest,
            x,
            method="SLSQP",
            jac=lambda x: np.concatenate([np.zeros(2), x[2:] - rest]),
            bounds=bounds,
            constraints={"type": "eq", "fun": lambda x: error(x) / 50, "jac": lambda x: slope(x) / 50},
            options={"ftol": 1e-14, "maxiter": 40},
        ).x
        found = np.clip(found, low, high)
        best = min(best, cost(found))
        away = np.clip(found + 1e-3 * (starts[0] - found), low, high)
        for start in (away,):
            found = minimize(cost_and_slope, start, method="L-BFGS-B", jac=True, bounds=bounds, options={"ftol": 1e-13, "gtol": 1e-7, "maxiter": 60}).x
            best = min(best, cost(found))
    ours = case["ours"]
    if ours[0] is None:
        # Its outer turn was moved to rest on the surface: the best there is with the others.
        tails = ours[1:]
        along = lambda outer: cost(np.array([outer, *tails]))
        grid = np.linspace(low[0], high[0], 41)
        near = min(range(41), key=lambda i: along(grid[i]))
        span = (grid[max(near - 1, 0)], grid[min(near + 1, 40)])
        mine = minimize_scalar(along, bounds=span, method="bounded", options={"xatol": 1e-12}).fun
        mine = min(mine, along(grid[near]))
    else:
        mine = cost(np.array(ours))
    return [best, mine]


def roll(case):
    """How far a core rolls, no point of the flesh in touch moving: the bone's frame is turned about a
    fixed axis, pitched about its level hinge, or brought by both in one after the other."""
    contact = case["contact"]
    radius, more = contact["radius"], contact["pad"] - contact["radius"]
    bone = stand(contact["pitch"], contact["tilt"], contact["heading"])
    way = np.zeros(3)
    for axis, angle in case["turns"]:
        axis = np.array(axis)
        start = bone

        def speed(s, _):
            now = Rotation.from_rotvec(axis * s).as_matrix() @ start
            pitch, tilt, heading = (float(told[0]) for told in lie(now[None]))
            # dφ = ω·(ẑ − tan λ·n), n into the surface in the plane of palm and bone.
            out, along, side = now[:, 0], -now[:, 1], now[:, 2]
            into = out * math.cos(pitch) + along * math.sin(pitch)
            rate = axis @ (side - math.tan(tilt) * into)
            forward = np.array([math.cos(heading), 0, -math.sin(heading)])
            padded = more * rate if pitch < contact["changeover"] else 0.0
            return radius * np.cross(axis, UP) + padded * forward

        # Not over the seam in one step.
        cuts = np.linspace(0, angle, 11)
        for a, b in zip(cuts, cuts[1:]):
            way = way + solve_ivp(speed, (a, b), np.zeros(3), method="DOP853", rtol=1e-11, atol=1e-12).y[:, -1]
        bone = Rotation.from_rotvec(axis * angle).as_matrix() @ start
    law, _ = rolled(bone[None], contact, stand(contact["pitch"], contact["tilt"], contact["heading"]))
    return {"way": way.tolist(), "law": law[0].tolist(), "bone": Rotation.from_matrix(bone).as_rotvec().tolist()}


if __name__ == "__main__":
    with open(sys.argv[1]) as file:
        cases = json.load(file)
    with Pool() as pool:
        work = roll if "turns" in cases[0] else solve
        json.dump(pool.map(work, cases, chunksize=10), sys.stdout)
