#!/usr/bin/env python
"""The door to every command of the project."""

import os
import sys

from django.core.exceptions import ImproperlyConfigured
from django.core.management import execute_from_command_line
from django.db import OperationalError, connection

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    try:
        execute_from_command_line(sys.argv)
    except ImproperlyConfigured as wrong:
        sys.exit(f"A setting is wrong: {wrong}")
    except OperationalError as fault:
        if connection.connection is not None:
            raise
        said = str(fault).splitlines()[0]
        sys.exit(f"The database cannot be reached ({said}). Is it running, and is DATABASE_URL right?")
