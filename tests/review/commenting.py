"""What tests of the review share: people with roles, comments, the places they belong to."""

from specapp.core.roles import Role
from specapp.review.models import Audience, Category, Comment, Discipline
from specapp.review.services.comments import WRITTEN_HERE, Place, Said, comment_add
from tests.factories import NOW, ProjectFactory, UserFactory, machine_of, member

GROUP = "BG/B1/radial"
POINT = "BG/B1/radial/Y"
TEXT = "The trip is below the maker's own."


def reviewed(role=Role.ENGINEER, name="minimal_process"):
    """Return a machine and a person with a role in its project."""
    project = ProjectFactory()
    return machine_of(project, author=UserFactory(), name=name), member(project, role)


def said(text=TEXT, audience=Audience.INTERNAL, **more):
    return Said(text, Category.MAJOR, Discipline.INSTRUMENTS, audience, **more)


def commented(machine, author=None, place=None, source=WRITTEN_HERE, **what):
    return comment_add(
        machine=machine,
        place=place or Place(item=POINT),
        said=said(**what),
        author=author or UserFactory(),
        now=NOW,
        source=source,
    )


def proposing(machine, text="45", value=45.0, author=None, **what):
    """Return a comment that proposes a trip for the first voting group."""
    place = Place(item=GROUP, field="trip")
    return commented(machine, author, place, proposed=value, proposed_text=text, **what)


def fresh(comment):
    return Comment.objects.select_related("machine", "author", "adopted").get(pk=comment.pk)


def posted(**more):
    return {
        "text": TEXT,
        "category": Category.MAJOR,
        "discipline": Discipline.INSTRUMENTS,
        "audience": Audience.INTERNAL,
        **more,
    }
