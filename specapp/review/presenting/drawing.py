"""The drawing beside the comment sheet, with the numbered marks of the comments on it."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.safestring import SafeString

from specapp.core.markup import escape
from specapp.documents.clouds import clouded
from specapp.domain.proposal import Proposal
from specapp.drawings.review_marks import MARK_KEY, Mark, with_marks
from specapp.drawings.scene import Scene
from specapp.drawings.svg import laid_over
from specapp.review.clouding import Clouding
from specapp.review.models import Comment
from specapp.review.places import scene_choices, sheet_of


@dataclass(frozen=True, slots=True)
class Drawing:
    """One drawing as the review shows it; `digest` tells whether it has changed since a mark was made.

    `against` is what the drawing is held against, `clouds` how many clouds tell of changes on it.
    """

    name: str
    title: str
    digest: str
    choices: tuple[tuple[str, str], ...]
    html: SafeString
    against: Clouding | None
    clouds: int


def mark_of(comment: Comment) -> Mark:
    """Return a comment's mark; the comment stands on a drawing."""
    return Mark(
        comment.number,
        comment.x_mm or 0.0,
        comment.y_mm or 0.0,
        comment.width_mm or 0.0,
        comment.height_mm or 0.0,
    )


def marked_scene(scene: Scene, comments: Iterable[Comment]) -> Scene:
    return with_marks(scene, [mark_of(comment) for comment in comments])


def review_drawing(
    proposal: Proposal, name: str, comments: Iterable[Comment], list_url: str, against: Clouding | None
) -> Drawing:
    """Return a drawing with clouds around what its revision changes and the marks of comments over them.

    Each mark leads to its comment. Raises `KeyError` for an unknown drawing.
    """
    sheet = sheet_of(proposal, name)
    shown = clouded(sheet.scene, against.changes) if against else sheet.scene
    clouds = len(shown.shapes) - len(sheet.scene.shapes)
    over = marked_scene(shown, comments).shapes[len(sheet.scene.shapes) :]

    def address(key: str) -> str | None:
        return f"{list_url}{key.removeprefix(MARK_KEY)}/" if key.startswith(MARK_KEY) else None

    title = escape(sheet.scene.title)
    html = SafeString(
        f'<div class="paper" tabindex="0" role="region" aria-label="{title}" data-mark-here>'
        f"{laid_over(sheet.painted, sheet.scene, over, link=address)}</div>"
    )
    return Drawing(name, sheet.scene.title, sheet.digest, scene_choices(proposal), html, against, clouds)
