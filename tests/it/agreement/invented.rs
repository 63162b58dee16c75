//! Invented cases with all that may change what pages say: who decides and in which nation, what is planned
//! and what was given, the history, the feet, and how the patient reads.
//!
//! Each is read, derived and set as any case is. The numbers walk through every solution and every decider;
//! all else is thrown.

use std::sync::{Arc, OnceLock};

use unguis::demo;
use unguis::diagnostic::SourceText;
use unguis::facts::Facts;
use unguis::pipeline::check;

use super::pages::{Pages, set_all};
use super::who_and_numb::{DECIDERS, Decides, SOLUTIONS, Solution};
use crate::support::Random;

/// How many; more than there are solutions times two, and three times as many as there are deciders.
const CASES: usize = 76;

/// What is true of an invented case.
pub(super) struct Truth {
    pub(super) decides: &'static Decides,
    pub(super) planned: &'static Solution,
    pub(super) given: &'static Solution,
    /// Minutes from midnight of the day of surgery; `None` if the time is not recorded.
    pub(super) at: Option<u32>,
}

/// A line of the invented text, and what may stand there instead.
const THROWN: &[(&str, &[&str])] = &[
    (
        "  conditions: []\n",
        &[
            "  conditions: []\n",
            "  conditions: [PAD]\n",
            "  conditions: [Raynaud's]\n",
            "  conditions: [peripheral neuropathy, asthma]\n",
            "  conditions: [haemophilia]\n",
            "  conditions: [HIV]\n",
            "  conditions: [type 1 diabetes]\n",
            "  conditions: [epilepsy]\n",
            "  conditions: [lactating]\n",
            "  conditions: [severe frailty]\n",
        ],
    ),
    (
        "  diabetes: none\n",
        &["  diabetes: none\n", "  diabetes: {type: 2, hba1c: 58 mmol/mol, tested: 2026-10-02}\n", ""],
    ),
    ("  smoker: false\n", &["  smoker: false\n", "  smoker: true\n", "  smoker: ex\n", ""]),
    ("  pregnant: false\n", &["  pregnant: false\n", "  pregnant: true\n", ""]),
    ("  allergies: none known\n", &["  allergies: none known\n", "  allergies: [{to: latex}]\n", ""]),
    (
        "  right: {pulses: palpable}\n  left: {pulses: palpable}\n",
        &[
            "  right: {pulses: palpable}\n  left: {pulses: palpable}\n",
            "  right: {pulses: absent}\n  left: {pulses: palpable}\n",
            "  right: {pulses: palpable}\n  left: {pulses: weak, toe: 45}\n",
            "  brachial: {right: 134, left: 130}\n  right: {toe: 80}\n  left: {toe: 95}\n",
        ],
    ),
    (
        "sensation: {right: 10/10, left: 10/10}\n",
        &[
            "sensation: {right: 10/10, left: 10/10}\n",
            "sensation: {right: 8/10, left: 9/10}\n",
            "sensation: {right: 3/3, left: 2/3}\n",
            "",
        ],
    ),
];

/// Medicines beside the one that the invented case takes.
const MEDICINES: &[&str] = &["", "", "apixaban 5 mg bd", "aspirin", "methotrexate", "insulin"];

/// How the patient reads.
const NEEDS: &[&str] = &["", "", "", "  needs: [easy read]\n", "  needs: [large print]\n"];

/// When it was injected.
const TIMES: &[Option<(u32, u32)>] = &[Some((9, 35)), Some((9, 32)), Some((16, 47)), Some((21, 30)), None];

/// Case text, clinic text and truth of each.
fn texts() -> Vec<(String, String, String, Truth)> {
    let mut random = Random(0x1D0C_5EED);
    let cases = demo::invent(u32::try_from(CASES).expect("a small number"), 11).into_iter().enumerate();
    let each = cases.map(|(number, (name, text))| {
        let decides = &DECIDERS[number % DECIDERS.len()];
        let given = &SOLUTIONS[number % SOLUTIONS.len()];
        let planned =
            if random.once_in(3) { random.pick(&SOLUTIONS.iter().collect::<Vec<_>>()) } else { given };
        let at = random.pick(TIMES);
        let mut text = text;
        for (line, others) in THROWN {
            text = replaced(&text, line, random.pick(others));
        }
        let medicine = random.pick(MEDICINES);
        if !medicine.is_empty() {
            text = replaced(&text, "  medicines: [", &format!("  medicines: [{medicine}, "));
            text = text.replace(", ]", "]");
        }
        let born =
            text.lines().find(|line| line.starts_with("  born: ")).expect("a date of birth").to_owned();
        if let Some(born_on) = decides.born {
            text = replaced(&text, &born, &format!("  born: {born_on}"));
        }
        let needs = random.pick(NEEDS);
        text = replaced(&text, "gp: birchgate\n", &format!("{}{needs}gp: birchgate\n", decides.patient));
        text = replaced(&text, "  by: patient\n", decides.consent);
        text = replaced(&text, "{agent: mepivacaine, strength: 3 %,", &format!("{{{},", given.entry));
        let time =
            at.map_or_else(String::new, |(hour, minute)| format!("      at: \"{hour:02}:{minute:02}\"\n"));
        text = replaced(&text, "      at: \"09:35\"\n", &time);
        text.push_str(&format!("planned_anaesthetic: {{{}}}\n", planned.entry));
        let division = format!("division: {}\n", decides.division);
        let clinic = replaced(demo::CLINIC, "division: england-and-wales\n", &division);
        let truth = Truth { decides, planned, given, at: at.map(|(hour, minute)| hour * 60 + minute) };
        (name, text, clinic, truth)
    });
    each.collect()
}

/// What is replaced must be there: a text that changed would leave every case the same.
fn replaced(text: &str, from: &str, to: &str) -> String {
    assert!(text.contains(from), "`{from}` is not in\n{text}");
    text.replacen(from, to, 1)
}

fn facts(name: &str, text: &str, clinic: &str) -> Facts {
    let clinic = Arc::new(SourceText::new("clinic.yaml", clinic));
    let checked = check(Arc::new(SourceText::new(name, text)), &clinic, demo::today());
    let found = format!("{:#?}\n{text}", checked.diagnostics);
    checked.facts.unwrap_or_else(|| panic!("{name} cannot be read: {found}"))
}

fn made() -> &'static (Vec<Pages>, Vec<Truth>) {
    static MADE: OnceLock<(Vec<Pages>, Vec<Truth>)> = OnceLock::new();
    MADE.get_or_init(|| {
        let mut cases = Vec::new();
        let mut truths = Vec::new();
        for (name, text, clinic, truth) in texts() {
            cases.push((name.clone(), facts(&name, &text, &clinic)));
            truths.push(truth);
        }
        (set_all(cases), truths)
    })
}

/// The invented cases, each document set once.
pub(super) fn pages() -> &'static [Pages] {
    &made().0
}

/// The same, each with what is true of it.
pub(super) fn with_truth() -> impl Iterator<Item = (&'static Pages, &'static Truth)> {
    let (pages, truths) = made();
    pages.iter().zip(truths)
}

/// What the table of facts looks for is there in some of them and not in others: else they show nothing.
#[test]
fn the_invented_cases_differ_in_every_fact() {
    for fact in super::FACTS {
        let held = pages().iter().filter(|pages| (fact.holds)(&pages.facts)).count();
        assert!(0 < held && held < CASES, "{}: {held} of {CASES}", fact.name);
    }
    let easy = pages().iter().filter_map(|pages| pages.text("aftercare-leaflet"));
    assert!(easy.filter(|text| text.contains("Numb means that you cannot feel")).count() > 5);
}
