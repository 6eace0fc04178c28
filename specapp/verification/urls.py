from django.urls import path

from specapp.verification.views import cells, runs

app_name = "verification"

_BENCH = "projects/<id:project_id>/machines/<id:machine_id>/bench/"

urlpatterns = [
    path(_BENCH, runs.run_list, name="run-list"),
    path(f"{_BENCH}run/", runs.run_new, name="run-new"),
    path(f"{_BENCH}<id:number>/", runs.run_show, name="run-show"),
    path(f"{_BENCH}<id:number>/pair/", cells.cell_show, name="cell-show"),
    path(f"{_BENCH}<id:number>/report/", runs.run_report, name="run-report"),
]
