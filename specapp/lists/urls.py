from django.urls import path

from specapp.lists.views import comparing, copying, exports, importing, search

app_name = "lists"

_PROJECT = "projects/<id:project_id>/"
_MACHINE = f"{_PROJECT}machines/<id:machine_id>/"

urlpatterns = [
    path("search/", search.machine_search, name="machine-search"),
    path(f"{_PROJECT}import/", importing.sheet_bring, name="sheet-bring"),
    path(f"{_PROJECT}import/preview/", importing.sheet_preview, name="sheet-preview"),
    path(f"{_PROJECT}import/template.xlsx", importing.sheet_template, name="sheet-template"),
    path(f"{_PROJECT}copy/", copying.machine_copy, name="machine-copy"),
    path(f"{_PROJECT}compare/", comparing.machine_compare, name="machine-compare"),
    path(f"{_PROJECT}machines.<str:kind>", exports.machine_list, name="machine-list"),
    path(f"{_MACHINE}lists/", exports.schedule_list, name="schedule-list"),
    path(f"{_MACHINE}lists/<str:key>.<str:kind>", exports.schedule_file, name="schedule-file"),
]
