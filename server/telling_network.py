"""Joints, mistakes and further tests of a crossover, in the words that its pages share."""

from calc.network.netlist import GROUND
from calc.project_network import SOURCE


def joint_words(joint):
    """A joint as the page calls it: the two terminals, or its own name."""
    return {SOURCE: "red terminal", GROUND: "black terminal"}.get(joint, joint)


def fault_words(fault):
    """A mistake in a few words."""
    names = " and ".join(fault.names)
    return {
        "healthy": "all as drawn",
        "unfed": "a dry joint or broken lead at the terminals",
        "open": f"{names}: open, burned out or a dry joint",
        "bridged": f"{names}: bridged, its two ends joined",
        "swapped": f"{names} in each other’s place",
        "reversed": f"{names}: plus and minus exchanged",
    }[fault.kind]


def further(faults):
    """Tests that tell what ohms cannot, each once: sentences."""
    kinds = {fault.kind for fault in faults}
    found = []
    if "reversed" in kinds:
        found.append(
            "Polarity does not change ohms. A woofer: touch a small battery briefly to its own tags, plus to"
            " plus, and the cone jumps out. Never a tweeter: follow its leads by eye from tag to joint."
        )
    if "open" in kinds or "swapped" in kinds or "bridged" in kinds:
        found.append(
            "Behind a capacitor a meter at the terminals is blind: hold it across each joint, part lead to"
            " part lead. A sound joint reads as good as nothing; tug it, and look for a dull ring of solder."
        )
    if "swapped" in kinds:
        found.append("Compare the value printed on each part with the table above.")
    return tuple(found)
