"""Takes the second step off somebody's sign-in, for the day when phone and printed list are both lost."""

from argparse import ArgumentParser

from django.core.management.base import BaseCommand, CommandError

from intake import drain
from intake.models import Person
from shop.doors import factor


class Command(BaseCommand):
    help = "Take the second step off the sign-in of NAME. The password stays as it is. It is written to the history."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("name", help="the name they sign in with")

    def handle(self, *args: str, **options: str) -> None:
        person = Person.objects.filter(username=options["name"]).first()
        if person is None:
            raise CommandError(f"Nobody here signs in as {options['name']}.")
        if not factor.take_off(person=person, by=None, at=drain.now()):
            self.stdout.write(f"{person.username} had no second step. Nothing was changed.")
            return
        self.stdout.write(
            f"{person.username} signs in with the password alone now. All their sign-ins have ended, and they get a letter "
            "that says so. Let them set the second step up again."
        )
