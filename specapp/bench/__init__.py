"""The signal bench: synthetic signals through a model of the proposed chain, and what the relays do.

A calculation on a stored proposal; nothing is stored or read elsewhere. `running.run_bench` answers the whole
page of functions by scenarios as bench/1, `running.trace_cell` one picture. The model is generic: a curve,
low-passes, detectors and
logic that any monitor has in some form. Properties of a device that the proposal does not know are named in
`settings.py` with their status and may be told.
"""

# What a kept result was made with; raised where the same inputs give another result.
MODEL_VERSION = "1.0.0"
