"""The child that makes one PDF with an invoice's XML inside, within the same bounds as every paper's child."""

import sys

from intake.papers.child import run
from quotes.einvoice.hybrid import hybrid_of

if __name__ == "__main__":
    sys.exit(run(hybrid_of))
