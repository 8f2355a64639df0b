"""What a document's dials give each channel, from its file as it is written: ramps, gains and links.
Shared by the oracles."""
import math


def ramp(x, width):
    if x <= 0:
        return 0.0
    return x * x / (2 * width) if x < width else x - width / 2


def shaped(dial, drive, value):
    x, width, kind = value - dial.get("neutral", 0.0), dial.get("softness") or 0.0, drive.get("ramp", "whole")
    if kind == "whole":
        return x
    if kind == "rising":
        return ramp(x, width)
    if kind == "falling":
        return ramp(-x, width)
    return ramp(ramp(x, width) - kind["rising-past"], width)


def settings(document, values):
    """By anchor and setting: what dials add to it."""
    given = {}
    for dial in document["dials"]:
        value = values.get(dial["name"], dial.get("value", dial.get("neutral", 0.0)))
        for drive in dial.get("drives", []):
            if "anchor" in drive:
                key = (drive["anchor"], drive["setting"])
                given[key] = given.get(key, 0.0) + drive.get("gain", 1.0) * shaped(dial, drive, value)
    return given


def channels(document, values):
    """By node and channel: degrees or mm."""
    dialled = {}
    for dial in document["dials"]:
        value = values.get(dial["name"], dial.get("value", dial.get("neutral", 0.0)))
        for drive in dial.get("drives", []):
            if "node" in drive:
                key = (drive["node"], drive["channel"])
                dialled[key] = dialled.get(key, 0.0) + drive.get("gain", 1.0) * shaped(dial, drive, value)
    given, links = dict(dialled), document.get("links", [])
    capped = [(link["node"], link["channel"]) for link in links if "past" in link or "fades" in link]
    assert len(capped) == len(set(capped)), "no channel is parted twice"
    for link in links:
        # Links pass on what dials make of a channel, never what other links brought.
        key = (link["node"], link["channel"])
        whole = dialled.get(key, 0.0)
        if "fades" in link:
            fades = link["fades"]
            t = min(max(dialled.get((link["node"], fades["by"]), 0.0) / fades["until"], 0.0), 1.0)
            passed = whole * (1 - fades["left"]) * t * t * (3 - 2 * t)
            given[key] = given.get(key, 0.0) - passed
        elif "past" in link:
            side = math.copysign(1.0, link["past"])
            passed = side * ramp(side * (whole - link["past"]), link.get("softness", 0.0))
            given[key] = given.get(key, 0.0) - passed
        else:
            passed = whole - link.get("from", 0.0)
        for to in link["to"]:
            key = (to["node"], to["channel"])
            given[key] = given.get(key, 0.0) + to.get("gain", 1.0) * passed
    # A joint turns as far as its own muscles turn it; what cannot turn at all is the rig's to set.
    for node in document["nodes"]:
        for channel, (least, most) in node.get("limits", {}).items() if node["kind"] == "joint" else ():
            if least < most and (node["name"], channel) in given:
                given[node["name"], channel] = min(max(given[node["name"], channel], least), most)
    return given
