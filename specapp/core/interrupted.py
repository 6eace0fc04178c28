"""Nothing typed is lost when a sign-in has expired: the form comes back with its contents."""

from collections.abc import Callable
from urllib.parse import urlsplit

from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse, QueryDict
from django_htmx.http import HttpResponseClientRedirect

SESSION_KEY = "interrupted_form"
LARGEST_CHARACTERS = 500_000


def keeps_what_was_typed(view: Callable) -> Callable:
    """Mark a view that takes the interrupted contents back with `take`."""
    view.keeps_what_was_typed = True
    return view


def take(request: HttpRequest) -> QueryDict | None:
    """Return what was typed at this address before the sign-in had expired, once."""
    kept = request.session.get(SESSION_KEY)
    if not kept or kept["path"] != request.path:
        return None
    del request.session[SESSION_KEY]
    return QueryDict(kept["body"])


class KeepingLoginRequiredMiddleware(LoginRequiredMiddleware):
    """Ask for a sign-in, keep what was posted, and return to the page rather than to a post address."""

    def handle_no_permission(self, request: HttpRequest, view_func: Callable) -> HttpResponse:
        if request.htmx:
            # The fragment's own address is no page to come back to.
            current = urlsplit(request.htmx.current_url_abs_path or "/")
            to_page = current.path + (f"?{current.query}" if current.query else "")
            return HttpResponseClientRedirect(redirect_to_login(to_page, self.get_login_url(view_func)).url)
        if request.method == "POST" and getattr(view_func, "keeps_what_was_typed", False):
            typed = request.POST.copy()
            typed.pop("csrfmiddlewaretoken", None)
            body = typed.urlencode()
            if len(body) <= LARGEST_CHARACTERS:
                request.session[SESSION_KEY] = {"path": request.path, "body": body}
            return redirect_to_login(request.path, self.get_login_url(view_func))
        return super().handle_no_permission(request, view_func)
