"""Command line of the engine: `propose`, `schema`, `evaluate_bids`. No database, no web framework."""

from specapp.cli.running import main

__all__ = ["main"]
