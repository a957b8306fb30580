"""Counts the books again, from every row, and says what does not fit."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from intake.wording import count
from quotes import proof
from quotes.models import Entry


class Command(BaseCommand):
    help = "Count invoices, payments and journal again; prints each fault as a sentence and ends with 1."

    def handle(self, *args: Any, **options: Any) -> None:
        faults = proof.prove()
        for fault in faults:
            self.stderr.write(fault)
        if faults:
            raise CommandError(f"The books do not add up: {count(len(faults), 'fault')}.")
        self.stdout.write(f"The books add up: {count(Entry.objects.count(), 'entry', 'entries')}.")
