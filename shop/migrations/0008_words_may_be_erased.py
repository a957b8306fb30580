"""What was said at the bench stays said, but for the words about a person who is erased."""

from django.db import migrations

from intake.append_only import only_added_but
from shop.erasable import TABLES


class Migration(migrations.Migration):
    dependencies = [("shop", "0007_trust")]
    operations = [only_added_but(TABLES)]
