"""The card of commands: one page, and each code reads back as the page of the scan understands it."""

from intake.papers.html import pdf_from_html
from shop.papers.command_card import COMMANDS, CommandCard, command_card_pdf
from shop.traveller import commands
from tests.paper_samples import PACKING, assert_sound_sheet, codes_of, read


def test_card_holds_every_command_once_and_reads_back() -> None:
    """Read back from the picture by zxing-cpp, which shares no code with what draws the symbols."""
    pdf = command_card_pdf(CommandCard(PACKING.head, COMMANDS), press=pdf_from_html)
    assert len(read(pdf).pages) == 1
    assert_sound_sheet(pdf, title="Card of commands")
    both = {(form, code) for form in ("Code128", "QRCode") for code in commands.COMMANDS}
    assert codes_of(pdf) == both
    assert all(commands.read_command(command.code) == command.code for command in COMMANDS)
