"""What a service of the lists may refuse."""


class NothingChosen(Exception):
    """No machine was chosen, or none of those chosen may be taken over."""


class TagsTaken(Exception):
    """Machines of these tags came into the project in the meantime."""

    def __init__(self, tags: list[str]) -> None:
        super().__init__(", ".join(tags))
        self.tags = tags
