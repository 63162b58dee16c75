//! The operation in one line, and its instruments.

use super::plan::looks_like_a_date;
use super::{DATED, Form, How, Line, NONE, Phrase, Section, case};

pub(in crate::case::forms) const FORM: Form = Form {
    name: "operation in one line",
    says: "what holds for all toes; then the checks and each toe behind a semicolon",
    place: case!("operation: …\n"),
    examples: &[
        (
            "24/11/2026, 9.30 to 10.20, by quill, exemption, tray T-0412, cycle 2231, as protocol, no complications; \
             L1 PNA, lateral, 2.2 mls at 9.35; checked identity, toe marked",
            "2026-11-24, 09:30-10:20, by quill, exemption, tray T-0412, cycle 2231, as protocol, no complications; \
             L1 lateral PNA, 2.2 ml at 09:35; checked ID, site",
        ),
        ("24/11/2026, 9.30-10.20", "2026-11-24, 09:30-10:20"),
        (
            "24 Nov 2026, blood loss minimal, discharge \"well, with her sister\", findings none",
            "2026-11-24, EBL minimal, discharge \"well, with her sister\", findings none",
        ),
    ],
    refused: &[
        ("24/11/26, by quill", "two meanings"),
        ("24/11/2026, quill", "says nothing that can stand here"),
        ("24/11/2026, 2.15 to 2.40", "two meanings"),
        ("24/11/2026; checked all", "each check is named"),
        ("24/11/2026, anaesthetic mepi, LA lido", "a second time"),
        ("24/11/2026, discharge well, walked out", "one that goes on stands in quotation marks"),
    ],
};

pub(in crate::case::forms) const INSTRUMENTS_FORM: Form = Form {
    name: "instruments in one line",
    says: "tray and cycle",
    place: case!("operation:\n  date: 2026-11-24\n  instruments: …\n"),
    examples: &[
        ("tray T-0412, cycle 2231", "tray T-0412, cycle 2231"),
        ("cycle 2231, tray: T-0412", "tray T-0412, cycle 2231"),
    ],
    refused: &[("T-0412", "write `tray …`")],
};

pub(super) const LINE: Line = Line {
    mark: "operation",
    phrases: &[
        Phrase { key: "date", how: How::Like(looks_like_a_date, &["on"]) },
        Phrase { key: "start", how: How::FromTo("finish") },
        Phrase { key: "operator", how: How::Led(&["by", "operator"]) },
        Phrase { key: "assistant", how: How::Led(&["assisted by", "assistant"]) },
        Phrase {
            key: "authority",
            how: How::Words(&[("exemption", "exemption"), ("own prescription", "own prescription")]),
        },
        Phrase { key: "authority", how: How::Led(&["authority"]) },
        Phrase { key: "anaesthetic", how: How::Led(&["LA", "anaesthetic", "local anaesthetic"]) },
        Phrase { key: "phenol", how: How::Led(&["phenol"]) },
        Phrase { key: "instruments.tray", how: How::Led(&["tray"]) },
        Phrase { key: "instruments.cycle", how: How::Led(&["cycle"]) },
        Phrase { key: "instruments.single_use_lot", how: How::Led(&["single-use lot"]) },
        Phrase { key: "routine", how: How::Words(&[("as protocol", "as protocol")]) },
        Phrase { key: "urgency", how: How::Words(&[("elective", "elective"), ("emergency", "emergency")]) },
        Phrase { key: "complications", how: How::Words(&[("no complications", "none")]) },
        Phrase { key: "blood_loss", how: How::Led(&["EBL", "blood loss"]) },
    ],
    sections: &[Section { leads: &["checked", "checks"], keys: &["checks"], inside: None }],
    toes: Some("toes"),
    pattern: DATED,
    examples: &["2026-11-24, 09:30-10:20, by quill, exemption, as protocol; L1 lateral PNA, 2.2 ml at 09:35"],
    ..NONE
};

pub(super) const INSTRUMENTS: Line = Line {
    mark: "instruments",
    phrases: &[
        Phrase { key: "tray", how: How::Led(&["tray"]) },
        Phrase { key: "cycle", how: How::Led(&["cycle"]) },
        Phrase { key: "single_use_lot", how: How::Led(&["single-use lot"]) },
    ],
    examples: &["tray T-0412, cycle 2231"],
    ..NONE
};
