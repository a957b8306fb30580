"""From rows to the first floor's papers: quote and receipt of the answer; invoices are made next door."""

from decimal import Decimal

from intake.makers import chain_head, customer_name, head_of, snaps
from intake.models import Paper, Photo
from intake.paper_files import register
from quotes import invoice_makers
from quotes.models import Decision, Finding, Quote
from quotes.papers.decision_receipt import DecisionReceipt, decision_receipt_pdf
from quotes.papers.lines import PricedLine, TaxRow
from quotes.papers.quote import QuotePaper, ReadingRow, quote_pdf
from quotes.reading_words import amount, should_be


def idea_answered(finding: Finding) -> str:
    """What became of the customer's idea, in words."""
    if finding.idea_answer == Finding.Idea.NONE:
        return ""
    return " ".join(part for part in (f"{finding.get_idea_answer_display()}.", finding.idea_words) if part)


def _tax_rows(groups: list[dict[str, str]]) -> tuple[TaxRow, ...]:
    return tuple(
        TaxRow(Decimal(group["rate"]), Decimal(group["base"]), Decimal(group["tax"])) for group in groups
    )


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
            lines=tuple(
                PricedLine(line.text, line.quantity, line.unit_price, line.net, line.tax_percent)
                for line in quote.lines.all()
            ),
            taxes=_tax_rows(shown["taxes"]),
            net=quote.net,
            tax=quote.tax,
            total=quote.total,
            back_total=quote.back_total,
            recycle_total=quote.recycle_total,
            no_fix_total=quote.no_fix_total,
            sent_at=quote.sent_at,
            valid_until=quote.valid_until,
            digest=quote.digest,
            readings=_readings(quote),
            photos=snaps(list(photos)),
            no_fix_words=shown["no_fix"]["words"],
            warranty_words=shown["warranty_words"],
            promise=quote.promise,
            part_words=_part_words(quote),
            **_small_print(quote),
        )
    )


def _small_print(quote: Quote) -> dict[str, str]:
    return {
        "withdrawal_words": quote.shown["withdrawal_words"],
        "terms_version": str(quote.shown["terms_version"]),
        "tax_name": quote.rates.tax_name,
    }


def _part_words(quote: Quote) -> str:
    said = [f"{line.text}: {line.condition}" for line in quote.lines.exclude(condition="")]
    return f"Parts: {'; '.join(said)}." if said else ""


def _decision_receipt(paper: Paper) -> bytes:
    decision = Decision.objects.select_related("quote__order__customer", "noted_by").get(pk=paper.ref)
    quote, order = decision.quote, decision.quote.order
    return decision_receipt_pdf(
        DecisionReceipt(
            head=head_of(quote.letterhead),
            code=order.code,
            revision=quote.revision,
            customer=customer_name(order),
            device=quote.shown["device"],
            decided=decision.get_choice_display(),
            button_words=decision.button,
            typed_name=decision.typed_name,
            total=decision.amount,
            decided_at=decision.at,
            channel=decision.get_channel_display(),
            shown_digest=decision.digest,
            chain_head=chain_head(),
            recorded_by=str(decision.noted_by) if decision.noted_by else "",
            if_it_fails=quote.shown["no_fix"]["words"] if decision.choice == "mend" else "",
            withdrawal_words=quote.shown["withdrawal_words"],
            terms_version=str(quote.shown["terms_version"]),
        )
    )


def register_all() -> None:
    register("quote", _quote)
    register("decision_receipt", _decision_receipt)
    invoice_makers.register_all()
