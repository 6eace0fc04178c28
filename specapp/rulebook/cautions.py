"""The cautions every document carries, one string each."""

CAUTIONS = (
    "Setpoints are proposals for the machine maker and the owner to confirm.",
    "Local codes, the area classification and licensed practice govern.",
    "Values marked “from memory” must be confirmed against the licensed standard before use.",
    "A protection system must be designed, verified and proof-tested by competent persons.",
    "Work in hazardous areas and on running machines needs a permit.",
)
