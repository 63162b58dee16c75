//! What the documents of one case say of one patient, held against each other and against what the case
//! says: no page may say a fact otherwise than it was decided, and no two pages may contradict each other.
//!
//! The truth of each variation is written by hand beside it, so that neither the derivation nor the pages
//! are held against themselves. The demo cases are held against the derivation.

mod invented;
mod nations;
mod pages;
mod who_and_numb;

use std::sync::{Arc, OnceLock};

use unguis::anatomy::Side;
use unguis::demo;
use unguis::derive::{BySide, Fact};
use unguis::diagnostic::SourceText;
use unguis::facts::Facts;
use unguis::pipeline::check;
use unguis::rules::{check_all, example::facts_of};

use pages::{Pages, set_all};

/// A fact of the patient, and the words with which each document says that it holds.
struct Told {
    name: &'static str,
    /// As it was derived.
    holds: fn(&Facts) -> bool,
    /// Document and words; the document says the fact with one of them, and never if it does not hold.
    words: &'static [(&'static str, &'static [&'static str])],
    /// The rule that speaks of it where surgery with phenol is done; empty if none does.
    rule: &'static str,
    /// A fact from which this one follows; empty if there is none.
    follows: &'static str,
}

impl Told {
    fn is_in(&self, truth: &[&str]) -> bool {
        truth.contains(&self.name) || truth.contains(&self.follows)
    }
}

/// The foot under surgery in every variation is the left.
fn of_a_foot_under_surgery(facts: &Facts, fact: &BySide<Fact>) -> bool {
    let mut toes = facts.operated().into_iter().map(|(toe, _)| toe).collect::<Vec<_>>();
    toes.extend(facts.planned().into_iter().map(|(toe, _)| toe));
    toes.into_iter().any(|toe| fact.get(toe.side()).holds())
}

const FACTS: &[Told] = &[
    Told {
        name: "poor circulation",
        holds: |facts| of_a_foot_under_surgery(facts, &facts.derived.poor_circulation),
        words: &[
            ("consent-form", &["Less blood flows to your foot"]),
            ("aftercare-leaflet", &["Less blood flows to your foot", "Not enough blood flows to your foot"]),
        ],
        rule: "phenol-poor-circulation",
        follows: "",
    },
    Told {
        name: "reduced feeling",
        holds: |facts| of_a_foot_under_surgery(facts, &facts.derived.reduced_feeling),
        words: &[
            ("consent-form", &["You feel less in your foot"]),
            ("aftercare-leaflet", &["You feel less in your foot"]),
        ],
        rule: "sensation-reduced",
        follows: "",
    },
    // Colleagues are told of both feet, the patient of the one under surgery.
    Told {
        name: "poor circulation of a foot",
        holds: |facts| Side::BOTH.iter().any(|side| facts.derived.poor_circulation.get(*side).holds()),
        words: &[("operation-note", &["Poor circulation:"]), ("gp-letter", &["; poor circulation"])],
        rule: "",
        follows: "poor circulation",
    },
    Told {
        name: "reduced feeling of a foot",
        holds: |facts| Side::BOTH.iter().any(|side| facts.derived.reduced_feeling.get(*side).holds()),
        words: &[("operation-note", &["Reduced feeling:"]), ("gp-letter", &["; reduced feeling"])],
        rule: "",
        follows: "reduced feeling",
    },
    Told {
        name: "toes that lose blood in the cold",
        // Of two things about the blood in a foot under surgery the patient is told the worse one.
        holds: |facts| {
            let derived = &facts.derived;
            derived.vasospasm.holds() && !of_a_foot_under_surgery(facts, &derived.poor_circulation)
        },
        words: &[
            ("consent-form", &["Your toes can lose blood in the cold"]),
            ("aftercare-leaflet", &["Your toes can lose blood in the cold"]),
        ],
        rule: "phenol-poor-circulation",
        follows: "",
    },
    Told {
        name: "vasospasm, for colleagues",
        holds: |facts| facts.derived.vasospasm.holds(),
        words: &[
            ("operation-note", &["Toes that lose blood in the cold:"]),
            ("gp-letter", &["Toes that lose blood in the cold:"]),
        ],
        rule: "",
        follows: "toes that lose blood in the cold",
    },
    Told {
        name: "diabetes",
        holds: |facts| facts.derived.diabetes.holds(),
        words: &[
            ("operation-note", &["Diabetes Type ", "nothing more recorded"]),
            ("gp-letter", &["Has diabetes:"]),
            ("consent-form", &["You have diabetes."]),
            ("aftercare-leaflet", &["You have diabetes"]),
        ],
        rule: "",
        follows: "",
    },
    Told {
        name: "pregnancy",
        holds: |facts| facts.derived.pregnancy.holds(),
        words: &[
            ("operation-note", &["; pregnant"]),
            ("gp-letter", &[" Pregnant."]),
            ("consent-form", &["You are pregnant."]),
            ("aftercare-leaflet", &["while you are pregnant"]),
        ],
        rule: "phenol-pregnancy",
        follows: "",
    },
    Told {
        name: "anticoagulant",
        holds: |facts| !facts.derived.bleeding_risk.anticoagulants.is_empty(),
        words: &[(
            "aftercare-leaflet",
            &["You take a blood thinner", "a medicine that makes you bleed for longer"],
        )],
        rule: "anticoagulant",
        follows: "",
    },
    Told {
        name: "thinner of any kind",
        holds: |facts| {
            let risk = &facts.derived.bleeding_risk;
            !risk.anticoagulants.is_empty() || !risk.antiplatelets.is_empty()
        },
        words: &[
            ("operation-note", &["Bleeds for longer: takes"]),
            ("gp-letter", &["Bleeds for longer: takes"]),
            ("consent-form", &["Your toe may bleed more and for longer. Keep taking your medicine"]),
        ],
        rule: "",
        follows: "",
    },
    Told {
        name: "bleeding disorder",
        holds: |facts| !facts.derived.bleeding_risk.disorders.is_empty(),
        words: &[
            ("operation-note", &["Bleeding disorder:"]),
            ("gp-letter", &["Bleeding disorder:"]),
            ("consent-form", &["You bleed more easily than most people"]),
        ],
        rule: "bleeding-disorder",
        follows: "",
    },
    Told {
        name: "longer pressing",
        holds: |facts| facts.derived.bleeding_risk.is_raised(),
        words: &[("aftercare-leaflet", &["for 20 minutes", "20 minutes"])],
        rule: "",
        follows: "",
    },
    Told {
        name: "weak immunity",
        holds: |facts| facts.derived.weak_immunity.holds(),
        words: &[
            ("operation-note", &["Weakened immunity:"]),
            ("gp-letter", &["Weakened immunity:"]),
            ("consent-form", &["Your body may fight germs less well"]),
            (
                "aftercare-leaflet",
                &["Your body may fight germs less well", "Your body may not fight germs well"],
            ),
        ],
        rule: "immunosuppression",
        follows: "",
    },
    Told {
        name: "epilepsy",
        holds: |facts| facts.derived.epilepsy.holds(),
        words: &[("aftercare-leaflet", &["a fit that is not like your usual ones", "a new kind of fit"])],
        rule: "",
        follows: "",
    },
    Told {
        name: "breastfeeding",
        holds: |facts| facts.derived.breastfeeding.holds(),
        words: &[
            ("operation-note", &["; breastfeeding"]),
            ("consent-form", &["You are breastfeeding."]),
            ("aftercare-leaflet", &["You are breastfeeding"]),
        ],
        rule: "",
        follows: "",
    },
    Told {
        name: "smoking",
        holds: |facts| facts.derived.smoking.holds(),
        words: &[
            ("operation-note", &["Smoking Smokes"]),
            ("consent-form", &["You smoke. Smoking slows healing"]),
            ("aftercare-leaflet", &["Smoking slows healing", "Smoking makes healing slow"]),
        ],
        rule: "",
        follows: "",
    },
    Told {
        name: "frailty",
        holds: |facts| facts.derived.frailty.holds(),
        words: &[("operation-note", &["; frail"])],
        rule: "",
        follows: "",
    },
    Told {
        name: "over 60",
        holds: |facts| facts.derived.infection_is_likelier_by_age(),
        words: &[("consent-form", &["You are over 60"])],
        rule: "",
        follows: "",
    },
];

/// Words that deny a fact: they stand on a page only where it does not hold.
const DENIED: &[(&str, &str, &str)] = &[
    ("diabetes", "gp-letter", "No diabetes"),
    ("diabetes", "operation-note", "Diabetes None"),
    ("smoking", "operation-note", "Does not smoke"),
];

/// Variations of the example case, each with the facts that hold: all others do not.
const VARIATIONS: &[(&str, &str, &[&str])] = &[
    ("nothing", "", &[]),
    // Circulation, sign by sign; the arms of the example read 134 mmHg.
    (
        "weak pulses, no pressure",
        "vascular: {left: {pulses: weak, dorsalis_pedis: ~, posterior_tibial: ~, toe: ~}}",
        &[],
    ),
    ("weak pulses, sound pressures", "vascular: {left: {pulses: weak}}", &[]),
    (
        "absent pulses, no pressure",
        "vascular: {left: {pulses: absent, dorsalis_pedis: ~, posterior_tibial: ~, toe: ~}}",
        &["poor circulation"],
    ),
    ("absent pulses, toe pressure sound", "vascular: {left: {pulses: absent}}", &[]),
    ("TBPI 0.60", "vascular: {left: {toe: 80}}", &["poor circulation"]),
    ("TBPI 0.71", "vascular: {left: {toe: 95}}", &[]),
    ("toe pressure 25, palpable", "vascular: {brachial: ~, left: {toe: 25}}", &["poor circulation"]),
    ("toe pressure 45", "vascular: {brachial: ~, left: {toe: 45}}", &["poor circulation"]),
    ("toe pressure 60", "vascular: {brachial: ~, left: {toe: 60}}", &[]),
    (
        "ABPI 0.90",
        "vascular: {left: {dorsalis_pedis: 120, posterior_tibial: 121, toe: ~}}",
        &["poor circulation"],
    ),
    ("ABPI 0.91", "vascular: {left: {dorsalis_pedis: 120, posterior_tibial: 122, toe: ~}}", &[]),
    ("the other foot", "vascular: {right: {pulses: absent, toe: 20}}", &["poor circulation of a foot"]),
    ("PAD", "history: {conditions: [PAD]}", &["poor circulation"]),
    (
        "claudication, easy read",
        "{history: {conditions: [intermittent claudication]}, patient: {needs: [easy read]}}",
        &["poor circulation"],
    ),
    ("Raynaud's", "history: {conditions: [Raynaud's]}", &["toes that lose blood in the cold"]),
    (
        "Raynaud's and PAD: the worse one is told",
        "history: {conditions: [Raynaud's, PAD]}",
        &["poor circulation", "vasospasm, for colleagues"],
    ),
    (
        "Raynaud's, easy read",
        "{history: {conditions: [Raynaud's]}, patient: {needs: [easy read]}}",
        &["toes that lose blood in the cold"],
    ),
    (
        "diabetes and TBPI 0.60",
        "{history: {diabetes: {type: 2}, foot: []}, vascular: {left: {toe: 80}}}",
        &["diabetes", "poor circulation"],
    ),
    // Feeling.
    ("9 of 10 sites", "sensation: {left: 9/10}", &[]),
    ("8 of 10 sites", "sensation: {left: 8/10}", &["reduced feeling"]),
    (
        "2 of 3 sites, large print",
        "{sensation: {left: 2/3}, patient: {needs: [large print]}}",
        &["reduced feeling"],
    ),
    ("3 of 3 sites", "sensation: {left: 3/3}", &[]),
    ("neuropathy", "history: {conditions: [peripheral neuropathy]}", &["reduced feeling"]),
    ("feeling of the other foot", "sensation: {right: 2/10}", &["reduced feeling of a foot"]),
    // Words that feed fields.
    (
        "diabetes by the field",
        "history: {diabetes: {type: 1, hba1c: 58 mmol/mol, tested: 2026-10-02}}",
        &["diabetes"],
    ),
    ("diabetes by the conditions", "history: {diabetes: ~, conditions: [type 2 diabetes]}", &["diabetes"]),
    (
        "diabetes by the conditions against the field",
        "history: {diabetes: none, conditions: [T1DM]}",
        &["diabetes"],
    ),
    ("metformin beside none", "history: {medicines: [metformin]}", &[]),
    ("diabetes, easy read", "{history: {diabetes: {type: 2}}, patient: {needs: [easy read]}}", &["diabetes"]),
    ("pregnant", "history: {pregnant: true}", &["pregnancy"]),
    ("pregnant by the conditions", "history: {pregnant: ~, conditions: [pregnant]}", &["pregnancy"]),
    (
        "pregnant by the conditions against the field",
        "history: {pregnant: false, conditions: [pregnant]}",
        &["pregnancy"],
    ),
    ("breastfeeding by the field", "history: {breastfeeding: true}", &["breastfeeding"]),
    (
        "breastfeeding by the conditions against the field, easy read",
        "{history: {breastfeeding: false, conditions: [lactating]}, patient: {needs: [easy read]}}",
        &["breastfeeding"],
    ),
    ("smoking by the field", "history: {smoker: true}", &["smoking"]),
    ("smoking by the conditions", "history: {smoker: ~, conditions: [current smoker]}", &["smoking"]),
    (
        "smoking by the conditions against the field, easy read",
        "{history: {smoker: false, conditions: [smoker]}, patient: {needs: [easy read]}}",
        &["smoking"],
    ),
    ("stopped smoking", "history: {smoker: ~, conditions: ['smoker, stopped 2010']}", &[]),
    ("frailty by the field", "history: {frail: true}", &["frailty"]),
    ("frailty by the conditions", "history: {conditions: [severe frailty]}", &["frailty"]),
    // Bleeding and immunity.
    (
        "apixaban with its dose",
        "history: {medicines: [apixaban 5 mg bd]}",
        &["anticoagulant", "thinner of any kind", "longer pressing"],
    ),
    (
        "warfarin, easy read",
        "{history: {medicines: [warfarin], inr: {value: 2.5, tested: 2026-11-23}}, patient: {needs: [easy read]}}",
        &["anticoagulant", "thinner of any kind", "longer pressing"],
    ),
    ("aspirin", "history: {medicines: [aspirin]}", &["thinner of any kind"]),
    ("haemophilia", "history: {conditions: [haemophilia]}", &["bleeding disorder", "longer pressing"]),
    ("methotrexate", "history: {medicines: [methotrexate]}", &["weak immunity"]),
    ("HIV, easy read", "{history: {conditions: [HIV]}, patient: {needs: [easy read]}}", &["weak immunity"]),
    ("hydrocortisone cream", "history: {medicines: [hydrocortisone cream]}", &[]),
    // Fits.
    ("epilepsy", "history: {conditions: [epilepsy]}", &["epilepsy"]),
    (
        "epilepsy, easy read",
        "{history: {conditions: [epilepsy well controlled]}, patient: {needs: [easy read]}}",
        &["epilepsy"],
    ),
    ("a medicine against fits", "history: {medicines: [levetiracetam]}", &[]),
    // Age.
    // The form was signed on 20 November 2026.
    ("60 for one more day when it was signed", "patient: {born: 1965-11-21}", &[]),
    ("61 on the day on which it was signed", "patient: {born: 1965-11-20}", &["over 60"]),
    (
        "everything",
        "{patient: {born: 1950-01-01}, history: {diabetes: {type: 2, hba1c: 58 mmol/mol, tested: 2026-10-02}, \
          medicines: [apixaban, aspirin, methotrexate], conditions: [haemophilia]}, \
          vascular: {left: {toe: 25}}, sensation: {left: 0/10}}",
        &[
            "diabetes",
            "anticoagulant",
            "thinner of any kind",
            "longer pressing",
            "weak immunity",
            "poor circulation",
            "reduced feeling",
            "over 60",
            "bleeding disorder",
        ],
    ),
];

/// The variations, each document set once.
fn variations() -> &'static [Pages] {
    static PAGES: OnceLock<Vec<Pages>> = OnceLock::new();
    PAGES.get_or_init(|| {
        set_all(
            VARIATIONS.iter().map(|(name, fragment, _)| ((*name).to_owned(), facts_of(fragment))).collect(),
        )
    })
}

/// Where the pages of a case say another thing than what holds.
fn disagreements(pages: &Pages, holds: impl Fn(&Told) -> bool) -> Vec<String> {
    let name = &pages.name;
    let mut wrong = Vec::new();
    for (document, text) in pages.texts() {
        for fact in FACTS {
            let Some((_, words)) = fact.words.iter().find(|(of, _)| *of == document) else { continue };
            let is_said = words.iter().any(|words| text.contains(words));
            if is_said != holds(fact) {
                let says = if is_said { "says" } else { "does not say" };
                wrong.push(format!("{name}: the {document} {says} {}", fact.name));
            }
        }
        for (fact, _, words) in DENIED.iter().filter(|(_, of, _)| *of == document) {
            let told = FACTS.iter().find(|told| told.name == *fact).expect("a fact of the table");
            if text.contains(words) && holds(told) {
                wrong.push(format!("{name}: the {document} says `{words}`"));
            }
        }
    }
    wrong
}

#[test]
fn every_document_says_of_each_variation_what_is_true_of_it() {
    let mut wrong = Vec::new();
    for (pages, (_, _, truth)) in variations().iter().zip(VARIATIONS) {
        wrong.extend(disagreements(pages, |fact| fact.is_in(truth)));
    }
    assert!(wrong.is_empty(), "{} disagreements\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn the_derivation_says_of_each_variation_what_is_true_of_it() {
    let mut wrong = Vec::new();
    for (name, fragment, truth) in VARIATIONS {
        assert!(truth.iter().all(|truth| FACTS.iter().any(|fact| fact.name == *truth)), "{name}");
        let facts = facts_of(fragment);
        for fact in FACTS {
            if (fact.holds)(&facts) != fact.is_in(truth) {
                wrong.push(format!("{name}: {}", fact.name));
            }
        }
    }
    assert_eq!(wrong, Vec::<String>::new());
}

/// All variations operate with phenol on the left foot, so each of these rules has to speak of its fact and
/// only of it.
#[test]
fn the_rules_speak_of_the_same_facts() {
    let mut wrong = Vec::new();
    for (name, fragment, truth) in VARIATIONS {
        let facts = facts_of(fragment);
        let raised: Vec<&str> = check_all(&facts).into_iter().map(|(rule, _)| rule.name).collect();
        for rule in FACTS.iter().map(|fact| fact.rule).filter(|rule| !rule.is_empty()) {
            let is_true = FACTS.iter().any(|fact| fact.rule == rule && truth.contains(&fact.name));
            if raised.contains(&rule) != is_true {
                wrong.push(format!("{name}: {rule} {}", if is_true { "is silent" } else { "speaks" }));
            }
        }
        let tier = facts.derived.foot_risk.entry().map(|tier| tier.working.clone()).unwrap_or_default();
        let is_poor = truth.contains(&"poor circulation") && truth.contains(&"diabetes");
        if facts.derived.foot_risk.get().is_some() && tier.contains("poor circulation") != is_poor {
            wrong.push(format!("{name}: the tier rests on {tier}"));
        }
    }
    assert_eq!(wrong, Vec::<String>::new());
}

/// The demo cases, each document set once.
fn demo_cases() -> &'static [Pages] {
    static PAGES: OnceLock<Vec<Pages>> = OnceLock::new();
    PAGES.get_or_init(|| {
        let each = demo::CASES.iter().map(|(name, text)| {
            let checked = check(Arc::new(SourceText::new(*name, *text)), &demo::clinic(), demo::today());
            ((*name).to_owned(), checked.facts.expect("a demo case can be read"))
        });
        set_all(each.collect())
    })
}

#[test]
fn the_documents_of_the_demo_and_the_invented_cases_say_what_was_derived() {
    let mut wrong = Vec::new();
    for pages in demo_cases().iter().chain(invented::pages()) {
        wrong.extend(disagreements(pages, |fact| (fact.holds)(&pages.facts)));
    }
    assert!(wrong.is_empty(), "{} disagreements\n{}", wrong.len(), wrong.join("\n"));
}

/// When the toe may be healed, and how old the patient is: each page that says so says the same.
#[test]
fn healing_and_age_are_the_same_on_every_page() {
    let mut wrong = Vec::new();
    for pages in demo_cases().iter().chain(variations()).chain(invented::pages()) {
        let Pages { name, facts, .. } = pages;
        let healing = facts.derived.expected_healing.get().cloned();
        let age = facts.derived.age.get().map(|age| format!("({})", age.clinical())).unwrap_or_default();
        for (document, text) in pages.texts() {
            let weeks = healing.as_ref().map(|one| format!("{} to {} weeks", one.weeks_from, one.weeks_to));
            let of_healing = ["operation-note", "gp-letter", "aftercare-leaflet", "dressing-leaflet"];
            let is_of_healing = of_healing.contains(&document);
            let says_healing = is_of_healing && !text.contains("Healed:");
            if let Some(weeks) = weeks.filter(|_| says_healing)
                && !text.contains(&weeks)
            {
                wrong.push(format!("{name}: the {document} does not say {weeks}"));
            }
            if document == "operation-note" && !text.contains(&age) {
                wrong.push(format!("{name}: the {document} does not say {age}"));
            }
        }
    }
    assert_eq!(wrong, Vec::<String>::new());
}
