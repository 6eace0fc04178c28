from django.urls import path

from specapp.projects.views import describe, documents, point, projects, proposal

app_name = "projects"

_MACHINE = "projects/<int:project_id>/machines/<int:machine_id>/"

urlpatterns = [
    path("", projects.project_list, name="project-list"),
    path("projects/new/", projects.project_new, name="project-new"),
    path("projects/<int:project_id>/", projects.project_show, name="project-show"),
    path("projects/<int:project_id>/edit/", projects.project_edit, name="project-edit"),
    path("projects/<int:project_id>/members/", projects.member_add, name="member-add"),
    path(
        "projects/<int:project_id>/members/<int:membership_id>/leave/",
        projects.member_leave,
        name="member-leave",
    ),
    path("projects/<int:project_id>/machines/new/", describe.machine_new, name="machine-new"),
    path(_MACHINE, proposal.machine_show, name="machine-show"),
    path(f"{_MACHINE}description/", describe.machine_edit, name="machine-edit"),
    path(f"{_MACHINE}remove/", describe.machine_remove_confirm, name="machine-remove"),
    path(f"{_MACHINE}points/<path:key>/", point.point_show, name="point-show"),
    path(f"{_MACHINE}documents/", documents.document_list, name="document-list"),
    path(f"{_MACHINE}documents/<str:key>/", documents.document_download, name="document-download"),
]
