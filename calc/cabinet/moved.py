"""What a change moved in a cabinet, and why: from two results, as sentences with SI numbers.

Each part of the cabinet is taken as it stands in the result before and after; sizes of blanks are split
into what the inside, the joints and the sheets' thickness did to them, which add up to the whole.
"""

from calc.sound.verdict import Said

HAIR = 2e-5
"""What is less is not told of a length. [m]"""

SIP = 1e-6
"""What is less is not told of a volume. [m³]"""

SIDES = (("width", "wider", "narrower"), ("height", "higher", "lower"), ("depth", "deeper", "shallower"))


def moved(before, now):
    """What moved between two cabinets.

    Parameters
    ----------
    before, now : (Project-like, Result-like)
        With `.cabinet` each: the decisions, and what follows from them.

    Returns
    -------
    tuple of Said
        Outside and inside, blanks, air, ports and seats; empty where nothing moved.
    """
    return tuple(
        said
        for part in (_outside, _inside, _blanks, _come_and_gone, _air, _ports, _seats)
        for said in part(before, now)
    )


def _said(words, **lengths):
    return Said("cabinet", words, {name: ("length", abs(value)) for name, value in lengths.items()})


def _changes(before, after):
    """(words with {side} each, {side: change}) of width, height and depth."""
    words, values = [], {}
    for (side, more, less), old, new in zip(SIDES, before, after, strict=True):
        if abs(new - old) > HAIR:
            words.append(f"{{{side}}} {more if new > old else less}")
            values[side] = new - old
    return _listed(words), values


def _listed(words):
    return " and ".join(filter(None, (", ".join(words[:-1]), words[-1]))) if words else ""


def _begun(names):
    """Names at the beginning of a sentence."""
    words = _listed(names)
    return words[:1].upper() + words[1:]


def _outside(before, now):
    old, new = (result.cabinet.carcass for _, result in (before, now))
    words, values = _changes(old.finished, new.finished)
    if not values:
        return
    causes = []
    if any(abs(a - b) > HAIR for a, b in zip(old.inner, new.inner, strict=True)):
        causes.append("the inside moved")
    if _thicker(old, new):
        causes.append("the panels’ thickness changed")
    if {name: each.thickness for name, each in old.layers.items()} != {
        name: each.thickness for name, each in new.layers.items()
    }:
        causes.append("its layers changed")
    yield _said(f"Outside it is {words}{': ' + _listed(causes) if causes else ''}.", **values)


def _thicker(old, new):
    """Panels whose thickness changed, and by how much. [m]"""
    return {
        name: new.panels[name].thickness - panel.thickness
        for name, panel in old.panels.items()
        if abs(new.panels[name].thickness - panel.thickness) > HAIR
    }


def _inside(before, now):
    (old_project, old), (new_project, new) = before, now
    words, values = _changes(old.cabinet.carcass.inner, new.cabinet.carcass.inner)
    if not values:
        return
    why, volumes = _why_inside(old_project, old.cabinet, new_project, new.cabinet)
    said = _said(f"Inside it is {words}{why}.", **values)
    yield Said(said.about, said.words, {**said.values, **volumes})


def _why_inside(old_project, old, new_project, new):
    """What moved the inside, as words and the volumes in them."""
    hold = new_project.cabinet.hold
    if old_project.cabinet.hold != hold or old_project.cabinet.size != new_project.cabinet.size:
        return ", as its size was typed", {}
    if hold == "outer":
        return ": the outside is held, and the walls take more or less of it", {}
    words, volumes = [], {}
    if old.wanted and new.wanted and abs(new.wanted - old.wanted) > SIP:
        more = "more" if new.wanted > old.wanted else "less"
        words.append(f"{{wanted}} {more} air is wanted")
        volumes["wanted"] = ("volume", abs(new.wanted - old.wanted))
    for number, (name, change) in enumerate(_taken(old, new)):
        takes = "takes" if change > 0 else "leaves"
        words.append(f"“{name}” {takes} {{taken{number}}}{' more' if change > 0 else ''}")
        volumes[f"taken{number}"] = ("volume", abs(change))
    return (f", for the air is held: {_listed(words)}", volumes) if words else ("", {})


def _taken(old, new):
    """(name, by how much more [m³]) of what takes another share of the air, the largest first."""
    before, after = (
        {**dict(book.displaced), **{name: -volume for name, volume in book.gained}}
        for book in (old.ledger, new.ledger)
    )
    changes = [(name, after.get(name, 0.0) - before.get(name, 0.0)) for name in {**before, **after}]
    told = [(name, change) for name, change in changes if abs(change) > SIP]
    return sorted(told, key=lambda each: -abs(each[1]))[:3]


def _blanks(before, now):
    """Panels and braces whose blanks changed; those that changed alike in one sentence."""
    (old_project, old), (new_project, new) = before, now
    groups = {}
    for name, panel in new.cabinet.carcass.panels.items():
        was = old.cabinet.carcass.panels[name]
        causes = {
            side: _panel_causes(side, was, panel, old_project.cabinet.edges, new_project.cabinet.edges)
            for side in ("length", "width")
        }
        _told(groups, name, was, panel, causes)
    for name, brace in new.cabinet.braces.items():
        was = old.cabinet.braces.get(name)
        if was is not None:
            causes = {side: _brace_causes(side, was, brace) for side in ("length", "width")}
            _told(groups, name, was, brace, causes)
    for (words, values), names in groups.items():
        verb = "is" if len(names) == 1 else "are"
        yield _said(f"{_begun(names)} {verb} {words}.", **dict(values))


def _told(groups, name, was, panel, causes):
    """Put the change of one blank under those that changed alike."""
    words, values = [], {}
    for side, more, less in (("length", "longer", "shorter"), ("width", "wider", "narrower")):
        change = getattr(panel, side) - getattr(was, side)
        if abs(change) <= HAIR:
            continue
        reasons = {cause: each for cause, each in causes[side].items() if abs(each[0] * each[1]) > HAIR}
        values[side] = abs(round(change, 7))
        why = [_reason(f"{side}{number}", *each) for number, each in enumerate(reasons.items())]
        if len(reasons) == 1 and next(iter(reasons.values()))[0] == 1:
            words.append(f"{{{side}}} {more if change > 0 else less} ({next(iter(reasons))})")
            continue
        values |= {f"{side}{n}": abs(round(by, 7)) for n, (_, by) in enumerate(reasons.values())}
        words.append(f"{{{side}}} {more if change > 0 else less} ({_listed(why)})")
    if words:
        groups.setdefault((_listed(words), tuple(values.items())), []).append(name)


def _reason(key, cause, change):
    """One cause with its number: "2 × {length0} more by its joints"."""
    count, by = change
    times = f"{count} × " if count > 1 else ""
    return f"{times}{{{key}}} {'more' if by > 0 else 'less'} by {cause}"


def _panel_causes(side, was, panel, old_edges, new_edges):
    """{cause: (how many times, by how much [m])}; times by much add up to the change of the blank."""
    old = {each.edge: each.add for each in was.allowances if each.along == side}
    changes = {
        each.edge: each.add - old.get(each.edge, 0.0) for each in panel.allowances if each.along == side
    }
    joints = [by for edge, by in changes.items() if old_edges[edge] != new_edges[edge]]
    sheets = [by for edge, by in changes.items() if old_edges[edge] == new_edges[edge]]
    rest = getattr(panel, side) - getattr(was, side) - sum(changes.values())
    return {"its joints": _times(joints), "its mates’ thickness": _times(sheets), "the inside": (1, rest)}


def _brace_causes(side, was, brace):
    adds = [sum(count * add for count, add in each.sums[side][1]) for each in (was, brace)]
    grooves = adds[1] - adds[0]
    rest = getattr(brace, side) - getattr(was, side) - grooves
    return {"its grooves": (1, grooves), "the inside": (1, rest)}


def _times(changes):
    """Two alike ends as (2, one of them), others as (1, their sum)."""
    told = [by for by in changes if abs(by) > HAIR]
    if len(told) == 2 and abs(told[0] - told[1]) < HAIR / 10:
        return 2, told[0]
    return 1, sum(changes)


def _come_and_gone(before, now):
    old, new = (
        {**r.cabinet.braces, **r.cabinet.carcass.layers, **r.cabinet.plinth} for _, r in (before, now)
    )
    for words, names in (
        ("new in the cut list", [name for name in new if name not in old]),
        ("gone from the cut list", [name for name in old if name not in new]),
    ):
        if names:
            yield _said(f"{_begun(names)} {'is' if len(names) == 1 else 'are'} {words}.")


def _air(before, now):
    old, new = before[1].cabinet, now[1].cabinet
    change = new.net - old.net
    if abs(change) <= SIP:
        return
    words, values = [], {"net": ("volume", abs(change))}
    gross = (new.ledger.gross - old.ledger.gross, "the inside holds {gross}")
    if abs(gross[0]) > SIP:
        words.append(gross[1] + (" more" if gross[0] > 0 else " less"))
        values["gross"] = ("volume", abs(gross[0]))
    for number, (name, by) in enumerate(_taken(old, new)):
        words.append(f"“{name}” takes {{taken{number}}} {'more' if by > 0 else 'less'}")
        values[f"taken{number}"] = ("volume", abs(by))
    why = f": {_listed(words)}" if words else ""
    yield Said("cabinet", f"{{net}} {'more' if change > 0 else 'less'} air is left{why}.", values)


def _ports(before, now):
    (_, old), (_, new) = before, now
    for name, length in new.cabinet.port_lengths.items():
        change = length - old.cabinet.port_lengths.get(name, length)
        if abs(change) > HAIR:
            called = "The port" if name == "port" else f"The {name} port"
            kept = old.box.fb and new.box.fb and abs(new.box.fb - old.box.fb) < 1e-6
            why = ", to keep its tuning" if kept else ""
            yield _said(f"{called} is {{by}} {'longer' if change > 0 else 'shorter'}{why}.", by=change)


def _seats(before, now):
    (_, old), (_, new) = before, now
    for name, seat in new.seats.items():
        was = old.seats.get(name)
        if not seat or not was:
            continue
        change = seat.recess_depth - was.recess_depth
        if abs(change) > HAIR:
            words = f"The recess of “{name}” is cut {{by}} {'deeper' if change > 0 else 'shallower'}."
            yield _said(words, by=change)
