"""The label for the way home: the customer's address, the shop's, the tracking number and the post's marks."""

from dataclasses import dataclass

from intake.papers.address_label import AddressLabel, address_label_pdf


@dataclass(frozen=True)
class ReturnLabel:
    """`tracking` is printed as Code 128 as typed, without blanks; without one the order's code stands there."""

    code: str
    recipient: tuple[str, ...]
    sender: tuple[str, ...]
    tracking: str = ""
    service: str = ""
    post_marks: tuple[str, ...] = ()
    post_marks_source: str = ""
    language: str = "en-GB"


def return_label_pdf(label: ReturnLabel, *, size: str = "100x150") -> bytes:
    """The label as PDF of exactly that size: "100x150", "4x6" or "A6". Raises ValueError."""
    tracking = "".join(label.tracking.split()).upper()
    return address_label_pdf(
        AddressLabel(
            send_to=label.recipient,
            sender=label.sender,
            code=tracking or label.code,
            code_name="Tracking" if tracking else "Order",
            post_marks=label.post_marks,
            note=" ".join(part for part in (f"Order {label.code}.", label.post_marks_source) if part),
            service=label.service,
            language=label.language,
            with_qr=not tracking,
        ),
        size=size,
        title=f"Return label {label.code}",
    )
