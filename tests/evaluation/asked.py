"""What is asked about the sample machines, made once a test run; and offers to change in one place."""

from functools import cache

from specapp.evaluation.replies.offer import Reply
from specapp.evaluation.requirements.criterion import Criterion
from specapp.evaluation.requirements.facts import Asked
from specapp.evaluation.requirements.generating import requirements_of
from specapp.evaluation.requirements.requirement import Requirement, RequirementSet
from tests.documents.sample import proposal


@cache
def asked(*names: str, **settings) -> RequirementSet:
    return requirements_of(Asked([proposal(name) for name in names or ("contract_example",)], **settings))


def requirement(kind, *, knock_out=False, **fields) -> Requirement:
    return Requirement(
        id="SIG-01",
        group="SIG",
        title="A title",
        text="What is asked.",
        criterion=Criterion(kind=kind, **fields),
        weight=1.0,
        knock_out=knock_out,
        source="",
        status="common practice",
    )


def reply(offered="", claim="", *, evidence="D-1, page 3", remark="", requirement="SIG-01") -> Reply:
    return Reply(requirement, claim, offered, evidence, remark)
