"""Sets each text file as a plain document with ReportLab: A4, one face, a paragraph a line.

Usage: plain_reportlab.py FOLDER TEXT... ; the PDFs go into FOLDER.
"""

import sys
from pathlib import Path
from xml.sax.saxutils import escape

from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import getSampleStyleSheet
from reportlab.platypus import Paragraph, SimpleDocTemplate


def main() -> None:
    folder = Path(sys.argv[1])
    style = getSampleStyleSheet()["BodyText"]
    for name in sys.argv[2:]:
        lines = Path(name).read_text(encoding="utf-8").replace("\f", "\n").splitlines()
        story = [Paragraph(escape(line), style) for line in lines if line.strip()]
        target = folder / (Path(name).stem + "-plain-reportlab.pdf")
        SimpleDocTemplate(str(target), pagesize=A4, title="A document").build(story)


main()
