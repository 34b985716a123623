#!/usr/bin/env python
"""The command line of the yard: `python manage.py help` lists what it can do."""

import os
import sys


def main() -> None:
    if sys.argv[1:2] == ["demo"]:
        # The demo never touches a real yard's data or settings, so it chooses its mode before they are read.
        os.environ["SLABWRIGHT_MODE"] = "demo"
    if sys.argv[1:2] == ["serve"]:
        from yard.serving.scheme import choose_scheme

        choose_scheme(sys.argv)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "yard.config.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
