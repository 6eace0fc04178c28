"""What a service may refuse."""


class NumberTaken(Exception):
    """The project's register has a document of this number."""


class RevisionTaken(Exception):
    """The document has this revision."""


class NothingChosen(Exception):
    """Nothing was ticked that could be taken over."""
