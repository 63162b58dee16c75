"""Whether the PDFs can be read by everybody: a second opinion from outside the program.

poppler's pdfinfo reads the tags of each finished PDF; pdfua checks those rules of PDF/UA that it
knows. Neither replaces a person with a screen reader.

    pip install -r tests/outside/requirements.txt
    UNGUIS_OUT=out pytest tests/outside/accessibility.py
"""

import os
import re
import subprocess
from pathlib import Path

import pdfua
import pikepdf
import pytest
import variants

OUT = Path(os.environ.get("UNGUIS_OUT", "out"))
# The longest variant in each print, beside what was issued.
PDFS = sorted(OUT.glob("**/*.pdf")) + [pdf for pdf in variants.pdfs() if "/everything-" in str(pdf)]

every_pdf = pytest.mark.parametrize("pdf", PDFS, ids=variants.name_of)


def pdfinfo(pdf, *options):
    ran = subprocess.run(["pdfinfo", *options, str(pdf)], check=True, capture_output=True)
    return ran.stdout.decode("utf-8", "replace")  # poppler prints some titles as they are stored


def headings(pdf):
    """Levels of the headings, in reading order."""
    tree = pdfinfo(pdf, "-struct")
    return [int(level) for level in re.findall(r"^\s*H(\d)\b", tree, re.MULTILINE)]


def test_there_is_something_to_check():
    assert PDFS, f"no PDF in {OUT}: issue the demo cases first"


@every_pdf
def test_tagged_and_titled(pdf):
    info = pdfinfo(pdf)
    assert re.search(r"^Tagged:\s+yes$", info, re.MULTILINE)
    assert re.search(r"^Title:\s+\S", info, re.MULTILINE), "no title"


@every_pdf
def test_the_language_is_british_english(pdf):
    with pikepdf.open(pdf) as document:
        assert str(document.Root.Lang) == "en-GB"


@every_pdf
def test_headings_begin_with_the_first_and_skip_no_level(pdf):
    levels = headings(pdf)
    assert levels, "no heading at all"
    assert levels[0] == 1, f"the first heading has level {levels[0]}"
    for before, after in zip(levels, levels[1:]):
        assert after <= before + 1, f"level {before} is followed by level {after}"
    assert levels.count(1) == 1, "more than one title"


def elements(node):
    """Every structure element below a node of the tag tree."""
    kids = node.get("/K", [])
    for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
        if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
            yield kid
            yield from elements(kid)


@every_pdf
def test_every_picture_has_words(pdf):
    with pikepdf.open(pdf) as document:
        figures = [one for one in elements(document.Root.StructTreeRoot) if one.S == "/Figure"]
        without = [one for one in figures if not str(one.get("/Alt", "")).strip()]
        assert not without, f"{len(without)} of {len(figures)} pictures without words"


@every_pdf
def test_the_rules_of_pdf_ua_that_can_be_checked(pdf):
    report = pdfua.validate(str(pdf))
    broken = [finding for finding in report.findings if finding.severity == pdfua.Severity.ERROR]
    assert not broken, "\n".join(str(finding) for finding in broken)
