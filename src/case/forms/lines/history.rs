//! What was asked of a patient's health, in one line.

use super::{Form, How, Line, NONE, Phrase, case};

pub(in crate::case::forms) const FORM: Form = Form {
    name: "history in one line",
    says: "what was asked; several of a kind with `+` between them",
    place: case!("history: …\n"),
    examples: &[
        (
            "not diabetic, has asthma, takes salbutamol, no known allergies, never smoked, not pregnant",
            "no DM, has asthma, on salbutamol, NKA, non-smoker, not pregnant",
        ),
        (
            "type 2 diabetes, no conditions, takes metformin + ramipril, allergic to penicillin, ex-smoker",
            "T2DM, no conditions, on metformin + ramipril, allergic to penicillin, ex-smoker",
        ),
        ("NKDA, no medicines, smokes, frail", "no medicines, NKDA, smoker, frail"),
    ],
    refused: &[
        ("has asthma and eczema", "write `asthma + eczema` if they are two"),
        ("no allergies", "did you mean `no known allergies`?"),
        ("healthy", "says nothing that can stand here"),
        ("has asthma, eczema", "says nothing that can stand here"),
        ("has asthma, has eczema", "a second time"),
    ],
};

pub(super) const LINE: Line = Line {
    mark: "history",
    phrases: &[
        Phrase {
            key: "diabetes",
            how: How::Words(&[
                ("no DM", "none"),
                ("no diabetes", "none"),
                ("not diabetic", "none"),
                ("T1DM", "type 1"),
                ("diabetes type 1", "type 1"),
                ("type 1 diabetes", "type 1"),
                ("T2DM", "type 2"),
                ("diabetes type 2", "type 2"),
                ("type 2 diabetes", "type 2"),
                ("diabetes none", "none"),
            ]),
        },
        Phrase {
            key: "conditions",
            how: How::Words(&[("no conditions", "none"), ("conditions none", "none")]),
        },
        Phrase { key: "conditions", how: How::List(&["has", "conditions"]) },
        Phrase { key: "medicines", how: How::Words(&[("no medicines", "none"), ("medicines none", "none")]) },
        Phrase { key: "medicines", how: How::List(&["on", "takes", "medicines"]) },
        Phrase {
            key: "allergies",
            how: How::Words(&[
                ("NKA", "none known"),
                ("no known allergies", "none known"),
                ("allergies none known", "none known"),
                ("NKDA", "NKDA"),
                ("no known drug allergies", "NKDA"),
            ]),
        },
        Phrase { key: "allergies", how: How::List(&["allergic to"]) },
        Phrase {
            key: "smoker",
            how: How::Words(&[
                ("non-smoker", "false"),
                ("never smoked", "false"),
                ("does not smoke", "false"),
                ("smoker no", "false"),
                ("smoker", "true"),
                ("smokes", "true"),
                ("ex-smoker", "ex"),
                ("smoker ex", "ex"),
            ]),
        },
        Phrase { key: "pregnant", how: How::Words(&[("not pregnant", "false"), ("pregnant", "true")]) },
        Phrase {
            key: "breastfeeding",
            how: How::Words(&[("not breastfeeding", "false"), ("breastfeeding", "true")]),
        },
        Phrase { key: "frail", how: How::Words(&[("not frail", "false"), ("frail", "true")]) },
        Phrase { key: "foot", how: How::Words(&[("no foot disease", "none")]) },
        Phrase { key: "foot", how: How::List(&["foot"]) },
        Phrase {
            key: "other_anaesthetic_24h",
            how: How::Words(&[
                ("no other anaesthetic in 24 hours", "none"),
                ("no other anaesthetic in 24 h", "none"),
            ]),
        },
    ],
    examples: &["no DM, has asthma, on salbutamol, NKA, non-smoker, not pregnant"],
    ..NONE
};
