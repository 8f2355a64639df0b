"""How far planted pads slip and flesh sinks in as dials turn, by SciPy: forward kinematics and a
bounded solve of every finger, both from the document's file alone; the flesh is told as balls in
the frames of its joints, and placed here."""
import json
import math
import os
import sys
from multiprocessing import Pool

# One thread each: the matrices are 3 by 3.
os.environ["OPENBLAS_NUM_THREADS"] = "1"

import numpy as np
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation

TURNS = ("turn_x", "turn_y", "turn_z")


def ramp(x, width):
    if x <= 0:
        return 0.0
    return x * x / (2 * width) if x < width else x - width / 2


def shaped(dial, drive, value):
    x, width, kind = value - dial.get("neutral", 0.0), dial.get("softness", 0.0), drive.get("ramp", "whole")
    if kind == "whole":
        return x
    if kind == "rising":
        return ramp(x, width)
    if kind == "falling":
        return ramp(-x, width)
    return ramp(ramp(x, width) - kind["rising-past"], width)


class Hand:
    def __init__(self, document, flesh=()):
        self.document = document
        # By joint: centres, radii and whether it is a digit's.
        self.flesh = {}
        for ball in flesh:
            kind = self.flesh.setdefault((ball["node"], ball["digit"]), ([], []))
            kind[0].append(ball["at"])
            kind[1].append(ball["radius"])
        self.flesh = {key: (np.array(at), np.array(radius)) for key, (at, radius) in self.flesh.items()}
        self.nodes = {node["name"]: node for node in document["nodes"]}
        self.fingers = []
        for anchor in document["anchors"]:
            finger = anchor["solver"]["finger"]
            chain, name = [], anchor["end"]
            while name != anchor["base"]:
                chain.append(self.nodes[name])
                name = self.nodes[name]["parent"]
            chain.append(self.nodes[name])
            plants = [plant for plant in document["plants"] if plant["node"] == anchor["end"]]
            self.fingers.append((chain[::-1], finger, plants[0]))
        self.last = {}

    def channels(self, values):
        """What the dials give every channel, in degrees and mm."""
        given = {}
        for dial in self.document["dials"]:
            value = values.get(dial["name"], dial.get("value", dial.get("neutral", 0.0)))
            for drive in dial.get("drives", []):
                if "node" in drive:
                    key = (drive["node"], drive["channel"])
                    given[key] = given.get(key, 0.0) + drive.get("gain", 1.0) * shaped(dial, drive, value)
                else:
                    assert shaped(dial, drive, value) == 0, "load and release are not part of this check"
        return given

    def local(self, node, given):
        """Rotation and place of a node in its parent."""
        rest = Rotation.from_quat(node.get("rotation", [0, 0, 0, 1]))
        move = [given.get((node["name"], f"move_{axis}"), 0.0) for axis in "xyz"]
        order = node.get("order", "XYZ")
        turns = [given.get((node["name"], "turn_" + axis.lower()), 0.0) for axis in order]
        turn = Rotation.from_euler(order, turns, degrees=True)
        return rest * turn, np.array(node["translation"]) + rest.apply(move)

    def world(self, name, given):
        rotation, place = Rotation.identity(), np.zeros(3)
        while name is not None:
            turn, at = self.local(self.nodes[name], given)
            rotation, place = turn * rotation, at + turn.apply(place)
            name = self.nodes[name].get("parent")
        return rotation, place

    def slips(self, values):
        given = self.channels(values)
        return [self.slip(k, given) for k in range(len(self.fingers))]

    def measured(self, values):
        """Slips, and how deep the deepest ball of the digits and of the palm is in the surface."""
        given, frames = self.channels(values), {}
        slips = [self.slip(k, given, frames) for k in range(len(self.fingers))]
        rotation, place = self.world(self.fingers[0][2]["surface"], given)
        up = rotation.apply([0, 1, 0])
        deepest = [0.0, 0.0]
        for (name, digit), (centres, radii) in self.flesh.items():
            if name in frames:
                at, turned = frames[name]
            else:
                turn, at = self.world(name, given)
                turned = turn.as_matrix()
            heights = (at + centres @ turned.T - place) @ up - radii
            kind = 0 if digit else 1
            deepest[kind] = max(deepest[kind], -float(heights.min()))
        return slips, deepest

    def slip(self, k, given, frames=None):
        chain, finger, plant = self.fingers[k]
        rotation, place = self.world(plant["surface"], given)
        target = place + rotation.apply(plant["at"])
        frame, root = self.world(chain[0]["parent"], given)
        frame = frame.as_matrix()
        # Each joint's place and rest rotation, and its turns in order: a free one's number, or
        # the angle of one that is held.
        joints, free = [], []
        for node in chain:
            rest = Rotation.from_quat(node.get("rotation", [0, 0, 0, 1]))
            move = [given.get((node["name"], f"move_{axis}"), 0.0) for axis in "xyz"]
            turns = []
            for axis in ("XYZ".index(letter) for letter in node.get("order", "XYZ")):
                low, high = node.get("limits", {}).get(TURNS[axis], (-math.inf, math.inf))
                if node["kind"] == "joint" and low < high:
                    turns.append((axis, len(free), 0.0))
                    free.append((low, high))
                else:
                    angle = given.get((node["name"], TURNS[axis]), 0.0)
                    if angle:
                        turns.append((axis, None, math.radians(angle)))
            joints.append((np.array(node["translation"]) + rest.apply(move), rest.as_matrix(), turns))
        assert len(free) == 4, free
        coupling = finger["coupling"]
        (low, high) = np.radians(np.array(free[:3])).T.copy()
        low[2] = max(low[2], math.radians(free[3][0] / coupling))
        high[2] = min(high[2], math.radians(free[3][1] / coupling))

        def chained(x):
            angles = (x[0], x[1], x[2], coupling * x[2])
            at, turned, lines = root, frame, []
            for shift, rest, turns in joints:
                at = at + turned @ shift
                turned = turned @ rest
                for axis, number, angle in turns:
                    if number is not None:
                        angle = angles[number]
                        lines.append((turned[:, axis].copy(), at))
                    turned = turned @ about(axis, angle)
            return at, lines

        def error(x):
            return chained(x)[0] - target

        def slope(x):
            end, lines = chained(x)
            columns = [cross(axis, end - at) for axis, at in lines]
            return np.array([columns[0], columns[1], columns[2] + coupling * columns[3]]).T

        def told(size):
            # Where the solved joints stand.
            if frames is not None:
                x, at, turned = self.last[k], root, frame
                angles = (x[0], x[1], x[2], coupling * x[2])
                for node, (shift, rest, turns) in zip(chain, joints):
                    at = at + turned @ shift
                    turned = turned @ rest
                    for axis, number, angle in turns:
                        turned = turned @ about(axis, angles[number] if number is not None else angle)
                    frames[node["name"]] = (at, turned)
            return size

        best = math.inf
        starts = [self.last[k]] if k in self.last else []
        starts += [low + np.array(part) * (high - low) for part in ((0.5, 0.4, 0.15), (0.5, 0.6, 0.3))]
        for start in starts:
            inside = np.clip(start, low + 1e-9, high - 1e-9)
            for method in ("trf", "dogbox"):
                found = least_squares(error, inside, slope, bounds=(low, high), method=method, xtol=1e-15, ftol=1e-15, gtol=1e-15, max_nfev=40)
                size = float(np.linalg.norm(error(found.x)))
                if size < best:
                    best, self.last[k] = size, found.x
                if best < 1e-9:
                    return told(best)
                # From where the one stopped on: it may have stopped beside a bound.
                inside = np.clip(found.x, low, high)
        return told(best)


def about(axis, angle):
    s, c = math.sin(angle), math.cos(angle)
    a, b = (axis + 1) % 3, (axis + 2) % 3
    turn = np.eye(3)
    turn[a, a], turn[a, b], turn[b, a], turn[b, b] = c, -s, s, c
    return turn


def cross(a, b):
    return np.array([a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]])


def strain(measured, tolerance):
    """The worst of slip and depths over what is allowed of each. No joint is ever past its limits
    here, and what is out of reach misses by at least as much as it is out."""
    slips, (pad, palm) = measured
    return max(max(slips) / tolerance["slip"], pad / tolerance["pad"], palm / tolerance["palm"])


def row(task):
    """Slips and depths of a grid's row, and where they first pass the tolerance either way from
    neutral, by halving."""
    document, flesh, across, up, value, tolerance = task
    hand = Hand(document, flesh)
    values = np.linspace(across["from"], across["to"], across["count"])

    def measured(x):
        return hand.measured({across["dial"]: float(x), up["dial"]: value})

    def safe(x):
        return strain(measured(x), tolerance) <= 1

    grid = [measured(x) for x in values]
    step = (across["to"] - across["from"]) / (across["count"] - 1)
    ends = []
    for way in (-1, 1):
        good, bad = None, 0.0
        while bad is not None and safe(bad):
            good = bad
            bad = bad + way * step
            if not across["from"] <= bad <= across["to"]:
                bad = None
        if good is None or bad is None:
            ends.append(None)
            continue
        for _ in range(8):
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
    return [[strain(found, tolerance), max(found[0])] for found in measured]


if __name__ == "__main__":
    with open(sys.argv[1]) as file:
        case = json.load(file)
    rows = []
    for survey in case["surveys"]:
        up = survey["up"]
        for value in np.linspace(up["from"], up["to"], up["count"]):
            rows.append((case["document"], case["flesh"], survey["across"], up, float(value), case["tolerance"]))
    many = case["poses"]
    parts = [(case["document"], case["flesh"], many[k::8], case["tolerance"]) for k in range(8)]
    with Pool() as pool:
        answers = pool.map(row, rows, chunksize=1)
        told = pool.map(poses, parts, chunksize=1)
    inside = [None] * len(many)
    for k, part in enumerate(told):
        inside[k::8] = part
    told = [
        {"slips": [slips for slips, _ in grid], "depths": [depths for _, depths in grid], "ends": ends}
        for grid, ends in answers
    ]
    json.dump({"rows": told, "poses": inside}, sys.stdout)
