//! An address in one line: its commas end its lines.

use super::{Form, Marked, Short};

pub(super) const FORM: Form = Form {
    name: "address",
    says: "an address in one line, its lines parted by commas",
    place: "reference: LFC-0001\npatient:\n  given: Imogen\n  family: Hollis\n  born: 1984-02-09\n  address: …\n",
    examples: &[
        ("4 Tern Row, Larkmoor, XX4 2QD", "[4 Tern Row, Larkmoor, XX4 2QD]"),
        ("Larkmoor", "[Larkmoor]"),
    ],
    refused: &[("4 Tern Row, , XX4 2QD", "an empty line")],
};

pub(super) const MARKED: Marked = Marked {
    mark: "address",
    read: |typed| {
        let lines: Vec<&str> = typed.split([',', ';', '\n']).map(str::trim).collect();
        if lines.iter().any(|line| line.is_empty()) {
            return Some(Err(format!("`{typed}` has an empty line: write one comma between two lines")));
        }
        Some(Ok(Short::List(lines.into_iter().map(Short::text).collect())))
    },
    pattern: "^[^,;]*[^ ,;][^,;]*(?:[,;][^,;]*[^ ,;][^,;]*)*$",
    examples: &["4 Tern Row, Larkmoor, XX4 2QD"],
};
