"""World transforms of trees by Pinocchio, and Euler angles by SciPy."""
import json
import sys

import numpy as np
import pinocchio as pin
from scipy.spatial.transform import Rotation

JOINTS = {
    "x": pin.JointModelPX, "y": pin.JointModelPY, "z": pin.JointModelPZ,
    "X": pin.JointModelRX, "Y": pin.JointModelRY, "Z": pin.JointModelRZ,
}


def tree(nodes):
    model, ids, q = pin.Model(), [], []
    for index, node in enumerate(nodes):
        joint = pin.JointModelComposite()
        # Pinocchio's workspace grows with the square of its freedoms: idle ones stay out.
        named = dict(zip("XYZxyz", node["channels"]))
        for name in "xyz" + node["order"]:
            if named[name] != 0:
                joint.addJoint(JOINTS[name]())
                q.append(named[name])
        x, y, z, w = node["turn"]
        rest = pin.SE3(pin.Quaternion(w, x, y, z), np.array(node["at"]))
        parent = 0 if node["parent"] is None else ids[node["parent"]]
        ids.append(model.addJoint(parent, joint, rest, str(index)))
    data = model.createData()
    pin.forwardKinematics(model, data, np.array(q))
    return [
        {"at": data.oMi[i].translation.tolist(), "matrix": data.oMi[i].rotation.tolist()} for i in ids
    ]


def turn(case):
    order = case["order"]
    rotation = Rotation.from_euler(order, [case["angles"]["XYZ".index(a)] for a in order])
    by_axis = dict(zip(order, rotation.as_euler(order)))
    return {"matrix": rotation.as_matrix().tolist(), "angles": [by_axis[a] for a in "XYZ"]}


with open(sys.argv[1]) as file:
    cases = json.load(file)
json.dump({"trees": [tree(t) for t in cases["trees"]], "turns": [turn(t) for t in cases["turns"]]}, sys.stdout)
