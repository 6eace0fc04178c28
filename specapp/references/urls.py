from django.urls import path

from specapp.references.views import questions, register, rulebook, sources

app_name = "references"

_PROJECT = "projects/<id:project_id>/"
_MACHINE = f"{_PROJECT}machines/<id:machine_id>/"
_DOCUMENT = f"{_PROJECT}references/<id:document_id>/"

urlpatterns = [
    path(f"{_PROJECT}references/", register.document_list, name="document-list"),
    path(f"{_PROJECT}references/new/", register.document_new, name="document-new"),
    path(f"{_PROJECT}references/files/<id:attachment_id>/", register.file_show, name="file-show"),
    path(_DOCUMENT, register.document_show, name="document-show"),
    path(f"{_DOCUMENT}file/", register.file_add, name="file-add"),
    path(f"{_DOCUMENT}carry/", register.document_carry, name="document-carry"),
    path(f"{_PROJECT}rulebook/", rulebook.rule_list, name="rule-list"),
    path(f"{_PROJECT}rulebook/criteria/", rulebook.criteria_list, name="criteria-list"),
    path(f"{_PROJECT}rulebook/criteria/bring/", rulebook.criteria_bring, name="criteria-bring"),
    path(f"{_MACHINE}sources/", sources.source_list, name="source-list"),
    path(f"{_MACHINE}questions/", questions.question_list, name="question-list"),
    path(f"{_MACHINE}questions/<str:ask>.<str:kind>", questions.question_file, name="question-file"),
    path(f"{_MACHINE}answers/<id:attachment_id>/", questions.answer_list, name="answer-list"),
]
