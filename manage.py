#!/usr/bin/env python3
"""The desk's command line: `manage.py desk` runs it, `manage.py help` lists the rest."""

import os
import sys

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "coachdesk.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)
