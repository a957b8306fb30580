"""Make the list of digests of a folder of copied data, as `sha256sum -c` reads it."""

import os
import sys
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from shop.branches.digest_folder import list_of_folder
from shop.branches.digest_lines import DigestListError, as_text


class Command(BaseCommand):
    help = "Write the SHA-256 list of every file in FOLDER; check it there with: sha256sum -c LIST"

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("folder", type=Path)
        parser.add_argument("--out", type=Path, help="The file to write; without it the list is printed.")

    def handle(self, *args: Any, **options: Any) -> None:
        folder: Path = options["folder"]
        out: Path | None = options["out"]
        if not folder.is_dir():
            raise CommandError(f"{folder} is not a folder.")
        try:
            found = list_of_folder(folder, without=out)
            text = as_text(found.lines)
            if out is not None:
                out.write_bytes(os.fsencode(text))
        except DigestListError as fault:
            raise CommandError(str(fault)) from fault
        except OSError as fault:
            raise CommandError(f"{fault.filename}: {fault.strerror}.") from fault
        if out is None:
            self.stdout.write(text, ending="")
        left_out = f" {found.left_out} links or special files are left out." if found.left_out else ""
        said = f"{len(found.lines)} files, {found.bytes_long} bytes.{left_out}"
        print(said, file=sys.stderr if out is None else self.stdout)
