"""From rows to the first floor's papers: quote and receipt of the answer; invoices are made next door."""

from collections.abc import Iterator
from decimal import Decimal
from itertools import zip_longest

from intake.makers import chain_head, customer_name, head_of, snaps
from intake.models import Paper, Photo
from intake.paper_files import register
from quotes import invoice_makers
from quotes.models import Decision, Finding, Quote
from quotes.offered import Offered, changes_of, deposit_of, offered, offered_as
from quotes.papers.decision_receipt import ConsentRow, DecisionReceipt, decision_receipt_pdf
from quotes.papers.lines import PricedLine
from quotes.papers.quote import (
    ChangeRow,
    ChoiceRow,
    ExtraRow,
    QuotePaper,
    QuoteTax,
    ReadingRow,
    quote_pdf,
)
from quotes.part_words import NEW, named_as
from quotes.reading_words import amount, should_be


def idea_answered(finding: Finding) -> str:
    """What became of the customer's idea, in words."""
    if finding.idea_answer == Finding.Idea.NONE:
        return ""
    return " ".join(part for part in (f"{finding.get_idea_answer_display()}.", finding.idea_words) if part)


def _readings(quote: Quote) -> tuple[ReadingRow, ...]:
    rows = quote.order.readings.filter(phase="before", superseded_by__isnull=True, at__lte=quote.sent_at)
    return tuple(
        ReadingRow(
            place=row.point,
            should_be=should_be(row.low, row.high, row.prefix, row.unit),
            is_now=amount(row.value, row.special, row.prefix, row.unit),
            out=row.verdict not in ("", "ok", "no own reading yet"),
        )
        for row in rows
    )


def _quote(paper: Paper) -> bytes:
    quote = Quote.objects.select_related("finding", "rates", "order__customer", "order__device").get(
        pk=paper.ref
    )
    order, shown = quote.order, quote.shown
    photos = Photo.objects.filter(order=order, sha256__in=shown["photos"])
    deposit = deposit_of(shown)
    return quote_pdf(
        QuotePaper(
            head=head_of(quote.letterhead),
            code=order.code,
            revision=quote.revision,
            customer=customer_name(order),
            device=shown["device"],
            finding=shown["finding"]["words"],
            idea=shown["finding"]["idea"],
            idea_answer=idea_answered(quote.finding),
            says=shown["words"],
            choices=tuple(_choice(row, quote) for row in offered(shown)),
            sent_at=quote.sent_at,
            valid_until=quote.valid_until,
            digest=quote.digest,
            readings=_readings(quote),
            photos=snaps(list(photos)),
            deposit=deposit.amount if deposit else None,
            deposit_words=deposit.words if deposit else "",
            replaces=shown.get("replaces") or 0,
            changes=tuple(
                ChangeRow(row.text, row.before, row.after, row.change) for row in changes_of(shown)
            ),
            part_words=_part_words(quote),
            withdrawal_words=shown["withdrawal_words"],
            terms_version=str(shown["terms_version"]),
            tax_inclusive=shown["tax_inclusive"],
        )
    )


def _choice(row: Offered, quote: Quote) -> ChoiceRow:
    """A choice as the paper has it: the frozen record, and the unit prices of the lines that were frozen with it."""
    mend = row.choice == "mend"
    warranty = quote.shown["warranty_words"] if mend else ""
    days = f"{row.warranty_days} days from delivery." if row.warranty_days else ""
    return ChoiceRow(
        label=row.label,
        total=row.total,
        words=row.words,
        promise=row.promise,
        warranty_words=(warranty or days) if row.warranty_days else "",
        chance=row.chance,
        data_words=row.data_words,
        fails_words=row.fails_words or (quote.shown["no_fix"]["words"] if mend else ""),
        no_fix_total=row.no_fix_total,
        lines=tuple(_lines(row, quote)),
        taxes=tuple(
            QuoteTax(tax.name, tax.rate, tax.base, tax.tax, tax.reason)
            for tax in row.taxes
            if tax.tax or tax.reason
        ),
        extras=tuple(ExtraRow(extra.text, extra.amount) for extra in row.extras),
    )


def _lines(row: Offered, quote: Quote) -> Iterator[PricedLine]:
    frozen = [line for line in quote.lines.all() if line.choice == row.choice]
    for line, shown in zip_longest(frozen[: len(row.lines)], row.lines):
        if not shown.extra:
            yield PricedLine(
                shown.text,
                shown.quantity,
                line.unit_price if line else shown.amount,
                shown.amount,
                allowance=line.allowance if line else Decimal(0),
                charge=line.charge if line else Decimal(0),
                per=line.per if line else Decimal(1),
            )


def _part_words(quote: Quote) -> str:
    """Of each part whether it is new; the text of one that is not says so itself."""
    said = [
        f"{line.text}: {line.condition}" if line.condition == NEW else named_as(line.text, line.condition)
        for line in quote.lines.exclude(condition="")
    ]
    return f"{'; '.join(said)}." if said else ""


def _decision_receipt(paper: Paper) -> bytes:
    decision = Decision.objects.select_related("quote__order__customer", "noted_by").get(pk=paper.ref)
    quote, order = decision.quote, decision.quote.order
    row = offered_as(quote.shown, decision.choice) or Offered(decision.choice, "", None)
    deposit = deposit_of(quote.shown) if decision.choice == Decision.Choice.MEND else None
    return decision_receipt_pdf(
        DecisionReceipt(
            head=head_of(quote.letterhead),
            code=order.code,
            revision=quote.revision,
            customer=customer_name(order),
            device=quote.shown["device"],
            decided=row.label or decision.get_choice_display(),
            button_words=decision.button,
            typed_name=decision.typed_name,
            total=decision.amount,
            decided_at=decision.at,
            channel=decision.get_channel_display(),
            shown_digest=decision.digest,
            chain_head=chain_head(),
            recorded_by=str(decision.noted_by) if decision.noted_by else "",
            if_it_fails=_if_it_fails(row, quote),
            withdrawal_words=quote.shown["withdrawal_words"],
            terms_version=str(quote.shown["terms_version"]),
            extras=tuple(ExtraRow(extra.text, adds) for extra, adds in row.taken(decision.extras)),
            promise=row.promise,
            no_fix_total=row.no_fix_total if row.is_work else None,
            deposit=deposit.amount if deposit else None,
            deposit_words=deposit.words if deposit else "",
            consents=tuple(ConsentRow(kept["words"], kept["version"]) for kept in decision.consent_texts),
            called_number=decision.called_number,
            spoken_at=decision.spoken_at,
            conditions=decision.conditions,
        )
    )


def _if_it_fails(row: Offered, quote: Quote) -> str:
    if not row.is_work:
        return ""
    return row.fails_words or str(quote.shown["no_fix"]["words"])


def register_all() -> None:
    register("quote", _quote)
    register("decision_receipt", _decision_receipt)
    invoice_makers.register_all()
