"""Every address of the web pages."""

from django.urls import include, path

from specapp.config.health import health_show

urlpatterns = [
    path("health/", health_show, name="health"),
    path("", include("specapp.projects.urls")),
    path("", include("specapp.lists.urls")),
    path("", include("specapp.assurance.urls")),
    path("", include("specapp.references.urls")),
    path("", include("specapp.revisions.urls")),
    path("", include("specapp.review.urls")),
    path("", include("specapp.commissioning.urls")),
    path("", include("specapp.verification.urls")),
    path("", include("specapp.bids.urls")),
    path("", include("specapp.api.urls")),
    path("", include("specapp.core.urls")),
]

handler400 = "specapp.core.views.problems.bad_request"
handler403 = "specapp.core.views.problems.permission_denied"
handler404 = "specapp.core.views.problems.page_not_found"
handler500 = "specapp.core.views.problems.server_error"
