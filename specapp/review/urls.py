from django.urls import path

from specapp.review.views import comment, sheet

app_name = "review"

_REVIEW = "projects/<id:project_id>/machines/<id:machine_id>/review/"

urlpatterns = [
    path(_REVIEW, sheet.comment_list, name="comment-list"),
    path(f"{_REVIEW}new/", sheet.comment_new, name="comment-new"),
    path(f"{_REVIEW}news/", sheet.comment_news, name="comment-news"),
    path(f"{_REVIEW}<id:number>/", comment.comment_show, name="comment-show"),
    path(
        f"{_REVIEW}<id:number>/attachments/<id:attachment_id>/",
        comment.attachment_show,
        name="attachment-show",
    ),
]
