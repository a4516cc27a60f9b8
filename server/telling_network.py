"""Joints, leads, mistakes and further tests of a crossover, in the words that its pages share."""

from calc.network.board import TERMINALS
from calc.network.netlist import GROUND
from calc.project_network import SOURCE
from server import units


def joint_words(joint):
    """A joint as the page calls it: the two terminals, or its own name."""
    return {SOURCE: "red terminal", GROUND: "black terminal"}.get(joint, joint)


def tag_words(place):
    """A joint, or a driver's tag, given as (name, "plus" or "minus")."""
    return joint_words(place) if isinstance(place, str) else f"{place[1]} of {place[0]}"


def fault_words(fault):
    """A mistake in a few words."""
    names = " and ".join(fault.names)
    if fault.kind == "bridged" and len(fault.names) == 2:
        return f"{' and '.join(map(joint_words, fault.names))}: solder or a folded lead from pad to pad"
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
        found.append("Compare the value printed on each part with the page Crossover.")
    return tuple(found)


# --- Boards


def lead_words(lead, project):
    """A lead as a novice finds it: the red wire, a driver's plus, an end of a part."""
    if lead.part == TERMINALS:
        return "the black terminal’s wire" if lead.end else "the red terminal’s wire"
    part = project.network.parts[lead.part]
    if part.kind == "driver":
        colour = _colour(part.driver, "minus" if lead.end else "plus", project)
        return f"the {colour}wire to the {'minus' if lead.end else 'plus'} of {lead.part}"
    return f"an end of {lead.part}"


def _colour(driver, tag, project):
    """The colour of the wire to a driver’s tag and a blank; nothing where there is none, or several."""
    seats = [name for name, seat in project.cabinet.seats.items() if seat.driver == driver]
    colours = [project.network.leads.colours.get(name) for name in seats]
    told = {getattr(each, tag) for each in colours if each}
    return f"{told.pop()} " if len(told) == 1 and "" not in told else ""


def part_words(name):
    """A part as it is called in a sentence; the two terminals count as one."""
    return name if name != TERMINALS else "the two terminals"


def joint_of(node, ends):
    """A joint by what meets there."""
    if node in (SOURCE, GROUND):
        return f"the {joint_words(node)}"
    names = list(dict.fromkeys(part_words(lead.part) for lead, at in ends.items() if at == node))
    return f"the joint of {_and(names)}"


def _and(words):
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def mistake_words(mistake, ends, project):
    """What keeps a board from being the crossover, as a sentence; of all kinds but "left off"."""
    leads = _and([lead_words(lead, project) for lead in mistake.leads]) if mistake.leads else ""
    belongs = joint_of(mistake.nodes[0], ends) if mistake.nodes else ""
    at = " and ".join(mistake.places)
    many = len(mistake.leads) > 1
    if mistake.kind == "reversed":
        return f"Reversed: plus and minus of {part_words(mistake.parts[0])} are exchanged."
    if mistake.kind == "swapped":
        return f"Swapped: {_and(mistake.parts)} are in each other’s place."
    if mistake.kind == "open":
        return f"Open: {leads}, at {at}, {'are' if many else 'is'} cut off from {belongs}."
    if mistake.kind == "astray":
        return f"Astray: {leads} is at {at}, and belongs to {belongs}."
    return f"Bridged: at {at} these are one: {'; '.join(joint_of(node, ends) for node in mistake.nodes)}."


FACTS = {
    "unplaced": "There is no room left for {0}: a larger board, or smaller parts.",
    "off edge": "{0} sticks {by} out of the board.",
    "overlap": "{0} and {1} lie {by} on each other.",
    "heat": "{0} and {1} are {by} apart: a resistor runs hot and dries out a capacitor that is near.",
    "coupled": "{0} and {1} catch {by} of each other’s field: part them, or lay one flat and stand one up.",
}


def board_fact_words(fact, project):
    """What a board's layout does not keep, as a sentence."""
    quantity = "share" if fact.kind == "coupled" else "length"
    by = units.with_unit(fact.by, quantity, project.show, project.fraction)
    return FACTS[fact.kind].format(*fact.names, by=by)
