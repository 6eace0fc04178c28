from django.apps import AppConfig


class ProjectsConfig(AppConfig):
    name = "specapp.projects"
    label = "projects"
    verbose_name = "Projects"
