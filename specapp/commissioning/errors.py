"""What a service of commissioning may refuse, in words for the person who asked."""


class Refused(Exception):
    """Nothing was written; `text` says why."""

    def __init__(self, text: str) -> None:
        super().__init__(text)
        self.text = text


class Stale(Refused):
    """Somebody has written meanwhile: what the page showed is no longer what stands."""
