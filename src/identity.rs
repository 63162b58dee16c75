//! One reference, one patient: who a case is about, and what the cases of a run and the register say
//! of it. Pure. No value of a patient leaves this file but as a hash or a yes or no.

use std::collections::BTreeMap;

use unicode_normalization::UnicodeNormalization as _;

use crate::case::{Case, ClosedBecause, is_joiner};
use crate::date::CivilDate;
use crate::diagnostic::Severity;
use crate::hash::sha256;

/// What a patient is told from another by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Detail {
    /// The family name.
    FamilyName,
    /// The first of the given names.
    GivenName,
    /// The date of birth.
    Born,
    /// The NHS number.
    NhsNumber,
    /// The CHI number of Scotland.
    ChiNumber,
    /// The health and care number of Northern Ireland.
    HcNumber,
}

/// The numbers, in the order of the model.
const NUMBERS: [Detail; 3] = [Detail::NhsNumber, Detail::ChiNumber, Detail::HcNumber];

impl Detail {
    /// As messages name it.
    pub fn words(self) -> &'static str {
        match self {
            Detail::FamilyName => "the family name",
            Detail::GivenName => "the given name",
            Detail::Born => "the date of birth",
            Detail::NhsNumber => "the NHS number",
            Detail::ChiNumber => "the CHI number",
            Detail::HcNumber => "the health and care number",
        }
    }

    /// The key of the case file.
    pub fn path(self) -> &'static str {
        match self {
            Detail::FamilyName => "patient.family",
            Detail::GivenName => "patient.given",
            Detail::Born => "patient.born",
            Detail::NhsNumber => "patient.nhs_number",
            Detail::ChiNumber => "patient.chi_number",
            Detail::HcNumber => "patient.hc_number",
        }
    }
}

/// So many details that differ are another patient. One alone may be a marriage or a digit put right.
const ANOTHER_PATIENT: usize = 2;

/// True if so many differences mean another patient.
///
/// "Two of them" is counted over what both sides have. A number that one side lacks is no
/// difference and no agreement: then two details are left, both differing is another patient, and one
/// differing still only asks for a reason, since a changed name must not make an honest record
/// impossible for somebody without a number.
///
/// People shorten given names, and change both names at a time. So the given name counts beside the date of
/// birth or a number alone, as it tells siblings apart, and never beside the family name.
pub fn is_another_patient(differences: &[Detail]) -> bool {
    let is_name = |detail: &Detail| matches!(detail, Detail::FamilyName | Detail::GivenName);
    let given = differences.contains(&Detail::GivenName);
    let others = differences.len() - usize::from(given);
    others >= ANOTHER_PATIENT || given && differences.iter().any(|detail| !is_name(detail))
}

/// Who a case is about, made alike for comparison.
#[derive(Clone, PartialEq, Eq)]
pub struct Person {
    family: String,
    /// The first of the given names.
    given: String,
    born: String,
    /// Those of [`NUMBERS`] that are recorded.
    numbers: BTreeMap<Detail, String>,
}

/// Nothing of a patient gets into a message by way of `{:?}`.
impl std::fmt::Debug for Person {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Person(..)")
    }
}

impl Person {
    /// The patient of a case.
    pub fn of(case: &Case) -> Person {
        let patient = &case.patient;
        let numbers = [
            (Detail::NhsNumber, patient.nhs_number.as_ref().map(|number| number.0.as_str())),
            (Detail::ChiNumber, patient.chi_number.as_ref().map(|number| number.0.as_str())),
            (Detail::HcNumber, patient.hc_number.as_ref().map(|number| number.0.as_str())),
        ];
        Person::new(&patient.family, &patient.given, patient.born, &numbers)
    }

    fn new(family: &str, given: &str, born: CivilDate, numbers: &[(Detail, Option<&str>)]) -> Person {
        let digits = |number: &str| number.chars().filter(char::is_ascii_digit).collect();
        Person {
            family: alike(family),
            given: alike(given.split_whitespace().next().unwrap_or_default()),
            born: born.to_string(),
            numbers: numbers.iter().filter_map(|(kind, number)| Some((*kind, digits((*number)?)))).collect(),
        }
    }

    /// The salted hashes of what tells this patient from another.
    pub fn marks(&self, salt: &str) -> Marks {
        let number = |kind: Detail| self.numbers.get(&kind).map(|number| mark(salt, kind, number));
        Marks {
            salt: salt.to_owned(),
            family: mark(salt, Detail::FamilyName, &self.family),
            born: mark(salt, Detail::Born, &self.born),
            given: Some(mark(salt, Detail::GivenName, &self.given)),
            nhs_number: number(Detail::NhsNumber),
            chi_number: number(Detail::ChiNumber),
            hc_number: number(Detail::HcNumber),
        }
    }
}

/// A name without what spellings of one name differ in: case, blanks, the way accents are coded,
/// apostrophes and hyphens, and joiners, which choose the form of a letter and not the letter.
fn alike(name: &str) -> String {
    let is_joint = |c: char| {
        c.is_whitespace()
            || is_joiner(c)
            || matches!(
                c,
                '\'' | '’' | '‘' | 'ʼ' | '`' | '-' | '\u{2010}' | '\u{2011}' | '–' | '\u{ad}' | '.'
            )
    };
    name.nfc().filter(|c| !is_joint(*c)).flat_map(char::to_lowercase).nfc().collect()
}

/// The name of the detail goes into the hash, so that equal values of two details do not look alike.
fn mark(salt: &str, detail: Detail, value: &str) -> String {
    sha256(format!("{salt}\n{}\n{value}", detail.path()).as_bytes())
}

/// Salted hashes of who a document is about, as a line of the register keeps them.
///
/// They keep the values from being read, not from being guessed: whoever has the register can try every
/// date of birth. The documents beside it hold the values in full, and both belong to the same folder.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct Marks {
    /// Random, the same for a whole register.
    pub salt: String,
    /// Of the family name.
    pub family: String,
    /// Of the date of birth.
    pub born: String,
    /// Of the first given name; older lines do not have it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub given: Option<String>,
    /// Of the NHS number, where one was recorded.
    pub nhs_number: Option<String>,
    /// Of the CHI number, where one was recorded. Lines without one are written as before there was a key
    /// for it, so that what was issued earlier still has its hash; so for the next.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub chi_number: Option<String>,
    /// Of the health and care number, where one was recorded.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hc_number: Option<String>,
}

impl Marks {
    fn number(&self, kind: Detail) -> Option<&String> {
        match kind {
            Detail::NhsNumber => self.nhs_number.as_ref(),
            Detail::ChiNumber => self.chi_number.as_ref(),
            Detail::HcNumber => self.hc_number.as_ref(),
            Detail::FamilyName | Detail::GivenName | Detail::Born => None,
        }
    }
}

/// What is known of whom the documents of a reference are about: of each detail the last mark, so that a
/// case that leaves a number out does not wipe out what was known of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Known {
    last: Marks,
    /// Salt and mark of the last number of each kind there was.
    numbers: BTreeMap<Detail, (String, String)>,
}

impl Known {
    /// From the marks of a reference in the order of the register; `None` if there are none.
    pub fn from_lines<'a>(lines: impl IntoIterator<Item = &'a Marks>) -> Option<Known> {
        lines.into_iter().fold(None, |known: Option<Known>, marks| {
            let mut numbers = known.map(|known| known.numbers).unwrap_or_default();
            numbers.extend(
                NUMBERS
                    .iter()
                    .filter_map(|kind| Some((*kind, (marks.salt.clone(), marks.number(*kind)?.clone())))),
            );
            Some(Known { last: marks.clone(), numbers })
        })
    }

    /// In what a patient differs; nothing for a detail that one side lacks. Where a number is the same, the
    /// given name says nothing more: it was shortened.
    pub fn differences(&self, person: &Person) -> Vec<Detail> {
        let here = person.marks(&self.last.salt);
        let mut has_same_number = false;
        let mut differ = Vec::new();
        if here.family != self.last.family {
            differ.push(Detail::FamilyName);
        }
        if here.born != self.last.born {
            differ.push(Detail::Born);
        }
        for kind in NUMBERS {
            if let (Some((salt, known)), Some(number)) = (self.numbers.get(&kind), person.numbers.get(&kind))
            {
                if mark(salt, kind, number) == *known {
                    has_same_number = true;
                } else {
                    differ.push(kind);
                }
            }
        }
        let differs = self.last.given.is_some() && here.given != self.last.given;
        if differs && !has_same_number {
            differ.push(Detail::GivenName);
        }
        differ
    }
}

/// A finding that needs more than one case, or a case and the register: no rule, since a rule sees one
/// case alone. Never answered under `accepted`.
#[derive(Debug, PartialEq, Eq)]
pub struct Comparison {
    /// The permanent name.
    pub name: &'static str,
    /// How much it weighs.
    pub severity: Severity,
    /// The documents that it holds back: all, or these.
    pub holds: Option<&'static [&'static str]>,
    /// The headline.
    pub title: &'static str,
    /// Why it matters.
    pub why: &'static str,
    /// When it is found, and what it does not know.
    pub found: &'static str,
    /// What to do.
    pub help: &'static str,
}

/// The register knows another patient under this reference.
pub static ANOTHER_PATIENT_FOUND: Comparison = Comparison {
    name: "another-patient",
    severity: Severity::Stop,
    holds: None,
    title: "documents of another patient were issued under this reference",
    why: "A file copied from the last patient and not given a reference of its own would print the name, the date of \
          birth and the NHS number of one patient on the documents of another, and mark that patient's documents as \
          replaced.",
    found: "Found by `check`, `draft`, `issue` and `compare` in the register of `--out`, which keeps salted hashes of \
            family name, first given name, date of birth and NHS, CHI or health and care number with each issued document, never the \
            values. Two of them \
            differ from what was issued before: then nothing is made. If one differs, as after a marriage or when a \
            digit is corrected, `issue` wants a reason. A number that one side lacks is no difference, so without one the \
            other two must both differ. The first given name counts where no number is the same: beside another date of \
            birth or another number, as brothers and sisters have it, it is another patient; alone, or beside another \
            family name, it wants a reason. Documents that an older version issued have no \
            hashes and cannot be compared: `issue` says so.",
    help: "give this case a reference of its own; if the reference is right, correct the patient's details. No reason \
           and no `amendment:` lifts this",
};

/// One detail differs from what the register knows.
pub static DETAILS_CHANGED: Comparison = Comparison {
    name: "patient-details-changed",
    severity: Severity::Note,
    holds: None,
    title: "one of the patient's details is not the one under which documents were issued",
    why: "It may be a marriage or a digit put right. It may also be another patient of the same name.",
    found: "Found by `check`, `draft` and `issue` where family name, date of birth or number, one of them, differs \
            from what was issued before under the same reference.",
    help: "look whether the reference is this patient's; `issue` will ask for a reason",
};

/// What was issued has no hashes.
pub static NOT_COMPARED: Comparison = Comparison {
    name: "patient-not-compared",
    severity: Severity::Note,
    holds: None,
    title: "whether this is the patient of the documents issued before cannot be told",
    why: "The register was written by an older version, which kept no hashes of who the patient is. They come with the \
          next document that is issued.",
    found: "Found by `check`, `draft`, `issue` and `compare` where documents were issued under the reference and none of \
            their lines has hashes.",
    help: "look at one of the issued documents: are they this patient's?",
};

/// Two files bear one reference.
pub static REFERENCE_TWICE: Comparison = Comparison {
    name: "reference-twice",
    severity: Severity::Stop,
    holds: None,
    title: "two files have the same reference",
    why: "Both would write their documents into one folder: one patient's pages would lie among the other's, and which \
          of them stayed would be chance.",
    found: "Found where several files or a folder are given. Neither file is drafted or issued; the others are.",
    help: "give each case its own reference; of two files for one case, take one away",
};

/// One NHS number, two patients.
pub static NUMBER_TWICE: Comparison = Comparison {
    name: "nhs-number-twice",
    severity: Severity::Stop,
    holds: None,
    title: "two files have the same NHS, CHI or H&C number for different patients",
    why: "Such a number belongs to one person. With the wrong one a letter is filed in somebody else's record.",
    found: "Found where several files or a folder are given. A stop if the date of birth or the first given name \
            differs; a note if only the family name does, which may have changed between two operations. Two files of \
            one patient raise nothing.",
    help: "correct the number, the name or the date of birth in the file where it is wrong; a shortened name goes \
           under `preferred`",
};

/// A case goes on from one of another patient.
pub static FOLLOWS_ANOTHER: Comparison = Comparison {
    name: "follows-another-patient",
    severity: Severity::Stop,
    holds: None,
    title: "the case before or after this one is another patient's",
    why: "What was done at the first operation is told at the second, and counted as its failure. Of another patient \
          none of it is true.",
    found: "Found where several files or a folder are given, and one of them has the reference under `follows` or behind \
            `new case`. A stop if the date of birth, the first given name or the NHS number differs; a note if only the \
            family name does, which may have changed between two operations. A case that is not among the files is not \
            compared.",
    help: "correct the reference, or the patient's details in the file where they are wrong",
};

/// A case was closed in favour of one that does not know it.
pub static NOT_FOLLOWED: Comparison = Comparison {
    name: "new-case-does-not-follow",
    severity: Severity::Stop,
    holds: Some(&["closing-letter"]),
    title: "the new case does not name this one as the one before it",
    why: "Who opens the new case would not learn of the first operation, and nobody could count its outcome.",
    found: "Found where several files or a folder are given, and one of them is the case behind `new case` of another.",
    help: "write `follows` with the reference of this case into the new one, or correct the reference here",
};

/// The name of a file is another reference.
pub static FILE_NAME: Comparison = Comparison {
    name: "file-name-differs",
    severity: Severity::Stop,
    holds: None,
    title: "the file is named after another reference",
    why: "It is most often a copy of another patient's file in which the reference was forgotten.",
    found: "Found where the name of the file has the form of a reference, in capitals or small letters, and the file \
            holds another one. A file with any other name raises nothing.",
    help: "correct `reference`, or rename the file",
};

/// The signed form is not about the present plan.
pub static FORM_OUTDATED: Comparison = Comparison {
    name: "consent-form-outdated",
    severity: Severity::Stop,
    holds: Some(&["consent-form", "operation-note"]),
    title: "the plan is not the one on the consent form that was issued and signed",
    why: "The patient signed for another toe, edge or treatment than the file now plans. An operation note that says \
          that consent was signed would say it of something else.",
    found: "Found by `issue` where a form was issued, `consent.signed` is recorded, and the planned toes, the way the \
            nail is removed, its edges or phenol differ from the plan on that form. Forms that an older version issued \
            cannot be compared.",
    help: "talk with the patient and make a new form with `unguis issue CASE --only consent-form --because …`; if the \
           plan is wrong, correct it",
};

/// All of them, in the order of the documentation.
pub static COMPARISONS: &[&Comparison] = &[
    &ANOTHER_PATIENT_FOUND,
    &DETAILS_CHANGED,
    &NOT_COMPARED,
    &REFERENCE_TWICE,
    &NUMBER_TWICE,
    &FOLLOWS_ANOTHER,
    &NOT_FOLLOWED,
    &FILE_NAME,
    &FORM_OUTDATED,
];

/// What two cases of a run have in common and may not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Clash {
    /// The kind.
    pub kind: &'static Comparison,
    /// Its weight here.
    pub severity: Severity,
    /// The file that it clashes with.
    pub other: String,
    /// Where in this case.
    pub path: &'static str,
    /// In what the two differ, as messages name it; nothing for equal references.
    pub differ: Vec<&'static str>,
}

/// A case of a run: its file, its reference and its patient.
#[derive(Debug, Clone)]
pub struct Named {
    /// The file, as messages name it.
    pub file: String,
    /// The reference.
    pub reference: String,
    /// The patient.
    pub person: Person,
    /// The case that this one goes on from.
    pub follows: Option<String>,
    /// The case under which the same toe goes on.
    pub goes_on: Option<String>,
}

impl Named {
    /// Of a case, in the file of this name.
    pub fn of(file: String, case: &Case) -> Named {
        let goes_on = match case.closed.as_ref().map(|closed| &closed.because) {
            Some(ClosedBecause::NewCase(after)) => Some(after.to_string()),
            _ => None,
        };
        Named {
            file,
            reference: case.reference.to_string(),
            person: Person::of(case),
            follows: case.follows.as_ref().map(|earlier| earlier.reference.to_string()),
            goes_on,
        }
    }

    /// In what the patient of another case differs, as messages name it, and how much that weighs: a family
    /// name alone may have changed between two operations.
    fn differs(&self, other: &Named) -> Option<(Vec<&'static str>, Severity)> {
        let (one, two) = (&self.person, &other.person);
        let differing = |kind: &Detail| {
            let numbers = one.numbers.get(kind).zip(two.numbers.get(kind));
            (numbers.is_some_and(|(one, two)| one != two), kind.words())
        };
        let differ: Vec<&'static str> = [
            (one.born != two.born, Detail::Born.words()),
            (one.given != two.given, Detail::GivenName.words()),
            (one.family != two.family, Detail::FamilyName.words()),
        ]
        .into_iter()
        .chain(NUMBERS.iter().map(differing))
        .filter_map(|(differs, words)| differs.then_some(words))
        .collect();
        let only_family = differ == [Detail::FamilyName.words()];
        let severity = if only_family { Severity::Note } else { Severity::Stop };
        (!differ.is_empty()).then_some((differ, severity))
    }
}

/// What the cases of a run clash in, for each in the order given. A case that clashes with several
/// others in the same way names the first of them.
pub fn clashes(cases: &[Named]) -> Vec<Vec<Clash>> {
    let mut by_reference: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    let mut by_number: BTreeMap<(Detail, &str), Vec<usize>> = BTreeMap::new();
    for (at, case) in cases.iter().enumerate() {
        by_reference.entry(&case.reference).or_default().push(at);
        for (kind, number) in &case.person.numbers {
            by_number.entry((*kind, number)).or_default().push(at);
        }
    }
    let of = |at: usize| {
        let case = &cases[at];
        let others = |all: Option<&Vec<usize>>| -> Vec<&Named> {
            all.into_iter().flatten().filter(|other| **other != at).map(|other| &cases[*other]).collect()
        };
        let mut found = Vec::new();
        if let Some(other) = others(by_reference.get(case.reference.as_str())).first() {
            let (kind, other) = (&REFERENCE_TWICE, other.file.clone());
            found.push(Clash { kind, severity: kind.severity, other, path: "reference", differ: Vec::new() });
        }
        let same_number = case.person.numbers.iter().flat_map(|(detail, number)| {
            let same = others(by_number.get(&(*detail, number.as_str())));
            same.into_iter().map(|other| (*detail, other)).collect::<Vec<_>>()
        });
        let clash = |(detail, other): (Detail, &Named)| {
            let (differ, severity) = case.differs(other)?;
            let (kind, path) = (&NUMBER_TWICE, detail.path());
            Some(Clash { kind, severity, other: other.file.clone(), path, differ })
        };
        // The gravest, and of those the first.
        found.extend(same_number.filter_map(clash).min_by_key(|clash| clash.severity));
        for (reference, path) in [(&case.follows, "follows"), (&case.goes_on, "closed.because")] {
            let named = reference.as_deref().and_then(|reference| by_reference.get(reference));
            let Some(other) = others(named).first().copied() else { continue };
            if let Some((differ, severity)) = case.differs(other) {
                // Where the number is the same, that has been said.
                if found.iter().any(|one: &Clash| one.kind == &NUMBER_TWICE && one.other == other.file) {
                    continue;
                }
                found.push(Clash {
                    kind: &FOLLOWS_ANOTHER,
                    severity,
                    other: other.file.clone(),
                    path,
                    differ,
                });
            } else if path == "closed.because" && other.follows.as_ref() != Some(&case.reference) {
                let (kind, other) = (&NOT_FOLLOWED, other.file.clone());
                found.push(Clash { kind, severity: kind.severity, other, path, differ: Vec::new() });
            }
        }
        found
    };
    (0..cases.len()).map(of).collect()
}

/// The reference after which a file is named, if its name has the form of one and it is not this one.
///
/// A name has that form if it is letters and digits like the reference itself (`abc-0118` beside
/// `LFC-0117`), begins with the same letters and has only digits after them (`lfc-118`), or is
/// capitals and digits (`HP-0001`). `routine-adult`, `young-person-17` and `case-2` have not. A name
/// that goes on after the reference (`LFC-0117-2`) is that case's.
pub fn other_reference_in_name(stem: &str, reference: &str) -> Option<String> {
    let name = stem.to_ascii_uppercase();
    let is_allowed = |byte: u8| byte.is_ascii_uppercase() || byte.is_ascii_digit() || byte == b'-';
    let has_both = name.bytes().any(|byte| byte.is_ascii_digit())
        && name.bytes().next().is_some_and(|byte| byte.is_ascii_uppercase());
    if !has_both || !name.bytes().all(is_allowed) {
        return None;
    }
    let goes_on = name.strip_prefix(reference).is_some_and(|rest| rest.is_empty() || rest.starts_with('-'));
    let shape = |text: &str| -> Vec<u8> {
        let kind = |byte: u8| match byte {
            b'-' => b'-',
            byte if byte.is_ascii_digit() => b'9',
            _ => b'A',
        };
        text.bytes().map(kind).collect()
    };
    let letters = |text: &str| -> String { text.chars().take_while(char::is_ascii_alphabetic).collect() };
    let is_digits_after = |text: &str| {
        text.trim_start_matches(|c: char| c.is_ascii_alphabetic()).bytes().all(|b| !b.is_ascii_alphabetic())
    };
    let is_in_capitals = stem == name && name.bytes().filter(u8::is_ascii_digit).count() >= 2;
    let has_form = shape(&name) == shape(reference)
        || letters(&name) == letters(reference) && is_digits_after(&name)
        || is_in_capitals && is_digits_after(&name);
    (has_form && !goes_on).then_some(name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::TextValue;

    fn person(family: &str, born: &str, number: Option<&str>) -> Person {
        let number = [(Detail::NhsNumber, number)];
        Person::new(family, "Imogen", CivilDate::parse(born).expect("a date"), &number)
    }

    /// With numbers of other nations.
    fn with_numbers(family: &str, born: &str, chi: Option<&str>, hc: Option<&str>) -> Person {
        let numbers = [(Detail::ChiNumber, chi), (Detail::HcNumber, hc)];
        Person::new(family, "Imogen", CivilDate::parse(born).expect("a date"), &numbers)
    }

    #[test]
    fn a_number_of_another_nation_tells_patients_apart_like_an_nhs_number() {
        let (chi, hc) = (Some("0101011237"), Some("3200000015"));
        let known = Known::from_lines(&[
            with_numbers("Hollis", "2001-01-01", chi, hc).marks("salt"),
            // A later case that leaves the numbers out does not wipe them out.
            with_numbers("Hollis", "2001-01-01", None, None).marks("salt"),
        ])
        .expect("there are lines");
        let differ = |person: Person| known.differences(&person);
        assert_eq!(differ(with_numbers("Hollis", "2001-01-01", Some("010101 1237"), hc)), []);
        let corrected = with_numbers("Hollis", "2001-01-01", Some("0101201230"), hc);
        assert_eq!(differ(corrected), [Detail::ChiNumber]);
        let other = with_numbers("Hollis", "2001-01-02", Some("0201011230"), Some("3200000023"));
        let found = differ(other);
        assert_eq!(found, [Detail::Born, Detail::ChiNumber, Detail::HcNumber]);
        assert!(is_another_patient(&found));
        let line =
            serde_json::to_string(&person("Hollis", "2001-01-01", None).marks("salt")).expect("it is text");
        assert!(
            !line.contains("chi_number") && !line.contains("hc_number"),
            "as it was written before: {line}"
        );
    }

    const A: (&str, &str, Option<&str>) = ("Hollis", "1984-02-09", Some("9990000018"));

    fn differences(known: &[(&str, &str, Option<&str>)], now: (&str, &str, Option<&str>)) -> Vec<Detail> {
        let lines: Vec<Marks> =
            known.iter().map(|(family, born, number)| person(family, born, *number).marks("salt")).collect();
        let known = Known::from_lines(&lines).expect("there are lines");
        known.differences(&person(now.0, now.1, now.2))
    }

    #[test]
    fn two_of_three_are_another_patient_and_one_is_not() {
        use Detail::{Born, FamilyName, NhsNumber};
        for (now, expected) in [
            (A, vec![]),
            (("Marsh", A.1, A.2), vec![FamilyName]),
            ((A.0, "1984-09-02", A.2), vec![Born]),
            ((A.0, A.1, Some("9990000026")), vec![NhsNumber]),
            (("Marsh", "1984-09-02", A.2), vec![FamilyName, Born]),
            (("Marsh", A.1, Some("9990000026")), vec![FamilyName, NhsNumber]),
            (("Marsh", "1970-01-01", Some("9990000026")), vec![FamilyName, Born, NhsNumber]),
        ] {
            let found = differences(&[A], now);
            assert_eq!(found, expected);
            assert_eq!(is_another_patient(&found), expected.len() >= 2);
        }
    }

    #[test]
    fn a_number_that_one_side_lacks_is_no_difference_and_is_not_forgotten() {
        let without = (A.0, A.1, None);
        assert_eq!(differences(&[A], without), []);
        assert_eq!(differences(&[without], A), []);
        assert_eq!(differences(&[without], ("Marsh", "1970-01-01", None)).len(), 2);
        // Left out once, then another's put in.
        assert_eq!(differences(&[A, without], (A.0, A.1, Some("9990000026"))), [Detail::NhsNumber]);
        assert_eq!(differences(&[A, ("Marsh", A.1, A.2)], ("Marsh", A.1, A.2)), [], "the last name counts");
    }

    /// Of a family whose children have no number, and share a name and perhaps a birthday.
    #[test]
    fn brothers_and_sisters_are_told_apart_by_their_given_names() {
        use Detail::{Born, FamilyName, GivenName, NhsNumber};
        let child = |family: &str, given: &str, born: &str, number: Option<&str>| {
            let born = CivilDate::parse(born).expect("a date");
            Person::new(family, given, born, &[(NhsNumber, number)])
        };
        let (one, two) = (Some("9990000018"), Some("9990000026"));
        let ada = |number| child("Marsh", "Ada Jane", "2014-05-03", number);
        for (known, now, expected, is_another) in [
            (None, child("Marsh", "Bea", "2016-08-11", None), vec![Born, GivenName], true),
            (None, child("Marsh", "Bea", "2014-05-03", None), vec![GivenName], false),
            (one, child("Marsh", "Bea", "2014-05-03", two), vec![NhsNumber, GivenName], true),
            (one, child("Marsh", "Bea", "2016-08-11", None), vec![Born, GivenName], true),
            // Shortened, or written with the second name.
            (one, child("Marsh", "Addie", "2014-05-03", one), vec![], false),
            (None, child("Marsh", "ADA", "2014-05-03", None), vec![], false),
            // Both names changed: one person may do so.
            (None, child("Vane", "Bea", "2014-05-03", None), vec![FamilyName, GivenName], false),
            (None, child("Vane", "Bea", "2016-08-11", None), vec![FamilyName, Born, GivenName], true),
        ] {
            let known = Known::from_lines([&ada(known).marks("salt")]).expect("a line");
            let found = known.differences(&now);
            assert_eq!(found, expected);
            assert_eq!(is_another_patient(&found), is_another, "{expected:?}");
        }
        let older = Marks { given: None, ..ada(None).marks("salt") };
        let known = Known::from_lines([&older]).expect("a line");
        assert_eq!(known.differences(&child("Marsh", "Bea", "2014-05-03", None)), [], "nothing to compare");
        let line = serde_json::to_string(&older).expect("it is text");
        assert!(!line.contains("given"), "as it was written before: {line}");
    }

    #[test]
    fn spellings_of_one_name_are_alike() {
        for (one, other) in [
            ("O'Brien", "O’BRIEN"),
            ("Smith-Jones", "smith jones"),
            ("Zoe\u{301}", "ZOÉ"),
            (" Hollis ", "Hollis"),
            ("MacDonald", "Mac Donald"),
            ("\u{936}\u{930}\u{94d}\u{200d}\u{92e}\u{93e}", "\u{936}\u{930}\u{94d}\u{92e}\u{93e}"),
        ] {
            assert_eq!(alike(one), alike(other), "{one}");
        }
        assert_ne!(alike("Hollis"), alike("Hollies"));
        assert_ne!(alike("Zoë"), alike("Zoe"));
    }

    #[test]
    fn no_mark_says_what_it_was_made_of_and_another_salt_makes_another() {
        let marks = person(A.0, A.1, A.2).marks("salt");
        let text = format!("{marks:?}{:?}", person(A.0, A.1, A.2)).to_lowercase();
        assert!(!["hollis", "1984", "9990000018"].iter().any(|value| text.contains(value)), "{text}");
        let other = person(A.0, A.1, A.2).marks("pepper");
        assert!(
            marks.family != other.family && marks.born != other.born && marks.nhs_number != other.nhs_number
        );
    }

    fn named(file: &str, reference: &str, person: Person) -> Named {
        Named { file: file.into(), reference: reference.into(), person, follows: None, goes_on: None }
    }

    #[test]
    fn the_case_before_and_the_case_after_are_one_patients() {
        let first = |goes_on: &str| Named {
            goes_on: Some(goes_on.to_owned()),
            ..named("first", "LFC-0136", person(A.0, A.1, A.2))
        };
        let second = |who: (&str, &str, Option<&str>), follows: Option<&str>| Named {
            follows: follows.map(str::to_owned),
            ..named("second", "LFC-0138", person(who.0, who.1, who.2))
        };
        let found = |second: Named| {
            let found = clashes(&[first("LFC-0138"), second]);
            let each = found.iter().map(|found| {
                let each = found
                    .iter()
                    .map(|one| format!("{}: {} {}", one.path, one.kind.name, one.severity.word()));
                each.collect::<Vec<_>>().join("; ")
            });
            each.collect::<Vec<_>>()
        };
        assert_eq!(found(second(A, Some("LFC-0136"))), ["", ""]);
        assert_eq!(found(second(A, None)), ["closed.because: new-case-does-not-follow stop", ""]);
        let other = (A.0, "1970-01-01", None);
        assert_eq!(
            found(second(other, Some("LFC-0136"))),
            ["closed.because: follows-another-patient stop", "follows: follows-another-patient stop"]
        );
        let married = ("Marsh", A.1, None);
        assert_eq!(
            found(second(married, Some("LFC-0136"))),
            ["closed.because: follows-another-patient note", "follows: follows-another-patient note"]
        );
        assert_eq!(clashes(&[first("LFC-0999"), second(A, None)]), [vec![], vec![]], "not in the run");
    }

    #[test]
    fn cases_of_a_run_are_compared() {
        let here = person(A.0, A.1, A.2);
        let all = [
            named("a", "LFC-0117", here.clone()),
            named("b", "LFC-0118", here.clone()),
            named("c", "LFC-0119", person("Marsh", A.1, A.2)),
            named("d", "LFC-0117", person("Marsh", "1970-01-01", None)),
            named("e", "LFC-0121", person(A.0, "1970-01-01", Some("9990000026"))),
            named("f", "LFC-0122", person(A.0, "1970-01-02", Some("9990000026"))),
        ];
        let found: Vec<Vec<(&str, Severity, String)>> = clashes(&all)
            .into_iter()
            .map(|found| found.into_iter().map(|one| (one.kind.name, one.severity, one.other)).collect())
            .collect();
        let stop = |name, other: &str| (name, Severity::Stop, other.to_owned());
        let note = |name, other: &str| (name, Severity::Note, other.to_owned());
        assert_eq!(
            found,
            [
                vec![stop("reference-twice", "d"), note("nhs-number-twice", "c")],
                vec![note("nhs-number-twice", "c")],
                vec![note("nhs-number-twice", "a")],
                vec![stop("reference-twice", "a")],
                vec![stop("nhs-number-twice", "f")],
                vec![stop("nhs-number-twice", "e")],
            ]
        );
        assert_eq!(clashes(&all[..2]), [vec![], vec![]], "one patient may have two cases");
    }

    #[test]
    fn twins_are_told_apart_by_their_given_names() {
        let born = CivilDate::parse("2010-05-01").expect("a date");
        let twin = |given| Person::new("Marsh", given, born, &[(Detail::NhsNumber, Some("9990000018"))]);
        let all = [named("a", "LFC-1", twin("Ada Jane")), named("b", "LFC-2", twin("Bea"))];
        assert_eq!(clashes(&all)[0][0].severity, Severity::Stop);
        let same = [named("a", "LFC-1", twin("Ada Jane")), named("b", "LFC-2", twin("ADA"))];
        assert_eq!(clashes(&same), [vec![], vec![]]);
    }

    #[test]
    fn a_file_may_be_called_anything_but_another_reference() {
        for stem in ["LFC-0118", "lfc-0118", "Lfc-118", "abc-0118", "HP-0001", "LFC0118"] {
            assert_eq!(
                other_reference_in_name(stem, "LFC-0117").as_deref(),
                Some(stem.to_ascii_uppercase().as_str()),
                "{stem}"
            );
        }
        for stem in [
            "LFC-0117",
            "lfc-0117",
            "LFC-0117-2",
            "routine-adult",
            "young-person-17",
            "case-2",
            "case",
            "2026-11-24",
            "visit 3",
            "patient-001x",
            "été-0118",
            "A",
        ] {
            assert_eq!(other_reference_in_name(stem, "LFC-0117"), None, "{stem}");
        }
    }

    #[test]
    fn every_comparison_is_named_once_and_explained() {
        let mut names: Vec<&str> = COMPARISONS.iter().map(|one| one.name).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), COMPARISONS.len());
        for one in COMPARISONS {
            assert!(
                one.why.ends_with('.') && one.found.ends_with('.') && !one.title.ends_with('.'),
                "{}",
                one.name
            );
        }
    }
}
