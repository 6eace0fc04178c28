"""What an address asks of whoever wants it, where its row of the matrix does not say it as a right.

Per address: what reading it takes, and what writing there takes; None where it has no such method.
"""

from specapp.core.roles import Right, Role

READ, EDIT, MANAGE = Right.READ_DRAFT, Right.EDIT_MACHINE, Right.MANAGE_PROJECT
ISSUED = Right.READ_ISSUED
NOTES, COMMENT, ANSWER = Right.READ_COMMENTS, Right.COMMENT, Right.ANSWER_COMMENTS
BIDS, ENQUIRE, EVALUATE, OPEN = Right.READ_BIDS, Right.ENQUIRE, Right.EVALUATE, Right.OPEN_OFFERS

RIGHTS_OF = {
    "review:code-list": (READ, MANAGE),
    "review:comment-list": (NOTES, None),
    "review:comment-new": (COMMENT, COMMENT),
    "review:comment-news": (NOTES, None),
    "review:comment-show": (NOTES, COMMENT),
    "review:attachment-show": (NOTES, None),
    "review:exchange": (NOTES, COMMENT),
    "review:exchange-file": (NOTES, None),
    "review:item-comments": (READ, None),
    "review:change-list": (READ, None),
    "review:look-list": (READ, {READ, COMMENT}),
    "review:round-list": (NOTES, ANSWER),
    "review:round-show": (NOTES, COMMENT),
    "review:comment-fates": (READ, ANSWER),
    "references:document-list": (READ, None),
    "references:document-new": (EDIT, EDIT),
    "references:document-show": (READ, EDIT),
    "references:file-show": (READ, None),
    "references:file-add": (None, EDIT),
    "references:document-carry": (None, EDIT),
    "references:rule-list": (READ, None),
    "references:criteria-list": (READ, None),
    "references:criteria-bring": (Right.SET_CRITERIA, Right.SET_CRITERIA),
    "references:source-list": (READ, EDIT),
    "references:question-list": (READ, EDIT),
    "references:question-file": (READ, None),
    "references:answer-list": (EDIT, EDIT),
    "revisions:sheet-show": (ISSUED, None),
    "revisions:numbering-edit": (READ, MANAGE),
    "revisions:register-list": (READ, None),
    "revisions:register-package": (READ, None),
    "revisions:register-edit": (EDIT, EDIT),
    "revisions:issue-list": (ISSUED, None),
    "revisions:issue-distribute": (None, Right.ISSUE),
    "revisions:issue-receive": (None, ISSUED),
    "revisions:issue-new": (Right.ISSUE, Right.ISSUE),
    "revisions:issue-show": (ISSUED, None),
    "revisions:issue-package": (ISSUED, None),
    "revisions:issued-file": (ISSUED, None),
    "revisions:superseded-file": (ISSUED, None),
    "revisions:revision-list": (READ, None),
    "revisions:revision-freeze": (None, EDIT),
    "revisions:revision-compare": (READ, None),
    "revisions:revision-show": (READ, None),
    "revisions:revision-refreeze": (None, EDIT),
    "revisions:revision-cancel": (None, EDIT),
    "revisions:revision-sign": (EDIT, EDIT),
    "revisions:hold-list": (READ, None),
    "revisions:hold-put": (None, EDIT),
    "revisions:hold-release": (None, EDIT),
    "bids:enquiry-list": (BIDS, None),
    "bids:enquiry-new": (ENQUIRE, ENQUIRE),
    "bids:enquiry-show": (BIDS, None),
    "bids:terms-edit": (ENQUIRE, ENQUIRE),
    "bids:bidder-add": (None, ENQUIRE),
    "bids:enquiry-send": (None, ENQUIRE),
    "bids:clause-list": (BIDS, None),
    "bids:clause-edit": (ENQUIRE, ENQUIRE),
    "bids:documents-edit": (ENQUIRE, ENQUIRE),
    "bids:items-edit": (ENQUIRE, ENQUIRE),
    "bids:requirement-new": (ENQUIRE, ENQUIRE),
    "bids:closing-move": (ENQUIRE, ENQUIRE),
    "bids:enquiry-cancel": (ENQUIRE, ENQUIRE),
    "bids:bidder-show": (BIDS, ENQUIRE),
    "bids:acknowledgement-enter": (None, ENQUIRE),
    # Evaluators ask and enter answers too, which no one right says: tests/bids/test_enquiry_life.py.
    "bids:clarification-log": (BIDS, None),
    "bids:clarification-enter": (None, None),
    "bids:requirement-list": (BIDS, None),
    "bids:requirement-edit": (BIDS, ENQUIRE),
    "bids:as-bidder": (BIDS, None),
    "bids:form-file": (BIDS, None),
    "bids:paper-file": (BIDS, None),
    "bids:file-receive": (None, ENQUIRE),
    "bids:file-show": (BIDS, None),
    "bids:file-late": (None, ENQUIRE),
    "bids:file-read": (None, EVALUATE),
    "bids:offers-open": (OPEN, OPEN),
    "bids:enquiry-sign": (EVALUATE, EVALUATE),
    "bids:offer-show": (BIDS, None),
    "bids:reply-show": (BIDS, EVALUATE),
    "bids:load-show": (BIDS, EVALUATE),
    "bids:purchase-show": (BIDS, None),
    "bids:purchase-report": (BIDS, None),
    "bids:letter-file": (Right.AWARD, None),
    "bids:comparison-show": (BIDS, None),
    "bids:evaluation-show": (BIDS, None),
    "bids:evaluation-report": (BIDS, None),
    "commissioning:commissioning-show": (READ, None),
    "commissioning:checklist-new": (None, EDIT),
    "commissioning:checklist-show": (READ, None),
    "commissioning:checklist-file": (READ, None),
    # Signed as tested; as witnessed by whoever checks: tests/commissioning/test_checklists.py.
    "commissioning:checklist-sign": (EDIT, EDIT),
    "commissioning:item-fill": (READ, EDIT),
    "commissioning:as-built-show": (READ, None),
    "commissioning:as-built-file": (READ, None),
    "commissioning:left-enter": (EDIT, EDIT),
    "commissioning:measurement-new": (EDIT, EDIT),
    "commissioning:measurement-show": (READ, None),
    "commissioning:measurement-adopt": (None, EDIT),
    "commissioning:measurement-file": (READ, None),
    "verification:run-list": (READ, None),
    "verification:run-new": (None, EDIT),
    "verification:run-show": (READ, None),
    "verification:cell-show": (READ, None),
    "verification:run-report": (READ, None),
    "api:token-list": (NOTES, NOTES),
    "api:token-withdraw": (None, MANAGE),
}
# Open to everybody who has signed in, or to everybody.
OF_EVERYBODY = {"review:my-reviews", "revisions:sheet-find", "api:interface-show", "api:nothing"}
# Pages of those whom an enquiry names; for every other role they do not exist: tests/bids/test_bidding.py.
OF_BIDDERS = {
    f"bids:bidding-{name}"
    for name in (
        "list",
        "show",
        "form",
        "paper",
        "send",
        "answer",
        "acknowledge",
        "letter",
        "decline",
        "take-back",
    )
}
# What is shown there is addressed to the project's own people: for others it does not exist.
ADDRESSED = {"review:comment-show", "review:attachment-show", "review:round-show"}
# These issue a machine anew each time.
OF_ISSUES = {
    f"revisions:{name}"
    for name in (
        "sheet-show",
        "issue-show",
        "issue-package",
        "issue-distribute",
        "issue-receive",
        "issued-file",
        "superseded-file",
    )
}
OUTSIDE = {Role.CLIENT, Role.MAKER}
