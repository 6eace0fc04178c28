"""One proposal and its functions, shared by the tests of the bench."""

import json
from functools import lru_cache

from specapp.bench.functions import functions_of
from specapp.bench.settings import DeviceSettings
from specapp.rulebook.proposing import propose_document
from tests.documents.sample import MACHINES


@lru_cache(maxsize=4)
def proposal_of(name="contract_example"):
    return propose_document(json.loads((MACHINES / f"{name}.json").read_bytes()))


@lru_cache(maxsize=32)
def function_of(key="P1/P1-1/radial", name="contract_example"):
    return next(function for function in functions_of(proposal_of(name)) if function.key == key)


PLAIN = DeviceSettings(spike_rejection=False)
