from django.urls import path

from specapp.revisions.views import (
    comparing,
    distribution,
    files,
    holds,
    issues,
    numbering,
    register,
    revisions,
    sheets,
    signing,
)

app_name = "revisions"

_PROJECT = "projects/<id:project_id>/"
_MACHINE = f"{_PROJECT}machines/<id:machine_id>/"
_REVISION = f"{_MACHINE}revisions/<id:revision_id>/"

urlpatterns = [
    path("sheets/", sheets.sheet_find, name="sheet-find"),
    path("sheets/<str:code>/", sheets.sheet_show, name="sheet-show"),
    path(f"{_PROJECT}numbering/", numbering.numbering_edit, name="numbering-edit"),
    path(f"{_PROJECT}register/", register.register_list, name="register-list"),
    path(f"{_PROJECT}register/current.zip", register.register_package, name="register-package"),
    path(f"{_PROJECT}register/<id:entry_id>/", register.register_edit, name="register-edit"),
    path(f"{_PROJECT}issues/", issues.issue_list, name="issue-list"),
    path(f"{_PROJECT}issues/new/", issues.issue_new, name="issue-new"),
    path(f"{_PROJECT}issues/<id:issue_id>/", issues.issue_show, name="issue-show"),
    path(f"{_PROJECT}issues/<id:issue_id>/package.zip", issues.issue_package, name="issue-package"),
    path(
        f"{_PROJECT}issues/<id:issue_id>/distribution/",
        distribution.issue_distribute_now,
        name="issue-distribute",
    ),
    path(f"{_PROJECT}issues/<id:issue_id>/receipt/", distribution.issue_receive_now, name="issue-receive"),
    path(f"{_PROJECT}issued/<id:document_id>/", files.issued_file, name="issued-file"),
    path(
        f"{_PROJECT}issued/<id:document_id>/superseded/", files.issued_file_superseded, name="superseded-file"
    ),
    path(f"{_MACHINE}revisions/", revisions.revision_list, name="revision-list"),
    path(f"{_MACHINE}revisions/freeze/", revisions.revision_freeze_now, name="revision-freeze"),
    path(f"{_MACHINE}revisions/compare/", comparing.revision_compare, name="revision-compare"),
    path(_REVISION, revisions.revision_show, name="revision-show"),
    path(f"{_REVISION}freeze/", revisions.revision_refreeze_now, name="revision-refreeze"),
    path(f"{_REVISION}cancel/", revisions.revision_cancel_now, name="revision-cancel"),
    path(f"{_REVISION}sign/<str:part>/", signing.revision_sign, name="revision-sign"),
    path(f"{_MACHINE}holds/", holds.hold_list, name="hold-list"),
    path(f"{_MACHINE}holds/put/", holds.hold_add, name="hold-put"),
    path(f"{_MACHINE}holds/<id:hold_id>/release/", holds.hold_release_now, name="hold-release"),
]
