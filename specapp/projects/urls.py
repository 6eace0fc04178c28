from django.urls import path

from specapp.projects.views import (
    criteria,
    describe,
    documents,
    drawings,
    joining,
    members,
    overrides,
    point,
    projects,
    proposal,
    turning,
)
from specapp.projects.views import setpoint_values as values

app_name = "projects"

_PROJECT = "projects/<id:project_id>/"
_MACHINE = f"{_PROJECT}machines/<id:machine_id>/"

urlpatterns = [
    path("", projects.project_list, name="project-list"),
    path("projects/new/", projects.project_new, name="project-new"),
    path("projects/<id:project_id>/", projects.project_show, name="project-show"),
    path("projects/<id:project_id>/edit/", projects.project_edit, name="project-edit"),
    path(f"{_PROJECT}members/", members.member_list, name="member-list"),
    path(f"{_PROJECT}members/add/", members.member_add, name="member-add"),
    path(f"{_PROJECT}members/<id:membership_id>/leave/", members.member_leave, name="member-leave"),
    path(f"{_PROJECT}members/<id:membership_id>/link/", members.member_link, name="member-link"),
    path(f"{_PROJECT}invitations/", members.invitation_new, name="invitation-new"),
    path(
        f"{_PROJECT}invitations/<id:invitation_id>/withdraw/",
        members.invitation_withdrawn,
        name="invitation-withdraw",
    ),
    path(f"{_PROJECT}record/", members.project_record, name="project-record"),
    path("join/<str:token>/", joining.join, name="join"),
    path("projects/<id:project_id>/criteria/file/", criteria.criteria_file, name="criteria-file"),
    path("projects/<id:project_id>/criteria/<str:key>/", criteria.criterion_edit, name="criterion-edit"),
    path(
        "projects/<id:project_id>/criteria/<str:key>/withdraw/",
        criteria.criterion_withdraw_own,
        name="criterion-withdraw",
    ),
    path(
        "projects/<id:project_id>/criteria/<str:key>/confirm/",
        criteria.criterion_confirmed,
        name="criterion-confirm",
    ),
    path(
        "projects/<id:project_id>/criteria/<str:key>/take-back/",
        criteria.criterion_unconfirmed,
        name="criterion-take-back",
    ),
    path("projects/<id:project_id>/machines/new/", describe.machine_new, name="machine-new"),
    path(_MACHINE, proposal.machine_show, name="machine-show"),
    path(f"{_MACHINE}description/", describe.machine_edit, name="machine-edit"),
    path(f"{_MACHINE}remove/", describe.machine_remove_confirm, name="machine-remove"),
    path(f"{_MACHINE}points/<path:key>/", point.point_show, name="point-show"),
    path(f"{_MACHINE}setpoint-values/", values.setpoint_value_list, name="setpoint-value-list"),
    path(f"{_MACHINE}setpoint-values/write/", values.setpoint_value_write, name="setpoint-value-write"),
    path(f"{_MACHINE}setpoint-values/list/", values.setpoint_list_import, name="setpoint-list-import"),
    path(f"{_MACHINE}setpoint-values/list/blank/", values.setpoint_list_blank, name="setpoint-list-blank"),
    path(
        f"{_MACHINE}setpoint-values/<id:value_id>/withdraw/",
        values.setpoint_value_withdrawn,
        name="setpoint-value-withdraw",
    ),
    path(f"{_MACHINE}turning/", turning.machine_turning, name="machine-turning"),
    path(f"{_MACHINE}turning/search/", turning.machine_turning_search, name="machine-turning-search"),
    path(f"{_MACHINE}overrides/", overrides.override_list, name="override-list"),
    path(f"{_MACHINE}overrides/set/", overrides.override_edit, name="override-edit"),
    path(
        f"{_MACHINE}overrides/<id:override_id>/<answer:answer>/",
        overrides.override_answer,
        name="override-answer",
    ),
    path(f"{_MACHINE}drawings/", drawings.drawing_list, name="drawing-list"),
    path(f"{_MACHINE}documents/", documents.document_list, name="document-list"),
    path(f"{_MACHINE}documents/<str:key>/", documents.document_download, name="document-download"),
]
