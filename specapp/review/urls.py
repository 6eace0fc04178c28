from django.urls import path

from specapp.review.views import (
    carrying,
    changes,
    codes,
    comment,
    exchange,
    items,
    looks,
    mine,
    rounds,
    sheet,
)

app_name = "review"

_REVIEW = "projects/<id:project_id>/machines/<id:machine_id>/review/"

urlpatterns = [
    path("reviews/", mine.my_reviews, name="my-reviews"),
    path("projects/<id:project_id>/reply-codes/", codes.code_list, name="code-list"),
    path(_REVIEW, sheet.comment_list, name="comment-list"),
    path(f"{_REVIEW}new/", sheet.comment_new, name="comment-new"),
    path(f"{_REVIEW}news/", sheet.comment_news, name="comment-news"),
    path(f"{_REVIEW}item/", items.item_comments, name="item-comments"),
    path(f"{_REVIEW}exchange/", exchange.exchange_show, name="exchange"),
    path(f"{_REVIEW}exchange/comments.<slug:kind>", exchange.exchange_file, name="exchange-file"),
    path(f"{_REVIEW}looked-at/", looks.look_list, name="look-list"),
    path(f"{_REVIEW}changes/", changes.change_list, name="change-list"),
    path(f"{_REVIEW}rounds/", rounds.round_list, name="round-list"),
    path(f"{_REVIEW}rounds/<id:round_id>/", rounds.round_show, name="round-show"),
    path(f"{_REVIEW}revisions/<id:revision_id>/", carrying.comment_fates, name="comment-fates"),
    path(f"{_REVIEW}<id:number>/", comment.comment_show, name="comment-show"),
    path(
        f"{_REVIEW}<id:number>/attachments/<id:attachment_id>/",
        comment.attachment_show,
        name="attachment-show",
    ),
]
