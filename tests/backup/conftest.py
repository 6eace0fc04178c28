"""Backups are of a whole database, so their tests work with real transactions and clear up by themselves."""

from tests.revisions.conftest import unsealed_after

__all__ = ["unsealed_after"]
