"""What a service may refuse, in words for the person who asked."""


class Refused(Exception):
    """Nothing was done; `text` says why."""

    def __init__(self, text: str) -> None:
        super().__init__(text)
        self.text = text


class Stale(Refused):
    """What the page showed is no longer what is stored."""
