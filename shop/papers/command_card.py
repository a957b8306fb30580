"""The card beside the scanner: a bar code for each command, one page."""

from dataclasses import dataclass

from intake.papers.head import Head
from intake.papers.html import pdf_in_child
from intake.papers.press import Press, filled, printed


@dataclass(frozen=True)
class Command:
    """`code` is what the scanner types; `words` say what it does."""

    code: str
    words: str


@dataclass(frozen=True)
class CommandCard:
    head: Head
    commands: tuple[Command, ...]


TEMPLATE = "papers/command_card.html"
# In the order of the work; the words are the bench's own.
COMMANDS = (
    Command("GO-LOOK", "Start: looking"),
    Command("GO-REPAIR", "Start: repairing"),
    Command("GO-TEST", "Start: testing"),
    Command("GO-TALK", "Start: talking and paper"),
    Command("GO-STOP", "Stop the minutes"),
)


def command_card_html(card: CommandCard) -> str:
    return filled(TEMPLATE, card)


def command_card_pdf(card: CommandCard, *, press: Press = pdf_in_child) -> bytes:
    """The card as PDF. Raises PaperError."""
    return printed(TEMPLATE, card, title="Card of commands", press=press)
