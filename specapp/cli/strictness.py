"""Whether a failing check is a failure of the command: only where that is asked for."""

from __future__ import annotations

from specapp.cli.terminal import DONE, FAILED
from specapp.domain.proposal import Proposal


def check_status(proposal: Proposal, strict: bool) -> int:
    """Return the exit status a proposal asks for: 1 where a check fails and that is asked to matter."""
    failed = any(check.result == "fail" for check in proposal.checks)
    return FAILED if strict and failed else DONE
