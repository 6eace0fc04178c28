"""Every fact of the machines that requirements are written with.

A fact is one small function over all proposals of an enquiry. It answers None where the machines have no
such thing; a requirement that needs it is then left out, or named as open.
"""

from __future__ import annotations

from specapp.evaluation.requirements import facts_scope, facts_signal, facts_site
from specapp.evaluation.requirements.asked import Asked, Fact, facts_of

__all__ = ["Asked", "Fact", "facts_of", "facts_scope", "facts_signal", "facts_site"]
