"""The reader's choice of units on the pages. It converts what is shown and changes no setpoint."""

from django.http import HttpRequest

SESSION_KEY = "display_units"
AS_SET = "set"
CHOICES = {AS_SET: "as set", "si": "SI", "us": "US"}


def display_units(request: HttpRequest) -> dict[str, str]:
    """Template context: `display_units`, one of `set` (the machine's setting units), `si` and `us`."""
    return {
        "display_units": request.session.get(SESSION_KEY, AS_SET) if hasattr(request, "session") else AS_SET
    }


def switch(request: HttpRequest) -> str:
    """Take a choice made by `?units=` into the session and return the one in force."""
    asked = request.GET.get("units")
    if asked in CHOICES and asked != request.session.get(SESSION_KEY, AS_SET):
        request.session[SESSION_KEY] = asked
    return request.session.get(SESSION_KEY, AS_SET)
