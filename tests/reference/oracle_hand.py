"""World transforms of a document's nodes by Pinocchio, from its file as it is written.

Controls are turned by their dials, worked out here; joints by the turns given with the case,
degrees, which is what the anchors made of them.
"""
import json
import sys
from math import radians

import numpy as np
import pinocchio as pin

AXES = {
    "x": (pin.JointModelPX, pin.JointModelRX),
    "y": (pin.JointModelPY, pin.JointModelRY),
    "z": (pin.JointModelPZ, pin.JointModelRZ),
}


def ramp(x, w):
    if x <= 0:
        return 0.0
    return x * x / (2 * w) if x < w else x - w / 2


def shaped(drive, x, w):
    kind = drive.get("ramp", "whole")
    if kind == "whole":
        return x
    if kind == "rising":
        return ramp(x, w)
    if kind == "falling":
        return ramp(-x, w)
    return ramp(ramp(x, w) - kind["rising-past"], w)


def channels(document, values):
    """By node and channel: degrees or mm."""
    sums = {}
    for dial in document["dials"]:
        x = values[dial["name"]] - dial.get("neutral", 0)
        for drive in dial["drives"]:
            if "node" in drive:
                key = (drive["node"], drive["channel"])
                by = drive.get("gain", 1) * shaped(drive, x, dial.get("softness") or 0)
                sums[key] = sums.get(key, 0.0) + by
    return sums


def pose(case):
    document = case["document"]
    by_dials = channels(document, case["dials"])
    nodes = {node["name"]: node for node in document["nodes"]}
    # A node is a joint of the model and a place on it: one that nothing turns is no joint.
    model, ids, q = pin.Model(), {}, []

    def add(name):
        if name in ids:
            return ids[name]
        node = nodes[name]
        parent, on = add(node["parent"]) if "parent" in node else (0, pin.SE3.Identity())
        joint, before = pin.JointModelComposite(), len(q)
        # Pinocchio's workspace grows with the square of its freedoms: idle ones stay out.
        for axis in "xyz":
            moved = by_dials.get((name, "move_" + axis), 0.0)
            if moved != 0:
                joint.addJoint(AXES[axis][0]())
                q.append(moved)
        for axis in node.get("order", "XYZ").lower():
            if name in case["turns"]:
                turned = case["turns"][name]["xyz".index(axis)]
            else:
                turned = by_dials.get((name, "turn_" + axis), 0.0)
            if turned != 0:
                joint.addJoint(AXES[axis][1]())
                q.append(radians(turned))
        x, y, z, w = node.get("rotation", [0, 0, 0, 1])
        rest = pin.SE3(pin.Quaternion(w, x, y, z), np.array(node["translation"], dtype=float))
        if len(q) == before:
            ids[name] = parent, on * rest
        else:
            ids[name] = model.addJoint(parent, joint, on * rest, name), pin.SE3.Identity()
        return ids[name]

    for name in nodes:
        add(name)
    data = model.createData()
    pin.forwardKinematics(model, data, np.array(q))
    world = {name: data.oMi[i] * on for name, (i, on) in ids.items()}
    return {
        name: {"at": at.translation.tolist(), "matrix": at.rotation.tolist()}
        for name, at in world.items()
    }


with open(sys.argv[1]) as file:
    cases = json.load(file)
json.dump([pose(case) for case in cases], sys.stdout)
