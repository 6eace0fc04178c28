"""What the addresses have in common: numbers in them, refusals that every one may answer, plain files."""

from typing import Annotated, Any

from ninja import Path, Query
from pydantic import Field

from specapp.api.shapes import Problems

_LARGEST_ID = 10**18 - 1
Id = Path[Annotated[int, Field(ge=0, le=_LARGEST_ID)]]
PAGE = Query(1, ge=1, le=1_000_000, description="Counts from 1.")
REFUSALS: dict[int, Any] = dict.fromkeys((401, 403, 404, 409, 413, 422, 429), Problems)


def answering(status: int, shape: Any) -> dict[int, Any]:
    """Return what an address may answer: this, or a list of problems."""
    return {status: shape, **REFUSALS}


def file_answer(description: str, *media_types: str) -> dict[str, Any]:
    """Return how the interface's document describes an address that answers with a file."""
    content = {kind: {"schema": {}} for kind in media_types}
    return {"responses": {200: {"description": description, "content": content}}}
