"""Sets each text file as a plain document with Typst, driven from Python: A4, one face, a paragraph a line.

Usage: plain_typst.py FOLDER TEXT... ; the PDFs go into FOLDER.
"""

import sys
from pathlib import Path

import typst

HEAD = '#set document(title: "A document")\n#set page(paper: "a4")\n#set text(size: 11pt, lang: "en")\n'


def main() -> None:
    folder = Path(sys.argv[1])
    for name in sys.argv[2:]:
        lines = Path(name).read_text(encoding="utf-8").replace("\f", "\n").splitlines()
        quoted = (line.replace("\\", "\\\\").replace('"', '\\"').replace("\t", "  ") for line in lines if line.strip())
        source = HEAD + "\n\n".join(f'#"{line}"' for line in quoted)
        typst.compile(
            source.encode(),
            output=str(folder / (Path(name).stem + "-plain-typst.pdf")),
            ignore_system_fonts=True,
        )


main()
