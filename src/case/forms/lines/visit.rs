//! A visit in one line: day, time, who and what; each toe as it was seen; and the next visit.

use super::plan::{looks_like_a_date, looks_like_a_time};
use super::{DATED, Form, How, Line, NONE, Phrase, Section, case};

pub(in crate::case::forms) const FORM: Form = Form {
    name: "visit in one line",
    says: "a visit, each toe as it was seen, and the next visit, parted by semicolons",
    place: case!("visits:\n  - …\n"),
    examples: &[
        (
            "27 Nov 2026, 10.15, by ashdown, redressing, taught \"at home, to her\"; L1 wound clear, redness 3 mm, pain 2/10, \
             not infected, no burn; next review 5/1/2027, 9am",
            "2026-11-27, 10:15, by ashdown, redressing, taught \"at home, to her\"; L1 wound clear, redness 3 mm, pain 2/10, \
             not infected, no burn; next review 2027-01-05, 09:00",
        ),
        (
            "1/12/2026, telephone, told call if it spreads; next redressing 3/12/2026",
            "2026-12-01, telephone, told call if it spreads; next redressing 2026-12-03",
        ),
        (
            "5 Jan 2027, review; L1 healed, healed on 28/12/2026, no signs of infection, no regrowth",
            "2027-01-05, review; L1 no signs of infection, healed, healed on 2026-12-28, no regrowth",
        ),
    ],
    refused: &[
        ("27 Nov 2026, redresing", "did you mean `redressing`?"),
        ("27 Nov 2026, redressing; dry", "says nothing that can stand here"),
        ("27/11/26, redressing", "two meanings"),
        ("27 Nov 2026, redressing, review", "a second time"),
    ],
};

pub(super) const LINE: Line = Line {
    mark: "visit",
    phrases: &[
        Phrase { key: "on", how: How::Like(looks_like_a_date, &["on"]) },
        Phrase { key: "at", how: How::Like(looks_like_a_time, &["at"]) },
        Phrase { key: "by", how: How::Led(&["by"]) },
        Phrase {
            key: "kind",
            how: How::Words(&[
                ("redressing", "redressing"),
                ("review", "review"),
                ("unplanned", "unplanned"),
                ("telephone", "telephone"),
                ("missed", "missed"),
                ("did not come", "missed"),
            ]),
        },
        Phrase { key: "unwell", how: How::Words(&[("not unwell", "false"), ("unwell", "true")]) },
        Phrase { key: "gp_actions", how: How::Words(&[("no gp actions", "none")]) },
        Phrase { key: "gp_actions", how: How::List(&["gp actions", "ask gp"]) },
    ],
    sections: &[Section { leads: &["next"], keys: &["next"], inside: None }],
    toes: Some("toes"),
    pattern: DATED,
    examples: &[
        "2026-11-27, 10:15, by ashdown, redressing; L1 wound dry, not infected; next review 2027-01-05",
    ],
    ..NONE
};

pub(super) const NEXT: Line = Line {
    mark: "next visit",
    phrases: &[
        Phrase { key: "kind", how: How::Dated("on", &["redressing", "review"]) },
        Phrase { key: "at", how: How::Like(looks_like_a_time, &["at"]) },
    ],
    examples: &["review 2027-01-05, 09:00"],
    ..NONE
};

pub(super) const TOE: Line = Line {
    mark: "seen toe",
    phrases: &[
        Phrase { key: "wound", how: How::Led(&["wound"]) },
        Phrase { key: "redness", how: How::Led(&["redness"]) },
        Phrase {
            key: "drawn_round",
            how: How::Words(&[("drawn round", "true"), ("not drawn round", "false")]),
        },
        Phrase { key: "pain", how: How::Led(&["pain"]) },
        Phrase { key: "signs", how: How::Words(&[("no signs of infection", "[]")]) },
        Phrase { key: "signs", how: How::List(&["signs"]) },
        Phrase { key: "infected", how: How::Words(&[("not infected", "false"), ("infected", "true")]) },
        Phrase { key: "burn", how: How::Words(&[("no burn", "false"), ("burn", "true")]) },
        Phrase { key: "healed", how: How::Words(&[("not healed", "false"), ("healed", "true")]) },
        Phrase { key: "healed_on", how: How::Led(&["healed on"]) },
        Phrase { key: "regrowth", how: How::Words(&[("no regrowth", "none")]) },
        Phrase { key: "regrowth", how: How::Led(&["regrowth"]) },
        Phrase {
            key: "regrowth_hurts",
            how: How::Words(&[("regrowth hurts", "true"), ("regrowth does not hurt", "false")]),
        },
    ],
    examples: &["wound dry, redness 3 mm, not infected, healed"],
    ..NONE
};
