"""`python -m barnbook`, and the installed command `barnbook`: Django's own commands and ours, with our settings."""

from __future__ import annotations

import io
import os
import sys

from barnbook.house import data_folder


def main() -> None:
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a name that a code page lacks must not keep the house shut
    try:
        arguments = data_folder.choose(sys.argv[1:])
    except data_folder.DataFolderError as error:
        sys.exit(str(error))
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "barnbook.site.settings")
    from django.core.management import execute_from_command_line

    try:
        execute_from_command_line(["barnbook", *arguments])
    except KeyboardInterrupt:
        sys.exit(130)  # Ctrl-C is an answer, not a fault


if __name__ == "__main__":
    main()
