"""How fully planted fingers hold, how far they slip and how deep flesh sinks in as dials turn, by
SciPy from the document's file alone: what the dials give each channel, with links, ramps and rolling
pivots; forward kinematics; and for each finger the law of rolling as equations in its knuckle's two
turns and its middle joint's flexion, solved by MINPACK, or within limits by bounded least squares.
The flesh is told as balls in the frames of its joints, and placed here; that of a finger that has let
go is left out, for where it rests is no question of contact."""
import json
import math
import os
import sys
from multiprocessing import Pool

# One thread each: the matrices are 3 by 3.
os.environ["OPENBLAS_NUM_THREADS"] = "1"

import numpy as np
from scipy.optimize import brentq, least_squares, root
from scipy.spatial.transform import Rotation

from dials import channels, settings

AXES = "xyz"
# The windows of docs/mathematics.md 10, for a tip of 7.2 mm; each goes with the tip's radius.
LET_GO, WINDOW, KNEE = -10.5 / 7.2, 12 / 7.2, 1.5 / 7.2
# Of the reach forward, in parts of the straight finger.
UNDER, UNDER_WINDOW = 0.12, 0.36
TIP_ENDS, TIP_WINDOW = math.radians(110), math.radians(15)
# A miss off the surface counts so many times, where limits leave one.
STIFF = 10.0
# What is held so far counts as down.
DOWN = 0.999
# So few radians from its bound a turn is not told to be at it, nor to be free of it.
NEAR = 1e-7


def step(t):
    """The quintic that goes from 0 to 1 with no slope and no curvature at its ends."""
    t = min(max(t, 0.0), 1.0)
    return 6 * t**5 - 15 * t**4 + 10 * t**3


def about(axis, angle):
    s, c = math.sin(angle), math.cos(angle)
    a, b = (axis + 1) % 3, (axis + 2) % 3
    turn = np.eye(3)
    turn[a, a], turn[a, b], turn[b, a], turn[b, b] = c, -s, s, c
    return turn


def matrix(node):
    return Rotation.from_quat(node.get("rotation", [0, 0, 0, 1])).as_matrix()


class Finger:
    """A finger's joints, seen from its contact's target: x and z level, y off the surface."""

    def __init__(self, hand, anchor):
        finger = anchor["solver"]["finger"]
        assert finger.get("collapse", 0.0) == 0 and finger.get("give", 0.0) == 0
        self.contact, self.coupling = finger["contact"], finger["coupling"]
        self.end, self.target = anchor["end"], anchor["target"]
        chain, name = [], hand.nodes[anchor["end"]]["parent"]
        while name != anchor["base"]:
            chain.append(hand.nodes[name])
            name = hand.nodes[name]["parent"]
        self.chain = [hand.nodes[name], *chain[::-1]]
        self.parent = self.chain[0]["parent"]
        bounds, self.turns = [], []
        for at, node in enumerate(self.chain):
            for letter in node["order"].lower():
                own = node["limits"].get(f"turn_{letter}", [-math.inf, math.inf])
                low, high = node.get("loaded", {}).get(f"turn_{letter}", own)
                # A joint that load alone moves is none of those here.
                if own[0] < own[1]:
                    bounds.append((math.radians(low), math.radians(high)))
                    self.turns.append((at, AXES.index(letter)))
        assert len(bounds) == 4, "two turns at the knuckle, one at each hinge"
        (low, high) = np.array(bounds[:3]).T
        low[2] = max(low[2], bounds[3][0] / self.coupling)
        high[2] = min(high[2], bounds[3][1] / self.coupling)
        self.low, self.high = low, high
        self.rests = [matrix(node) for node in self.chain]
        self.offsets = [np.array(node["translation"]) for node in self.chain]
        self.tip = np.array(hand.nodes[anchor["end"]]["translation"])
        self.length = sum(float(np.linalg.norm(v)) for v in (*self.offsets[1:], self.tip))
        self.pitch, self.tilt, heading, self.seam = (
            math.radians(self.contact[name]) for name in ("pitch", "tilt", "heading", "changeover")
        )
        self.ahead = np.array([math.cos(heading), 0.0, -math.sin(heading)])
        self.start = np.array([0.0, 0.0, 0.3])

    def placed(self, x, above):
        """Place and frame of each joint, and the tip's centre."""
        turned, at = above
        angles = (*x, self.coupling * x[2])
        frames = []
        for joint in range(3):
            at = at + turned @ self.offsets[joint]
            turned = turned @ self.rests[joint]
            for (of, axis), angle in zip(self.turns, angles):
                if of == joint:
                    turned = turned @ about(axis, angle)
            frames.append((at, turned))
        return frames, at + turned @ self.tip

    def core(self, pitch, last, centre):
        """What is above the contact at the height of the tip's centre."""
        if pitch >= self.seam:
            return centre
        s, c = math.sin(pitch) - math.sin(self.seam), math.cos(pitch) - math.cos(self.seam)
        flat = self.contact["pad"] - self.contact["radius"]
        return centre + flat * (last[:, 0] * c - last[:, 1] * s)

    def missed(self, x, above):
        """From where the core should have rolled to, to where it is; the pitch, and the ways forward
        and along the hinge."""
        frames, centre = self.placed(x, above)
        last = frames[-1][1]
        palm, bone, hinge = last[:, 0], -last[:, 1], last[:, 2]
        r, big = self.contact["radius"], self.contact["pad"]
        pitch = math.atan2(-bone[1], -palm[1])
        if pitch < -math.pi / 2:
            pitch += 2 * math.pi
        size = math.hypot(hinge[0], hinge[2])
        forward = np.array([-hinge[2], 0.0, hinge[0]]) / size
        aside = np.array([hinge[0], 0.0, hinge[2]]) / size
        halfway = self.ahead + forward
        halfway = halfway / math.hypot(halfway[0], halfway[2])
        core = self.core(pitch, last, centre)
        # Each arc by what of it lies between the two pitches.
        flat = min(pitch, self.seam) - min(self.pitch, self.seam)
        length = r * (pitch - self.pitch - flat) + big * flat
        tilt = math.asin(max(-1.0, min(1.0, -hinge[1])))
        place = length * halfway + r * (tilt - self.tilt) * aside
        return core - place, pitch, forward, hinge

    def margin(self, above):
        """How far the straight finger's core would be ahead: on the surface, and in its plane."""
        straight = min(max(0.0, self.low[2]), self.high[2])

        def left(knuckle):
            e, _, _, hinge = self.missed([*knuckle, straight], above)
            return [e[1], e @ hinge]

        def root_from(outer, inner):
            found = root(left, [outer, inner], options={"xtol": 1e-13, "maxfev": 60})
            e, _, forward, _ = self.missed([*found.x, straight], above)
            frames, centre = self.placed([*found.x, straight], above)
            # A finger over its own back, or turned round, is none.
            ahead = (centre - frames[0][0]) @ forward > 0 and abs(found.x[0]) < 1
            return float(e @ forward) if np.abs(found.fun).max() < 1e-8 and ahead else None

        for inner in (self.start[1], self.start[1] + 0.3):
            margin = root_from(self.start[0], inner)
            if margin is not None:
                return margin
        # Where the straight finger's height changes its sign as the knuckle flexes.
        for outer in (self.start[0], 0.0):
            flexed = np.linspace(-1.6, 1.6, 33)
            high = [left([outer, inner])[0] for inner in flexed]
            for a, b, before, after in zip(flexed, flexed[1:], high, high[1:]):
                if before * after <= 0:
                    margin = root_from(outer, 0.5 * (a + b))
                    if margin is not None:
                        return margin
        # No straight finger would touch at all: the surface is out of reach, above or below.
        return -math.inf

    def solve(self, above):
        """Hold, slip, whether a limit keeps it from its place, and how near that is to being
        otherwise; the frames."""
        r = self.contact["radius"]
        margin = self.margin(above)
        held = step((margin / r - LET_GO) / WINDOW)
        if held < DOWN - 0.05:
            return held, None, False, False, None
        knee = KNEE * r
        short = margin - (margin if margin >= knee else (margin + knee) ** 2 / (4 * knee))

        def left(x):
            e, _, forward, _ = self.missed(x, above)
            return e - short * forward

        for start in (self.start, [*self.start[:2], 0.3], [0, -0.3, 0.6], [0, -0.8, 0.3], [0, 0.2, 1.0]):
            found = root(left, start, tol=1e-14)
            closed = found.x
            if np.abs(left(closed)).max() < 1e-9 and -1e-9 < closed[2] < math.pi / 1.5 and abs(closed[0]) < 1.5:
                break
        else:
            found = least_squares(left, np.clip(self.start, self.low, self.high), xtol=1e-15, ftol=1e-15, gtol=1e-15)
            closed = found.x
        _, pitch, forward, _ = self.missed(closed, above)
        frames, centre = self.placed(closed, above)
        turned = frames[-1][1]
        # On the pad's arc its centre is what is above the contact, as the core is.
        reach = float((self.core(pitch, turned, centre) - frames[0][0]) @ forward)
        hold = held * step((TIP_ENDS - pitch) / TIP_WINDOW) * step((reach / self.length - UNDER) / UNDER_WINDOW)
        room = min(np.min(closed - self.low), np.min(self.high - closed))
        limited, near = bool(room < 0), bool(abs(room) < NEAR)
        x = closed
        if limited:
            x = self.within(left, closed, above)
        else:
            self.start = closed
        frames, _ = self.placed(x, above)
        slip = float(np.linalg.norm(self.missed(x, above)[0]))
        return hold, slip, limited, near, frames

    def within(self, left, closed, above):
        """The least that the limits leave, and then opened by what still sinks."""

        def weighed(x):
            e = left(x)
            return np.array([e[0], STIFF * e[1], e[2]])

        inside = np.clip(closed, self.low + 1e-9, self.high - 1e-9)
        best = None
        for method in ("trf", "dogbox"):
            found = least_squares(weighed, inside, "3-point", bounds=(self.low, self.high), method=method, xtol=1e-15, ftol=1e-15, gtol=1e-15, max_nfev=60)
            if best is None or found.cost < best.cost:
                best = found
            # From where the one stopped on: it may have stopped beside a bound.
            inside = np.clip(best.x, self.low, self.high)
        x = best.x.copy()

        def height(knuckle):
            return left([x[0], knuckle, x[2]])[1]

        if height(x[1]) < 0:
            x[1] = brentq(height, self.low[1], x[1], xtol=1e-15) if height(self.low[1]) > 0 else self.low[1]
        return x


class Hand:
    def __init__(self, document, flesh):
        self.document = document
        # By joint: centres, radii and whether it is a digit's.
        self.flesh = {}
        for ball in flesh:
            kind = self.flesh.setdefault((ball["node"], ball["digit"]), ([], []))
            kind[0].append(ball["at"])
            kind[1].append(ball["radius"])
        self.flesh = {key: (np.array(at), np.array(radius)) for key, (at, radius) in self.flesh.items()}
        self.nodes = {node["name"]: node for node in document["nodes"]}
        self.rests = {name: matrix(node) for name, node in self.nodes.items()}
        self.fingers = [Finger(self, anchor) for anchor in document["anchors"] if anchor.get("active", True)]
        ends = [finger.end for finger in self.fingers]
        assert ends == [plant["node"] for plant in document["plants"]], "what is planted is held"
        # All that a digit's own joints carry moves with the digit.
        self.digits = {node["name"] for finger in self.fingers for node in finger.chain}

    def world(self, name, given, known):
        """Rotation and place of a node."""
        if name is None:
            return np.eye(3), np.zeros(3)
        if name not in known:
            node = self.nodes[name]
            above, place = self.world(node.get("parent"), given, known)
            rest = self.rests[name]
            move = np.array([given.get((name, f"move_{axis}"), 0.0) for axis in AXES])
            place = place + above @ (np.array(node["translation"]) + rest @ move)
            rotation = above @ rest
            for letter in node.get("order", "XYZ").lower():
                angle = given.get((name, f"turn_{letter}"), 0.0)
                if angle:
                    rotation = rotation @ about(AXES.index(letter), math.radians(angle))
            known[name] = rotation, place
        return known[name]

    def measured(self, values):
        """Of each finger its hold, slip, whether a limit keeps it and whether that is hardly to be
        told; and how deep the deepest ball of those held, and of the palm, is in the surface."""
        given, known = channels(self.document, values), {}
        assert not any(settings(self.document, values).values()), "load and release are not part of this check"
        fingers, frames = [], {}
        for finger in self.fingers:
            turned, at = self.world(finger.target, given, known)
            above, place = self.world(finger.parent, given, known)
            hold, slip, limited, near, joints = finger.solve((turned.T @ above, turned.T @ (place - at)))
            fingers.append([hold, slip, limited, near])
            if hold >= 1.0:
                for node, (place, frame) in zip(finger.chain, joints):
                    frames[node["name"]] = at + turned @ place, turned @ frame
        rotation, level = self.world(self.document["plants"][0]["surface"], given, known)
        up = rotation[:, 1]
        deepest = [0.0, 0.0]
        for (name, digit), (centres, radii) in self.flesh.items():
            if name in frames:
                at, turned = frames[name]
            elif name in self.digits:
                continue
            else:
                turned, at = self.world(name, given, known)
            heights = (at + centres @ turned.T - level) @ up - radii
            kind = 0 if digit else 1
            deepest[kind] = max(deepest[kind], -float(heights.min()))
        return fingers, deepest


def strain(measured, tolerance):
    """The worst of slip and depths over what is allowed of each, of what is down."""
    fingers, (pad, palm) = measured
    slips = [slip for hold, slip, *_ in fingers if hold >= DOWN]
    return max([pad / tolerance["pad"], palm / tolerance["palm"]] + [slip / tolerance["slip"] for slip in slips])


def row(task):
    """One row of the grid, and how far it is safe either way of the column told."""
    document, flesh, across, up, value, tolerance, home = task
    hand = Hand(document, flesh)
    values = np.linspace(across["from"], across["to"], across["count"])

    def measured(x):
        return hand.measured({across["dial"]: float(x), up["dial"]: value})

    def safe(x):
        return strain(measured(x), tolerance) <= 1

    # From the middle outwards, so that each begins at a neighbour's solution.
    grid = [None] * len(values)
    starts = [finger.start for finger in hand.fingers]
    for way in (range(home, -1, -1), range(home, len(values))):
        for finger, start in zip(hand.fingers, starts):
            finger.start = start
        for at in way:
            grid[at] = measured(values[at])
    ends = []
    for way in (-1, 1):
        at = home
        if strain(grid[at], tolerance) > 1:
            ends.append(None)
            continue
        while 0 <= at + way < len(values) and strain(grid[at + way], tolerance) <= 1:
            at += way
        if not 0 <= at + way < len(values):
            ends.append(float(values[at]))
            continue
        good, bad = float(values[at]), float(values[at + way])
        for _ in range(6):
            middle = 0.5 * (good + bad)
            if safe(middle):
                good = middle
            else:
                bad = middle
        ends.append(good)
    return grid, ends


def poses(task):
    document, flesh, many, tolerance = task
    hand = Hand(document, flesh)
    measured = [hand.measured(values) for values in many]
    return [[*found, strain(found, tolerance)] for found in measured]


if __name__ == "__main__":
    with open(sys.argv[1]) as file:
        case = json.load(file)
    rows = []
    for survey in case["surveys"]:
        up = survey["up"]
        for value in np.linspace(up["from"], up["to"], up["count"]):
            rows.append((case["document"], case["flesh"], survey["across"], up, float(value), case["tolerance"], survey["home"]))
    many = case["poses"]
    parts = [(case["document"], case["flesh"], many[k::8], case["tolerance"]) for k in range(8)]
    with Pool() as pool:
        answers = pool.map(row, rows, chunksize=1)
        told = pool.map(poses, parts, chunksize=1)
    inside = [None] * len(many)
    for k, part in enumerate(told):
        inside[k::8] = part
    told = [
        {"cells": [[*found, strain(found, case["tolerance"])] for found in grid], "ends": ends}
        for grid, ends in answers
    ]
    json.dump({"rows": told, "poses": inside}, sys.stdout)
