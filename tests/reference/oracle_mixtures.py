"""Hands that nothing holds, by Pinocchio from their files and their dials alone: sums, fading,
links and limits are worked out in dials.py. And what NumPy makes of places and turns in a mirror.
"""
import json
import sys

import numpy as np

from oracle_hand import placed

with open(sys.argv[1]) as file:
    asked = json.load(file)

poses = []
for case in asked["cases"]:
    world = placed({"document": asked["documents"][case["document"]], "dials": case["dials"], "turns": {}}, {})
    poses.append({name: {"at": at.translation.tolist(), "matrix": at.rotation.tolist()} for name, at in world.items()})

mirror = np.diag([1.0, 1.0, -1.0])
mirrored = (np.array(asked["places"]) * np.diag(mirror)).tolist()
json.dump({"poses": poses, "mirrored": mirrored}, sys.stdout)
