//! Dates, times and quantities: their own types read them, the examples stand here.

use super::{Form, case};

pub(super) const DATE: Form = Form {
    name: "date",
    says: "a date, the day first",
    place: case!("operation: {date: …}\n"),
    examples: &[
        ("24/11/2026", "2026-11-24"),
        ("24-11-2026", "2026-11-24"),
        ("24.11.2026", "2026-11-24"),
        ("24 Nov 2026", "2026-11-24"),
        ("24th November 2026", "2026-11-24"),
        ("24-Nov-2026", "2026-11-24"),
        ("Tue 24 Nov 2026", "2026-11-24"),
        ("1/2/2026", "2026-02-01"),
        ("2026/11/24", "2026-11-24"),
        ("“24/11/2026”", "2026-11-24"),
    ],
    refused: &[
        ("24/11/26", "two meanings: write `24 Nov 2026` or `26 Nov 2024`"),
        ("11/24/2026", "the day comes before the month"),
        ("31/11/2026", "no such day"),
        ("Mon 24 Nov 2026", "is a Tuesday"),
        ("Sept 2026", "names no day"),
    ],
};

pub(super) const TIME: Form = Form {
    name: "time",
    says: "a time of the day",
    place: case!("operation:\n  date: 2026-11-24\n  start: …\n"),
    examples: &[
        ("9.35", "\"09:35\""),
        ("9:35", "\"09:35\""),
        ("09.35", "\"09:35\""),
        ("0935", "\"09:35\""),
        ("9.35am", "\"09:35\""),
        ("9.35 am", "\"09:35\""),
        ("2.05pm", "\"14:05\""),
        ("14.05", "\"14:05\""),
        ("9am", "\"09:00\""),
        ("“9:35”", "\"09:35\""),
        ("“09:35”", "\"09:35\""),
        ("\"09.35\"", "\"09:35\""),
    ],
    refused: &[
        ("2.15", "two meanings: write `02:15` or `14:15`"),
        ("9.5", "two meanings: write `09:05` or `09:50`"),
        ("24:00", "not a time"),
        ("9", "not a time"),
    ],
};

pub(super) const EXPIRY: Form = Form {
    name: "expiry",
    says: "an expiry as the pack prints it, a month or a day",
    place: case!("operation:\n  date: 2026-11-24\n  phenol: {strength: 89 %, expires: …}\n"),
    examples: &[
        ("08/27", "2027-08"),
        ("08/2027", "2027-08"),
        ("Aug 2027", "2027-08"),
        ("31/8/2027", "2027-08-31"),
        ("31 Aug 2027", "2027-08-31"),
    ],
    refused: &[
        ("09/10", "write `2010-09` or `2009-10`"),
        ("27/08", "write `2027-08` if the year comes first"),
    ],
};

pub(super) const MASS: Form = Form {
    name: "body mass",
    says: "a body mass in kg, or in stones and pounds, which are printed beside the kg",
    place: "reference: LFC-0001\npatient: {given: Imogen, family: Hollis, born: 1984-02-09, weight: …}\n",
    examples: &[
        ("68kg", "68 kg"),
        ("68 KG", "68 kg"),
        ("68 Kg", "68 kg"),
        ("68 kgs", "68 kg"),
        ("68\u{a0}kg", "68 kg"),
        ("10 st 7", "10 st 7 lb"),
        ("10st 7lbs", "10 st 7 lb"),
        ("10 stone", "10 st"),
        ("150 lbs", "150 lb"),
    ],
    refused: &[
        ("68", "the unit is missing"),
        ("10.5 st", "`10 st 7 lb` or `10 st 5 lb`"),
        ("10 st 15 lb", "fewer than 14 lb"),
    ],
};

pub(super) const HEIGHT: Form = Form {
    name: "body height",
    says: "a height in cm or m, or in feet and inches, which are printed beside the cm",
    place: "reference: LFC-0001\npatient:\n  given: Imogen\n  family: Hollis\n  born: 1984-02-09\n  height: …\n",
    examples: &[
        ("1.8 m", "180 cm"),
        ("171 CM", "171 cm"),
        ("5'11\"", "5 ft 11 in"),
        ("5’11”", "5 ft 11 in"),
        ("5 ft 7", "5 ft 7 in"),
        ("5 foot 7 inches", "5 ft 7 in"),
        ("6ft", "6 ft"),
    ],
    refused: &[
        ("171", "the unit is missing"),
        ("5.11 ft", "`5 ft 1.3 in` or `5 ft 11 in`"),
        ("1.71 cm", "if these are metres, write `171 cm`"),
    ],
};

pub(super) const VOLUME: Form = Form {
    name: "volume",
    says: "a volume in ml",
    place: case!("operation: {date: 2026-11-24, toes: {L1: {nail: total, injected: …}}}\n"),
    examples: &[("2.2mls", "2.2 ml"), ("2.2 mls", "2.2 ml"), ("2.2 ML", "2.2 ml"), ("2.20 mL", "2.2 ml")],
    refused: &[("2.2 cc", "write `2.2 ml`"), ("2.2", "the unit is missing")],
};

pub(super) const SECONDS: Form = Form {
    name: "seconds",
    says: "a short time in seconds or whole minutes",
    place: case!(
        "operation: {date: 2026-11-24, toes: {L1: {nail: total, phenol: {applications: 3, each: …}}}}\n"
    ),
    examples: &[("60 secs", "60 s"), ("60secs", "60 s"), ("60 seconds", "60 s"), ("1 min", "60 s")],
    refused: &[("60", "the unit is missing")],
};

pub(super) const REFILL: Form = Form {
    name: "refill",
    says: "a capillary refill: counted, or under or over so many seconds",
    place: case!("operation: {date: 2026-11-24, toes: {L1: {nail: total, refill: …}}}\n"),
    examples: &[("<3s", "<3 s"), ("< 3 s", "<3 s"), ("under 3 secs", "<3 s"), ("2secs", "2 s")],
    refused: &[("brisk", "write it like `2 s`"), ("3", "write it like `2 s`")],
};

pub(super) const HBA1C: Form = Form {
    name: "HbA1c",
    says: "an HbA1c, whose number alone tells the unit but from 10 to 25",
    place: case!("history: {diabetes: {type: 2, hba1c: …}}\n"),
    examples: &[("54", "54 mmol/mol"), ("7.5", "7.5 %"), ("58 MMOL/MOL", "58 mmol/mol")],
    refused: &[("12", "`12 %` or `12 mmol/mol`")],
};

pub(super) const SITES: Form = Form {
    name: "monofilament",
    says: "monofilament sites felt of those tested",
    place: case!("sensation: {right: …}\n"),
    examples: &[("9 of 10", "9/10"), ("10 / 10", "10/10")],
    refused: &[("11/10", "cannot be")],
};
