"""What a service of the review may refuse."""

from specapp.review.models import Comment, Round


class StaleComment(Exception):
    """Someone else has changed the comment since this page was opened."""

    def __init__(self, comment: Comment) -> None:
        super().__init__(f"{comment} is now version {comment.version}")
        self.comment = comment


class StaleRound(Exception):
    """Someone else has changed the round since this page was opened."""

    def __init__(self, review: Round) -> None:
        super().__init__(f"{review} is now version {review.version}")
        self.round = review


class NotNow(Exception):
    """The step does not fit the state the comment or round is in, or the person; says why in a sentence."""


class StaleCodes(Exception):
    """Someone else has changed the reply codes since this page was opened."""
