"""What was said about a showing, a comeback, our own damage, a slip's end and a count of bags stays said."""

from django.db import migrations

from intake.append_only import only_added


class Migration(migrations.Migration):
    dependencies = [("shop", "0002_the_bench")]
    operations = [
        only_added(
            "shop_codeshowing", "shop_comebackcause", "shop_owndamage", "shop_slipend", "shop_bagcount"
        )
    ]
