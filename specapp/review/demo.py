"""What the invented people of the demonstration have said in a review: a round half answered, two people who
contradict each other, a comment on the drawing, one for the client. All of it is invented.
"""

from datetime import datetime, timedelta

from django.db import transaction
from django.utils import timezone

from specapp.core.models import User
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.models import Machine
from specapp.review.codes import reply_codes
from specapp.review.forms import place_on, proposed_value
from specapp.review.models import Answer, Audience, Category, Comment, Discipline
from specapp.review.places import ARRANGEMENT, item_digest, places_of, value_text
from specapp.review.services.comments import Place, Said, comment_add, comment_reply
from specapp.review.services.rounds import round_answer, round_open

REVIEWED_TAG = "K-8010"
_GROUP, _POINT, _THRUST = "P1/P1-1/radial", "P1/P1-2/radial/Y", "BG/axial"


@transaction.atomic
def demo_review(now: datetime) -> None:
    """Let people review a machine of the demonstration, once."""
    machine = Machine.objects.filter(project__is_invented=True, tag=REVIEWED_TAG).first()
    if machine is None or Comment.objects.filter(machine=machine).exists():
        return
    people = {
        name: User.objects.get(username=name) for name in ("keller", "okafor", "lindqvist", "brandt", "osei")
    }
    review = round_open(
        machine=machine,
        purpose="Inter-discipline check (invented)",
        due_date=timezone.localdate(now) + timedelta(days=10),
        lead=people["keller"],
        reviewers=[people["lindqvist"], people["brandt"]],
        author=people["keller"],
        now=now,
    )
    lower = _said("On the like machine 32 µm has held for six years (invented).", Category.MAJOR)
    _add(machine, people["lindqvist"], now, lower, _GROUP, "trip", "32 um")
    higher = _said("The maker's sheet allows 38 µm here (invented).", Category.CLARIFICATION)
    _add(machine, people["okafor"], now, higher, _GROUP, "trip", "38 um")
    gland = _said("The cable gland cannot be reached once the lagging is on (invented).", Category.MINOR)
    reached = _add(machine, people["lindqvist"], now, gland, _POINT, scene=ARRANGEMENT)
    side = _said(
        "Which direction is positive for the thrust position? (invented)",
        Category.CLARIFICATION,
        Audience.CLIENT,
        timezone.localdate(now) + timedelta(days=5),
    )
    _add(machine, people["osei"], now, side, _THRUST)
    comment_reply(
        comment=reached,
        expected_version=reached.version,
        text="The gland moves to the driver's side in the next revision (invented).",
        code=next(code for code in reply_codes(machine.project) if code.code == "L"),
        author=people["okafor"],
        now=now,
    )
    answer = {"review": review, "answer": Answer.COMMENTS, "note": "See 1 and 3 (invented)."}
    round_answer(**answer, author=people["lindqvist"], now=now)


def _said(text, category, audience=Audience.INTERNAL, due_date=None) -> Said:
    return Said(text, category, Discipline.INSTRUMENTS, audience, due_date)


def _add(
    machine: Machine,
    author: User,
    now: datetime,
    said: Said,
    item: str,
    field: str = "",
    value: str = "",
    scene: str = "",
) -> Comment:
    """Add a comment on an item as the form would; the item is left out where the proposal has none of it."""
    proposal = machine_proposal(machine)
    places = places_of(proposal)
    place = Place()
    if item in places.records:
        shown = value_text(proposal, item, field) if field else ""
        place = Place(item=item, field=field, item_digest=item_digest(places, item), value_then=shown)
        if value:
            proposed = proposed_value(proposal, item, field, value)
            said = Said(
                said.text, said.category, said.discipline, said.audience, said.due_date, proposed, value
            )
    place = place_on(proposal, place, {"scene": scene})
    return comment_add(machine=machine, place=place, said=said, author=author, now=now)
