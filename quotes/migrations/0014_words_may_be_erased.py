"""What was sent, decided, billed and paid is still only ever added to, but for the words of a person who is erased."""

from django.db import migrations

from intake.append_only import only_added_but
from quotes.erasable import TABLES


class Migration(migrations.Migration):
    dependencies = [("quotes", "0013_papers_by_day")]
    operations = [only_added_but(TABLES)]
