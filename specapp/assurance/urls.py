from django.urls import path

from specapp.assurance.views import area, functions, loops, voting

app_name = "assurance"

_MACHINE = "projects/<id:project_id>/machines/<id:machine_id>/"

urlpatterns = [
    path(f"{_MACHINE}reliability/", functions.function_list, name="function-list"),
    path(f"{_MACHINE}reliability/voting/", voting.voting_decide, name="voting-decide"),
    path(f"{_MACHINE}reliability/of/<path:key>/", functions.function_show, name="function-show"),
    path(f"{_MACHINE}loops/", loops.loop_list, name="loop-list"),
    path(f"{_MACHINE}intrinsic-safety/", loops.entity_list, name="entity-list"),
    path(f"{_MACHINE}area/", area.area_show, name="area-show"),
]
