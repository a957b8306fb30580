#!/usr/bin/env python
"""The door to every command of the project."""

import os
import sys

from django.core.exceptions import ImproperlyConfigured
from django.core.management import execute_from_command_line

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    try:
        execute_from_command_line(sys.argv)
    except ImproperlyConfigured as wrong:
        sys.exit(f"A setting is wrong: {wrong}")
