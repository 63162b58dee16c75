"""How easy the patients' documents are to read: a second opinion from outside the program.

The words are taken from the tags of the PDFs with pdfinfo (poppler), as a screen reader gets them; textstat
works out the Flesch-Kincaid grade. Parts that only professionals read are cut by their headings. The
promise: grade 6 at most and no sentence of more than 20 words; in easy read grade 4 and 15 words. It is
tried on the documents in UNGUIS_OUT and on the variants of `variants.py`.

    pip install -r tests/outside/requirements.txt
    UNGUIS_OUT=out pytest tests/outside/reading_grade.py
"""

import functools
import os
import re
import subprocess
from pathlib import Path

import pytest
import textstat
import variants

GRADE_MAX = 6.0  # Flesch-Kincaid grade of what a patient reads: our own limit
SENTENCE_WORDS_MAX = 20  # NHS digital service manual, "How we write"
# Easy read: our own limits. The guides that we know of from memory ask for short sentences without a number.
EASY_GRADE_MAX = 4.0
EASY_SENTENCE_WORDS_MAX = 15

OUT = Path(os.environ.get("UNGUIS_OUT", "out"))
ISSUED = [
    pdf
    for name in (
        "aftercare-leaflet", "consent-form", "candour-letter", "school-note",
        "preparation-leaflet", "dressing-leaflet", "closing-letter",
    )
    for pdf in sorted(OUT.glob(f"**/*{name}*.pdf"))
]
PDFS = ISSUED + variants.pdfs_of_words()

# What stands below these headings is written for, or by, professionals.
PROFESSIONAL = {
    "Details",  # identity, and the procedure in professional words
    "Statement of the health professional",
    "Record of the decision",
    "Statement of the interpreter",
    "What matters to you",  # as recorded: nobody edits what a patient said
    "What was written down",  # the account of an incident, as recorded
    "What we did at once",  # the same
}
# Headings of the easy-read pages alone.
EASY_READ = {"What did we do?", "When do you come?", "How do you change the dressing?", "When did your care end?"}
EASY_READ |= {"Where does your care go on?"}

BLOCKS = re.compile(r"^(P|H\d|TH|TD|LBody|Caption)$")


@functools.cache
def blocks(pdf):
    """Tag and text of every block, in reading order; pictures and the marks of lists left out."""
    ran = subprocess.run(["pdfinfo", "-struct-text", str(pdf)], check=True, capture_output=True)
    open_tags, found = [], []
    for line in ran.stdout.decode("utf-8", "replace").splitlines():
        indent = len(line) - len(line.lstrip())
        said = line.strip()
        while open_tags and open_tags[-1][0] >= indent:
            open_tags.pop()
        if said.startswith('"'):
            tags = [tag for _, tag, _ in open_tags]
            if "Figure" in tags or "Lbl" in tags:
                continue
            place = next((one for one in reversed(open_tags) if BLOCKS.match(one[1])), open_tags[-1])
            if not found or found[-1][0] is not place[2]:
                found.append((place[2], place[1], []))
            found[-1][2].append(said[1:-1])
        elif tag := re.match(r"([A-Z]\w*)\b", said):
            open_tags.append((indent, tag.group(1), object()))
    return [(tag, re.sub(r"\s+", " ", "".join(parts)).strip()) for _, tag, parts in found]


def patient_part(pdf):
    kept, is_professional = [], False
    for tag, text in blocks(pdf):
        if re.match(r"H\d$", tag):
            is_professional = text in PROFESSIONAL
        is_label = tag in ("Div", "Span") or text.startswith("Signature of")
        if not is_professional and not is_label:
            kept.append(text)
    return kept


def sentences(found):
    """Sentences, with a stop after a paragraph that has none (a heading, a bullet)."""
    for paragraph in found:
        for sentence in re.split(r"(?<=[.!?])\s+(?=[A-Z\"“0-9])", paragraph):
            if re.search(r"[A-Za-z]{2}", sentence):
                yield sentence if re.search(r"[.!?]$", sentence) else sentence.rstrip(":;,") + "."


def words(sentence):
    return re.findall(r"[A-Za-zÀ-ž0-9][\w’'.:-]*", sentence)


def limits(found):
    """The grade and the number of words that these paragraphs may have."""
    if EASY_READ & set(found):
        return EASY_GRADE_MAX, EASY_SENTENCE_WORDS_MAX
    return GRADE_MAX, SENTENCE_WORDS_MAX


every_pdf = pytest.mark.parametrize("pdf", PDFS, ids=variants.name_of)


def test_there_is_something_to_read():
    assert ISSUED, f"no leaflet and no consent form in {OUT}: issue the demo cases first"


def test_easy_read_is_among_it_and_only_where_it_is_needed():
    easy = {variants.name_of(pdf) for pdf in variants.pdfs_of_words() if EASY_READ & set(patient_part(pdf))}
    wanted = {f"{name}-easy/aftercare-leaflet-draft" for name in variants.VARIANTS}
    wanted |= {f"{name}-planned-easy/preparation-leaflet-draft" for name in variants.VARIANTS}
    wanted |= {f"{name}-redressed-easy/dressing-leaflet-draft" for name in variants.VARIANTS}
    wanted |= {
        f"{name}-{stage}-easy/closing-letter-draft"
        for name in variants.VARIANTS for stage in ("closed", "ended", "given-up")
    }
    assert easy == wanted


@every_pdf
def test_the_grade_is_low(pdf):
    found = patient_part(pdf)
    read = [sentence for sentence in sentences(found) if len(words(sentence)) >= 3]
    # The note for the school is one short page, and so is the letter at the end.
    is_short = "school-note" in pdf.name or "closing-letter" in pdf.name
    assert len(read) > (8 if is_short else 20), "hardly anything was read"
    grade = textstat.flesch_kincaid_grade(" ".join(read))
    assert grade <= limits(found)[0], f"grade {grade:.1f}"


@every_pdf
def test_no_sentence_is_long(pdf):
    found = patient_part(pdf)
    most = limits(found)[1]
    counted = [(len(words(sentence)), sentence) for sentence in sentences(found)]
    long = [f"{count} words: {sentence}" for count, sentence in counted if count > most]
    assert not long, "\n".join(long)


def test_the_ruler_itself():
    """A published value: one sentence of 13 words and 24 syllables has grade 11.3."""
    platypus = "The Australian platypus is seemingly a hybrid of a mammal and reptilian creature."
    assert (textstat.lexicon_count(platypus), textstat.syllable_count(platypus)) == (13, 24)
    assert round(textstat.flesch_kincaid_grade(platypus), 1) == 11.3
