from django.urls import path

from specapp.bids.views import (
    awarding,
    bidding,
    clarifications,
    comparison,
    contents,
    enquiries,
    evaluation,
    files,
    life,
    loading,
    offers,
    replies,
    requirements,
    signing,
)

app_name = "bids"

_PROJECT = "projects/<id:project_id>/enquiries/"
_ENQUIRY = f"{_PROJECT}<id:enquiry_id>/"
_FILE = f"{_ENQUIRY}files/<id:envelope_id>/"
_OFFER = f"{_ENQUIRY}offers/<id:offer_id>/"
_BIDDING = "bidding/<slug:code>/"
_ISSUE = f"{_BIDDING}<id:number>/"

urlpatterns = [
    path(_PROJECT, enquiries.enquiry_list, name="enquiry-list"),
    path(f"{_PROJECT}new/", enquiries.enquiry_new, name="enquiry-new"),
    path(_ENQUIRY, enquiries.enquiry_show, name="enquiry-show"),
    path(f"{_ENQUIRY}terms/", enquiries.terms_edit, name="terms-edit"),
    path(f"{_ENQUIRY}bidders/", enquiries.bidder_add, name="bidder-add"),
    path(f"{_ENQUIRY}issue/", enquiries.enquiry_send, name="enquiry-send"),
    path(f"{_ENQUIRY}requirements/", requirements.requirement_list, name="requirement-list"),
    path(
        f"{_ENQUIRY}requirements/<id:requirement_id>/", requirements.requirement_edit, name="requirement-edit"
    ),
    path(f"{_ENQUIRY}as-bidder/", requirements.as_bidder, name="as-bidder"),
    path(f"{_ENQUIRY}form/<str:part>.xlsx", requirements.form_file, name="form-file"),
    path(f"{_ENQUIRY}papers/<str:paper>.pdf", requirements.paper_file, name="paper-file"),
    path(f"{_ENQUIRY}clauses/", contents.clause_list, name="clause-list"),
    path(f"{_ENQUIRY}clauses/<str:number>/", contents.clause_edit, name="clause-edit"),
    path(f"{_ENQUIRY}documents/", contents.documents_edit, name="documents-edit"),
    path(f"{_ENQUIRY}items/", contents.items_edit, name="items-edit"),
    path(f"{_ENQUIRY}requirements/new/", contents.requirement_new, name="requirement-new"),
    path(f"{_ENQUIRY}extend/", life.closing_move, name="closing-move"),
    path(f"{_ENQUIRY}cancel/", life.enquiry_end, name="enquiry-cancel"),
    path(f"{_ENQUIRY}bidders/<id:bidder_id>/", life.bidder_show, name="bidder-show"),
    path(
        f"{_ENQUIRY}bidders/<id:bidder_id>/acknowledged/<id:number>/",
        life.acknowledgement_enter,
        name="acknowledgement-enter",
    ),
    path(f"{_ENQUIRY}clarifications/", clarifications.clarification_log, name="clarification-log"),
    path(
        f"{_ENQUIRY}clarifications/<id:clarification_id>/",
        clarifications.clarification_enter,
        name="clarification-enter",
    ),
    path(f"{_ENQUIRY}bidders/<id:bidder_id>/files/", files.file_receive, name="file-receive"),
    path(_FILE, files.file_show, name="file-show"),
    path(f"{_FILE}late/", files.file_late, name="file-late"),
    path(f"{_FILE}read/", offers.file_read, name="file-read"),
    path(f"{_ENQUIRY}open/<str:part>/", signing.offers_open, name="offers-open"),
    path(f"{_ENQUIRY}sign/<str:stage>/", signing.enquiry_sign, name="enquiry-sign"),
    path(f"{_ENQUIRY}side-by-side/", comparison.comparison_show, name="comparison-show"),
    path(f"{_ENQUIRY}evaluation/", evaluation.evaluation_show, name="evaluation-show"),
    path(f"{_ENQUIRY}evaluation/report.<str:kind>", evaluation.evaluation_report, name="evaluation-report"),
    path(f"{_ENQUIRY}as-purchased/", awarding.purchase_show, name="purchase-show"),
    path(f"{_ENQUIRY}as-purchased/report.pdf", awarding.purchase_report, name="purchase-report"),
    path(f"{_ENQUIRY}letters/<id:bidder_id>/", awarding.letter_file, name="letter-file"),
    path(_OFFER, offers.offer_show, name="offer-show"),
    path(f"{_OFFER}replies/<path:key>/", replies.reply_show, name="reply-show"),
    path(f"{_OFFER}loads/<path:key>/", loading.load_show, name="load-show"),
    path("bidding/", bidding.bidding_list, name="bidding-list"),
    path(_BIDDING, bidding.bidding_show, name="bidding-show"),
    path(f"{_BIDDING}letter/", awarding.bidding_letter, name="bidding-letter"),
    path(f"{_BIDDING}files/", bidding.bidding_send, name="bidding-send"),
    path(f"{_BIDDING}decline/", bidding.bidding_decline, name="bidding-decline"),
    path(f"{_BIDDING}decline/taken-back/", bidding.bidding_take_back, name="bidding-take-back"),
    path(f"{_BIDDING}questions/<id:number>/", bidding.bidding_answer, name="bidding-answer"),
    path(f"{_ISSUE}<str:part>.xlsx", bidding.bidding_form, name="bidding-form"),
    path(f"{_ISSUE}<str:paper>.pdf", bidding.bidding_paper, name="bidding-paper"),
    path(f"{_ISSUE}acknowledge/", bidding.bidding_acknowledge, name="bidding-acknowledge"),
]
