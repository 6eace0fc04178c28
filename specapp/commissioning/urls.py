from django.urls import path

from specapp.commissioning.views import as_built, checklists, measurements, overview

app_name = "commissioning"

_MACHINE = "projects/<id:project_id>/machines/<id:machine_id>/commissioning/"
_RECORD = f"{_MACHINE}records/<id:measurement_id>/"
_CHECKLIST = f"{_MACHINE}checklists/<id:checklist_id>/"

urlpatterns = [
    path(_MACHINE, overview.commissioning_show, name="commissioning-show"),
    path(f"{_MACHINE}checklists/new/", overview.checklist_new, name="checklist-new"),
    path(f"{_MACHINE}as-built/", as_built.as_built_show, name="as-built-show"),
    path(f"{_MACHINE}as-built/setpoint/", as_built.left_enter, name="left-enter"),
    path(f"{_MACHINE}as-built/file/<str:suffix>/", as_built.as_built_file, name="as-built-file"),
    path(f"{_MACHINE}records/file/", measurements.measurement_file, name="measurement-file"),
    path(f"{_MACHINE}records/new/<str:kind>/", measurements.measurement_new, name="measurement-new"),
    path(_RECORD, measurements.measurement_show, name="measurement-show"),
    path(f"{_RECORD}adopt/", measurements.measurement_adopt, name="measurement-adopt"),
    path(_CHECKLIST, checklists.checklist_show, name="checklist-show"),
    path(f"{_CHECKLIST}items/<id:number>/", checklists.item_fill, name="item-fill"),
    path(f"{_CHECKLIST}sign/<str:part>/", checklists.checklist_sign, name="checklist-sign"),
    path(f"{_CHECKLIST}file/", checklists.checklist_file, name="checklist-file"),
]
