//! The patient in one line.

use super::plan::looks_like_a_date;
use super::{Form, How, Line, NONE, Phrase, is};
use crate::units::{BodyHeight, BodyMass};

pub(in crate::case::forms) const FORM: Form = Form {
    name: "patient in one line",
    says: "the patient: name first, then in any order",
    place: "reference: LFC-0001\npatient: …\n",
    examples: &[
        (
            "Ms Imogen Hollis, female, born 9/2/1984, NHS 9990000018, 68kg, 5 ft 7",
            "Ms Imogen Hollis, F, 1984-02-09, NHS 999 000 0018, 68 kg, 5 ft 7 in",
        ),
        (
            "Imogen Hollis, dob 9 Feb 1984, at 4 Tern Row, Larkmoor, XX4 2QD, tel 01632 960 131",
            "Imogen Hollis, 1984-02-09, 4 Tern Row, Larkmoor, XX4 2QD, tel 01632 960 131",
        ),
        (
            "Imogen Hollis, 9 Feb 1984, at Tern House, 14 Causeway, XX4 2QD, F",
            "Imogen Hollis, F, 1984-02-09, at Tern House, 14 Causeway, XX4 2QD",
        ),
        (
            "given Anna Maria, family Souza, born 1984-02-09, needs large print + hearing",
            "given Anna Maria, family Souza, 1984-02-09, needs large print + hearing",
        ),
        (
            "Imogen Hollis, known as Immy, born 1984-02-09, works office; runs",
            "Imogen Hollis, known as Immy, 1984-02-09, life office; runs",
        ),
        ("Mei Chan, written 陳美玲, born 1984-02-09", "Mei Chan, written 陳美玲, 1984-02-09"),
        ("Imogen Hollis, lives with her son, dob 9/2/1984", "Imogen Hollis, 1984-02-09, lives with her son"),
    ],
    refused: &[
        (
            "Anna Maria Souza, born 1984-02-09",
            "write `given Anna, family Maria Souza` or `given Anna Maria, family Souza`",
        ),
        ("Hollis, born 1984-02-09", "begin with the name"),
        ("Imogen Hollis, born 9/2/84", "a year of two digits"),
        ("Imogen Hollis, 9/2/84", "a year of two digits"),
        (
            "Imogen Hollis, 9 Feb 1984, 68 kgg, 4 Tern Row, XX4 2QD",
            "`68 kgg` says nothing that can stand here",
        ),
        ("Imogen Hollis, 9 Feb 1984, femal, 4 Tern Row, XX4 2QD", "did you mean `female`?"),
        ("Imogen Hollis, 9 Feb 1984, Tern House, Larkmoor, XX4 2QD", "`at …` with the postcode"),
        ("Imogen Hollis, 9 Feb 1984, 4 Tern Row, 14 Causeway, XX4 2QD", "`4 Tern Row` says nothing"),
        ("Imogen Hollis, 9 Feb 1984, 10 Feb 1984", "a second time"),
        ("Imogen Hollis, born 1984-02-09, 68", "says nothing that can stand here"),
        ("Imogen Hollis, born 1984-02-09, at 4 Tern Row, Larkmoor", "ends with its postcode"),
        ("Imogen Hollis, born 1984-02-09, 68 kg, 70 kg", "a second time"),
    ],
};

pub(super) const LINE: Line = Line {
    mark: "patient",
    phrases: &[
        Phrase { key: "", how: How::Name },
        Phrase { key: "preferred", how: How::Led(&["known as"]) },
        Phrase { key: "name_as_written", how: How::Led(&["written"]) },
        Phrase {
            key: "sex",
            how: How::Words(&[
                ("F", "female"),
                ("female", "female"),
                ("M", "male"),
                ("male", "male"),
                ("other sex", "other"),
            ]),
        },
        Phrase { key: "born", how: How::Like(looks_like_a_date, &["born", "dob", "date of birth"]) },
        Phrase { key: "nhs_number", how: How::Led(&["NHS", "NHS number", "NHS no"]) },
        Phrase { key: "chi_number", how: How::Led(&["CHI", "CHI number", "CHI no"]) },
        Phrase { key: "hc_number", how: How::Led(&["H&C", "H&C number"]) },
        Phrase { key: "weight", how: How::Like(is::<BodyMass>, &["weight"]) },
        Phrase { key: "height", how: How::Like(is::<BodyHeight>, &["height"]) },
        Phrase { key: "address", how: How::Address },
        Phrase { key: "telephone", how: How::Led(&["tel", "telephone", "phone", "mobile"]) },
        Phrase { key: "needs", how: How::List(&["needs"]) },
        Phrase { key: "language", how: How::Led(&["language", "speaks"]) },
        Phrase { key: "daily_life", how: How::Begins(&["lives with", "lives in"]) },
        Phrase { key: "daily_life", how: How::Led(&["life", "daily life", "works"]) },
    ],
    pattern: "^ *[^,]+ [^,]*, *.+$",
    examples: &[
        "Ms Imogen Hollis, F, 1984-02-09, NHS 999 000 0018, 68 kg, 171 cm, 4 Tern Row, Larkmoor, XX4 2QD",
    ],
    ..NONE
};
