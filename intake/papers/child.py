"""The child that makes one PDF: reads an order as JSON, binds itself, writes the PDF. Ends with 3 and a sentence."""

import json
import os
import resource
import sys
from collections.abc import Callable

from intake.papers.html import CPU_SECONDS, MEMORY_BYTES, PaperError, pdf_from_html

Order = dict[str, str]


def page_of(order: Order, *, variant: str = "pdf/ua-1") -> bytes:
    """The PDF of the order's page. Raises PaperError."""
    return pdf_from_html(
        order["html"], title=order["title"], language=order["language"], page=order["page"], variant=variant
    )


def run(make: Callable[[Order], bytes]) -> int:
    """Make one paper within the bounds and write it out; 3 where it cannot be made."""
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (CPU_SECONDS, CPU_SECONDS))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    order = json.loads(sys.stdin.buffer.read())
    try:
        pdf = make(order)
    except PaperError as fault:
        sys.stderr.write(str(fault) + "\n")
        return 3
    sys.stdout.buffer.write(pdf)
    sys.stdout.buffer.flush()
    # The paper is out: the C libraries' own tidying up has nothing left to win and could still fail.
    os._exit(0)


if __name__ == "__main__":
    sys.exit(run(page_of))
