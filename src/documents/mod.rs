//! The documents: which facts each needs, and its view, strings ready to print.
//!
//! A document decides nothing clinical and knows no rule; a template does no arithmetic and no
//! comparison of clinical values.

mod document;
mod edition;
mod must_say;
mod of_case;
mod of_caseload;
mod page;
mod parts;

pub use document::{Audience, Document, Made, OfVisit, Paper, Template, Toes};
pub use edition::{AnsweredCaution, ChangedPhrase, Edition, Replaces};
pub(crate) use must_say::missing_words_of_list;
pub use must_say::{Said, missing_words};
pub use of_case::DOCUMENTS;
pub(crate) use of_caseload::{LISTS, List, day_list, letter_run, lot_list, outcome_audit, outstanding};
pub(crate) use page::{nail_is, name_of, toe_in_words, without_stop};
pub(crate) use parts::dose::{phenol_name, product_name};
pub(crate) use parts::unknown::reason as not_known_because;

use crate::facts::Facts;

/// The document of a name.
pub fn document(name: &str) -> Option<&'static Document> {
    DOCUMENTS.iter().copied().find(|document| document.name == name)
}

/// To whom a document of this name goes: `gp`, `patient`; nobody, if it stays in the clinic.
pub fn goes_to(name: &str) -> &'static [&'static str] {
    match name.split('/').next().unwrap_or_default() {
        "gp-letter" | "visit-letter" => &["gp"],
        "closing-letter" => &["gp", "patient"],
        "candour-letter" => &["patient"],
        kind if kind.ends_with("-leaflet") => &["patient"],
        _ => &[],
    }
}

/// Every paper of a case that can be made.
pub fn ready_papers(facts: &Facts) -> impl Iterator<Item = Paper> {
    papers(facts).into_iter().filter(|paper| paper.missing(facts).is_empty())
}

/// True if any paper of a document can be made of a case.
pub fn can_be_made(document: &'static Document, facts: &Facts) -> bool {
    Paper::all_of(document, facts).iter().any(|paper| paper.missing(facts).is_empty())
}

/// Every paper of a case, ready or not, in the order in which they are listed.
pub fn papers(facts: &Facts) -> Vec<Paper> {
    DOCUMENTS.iter().flat_map(|document| Paper::all_of(document, facts)).collect()
}

#[cfg(test)]
mod tests {
    use serde_json::Value as Json;

    use super::*;
    use crate::date::CivilDate;
    use crate::render::Templates;
    use crate::rules::example::facts_of;
    use crate::typeset::{PdfMeta, Typesetter};

    /// Typst, Tera and quotation marks that would act if a value were code.
    const HOSTILE: &str =
        r##"#panic("x") $a$ *b* _c_ @d <e> [f] "g" \\ {{ h }} {% i %} // /* */ = + - `j` ~ ]"##;

    /// Keys whose values Typst draws by, each worked out by us: never a text of the case.
    const DRAWN: &[&str] = &["strip", "length"];

    fn edition(is_draft: bool) -> Edition {
        Edition {
            is_draft,
            version: 2,
            made_on: CivilDate::of(2026, 11, 25).expect("a literal date"),
            replaces: Some(Replaces {
                version: 1,
                issued_on: CivilDate::of(2026, 11, 24).expect("a literal date"),
                because: "batch number corrected".into(),
                changes: vec![ChangedPhrase { was: "M4417".into(), is: "M4471".into() }],
            }),
            answered: vec![AnsweredCaution {
                title: "anticoagulant taken".into(),
                says: "apixaban".into(),
                because: "continued".into(),
                by: "R. Quill".into(),
                incident: None,
                concerns_the_practice: true,
            }],
            open: vec!["caution: something open".into()],
        }
    }

    /// A case in which every optional part of a template stands.
    fn full_facts() -> Facts {
        facts_of(
            "patient: {needs: [interpreter], language: Polish, preferred: Immy, chi_number: 010101 1237, hc_number: 320 000 0015}
consent: {risks: [infection, slow healing]}
history: {allergies: [{to: latex}], medicines: [apixaban]}
follow_up: {gp_actions: [check INR]}
operation: {not_done: {R1: asked to wait}, note: remark, checks: {counted: false}, specimens: none,
  supervised_by: quill, second_checker: M. Reed, chaperone: {offered: true, who: M. Reed}, sedative: none,
  observations: [{at: '09:20', blood_pressure: 132/78, pulse: 72/min, glucose: 7.2 mmol/l, note: calm},
    {at: {not_recorded: a reason}, pulse: {not_recorded: a reason}}],
  samples: [{what: nail bed, lab: L-1, acts: quill}, {what: swab, result: no growth}], photographs: none,
  dressing_packs: [{item: gauze, batch: D1, expires: 2027-01}],
  leaving: {at: '10:40', with: nobody, told: all, leaflet: After, leaflet_by: quill},
  toes: {L1: {injection_site: base, numb_at: '09:45', feeling_back: {on: 2026-11-25, at: '07:30'},
    skin_protection: jelly}}}
incidents: [{answers: [toe-not-planned, dose-over-limit, agent-allergy, tourniquet-not-removed],
  what_happened: it did, found: {on: 2026-11-24, at: '10:20', by: R. Quill}, done_at_once: watched, harm: low,
  psychological_harm: low, told: {on: 2026-11-24, by: R. Quill, apology: true},
  reported: [{to: the manager, reference: I-12}]},
  {answers: [], told: {not_yet: abroad}}]
visits: [{on: 2026-11-25, at: '10:15', by: quill, kind: unplanned, unwell: true,
  toes: {L1: {wound: pus, redness: 20 mm, drawn_round: true, pain: 6/10, signs: [pus, heat], infected: true, burn: true,
    healed: false, regrowth: spike, regrowth_hurts: true, note: a remark}},
  swab: {lab: L-1, acts: R. Quill, result: none yet},
  antibiotic: {medicine: flucloxacillin, dose: 500 mg, from: gp}, dressing: foam, taught: all, told: all,
  referred: elsewhere, gp_actions: [look], note: a remark, next: {kind: review, on: 2026-12-01, at: '09:00'}}]
closed: {on: 2026-11-25, by: quill, because: new case LFC-0312, note: a remark}
booked: {on: 2026-11-24, at: '09:30'}
clinic: {email: a@b.example, hours: always,
  limits: {anaesthetic: {mepivacaine: {per_kg: 4 mg/kg, max: 250 mg, because: agreed here}}}}",
        )
    }

    fn with_every_text(view: &Json, text: &str) -> Json {
        match view {
            Json::String(old) if old.is_empty() => Json::String(String::new()),
            Json::String(_) => Json::String(text.into()),
            Json::Array(items) => items.iter().map(|item| with_every_text(item, text)).collect(),
            Json::Object(keys) => keys
                .iter()
                .map(|(key, value)| {
                    let is_drawn = DRAWN.contains(&key.as_str());
                    (key.clone(), if is_drawn { value.clone() } else { with_every_text(value, text) })
                })
                .collect(),
            other => other.clone(),
        }
    }

    /// The kinds of all nodes, depth first: what the text does, without what it says.
    fn shape(source: &str) -> Vec<(usize, typst::syntax::SyntaxKind)> {
        fn walk(
            node: &typst::syntax::SyntaxNode,
            depth: usize,
            into: &mut Vec<(usize, typst::syntax::SyntaxKind)>,
        ) {
            into.push((depth, node.kind()));
            node.children().for_each(|child| walk(child, depth + 1, into));
        }
        let mut all = Vec::new();
        walk(&typst::syntax::parse(source), 0, &mut all);
        all
    }

    fn meta() -> PdfMeta {
        PdfMeta {
            title: "t".into(),
            author: "a".into(),
            keywords: Vec::new(),
            date: CivilDate::of(2026, 11, 25).expect("a literal date"),
            ident: "i".into(),
        }
    }

    /// Every value of a case, by its way: keys of blocks alone, lists whole.
    fn leaves(at: &[String], value: &serde_yaml::Value, found: &mut Vec<Vec<String>>) {
        match value {
            serde_yaml::Value::Mapping(keys) => keys.iter().for_each(|(key, value)| {
                let key = key.as_str().expect("keys are words").to_owned();
                leaves(&[at, &[key]].concat(), value, found);
            }),
            _ => found.push(at.to_vec()),
        }
    }

    fn without(value: &mut serde_yaml::Value, way: &[String]) {
        let Some((key, rest)) = way.split_first() else { return };
        let keys = value.as_mapping_mut().expect("a block");
        if rest.is_empty() {
            keys.remove(key.as_str());
        } else if let Some(below) = keys.get_mut(key.as_str()) {
            without(below, rest);
        }
    }

    /// What the line stands for ends there: of a case from which one value after the other is taken away, nothing
    /// is printed, asked or passed otherwise with the line than without it, but for the answers of the protocol.
    #[test]
    fn the_routine_covers_its_own_answers_and_nothing_else() {
        let clinic = facts_of(
            "clinic: {protocol: {lavage: USUAL LAVAGE, urgency: emergency, antibiotics: USUAL ANTIBIOTIC, \
             vte_prophylaxis: USUAL STOCKINGS, skin_preparation: USUAL SKIN, technique: USUAL BLOCK, dressing: [USUAL \
             GAUZE]}}",
        )
        .clinic;
        let base: serde_yaml::Value =
            serde_yaml::from_str(crate::rules::example::BASE_CASE).expect("the base case is YAML");
        let mut all = Vec::new();
        leaves(&[], &base, &mut all);
        assert!(all.len() > 60, "{}", all.len());
        // Everything that the program makes of a case: its findings, and the views of all its papers.
        let made = |case: &serde_yaml::Value, routine: bool| -> Option<String> {
            let mut case = case.clone();
            if routine {
                let operation = case.get_mut("operation")?.as_mapping_mut()?;
                operation.insert("routine".into(), "as protocol".into());
            }
            let case: crate::case::Case = serde_yaml::from_value(case).ok()?;
            let facts = Facts::new(case, clinic.clone(), CivilDate::of(2026, 11, 25)?);
            let found = crate::rules::check_all(&facts);
            let found = found.iter().map(|(rule, finding)| format!("{} {finding:?}", rule.name));
            let views =
                papers(&facts).into_iter().map(|paper| paper.view(&facts, &edition(true)).to_string());
            Some(found.chain(views).collect::<Vec<_>>().join("\n"))
        };
        // With nothing taken away all is typed, and the line says nothing at all.
        assert_eq!(made(&base, true), made(&base, false));
        let mut covered = Vec::new();
        let mut looked_at = 0;
        for way in &all {
            let mut case = base.clone();
            without(&mut case, way);
            let (Some(with), Some(alone)) = (made(&case, true), made(&case, false)) else { continue };
            looked_at += 1;
            if with != alone {
                covered.push(way.join("."));
            }
        }
        assert!(looked_at > 50, "{looked_at}");
        covered.sort();
        let expected = [
            "operation.antibiotics",
            "operation.toes.L1.lavage",
            "operation.urgency",
            "operation.vte_prophylaxis",
        ];
        assert_eq!(covered, expected, "technique, skin preparation and dressing are the protocol's anyway");
        // And where hardly anything is typed, the answers of the protocol are all that the line adds.
        let bare: serde_yaml::Value = serde_yaml::from_str(
            "reference: LFC-0001\npatient: {given: Imogen, family: Hollis, born: 1984-02-09}\n\
             operation: {date: 2026-11-24, toes: {L1: {nail: partial, phenol: {applications: 3, each: 60 s}}}}",
        )
        .expect("a literal case");
        let views = |routine: bool| -> Vec<Json> {
            let mut case = bare.clone();
            if routine {
                let operation =
                    case.get_mut("operation").and_then(|at| at.as_mapping_mut()).expect("a block");
                operation.insert("routine".into(), "as protocol".into());
            }
            let case: crate::case::Case = serde_yaml::from_value(case).expect("it reads");
            let facts =
                Facts::new(case, clinic.clone(), CivilDate::of(2026, 11, 25).expect("a literal date"));
            papers(&facts).into_iter().map(|paper| paper.view(&facts, &edition(true))).collect()
        };
        let mut differ = std::collections::BTreeSet::new();
        for (with, alone) in views(true).iter().zip(&views(false)) {
            differing("", with, alone, &mut differ);
        }
        let keys: Vec<&str> = differ.iter().map(String::as_str).collect();
        assert_eq!(
            keys,
            [
                "antibiotics",
                "antibiotics_is_protocol",
                "lavage",
                "lavage_is_protocol",
                "urgency",
                "urgency_is_protocol",
                "vte_prophylaxis",
                "vte_prophylaxis_is_protocol"
            ]
        );
    }

    /// The keys whose values differ between two views of one form.
    fn differing(key: &str, one: &Json, other: &Json, found: &mut std::collections::BTreeSet<String>) {
        match (one, other) {
            (Json::Object(one), Json::Object(other)) if one.len() == other.len() => {
                one.iter().for_each(|(key, value)| differing(key, value, &other[key], found));
            }
            (Json::Array(one), Json::Array(other)) if one.len() == other.len() => {
                one.iter().zip(other).for_each(|(one, other)| differing(key, one, other, found));
            }
            _ if one == other => {}
            _ => {
                found.insert(key.to_owned());
            }
        }
    }

    #[test]
    fn no_text_of_a_view_acts() {
        let (templates, typesetter) = (Templates::built_in(), Typesetter::new());
        let squeezed = |text: &str| text.chars().filter(|c| !c.is_whitespace()).collect::<String>();
        for document in DOCUMENTS {
            let facts = full_facts();
            let paper = Paper::all_of(document, &facts)[0];
            let view = paper.view(&facts, &edition(true));
            let fill = |text: &str| {
                templates
                    .render(document.template, &with_every_text(&view, text))
                    .unwrap_or_else(|problem| panic!("{problem}"))
            };
            let (tame, hostile) = (fill("x"), fill(HOSTILE));
            assert!(
                shape(&tame.main) == shape(&hostile.main),
                "{}: a value changes the syntax",
                document.name
            );
            assert!(
                typst::syntax::parse(&hostile.main).errors_and_warnings().0.is_empty(),
                "{}",
                document.name
            );
            let set = typesetter
                .typeset(&hostile, &meta())
                .unwrap_or_else(|problem| panic!("{}: {problem}", document.name));
            assert!(squeezed(&set.text).contains(&squeezed(HOSTILE)), "{}: {}", document.name, set.text);
        }
        Typesetter::evict();
    }

    #[test]
    fn every_document_is_set_the_same_each_time_and_says_draft_only_in_a_draft() {
        let (templates, typesetter) = (Templates::built_in(), Typesetter::new());
        let set = |document: &'static Document, is_draft| {
            let facts = full_facts();
            let view = Paper::all_of(document, &facts)[0].view(&facts, &edition(is_draft));
            let source = templates.render(document.template, &view);
            let source = source.unwrap_or_else(|problem| panic!("{problem}"));
            typesetter
                .typeset(&source, &meta())
                .unwrap_or_else(|problem| panic!("{}: {problem}", document.name))
        };
        for document in DOCUMENTS {
            let issue = set(document, false);
            assert_eq!(issue.pdf, set(document, false).pdf, "{}", document.name);
            assert!(!issue.text.contains("DRAFT"), "{}", document.name);
            for page in set(document, true).printed() {
                assert!(page.contains("DRAFT"), "{}", document.name);
            }
            for page in issue.printed() {
                assert!(
                    page.contains("HOLLIS, Imogen (Ms)") && page.contains("LFC-0001"),
                    "{}",
                    document.name
                );
            }
        }
        Typesetter::evict();
    }

    #[test]
    fn names_are_unique_and_found() {
        for document in DOCUMENTS {
            assert!(super::document(document.name).is_some_and(|found| std::ptr::eq(found, *document)));
        }
        assert!(super::document("nothing").is_none());
    }
}
