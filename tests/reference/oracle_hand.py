"""World transforms of a document's nodes by Pinocchio, from its file as it is written.

Controls are turned by their dials and links, worked out here; joints by the turns given with the
case, degrees, which is what the anchors made of them. What is set down is moved off its surface by what
its balls are in it, in a pose placed before.
"""
import json
import sys
from math import radians

import numpy as np
import pinocchio as pin

from dials import channels, settings

AXES = {
    "x": (pin.JointModelPX, pin.JointModelRX),
    "y": (pin.JointModelPY, pin.JointModelRY),
    "z": (pin.JointModelPZ, pin.JointModelRZ),
}


def pose(case):
    document, lifts = case["document"], {}
    for anchor in document["anchors"]:
        if "set-down" in anchor["solver"] and anchor.get("active", True):
            world = placed(case, lifts)
            end, target = world[anchor["end"]], world[anchor["target"]]
            up = target.rotation[:, 1]
            sunk = [r - up @ (end.act(np.array(at)) - target.translation) for *at, r in anchor["solver"]["set-down"]["low"]]
            held = 1 + settings(document, case["dials"]).get((anchor["name"], "hold"), 0.0)
            base = next(node for node in document["nodes"] if node["name"] == anchor["base"])
            above = world[base["parent"]].rotation
            lifts[anchor["base"]] = above.T @ up * max(sunk) * min(max(held, 0), 1)
    return {
        name: {"at": at.translation.tolist(), "matrix": at.rotation.tolist()}
        for name, at in placed(case, lifts).items()
    }


def placed(case, lifts):
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
        at = np.array(node["translation"], dtype=float) + lifts.get(name, 0.0)
        rest = pin.SE3(pin.Quaternion(w, x, y, z), at)
        if len(q) == before:
            ids[name] = parent, on * rest
        else:
            ids[name] = model.addJoint(parent, joint, on * rest, name), pin.SE3.Identity()
        return ids[name]

    for name in nodes:
        add(name)
    data = model.createData()
    pin.forwardKinematics(model, data, np.array(q))
    return {name: data.oMi[i] * on for name, (i, on) in ids.items()}


if __name__ == "__main__":
    with open(sys.argv[1]) as file:
        cases = json.load(file)
    json.dump([pose(case) for case in cases], sys.stdout)
