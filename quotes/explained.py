"""Which of the customer's symptoms no finding explains so far."""

from intake.models import Order


def not_explained(order: Order) -> list[str]:
    """Symptoms a finding left unexplained and no later one explained, as the customer gave them. One query.

    Empty too where nobody was asked: sheets of before the question, and sheets without a finding.
    """
    said: dict[str, bool] = {}
    findings = order.findings.order_by("at", "id").values_list("explains", "not_explained")
    for explains, left in findings:
        said |= dict.fromkeys(left, False) | dict.fromkeys(explains, True)
    return [symptom for symptom, explained in said.items() if not explained]
