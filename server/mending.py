"""What clears a clash, as the pages offer it: a button for each remedy, and what the button does."""

from calc.errors import InputError
from calc.evaluate import evaluate
from calc.evaluate_clashes import mendings
from server.documents import amend, plain, read_project
from server.pages import GONE
from server.telling import told


def mends(bench):
    """Of each clash, by (field, sentence): ([(a button's argument, its words)], what was tried in vain)."""
    if not bench.result.clashes:
        return {}
    return {
        (each.clash.field, each.clash.sentence): (
            [(argument, told(remedy, bench.project)) for argument, remedy in _arguments(each).items()],
            each.vain,
        )
        for each in mendings(bench.project, bench.result)
    }


def mend(document, argument, typed, result):
    """Make the change that a button offers, if it still holds with all that was typed beside it."""
    project = read_project(document)
    for each in mendings(project, evaluate(project)):
        remedy = _arguments(each).get(argument)
        if remedy is not None:
            return amend(document, {path: plain(value) for path, value in remedy.edits.items()})
    raise InputError("cabinet", GONE)


def _arguments(mending):
    """The remedies of a clash by what tells them from all others."""
    kind, parties, panel = mending.clash.key
    clash = " / ".join([kind, *sorted(parties), panel or ""])
    return {f"{clash} / {remedy.name}": remedy for remedy in mending.remedies}
