"""Errors of a change that the yard's rules do not allow; each says what to do instead."""


class Refused(ValueError):  # noqa: N818 - reads as the sentence it is
    """The yard's rules do not allow it; `field` names the form field to put the message beside."""

    def __init__(self, message: str, field: str = "") -> None:
        self.field = field
        super().__init__(message)


class SlabRefused(Refused):
    """A slab cannot be so."""


class LogRefused(Refused):
    """A log cannot be so."""
