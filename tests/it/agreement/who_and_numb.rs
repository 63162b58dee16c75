//! Who decides, and how long the toe stays numb: what the consent form, the leaflets, the operation note and
//! the letter say, held against truths that were written by hand.

use unguis::derive::{Decider, Numbness, Usual};

use super::invented::{Truth, with_truth};
use super::pages::Pages;
use super::{demo_cases, variations};

/// A solution as an entry has it, and how long it numbs.
pub(super) struct Solution {
    pub(super) entry: &'static str,
    hours: Hours,
    /// Hours after which a toe that is still numb is to be asked about.
    ring_after: u32,
}

/// How long a toe usually stays numb.
#[derive(Clone, Copy)]
enum Hours {
    Between(u32, u32),
    Few,
    UpTo(u32),
}

/// By hand, from the rows and the rule for what is not in them: Keramidas and Rodopoulou 2007, Alhelail 2009,
/// Thomson and Lalonde 2006; common practice for a few hours; a day where nothing is known.
pub(super) const SOLUTIONS: &[Solution] = &[
    Solution { entry: "agent: mepivacaine, strength: 3 %", hours: Hours::Few, ring_after: 12 },
    Solution { entry: "agent: lidocaine, strength: 2 %", hours: Hours::Between(1, 6), ring_after: 12 },
    Solution { entry: "agent: bupivacaine, strength: 0.5 %", hours: Hours::Between(4, 30), ring_after: 36 },
    Solution { entry: "agent: ropivacaine, strength: 0.75 %", hours: Hours::Between(19, 24), ring_after: 36 },
    Solution {
        entry: "agent: lidocaine, strength: 1 %, adrenaline: \"1:200000\"",
        hours: Hours::Between(4, 12),
        ring_after: 24,
    },
    Solution { entry: "agent: articaine, strength: 4 %", hours: Hours::UpTo(24), ring_after: 24 },
    Solution { entry: "agent: Lignocaine, strength: 1 %", hours: Hours::Between(1, 6), ring_after: 12 },
];

/// Who decides in a case, and the words by which each page says so.
pub(super) struct Decides {
    pub(super) division: &'static str,
    /// `None` for an adult, as invented.
    pub(super) born: Option<&'static str>,
    /// Lines of the block `patient`.
    pub(super) patient: &'static str,
    /// Lines of the block `consent`.
    pub(super) consent: &'static str,
    /// Below the title of the form.
    subtitle: &'static str,
    /// Over the signature of the form.
    statement: &'static str,
    /// In the operation note and in the letter.
    note: &'static str,
    is_under_16: bool,
}

const AT_13: Option<&str> = Some("2013-06-01");
const AT_17: Option<&str> = Some("2009-06-01");

const FATHER: &str =
    "  guardian: {name: Ellis Sorrel, relationship: father, parental_responsibility: true}\n";
const GUARDIAN: &str = "  by: guardian\n";
const OWN: &str = "  by: patient\n";
const ATTORNEY: &str =
    "  by: attorney\n  authority: {name: Ada Sorrel, relationship: daughter, seen: 2026-11-20}\n";
const DEPUTY: &str =
    "  by: deputy\n  authority: {name: Ada Sorrel, relationship: daughter, seen: 2026-11-20}\n";
const WELFARE: &str =
    "  by: welfare guardian\n  authority: {name: Ada Sorrel, relationship: daughter, seen: 2026-11-20}\n";
const BEST: &str =
    "  by: best interests\n  capacity: could not hold it in mind\n  best_interests: pain on walking\n";
const CERTIFICATE: &str = "  by: certificate\n  benefit: pain on walking\n  certificate: {signed_by: Dr A. Vane, \
                           profession: doctor, from: 2026-11-01, until: 2027-10-31}\n";

const ADULT_FORM: &str = "For an adult who decides for themselves";
const YOUNG_FORM: &str = "For a young person of 16 or 17 who decides for themselves";
const CHILD_FORM: &str = "For a child under 16 who understands and decides";
const PARENT_FORM: &str = "For a child: a parent or guardian decides";
const YOUNG_PARENT_FORM: &str =
    "For a young person who cannot make this decision: a parent or guardian decides";
const ATTORNEY_FORM: &str = "For someone who cannot make this decision: their attorney decides";
const DEPUTY_FORM: &str = "For someone who cannot make this decision: a deputy of the court decides";
const WELFARE_FORM: &str = "For someone who cannot make this decision: their welfare guardian decides";
const NOBODY_FORM: &str = "For someone who cannot make this decision. Nobody consents for them.";

const FORMS: &[&str] = &[
    ADULT_FORM,
    YOUNG_FORM,
    CHILD_FORM,
    PARENT_FORM,
    YOUNG_PARENT_FORM,
    ATTORNEY_FORM,
    DEPUTY_FORM,
    WELFARE_FORM,
    NOBODY_FORM,
];

const STATEMENTS: &[&str] = &[
    "Your statement",
    "Statement of the parent or guardian",
    "Statement of the attorney",
    "Statement of the deputy",
    "Statement of the welfare guardian",
    "cannot make this decision at this time, even with support. No valid refusal",
    "cannot make this decision at this time, even with support. The certificate above",
];

const BY_PATIENT: &str = "by the patient";
const BY_FATHER: &str = "by Ellis Sorrel (father)";
const NOTES: &[&str] = &[
    BY_PATIENT,
    BY_FATHER,
    "by Ada Sorrel (daughter), attorney",
    "by Ada Sorrel (daughter), deputy",
    "by Ada Sorrel (daughter), welfare guardian",
    "Made in best interests",
    "Certificate of incapacity (section 47) signed by Dr A. Vane (doctor)",
];

const fn row(
    division: &'static str,
    born: Option<&'static str>,
    (patient, consent): (&'static str, &'static str),
    subtitle: &'static str,
    (statement, note): (usize, usize),
) -> Decides {
    let is_under_16 = match born {
        // Of the two dates above the later one.
        Some(born) => born.as_bytes()[3] == b'3',
        None => false,
    };
    let (statement, note) = (STATEMENTS[statement], NOTES[note]);
    Decides { division, born, patient, consent, subtitle, statement, note, is_under_16 }
}

const EW: &str = "england-and-wales";
const SC: &str = "scotland";
const NI: &str = "northern-ireland";

/// By hand: Family Law Reform Act 1969 section 8 and Mental Capacity Act 2005 (England and Wales); Age of
/// Legal Capacity (Scotland) Act 1991 and Adults with Incapacity (Scotland) Act 2000; Age of Majority Act
/// (Northern Ireland) 1969 section 4, and common law.
pub(super) const DECIDERS: &[Decides] = &[
    row(EW, None, ("", OWN), ADULT_FORM, (0, 0)),
    row(EW, AT_17, ("", OWN), YOUNG_FORM, (0, 0)),
    row(EW, AT_13, (FATHER, OWN), CHILD_FORM, (0, 0)),
    row(EW, AT_13, (FATHER, GUARDIAN), PARENT_FORM, (1, 1)),
    row(
        EW,
        AT_17,
        (FATHER, "  by: guardian\n  capacity: could not hold it in mind\n"),
        YOUNG_PARENT_FORM,
        (1, 1),
    ),
    row(EW, None, ("", ATTORNEY), ATTORNEY_FORM, (2, 2)),
    row(EW, None, ("", DEPUTY), DEPUTY_FORM, (3, 3)),
    row(EW, None, ("", BEST), NOBODY_FORM, (5, 5)),
    row(SC, None, ("", OWN), ADULT_FORM, (0, 0)),
    row(SC, AT_17, ("", OWN), ADULT_FORM, (0, 0)),
    row(SC, AT_13, (FATHER, OWN), CHILD_FORM, (0, 0)),
    row(SC, AT_13, (FATHER, GUARDIAN), PARENT_FORM, (1, 1)),
    row(SC, None, ("", ATTORNEY), ATTORNEY_FORM, (2, 2)),
    row(SC, None, ("", WELFARE), WELFARE_FORM, (4, 4)),
    row(SC, None, ("", CERTIFICATE), NOBODY_FORM, (6, 6)),
    row(NI, None, ("", OWN), ADULT_FORM, (0, 0)),
    row(NI, AT_17, ("", OWN), YOUNG_FORM, (0, 0)),
    row(NI, AT_13, (FATHER, GUARDIAN), PARENT_FORM, (1, 1)),
    row(NI, None, ("", BEST), NOBODY_FORM, (5, 5)),
];

/// Of all these words a page says one, and it is this.
fn says_only(pages: &Pages, document: &str, all: &[String], wanted: &str, wrong: &mut Vec<String>) {
    let Some(text) = pages.text(document) else {
        wrong.push(format!("{}: there is no {document}", pages.name));
        return;
    };
    for words in all.iter().filter(|words| *words != wanted).filter(|words| text.contains(*words)) {
        wrong.push(format!("{}: the {document} says `{words}` and should say `{wanted}`", pages.name));
    }
    if !text.contains(wanted) {
        wrong.push(format!("{}: the {document} does not say `{wanted}`", pages.name));
    }
}

fn owned(words: &[&str]) -> Vec<String> {
    words.iter().map(|words| (*words).to_owned()).collect()
}

#[test]
fn form_note_letter_and_leaflet_agree_on_who_decides() {
    let mut wrong = Vec::new();
    for (pages, Truth { decides, .. }) in with_truth() {
        says_only(pages, "consent-form", &owned(FORMS), decides.subtitle, &mut wrong);
        says_only(pages, "consent-form", &owned(STATEMENTS), decides.statement, &mut wrong);
        for document in ["operation-note", "gp-letter"] {
            says_only(pages, document, &owned(NOTES), decides.note, &mut wrong);
        }
        // A father is told where he decides, and not of a child who decides alone.
        let letter = pages.text("gp-letter").unwrap_or_default();
        if letter.contains("Ellis Sorrel") != (decides.note == BY_FATHER) {
            wrong.push(format!("{}: whom the letter goes to", pages.name));
        }
        let leaflet = pages.text("aftercare-leaflet").unwrap_or_default();
        if leaflet.contains("Please read it together") != decides.is_under_16 {
            wrong.push(format!("{}: for whom the leaflet is written", pages.name));
        }
    }
    assert!(wrong.is_empty(), "{} disagreements\n{}", wrong.len(), wrong.join("\n"));
}

impl Hours {
    fn on_the_form(self) -> String {
        match self {
            Hours::Between(from, to) => format!("usually stays numb for {from} to {to} hours."),
            Hours::Few => "usually stays numb for a few hours.".to_owned(),
            Hours::UpTo(24) => "may stay numb for many hours, up to a day.".to_owned(),
            Hours::UpTo(hours) => format!("may stay numb for up to {hours} hours."),
        }
    }

    /// In the leaflet and, in other words, in the easy read one.
    fn in_the_leaflet(self, at: Option<u32>, is_easy: bool) -> String {
        match (self, at, is_easy) {
            (Hours::Between(from, to), Some(at), _) => {
                let (from, to) = (down(at + from * 60), up(at + to * 60));
                let has_days = from / DAY != to / DAY;
                let (from, to) = (when(from, has_days), when(to, has_days || to >= DAY));
                format!("eeling usually comes back between {from} and {to}.")
            }
            (Hours::Between(from, to), None, false) => format!("This usually lasts {from} to {to} hours."),
            (Hours::Between(from, to), None, true) => {
                format!("usually comes back after {from} to {to} hours.")
            }
            (Hours::Few, _, false) => "This usually lasts a few hours.".to_owned(),
            (Hours::Few, _, true) => "usually comes back after a few hours.".to_owned(),
            (Hours::UpTo(24), _, false) => "This may last for many hours, up to a day.".to_owned(),
            (Hours::UpTo(24), _, true) => "It may take many hours, up to a day, to feel it again.".to_owned(),
            (Hours::UpTo(hours), _, false) => format!("This may last for up to {hours} hours."),
            (Hours::UpTo(hours), _, true) => format!("It may take up to {hours} hours to feel it again."),
        }
    }
}

/// Minutes.
const DAY: u32 = 24 * 60;

/// Widened to five minutes: earlier.
fn down(minutes: u32) -> u32 {
    minutes - minutes % 5
}

/// Widened to five minutes: later.
fn up(minutes: u32) -> u32 {
    down(minutes + 4)
}

/// `9:35pm today`; the day of surgery is a Tuesday.
fn when(minutes: u32, has_day: bool) -> String {
    let (hour, minute) = (minutes % DAY / 60, minutes % 60);
    let half = if hour < 12 { "am" } else { "pm" };
    let hour = if hour % 12 == 0 { 12 } else { hour % 12 };
    let time = if minute == 0 { format!("{hour}{half}") } else { format!("{hour}:{minute:02}{half}") };
    match minutes / DAY {
        _ if !has_day => time,
        0 => format!("{time} today"),
        1 => format!("{time} tomorrow"),
        _ => format!("{time} on Thursday"),
    }
}

fn ring(after: u32, at: Option<u32>) -> String {
    match at {
        Some(at) => format!("still numb at {}", when(up(at + after * 60), true)),
        None => format!("still numb {after} hours after the injection"),
    }
}

#[test]
fn form_and_leaflets_agree_on_how_long_the_toe_is_numb() {
    let mut wrong = Vec::new();
    for (pages, Truth { planned, given, at, .. }) in with_truth() {
        let all: Vec<String> = SOLUTIONS.iter().map(|one| one.hours.on_the_form()).collect();
        says_only(pages, "consent-form", &all, &planned.hours.on_the_form(), &mut wrong);
        let leaflet = pages.text("aftercare-leaflet").unwrap_or_default();
        let is_easy = leaflet.contains("Numb means that you cannot feel");
        let of = |one: &Solution| one.hours.in_the_leaflet(*at, is_easy);
        let all: Vec<String> = SOLUTIONS.iter().map(of).collect();
        says_only(pages, "aftercare-leaflet", &all, &of(given), &mut wrong);
        let all: Vec<String> = SOLUTIONS.iter().map(|one| ring(one.ring_after, *at)).collect();
        says_only(pages, "aftercare-leaflet", &all, &ring(given.ring_after, *at), &mut wrong);
    }
    assert!(wrong.is_empty(), "{} disagreements\n{}", wrong.len(), wrong.join("\n"));
}

/// Two sentences about the same hours, as the two halves of the table have them.
fn hours_of(numb: &Numbness) -> Hours {
    match numb.usual {
        Usual::Between { from, to } => Hours::Between(from, to),
        Usual::AFewHours => Hours::Few,
        Usual::UpTo(to) => Hours::UpTo(to),
    }
}

/// Of these the truth is what was derived.
#[test]
fn the_demo_cases_and_the_variations_say_who_decides_and_how_long_the_toe_is_numb() {
    let mut wrong = Vec::new();
    let mut seen = 0;
    for pages in demo_cases().iter().chain(variations()) {
        let derived = &pages.facts.derived;
        let Some(form) = pages.text("consent-form") else { continue };
        let maker = derived.decision_maker.get().expect("a form is made only where it is known");
        let subtitle = match maker.decider {
            Decider::Adult => ADULT_FORM,
            Decider::YoungPerson => YOUNG_FORM,
            Decider::Child => CHILD_FORM,
            Decider::Parent if maker.is_child() => PARENT_FORM,
            Decider::Parent => YOUNG_PARENT_FORM,
            Decider::Attorney => ATTORNEY_FORM,
            Decider::Deputy => DEPUTY_FORM,
            Decider::WelfareGuardian => WELFARE_FORM,
            Decider::BestInterests | Decider::Certificate => NOBODY_FORM,
        };
        says_only(pages, "consent-form", &owned(FORMS), subtitle, &mut wrong);
        let planned = hours_of(derived.numb_planned.get().expect("there is a plan")).on_the_form();
        let several = planned.replace("usually stays", "usually stay");
        if !form.contains(&planned) && !form.contains(&several) {
            wrong.push(format!("{}: the consent-form does not say `{planned}`", pages.name));
        }
        let given = derived.numb_given.get().filter(|numb| numb.back.is_none());
        if let (Some(given), Some(leaflet)) = (given, pages.text("aftercare-leaflet")) {
            let either = [false, true].map(|is_easy| hours_of(given).in_the_leaflet(None, is_easy));
            if !either.iter().any(|words| leaflet.contains(words)) {
                wrong.push(format!("{}: the leaflet does not say `{}`", pages.name, either[0]));
            }
        }
        seen += 1;
    }
    assert!(seen > 40, "{seen} forms");
    assert!(wrong.is_empty(), "{} disagreements\n{}", wrong.len(), wrong.join("\n"));
}
