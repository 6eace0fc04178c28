"""`schema`: valid JSON Schemas that real documents satisfy, and the list of criteria."""

import json

import pytest
from jsonschema import Draft202012Validator

from specapp.criteria.loader import load_defaults
from specapp.domain.proposal import proposal_bytes
from specapp.rulebook.proposing import propose_document
from tests.cli.conftest import MACHINES

SAMPLES = sorted(MACHINES.glob("*.json"))


@pytest.fixture
def schema(run):
    def _schema(document):
        ended = run("schema", document)
        assert (ended.status, ended.lines) == (0, [])
        return json.loads(ended.out)

    return _schema


@pytest.mark.parametrize("document", ["machine", "proposal", "bids"])
def test_a_schema_is_a_json_schema(schema, document):
    found = schema(document)
    Draft202012Validator.check_schema(found)
    assert found["title"] == f"{document}/1"


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.stem)
def test_sample_machines_and_their_proposals_satisfy_the_schemas(run, schema, sample):
    Draft202012Validator(schema("machine")).validate(json.loads(sample.read_text()))
    proposal = json.loads(run("propose", sample).out)
    Draft202012Validator(schema("proposal")).validate(proposal)


@pytest.fixture(scope="module")
def written():
    return proposal_bytes(propose_document((MACHINES / "minimal_packaged.json").read_bytes()))


@pytest.mark.parametrize(
    "change",
    [
        lambda proposal: proposal.pop("points"),
        lambda proposal: proposal.update(format="proposal/2"),
        lambda proposal: proposal.update(colour="red"),
        lambda proposal: proposal["points"][0].update(key=3),
        lambda proposal: proposal["points"][0]["transducer"].pop("type"),
        lambda proposal: proposal["checks"][0].update(trace=["1"]),
        lambda proposal: proposal["architecture"]["interfaces"].append({"between": ["one"]}),
    ],
)
def test_a_proposal_that_is_changed_no_longer_satisfies_it(schema, written, change):
    proposal = json.loads(written)
    change(proposal)
    assert not Draft202012Validator(schema("proposal")).is_valid(proposal)


def test_the_list_of_criteria_has_every_key_with_its_range(schema):
    found = schema("criteria")
    defaults = load_defaults()
    assert found["digest"] == defaults.digest
    assert [row["key"] for row in found["criteria"]] == list(defaults.keys())
    for row in found["criteria"]:
        assert row["minimum"] <= row["value"] <= row["maximum"]
        assert row["status"] in ("published", "from memory", "common practice")


@pytest.mark.parametrize("arguments", [(), ("nonsense",), ("machine", "proposal")])
def test_bad_arguments_are_told_on_one_line(run, arguments):
    ended = run("schema", *arguments)
    assert (ended.status, ended.out) == (2, b"")
    assert len(ended.lines) == 1
