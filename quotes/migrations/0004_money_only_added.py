"""What was sent, decided, billed, paid, booked and closed is only ever added to.

A column added on SQLite makes the table anew, and a table made anew has lost its triggers: so the old ones are armed again.
"""

from django.db import migrations

from intake.append_only import only_added


class Migration(migrations.Migration):
    dependencies = [("quotes", "0003_money_an_accountant_signs")]
    operations = [
        only_added(
            "quotes_quote",
            "quotes_quotechoice",
            "quotes_quoteline",
            "quotes_quoteend",
            "quotes_decision",
            "quotes_decisionstop",
            "quotes_invoice",
            "quotes_invoiceline",
            "quotes_billaddition",
            "quotes_payment",
            "quotes_writeoff",
            "quotes_dispute",
            "quotes_disputeend",
            "quotes_entry",
            "quotes_posting",
            "quotes_closing",
            "quotes_bankstatement",
            "quotes_bankline",
            "quotes_bankmatch",
            "quotes_cardcheckout",
            "quotes_cardevent",
            "quotes_statement",
            "quotes_move",
        )
    ]
