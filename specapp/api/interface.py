"""The interface itself: who may come in, how a body is read, and what every refusal looks like."""

from typing import Any

from django.core.exceptions import PermissionDenied, RequestDataTooBig, SuspiciousOperation
from django.http import Http404, HttpRequest, HttpResponse, UnreadablePostError
from ninja import NinjaAPI
from ninja.errors import HttpError, Throttled
from ninja.openapi.schema import OpenAPISchema
from ninja.operation import Operation
from ninja.parser import Parser

from specapp.api.answers import body_errors, nothing_here, one_problem, problems_answer
from specapp.api.knocking import EVERY, Bearer, TooOften, Unknown
from specapp.api.machine_body import machine_components
from specapp.api.routes import attachments, comments, documents, machines, proposals, revisions, token
from specapp.core.limits import refused
from specapp.core.refusals import refusal_record
from specapp.domain.json_document import load_document
from specapp.domain.problems import InputErrors
from specapp.projects.errors import StaleVersion, TagTaken
from specapp.review.errors import NotNow, StaleComment

VERSION = "1"
ROOT = f"api/{VERSION}"
_ABOUT = (
    "Machines, their proposals, revisions, documents and comments of one project. A token stands for one "
    "person in one project and may do what that person may do there. Whatever is refused comes as a list of "
    "problems, all at once, each with its path, what was found and what is allowed."
)


class StrictParser(Parser):
    """Reads a body as every other document is read: limited in size and depth, each key once."""

    def parse_body(self, request: HttpRequest) -> Any:
        raw, problems = load_document(request.body, "this request")
        if problems:
            raise InputErrors(problem for _, problem in problems)
        return raw


class Interface(NinjaAPI):
    """Tells what types have found wrong in the project's own words, and describes machine/1 beside itself."""

    def validation_error_from_error_contexts(self, error_contexts: list[Any]) -> Exception:
        return body_errors(
            {**detail, "loc": _place(context.model, detail["loc"])}
            for context in error_contexts
            for detail in context.pydantic_validation_error.errors(include_url=False)
        )

    def get_openapi_operation_id(self, operation: Operation) -> str:
        return operation.view_func.__name__

    def get_openapi_schema(self, **more: Any) -> OpenAPISchema:
        schema = super().get_openapi_schema(path_prefix=ROOT)
        schema["components"]["schemas"] |= machine_components()
        return schema


def _place(model: Any, place: tuple[Any, ...]) -> tuple[Any, ...]:
    """Return where a detail stands, led by one part that says whether body, query or address."""
    source = model.__ninja_param_source__
    told = model.__ninja_flatten_map_reverse__.get(place, place)
    # A body is one document: the name of the argument it is handed to is nobody's business.
    return (source, *(told[1:] if source == "body" else told))


interface = Interface(
    title="Monitoring specifications",
    version=VERSION,
    description=_ABOUT,
    urls_namespace="interface",
    openapi_url="/openapi.json",
    docs_url=None,
    auth=Bearer(),
    throttle=[EVERY],
    parser=StrictParser(),
)
for _part in (token, machines, proposals, revisions, documents, comments, attachments):
    interface.add_router("", _part.router)


@interface.exception_handler(InputErrors)
def _input_errors(request: HttpRequest, errors: InputErrors) -> HttpResponse:
    return problems_answer(422, errors.problems)


@interface.exception_handler(HttpError)
def _unreadable(request: HttpRequest, error: HttpError) -> HttpResponse:
    cause = error.__cause__
    if isinstance(cause, InputErrors):
        return problems_answer(422, cause.problems)
    if isinstance(cause, RequestDataTooBig):
        return _too_big(request, cause)
    return one_problem(error.status_code, "document", "a body that cannot be read", "JSON in UTF-8")


@interface.exception_handler(RequestDataTooBig)
def _too_big(request: HttpRequest, error: Exception) -> HttpResponse:
    return one_problem(413, "document", "too much", "at most 2 MB")


@interface.exception_handler(UnreadablePostError)
@interface.exception_handler(SuspiciousOperation)
def _broken(request: HttpRequest, error: Exception) -> HttpResponse:
    return one_problem(400, "document", "a request that cannot be read", "a whole request")


@interface.exception_handler(Unknown)
def _unknown(request: HttpRequest, error: Unknown) -> HttpResponse:
    answer = one_problem(401, "Authorization", error.found, "Bearer, a blank and a token of this project")
    answer.headers["WWW-Authenticate"] = "Bearer"
    return answer


@interface.exception_handler(TooOften)
def _too_often(request: HttpRequest, error: TooOften) -> HttpResponse:
    return refused(request, error.seconds)


@interface.exception_handler(Throttled)
def _throttled(request: HttpRequest, error: Throttled) -> HttpResponse:
    return refused(request, request.seconds_to_wait)


@interface.exception_handler(Http404)
def _not_found(request: HttpRequest, error: Http404) -> HttpResponse:
    return nothing_here(request)


@interface.exception_handler(PermissionDenied)
def _forbidden(request: HttpRequest, error: PermissionDenied) -> HttpResponse:
    refusal_record(request)
    return one_problem(403, "role", str(error), "a role of the project that includes it")


@interface.exception_handler(StaleVersion)
def _stale_machine(request: HttpRequest, error: StaleVersion) -> HttpResponse:
    now = error.machine
    saved = f"saved by {now.updated_by} on {now.updated_at:%Y-%m-%d %H:%M} UTC"
    return one_problem(409, "version", "an earlier version", f"{now.version}, {saved}")


@interface.exception_handler(StaleComment)
def _stale_comment(request: HttpRequest, error: StaleComment) -> HttpResponse:
    return one_problem(409, "version", "an earlier version", str(error.comment.version))


@interface.exception_handler(TagTaken)
def _tag_taken(request: HttpRequest, error: TagTaken) -> HttpResponse:
    return one_problem(409, "tag", error.tag, "a tag that no other machine of the project has")


@interface.exception_handler(NotNow)
def _not_now(request: HttpRequest, error: NotNow) -> HttpResponse:
    return one_problem(409, "state", str(error), "a step that fits the state")
