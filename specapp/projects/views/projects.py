from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def project_list(request: HttpRequest) -> HttpResponse:
    return render(request, "projects/project_list.html")
