"""A crossover board as leads that end at pads, and whether that is the network that was drawn.

The two terminals count as one more part with a plus and a minus, named `TERMINALS`.
"""

from collections import Counter
from dataclasses import dataclass, replace
from itertools import combinations
from typing import NamedTuple

from calc.network.netlist import GROUND, DriverPart

TERMINALS = ""
"""The name of the two terminals among the parts: plus is the red one."""


class Lead(NamedTuple):
    """One end of a part: 0 is where it starts, the plus of a driver; 1 is its other end."""

    part: str
    end: int


@dataclass(frozen=True)
class Mistake:
    """Where a board is not the network: the `kind`, and what it is at.

    left off  a lead of `leads` ends nowhere
    reversed  plus and minus of the one of `parts` exchanged
    swapped   two of `parts` in each other's place
    open      `leads` are cut off from where they belong: the joint `nodes`
    astray    the lead of `leads` is at `places`, and belongs to the joint `nodes`
    bridged   the joints `nodes` are one, at `places`
    """

    kind: str
    parts: tuple = ()
    leads: tuple = ()
    nodes: tuple = ()
    places: tuple = ()


def leads_of(parts, node):
    """Where every lead belongs, {`Lead`: node}: the parts', and the terminals' at node and ground."""
    found = {Lead(TERMINALS, 0): node, Lead(TERMINALS, 1): GROUND}
    for part in parts:
        found |= {Lead(part.name, end): part.nodes[end] for end in (0, 1)}
    return found


def nodes_of(ends, name):
    """The two nodes, or one, of a part's leads among `ends`."""
    return {ends[Lead(name, 0)], ends[Lead(name, 1)]}


def polar_of(parts):
    """Names of the parts whose ends must not be exchanged."""
    return frozenset({TERMINALS, *(part.name for part in parts if isinstance(part, DriverPart))})


def joined(places, links):
    """The places that are one conductor, {place: the first of its names}: the union of all links.

    Parameters
    ----------
    places : iterable of str
    links : iterable of tuple of str
        Each joins all that it names, of `places` or others.
    """
    links = [tuple(link) for link in links]
    first = {place: place for place in (*places, *(place for link in links for place in link))}

    def root(place):
        while first[place] != place:
            place = first[place]
        return place

    for link in links:
        for other in link[1:]:
            a, b = sorted((root(link[0]), root(other)))
            first[b] = a
    return {place: root(place) for place in first}


def mistakes(wanted, built, links, polar):
    """What keeps a board from being the network, nothing where it is.

    Parameters
    ----------
    wanted : dict of Lead to str
        The node of each lead, see `leads_of`.
    built : dict of Lead to str
        The place that each lead is at; a lead that is at none is left out.
    links : iterable of tuple of str
        Places that are joined otherwise: by wires or by the board's track.
    polar : frozenset of str
        Parts whose ends must not be exchanged, see `polar_of`. Of all others it does not matter.

    Returns
    -------
    tuple of Mistake
        One where a single mistake explains it all; else all opens and bridges, which are together enough
        to put it right.
    """
    groups = joined(built.values(), links)
    built = {lead: groups[place] for lead, place in built.items() if lead in wanted}
    off = tuple(lead for lead in wanted if lead not in built)
    if off:
        return tuple(Mistake("left off", leads=(lead,)) for lead in off)
    if _joints(wanted, polar) == _joints(built, polar):
        return ()
    one = _single(wanted, built, polar)
    return (one,) if one else _opens_and_bridges(wanted, built, polar)


def _joints(ends, polar):
    """The joints by what they join: sets of leads, of unpolar parts without saying which end."""
    joints = {}
    for lead, place in ends.items():
        joints.setdefault(place, Counter())[lead if lead.part in polar else lead.part] += 1
    return {frozenset(joint.items()) for joint in joints.values()}


def _single(wanted, built, polar):
    """The one mistake that explains it all, or None."""
    right = _joints(wanted, polar)

    def mends(change):
        return _joints({**built, **change}, polar) == right

    names = list(dict.fromkeys(lead.part for lead in built))
    for name in names:
        if name in polar and mends(_exchanged(built, (name, 0), (name, 1))):
            return Mistake("reversed", parts=(name,))
    for a, b in combinations(names, 2):
        if a and mends(_exchanged(built, (a, 0), (b, 0)) | _exchanged(built, (a, 1), (b, 1))):
            return Mistake("swapped", parts=(a, b))
    shared = Counter(built.values())
    for lead, here in built.items():
        for place in shared:
            if place != here and mends({lead: place}):
                kind = "astray" if shared[here] > 1 else "open"
                node = _node_at(place, lead, wanted, built)
                return Mistake(kind, leads=(lead,), nodes=(node,), places=(here,))
    return None


def _exchanged(built, one, other):
    one, other = Lead(*one), Lead(*other)
    return {one: built[other], other: built[one]}


def _node_at(place, lead, wanted, built):
    """The joint that most of what is at a place belongs to, but for one lead."""
    nodes = Counter(wanted[each] for each, at in built.items() if at == place and each != lead)
    both = {wanted[Lead(lead.part, end)] for end in (0, 1)}
    return max(nodes, key=lambda node: (node in both, nodes[node]))


def _opens_and_bridges(wanted, built, polar):
    """Joints in several pieces, and pieces of several joints; ends of unpolar parts as they fit best."""
    wanted = _best_ends(wanted, built, polar)
    pieces, found = Counter((node, built[lead]) for lead, node in wanted.items()), []
    for node in dict.fromkeys(wanted.values()):
        places = sorted((place for at, place in pieces if at == node), key=lambda place: -pieces[node, place])
        for place in places[1:]:
            cut = tuple(lead for lead in wanted if wanted[lead] == node and built[lead] == place)
            found.append(Mistake("open", leads=cut, nodes=(node,), places=(place,)))
    for place in dict.fromkeys(built.values()):
        nodes = tuple(dict.fromkeys(node for node, at in pieces if at == place))
        if len(nodes) > 1:
            found.append(Mistake("bridged", nodes=nodes, places=(place,)))
    return tuple(found)


def _best_ends(wanted, built, polar):
    """The wanted nodes with the ends of unpolar parts exchanged where the board then has fewer pieces."""

    def pieces(ends):
        return len({(node, built[lead]) for lead, node in ends.items()})

    for _ in range(3):  # each pass settles the next ones; more bring nothing in networks of this size
        for name in dict.fromkeys(lead.part for lead in wanted if lead.part not in polar):
            other = wanted | _exchanged(wanted, (name, 0), (name, 1))
            if pieces(other) < pieces(wanted):
                wanted = other
    return wanted


def built_parts(parts, node, built, links):
    """The parts as they are joined on a board, and the node that is fed: a network to be solved or measured.

    Ground keeps its name.
    """
    groups = joined(built.values(), links)
    ground = groups[built[Lead(TERMINALS, 1)]]

    def at(lead):
        group = groups[built[lead]]
        return GROUND if group == ground else group

    made = tuple(replace(part, nodes=tuple(at(Lead(part.name, end)) for end in (0, 1))) for part in parts)
    return made, at(Lead(TERMINALS, 0))
