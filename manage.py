#!/usr/bin/env python3
"""Run the project's commands: ``manage.py demo``, ``worksheet``, ``judge``, ``verify_log`` ..."""

import os
import sys


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "farmrecords.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
