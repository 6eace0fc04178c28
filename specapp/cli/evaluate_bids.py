"""`evaluate_bids`: offers in, the commercial and technical evaluation out."""

from __future__ import annotations

from collections.abc import Sequence

from specapp.cli.arguments import Arguments
from specapp.cli.description_files import read_description
from specapp.cli.evaluation_text import evaluation_text
from specapp.cli.terminal import DONE, write_out
from specapp.evaluation.evaluating import evaluate
from specapp.evaluation.evaluation import evaluation_bytes
from specapp.evaluation.reading import read_bids

_ABOUT = """Read the rules of an evaluation and the offers (bids/1) and write the evaluation (evaluation/1).
Exit status: 0 done, 2 an input error."""


def main(argv: Sequence[str]) -> int:
    """Run the command and return its exit status. Raises Refusal, InputErrors."""
    parser = Arguments(prog="evaluate_bids", description=_ABOUT)
    parser.add_argument("file", metavar="FILE", help="the bids; - reads standard input")
    parser.add_argument("--format", choices=("json", "text"), default="json", help="text: tables to read")
    options = parser.parse_args(argv)
    evaluation = evaluate(read_bids(read_description(options.file)))
    if options.format == "text":
        write_out(evaluation_text(evaluation).encode("utf-8", "backslashreplace"))
    else:
        write_out(evaluation_bytes(evaluation, indent=True) + b"\n")
    return DONE
