from django.urls import path

from specapp.projects.views import projects

app_name = "projects"

urlpatterns = [
    path("", projects.project_list, name="project-list"),
]
