"""How easy the patient's documents are to read: a second opinion from outside the program.

The words are taken from the finished PDFs with pdftotext (poppler); textstat works out the
Flesch-Kincaid grade. Parts that only professionals read are cut by their headings. The promise:
grade 6 at most, and no sentence of more than 20 words.

    pip install -r tests/outside/requirements.txt
    UNGUIS_OUT=out pytest tests/outside/reading_grade.py
"""

import os
import re
import subprocess
from pathlib import Path

import pytest
import textstat

GRADE_MAX = 6.0  # design, section 6: Flesch-Kincaid grade of what a patient reads
SENTENCE_WORDS_MAX = 20  # NHS digital service manual, "How we write"

CLINIC = "Larkmoor Foot Clinic"  # of the demo cases
OUT = Path(os.environ.get("UNGUIS_OUT", "out"))
# Not the drafts: the mark across the page upsets the order in which pdftotext reads it.
PDFS = [
    pdf
    for name in ("aftercare-leaflet", "consent-form")
    for pdf in sorted(OUT.glob(f"**/{name}*.pdf"))
    if "-draft" not in pdf.name
]

# A part begins at its heading and ends at the next heading of either list.
PROFESSIONAL = {
    "Details",  # identity, and the procedure in professional words
    "Statement of the health professional",
    "Record of the decision",
    "Statement of the interpreter",
    "What matters to you",  # as recorded: nobody edits what a patient said
}
PLAIN = {
    "What we plan to do", "How it should help", "Other choices", "What can go wrong",
    "What is different for you", "What else you should know",
    "Your statement", "Statement of the parent or guardian", "For the parent or guardian",
    "People who were consulted", "On the day of the operation", "A copy of this form:",
}
# Words that stand alone: labels and parts of pictures. They are read, but are not sentences.
LABELS = {
    "What can happen", "How often", "Left foot", "Right foot", "Name", "Date",
    "The part to be taken away",
}


def text_of(pdf):
    ran = subprocess.run(["pdftotext", str(pdf), "-"], check=True, capture_output=True, text=True)
    return ran.stdout


def without_furniture(text):
    """Drops the header and the footer of each page, which stand first and last on it."""
    pages = []
    for page in text.rstrip("\f").split("\f"):
        blocks = [block.strip() for block in re.split(r"\n\s*\n", page) if block.strip()]
        blocks = [block for block in blocks if not re.match(r"(Page \d+ of \d+|LFC-\S+ .*version)", block)]
        while blocks and (is_header(blocks[0])):
            blocks.pop(0)
        pages.extend(blocks)
    return pages


def is_header(block):
    """The banner (`HOLLIS, Imogen (Ms)`, its labelled items), the clinic's name, the draft mark."""
    is_name = re.match(r"[A-ZÀ-Ž' -]{3,}, ", block)
    is_item = re.match(r"(Born|Gender|NHS No\.|Preferred name)\b", block)
    return bool(is_name or is_item or re.match(r"DRAFT", block) or block == CLINIC)


def paragraphs(text):
    """Blocks of text; bullets and headings are paragraphs of their own."""
    found = []
    for block in without_furniture(text):
        current = []
        is_bullet = False
        for line in block.splitlines():
            line = line.strip()
            is_heading = line in PROFESSIONAL or line in PLAIN
            # A bullet without a full stop ends where a line begins with a capital.
            ends_bullet = is_bullet and line[:1].isupper() and not re.search(r"[.,:;]$", current[-1])
            if line.startswith("•") or is_heading or ends_bullet:
                is_bullet = line.startswith("•")
                if current:
                    found.append(" ".join(current))
                current = [line.lstrip("• ").strip()]
                if is_heading:
                    found.append(current.pop())
            elif line:
                current.append(line)
        if current:
            found.append(" ".join(current))
    return found


def patient_part(text):
    kept, is_professional = [], False
    for paragraph in paragraphs(text):
        if paragraph in PROFESSIONAL:
            is_professional = True
        elif paragraph in PLAIN or paragraph.endswith(" may sign too"):
            is_professional = False
        if not is_professional and paragraph not in LABELS and not paragraph.startswith("Signature of"):
            kept.append(paragraph)
    return kept


def sentences(found):
    """Sentences, with a stop after a paragraph that has none (a heading, a bullet)."""
    for paragraph in found:
        for sentence in re.split(r"(?<=[.!?])\s+(?=[A-Z\"“0-9])", paragraph):
            if re.search(r"[A-Za-z]{2}", sentence):
                yield sentence if re.search(r"[.!?]$", sentence) else sentence.rstrip(":;,") + "."


def words(sentence):
    return re.findall(r"[A-Za-zÀ-ž0-9][\w’'.:-]*", sentence)


def pdf_id(pdf):
    return f"{pdf.parent.name}/{pdf.name}"


def test_there_is_something_to_read():
    assert PDFS, f"no leaflet and no consent form in {OUT}: issue the demo cases first"


@pytest.mark.parametrize("pdf", PDFS, ids=pdf_id)
def test_the_grade_is_six_at_most(pdf):
    read = [sentence for sentence in sentences(patient_part(text_of(pdf))) if len(words(sentence)) >= 3]
    assert len(read) > 20, "hardly anything was read"
    grade = textstat.flesch_kincaid_grade(" ".join(read))
    assert grade <= GRADE_MAX, f"grade {grade:.1f}"


@pytest.mark.parametrize("pdf", PDFS, ids=pdf_id)
def test_no_sentence_is_longer_than_twenty_words(pdf):
    long = [
        (len(words(sentence)), sentence)
        for sentence in sentences(patient_part(text_of(pdf)))
        if len(words(sentence)) > SENTENCE_WORDS_MAX
    ]
    assert not long, "\n".join(f"{count} words: {sentence}" for count, sentence in long)


def test_the_ruler_itself():
    """A published value: one sentence of 13 words and 24 syllables has grade 11.3."""
    platypus = "The Australian platypus is seemingly a hybrid of a mammal and reptilian creature."
    assert (textstat.lexicon_count(platypus), textstat.syllable_count(platypus)) == (13, 24)
    assert round(textstat.flesch_kincaid_grade(platypus), 1) == 11.3
