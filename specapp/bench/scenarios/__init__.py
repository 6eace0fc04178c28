"""The scenarios of the bench, a file a subject; `registry.py` has them in their order."""
