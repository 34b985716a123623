"""The error of two people editing one row at once."""

from typing import Any


class ChangedMeanwhile(Exception):  # noqa: N818 - reads as the sentence it is
    """Somebody saved this row after the form was opened; `current` is the row as it stands now.

    A view shows the form again with what was typed kept and what the row says now beside it.
    """

    def __init__(self, current: Any) -> None:
        self.current = current
        super().__init__(
            f"Somebody changed {current} while you were typing. "
            "What they saved is shown beside your figures: look at both, then save again."
        )
