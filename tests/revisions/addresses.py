"""Addresses of revisions with rows behind them, for the matrix of address, method and person."""

from django.urls import reverse

from specapp.core.roles import Role
from specapp.projects.deciding.ground import machine_proposal
from specapp.revisions.gate import gate_items
from specapp.revisions.models import HoldItem, Revision, State
from specapp.revisions.services.holds import hold_put
from tests.factories import NOW
from tests.revisions.issuing import frozen
from tests.revisions.rows import issued_rows


def revision_address(name, project, machine):
    """Return an address of the app, with a candidate, an issue or a hold made where it needs one."""
    short = name.removeprefix("revisions:")
    place = [project.pk, machine.pk]
    if short in ("numbering-edit", "register-list", "register-package", "issue-list", "issue-new"):
        return reverse(name, args=[project.pk])
    if short == "sheet-find":
        return reverse(name)
    if short == "register-edit":
        candidate(machine)
        return reverse(name, args=[project.pk, machine.register.first().pk])
    if short in ("issue-show", "issue-package", "issue-distribute", "issue-receive"):
        issue = issued_rows(machine, sent_to=[Role.MAKER, Role.CLIENT, Role.READER])
        return reverse(name, args=[project.pk, issue.pk])
    if short in ("issued-file", "superseded-file", "sheet-show"):
        issue = issued_rows(machine, sent_to=[Role.MAKER, Role.CLIENT, Role.READER])
        document = issue.documents.get(key="datasheet")
        if short == "sheet-show":
            return reverse(name, args=[document.code])
        issued_rows(machine, sent_to=[Role.MAKER, Role.CLIENT, Role.READER])
        return reverse(name, args=[project.pk, document.pk])
    if short == "hold-release":
        return reverse(name, args=[*place, a_hold(machine).pk])
    if short in ("revision-show", "revision-refreeze", "revision-cancel"):
        return reverse(name, args=[*place, candidate(machine).pk])
    if short == "revision-sign":
        return reverse(name, args=[*place, candidate(machine).pk, "PREPARED"])
    return reverse(name, args=place)


def candidate(machine):
    found = Revision.objects.filter(machine=machine, state=State.CANDIDATE).first()
    return found or frozen(machine, author=machine.created_by)


def a_hold(machine):
    found = HoldItem.objects.filter(machine=machine).first()
    return found or hold_put(
        machine=machine,
        item=gate_items(machine_proposal(machine))[0],
        owner="the maker",
        due_date=NOW.date(),
        author=machine.created_by,
        now=NOW,
    )
