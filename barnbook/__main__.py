"""`python -m barnbook`, and the installed command `barnbook`: Django's own commands, with our settings."""

from __future__ import annotations

import os
import sys


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "barnbook.site.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line(["barnbook", *sys.argv[1:]])


if __name__ == "__main__":
    main()
