"""Words about a person in rows that are only ever added to: what each column holds once they are erased.

Sums, days, numbers and digests are never among them: accounts, stock and the books count the same before and after.
A quote's digest, which the history holds too, was taken of what was shown with its words; it stays as it was and fits
again whoever lays the words beside what is left.
"""

from collections.abc import Mapping

from intake.append_only import Blank, Erased, ErasedWithin

ANYONE = "erased"

TABLES: Mapping[str, Mapping[str, Blank]] = {
    "quotes_quote": {
        "shown": ErasedWithin(
            (("finding.words", ""), ("finding.idea", ""), ("finding.idea_words", ""), ("words", ""))
        )
    },
    "quotes_decision": {
        "typed_name": Erased(ANYONE),
        "called_number": Erased(),
        "conditions": Erased(),
        "from_address": Erased(),
        "agent": Erased(),
    },
    "quotes_invoice": {
        "to_name": Erased(ANYONE),
        "to_lines": Erased("[]", is_json=True),
        "to_tax_number": Erased(),
        "to_email": Erased(),
    },
    "quotes_payment": {"note": Erased()},
    "quotes_statement": {"shown": ErasedWithin((("to", []), ("tax_number", "")))},
    "quotes_bankline": {"name": Erased(), "text": Erased()},
}
