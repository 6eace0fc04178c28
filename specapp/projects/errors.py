"""What a service may refuse."""

from specapp.projects.models import Machine, Override


class StaleVersion(Exception):
    """The machine was saved by someone else since this form was opened."""

    def __init__(self, machine: Machine) -> None:
        super().__init__(f"{machine.tag} is now version {machine.version}")
        self.machine = machine


class TagTaken(Exception):
    """Another machine of the project has this tag."""

    def __init__(self, tag: str) -> None:
        super().__init__(tag)
        self.tag = tag


class MachineKept(Exception):
    """Something that was frozen or issued rests on this machine."""


class LastOwner(Exception):
    """A project keeps at least one owner."""


class OverrideGone(Exception):
    """An override was undone meanwhile, or nothing in the proposal goes by its item any more."""

    def __init__(self, override: Override) -> None:
        super().__init__(str(override))
        self.override = override


class CriterionMoved(Exception):
    """The project's value of a criterion was changed by someone else since this form was opened."""


class SetpointValueMoved(Exception):
    """The values given for a setpoint were changed by someone else since this form was opened."""
