"""What selling adds to the invented yard."""


def build() -> None:
    """Add the selling part to the demo yard that the yard and the kilns have just built."""
