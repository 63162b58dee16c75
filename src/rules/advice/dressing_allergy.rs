//! An allergy to something that the skin preparation or the dressing holds, or a dressing of which
//! nobody can say what it holds beside such an allergy.

use crate::clinical::Cite;
use crate::clinical::tables::{Class, Entry, allergens, folded};
use crate::derive::LookedUp;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

/// The most words that a name in the table of allergies has.
const LONGEST_NAME: usize = 5;

/// Classes of the table of allergies that a dressing or a skin preparation may hold.
const OF_DRESSINGS: [Class; 6] = [
    Class::Dressing,
    Class::SkinPreparation,
    Class::Adhesive,
    Class::Colophony,
    Class::Latex,
    Class::TopicalAntibiotic,
];

pub(super) static RULE: Rule = Rule {
    name: "dressing-allergy",
    topic: Topic::AllergiesAndAdvice,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "consent-form", "aftercare-leaflet", "dressing-leaflet"]),
    title: "allergy to the dressing or the skin preparation",
    why: "The dressing stays on the wound for days. A reaction to it looks like infection and slows healing.",
    cite: Cite::project_default(
        "what the words of the protocol name is compared with the list of allergies; what brands hold stands in \
         the table of brands, each row with its source",
    ),
    limits: "Knows what a product holds only where its name or its brand says so, and a brand may hold more. \
             A dressing that no table knows is a caution beside an allergy to dressings, plasters, skin \
             preparations, colophony, latex or an ointment, and passes beside any other. The layers of \
             `operation.dressing`, where given, count instead of the clinic's.",
    example: Example {
        bad: "history: {allergies: [{to: chlorhexidine, reaction: rash}]}",
        good: "history: {allergies: [{to: iodine, reaction: rash}]}",
    },
    check,
};

/// Something that touches the skin, in the words of its file.
struct Material<'a> {
    what: &'static str,
    words: &'a str,
    /// Written in the case file, and not in the clinic's protocol.
    path: Option<&'static str>,
}

fn check(facts: &Facts) -> Vec<Finding> {
    let materials = materials(facts);
    let allergies = || facts.derived.allergies.iter().enumerate();
    let mut findings = Vec::new();
    for (at, allergy) in allergies() {
        for material in materials.iter().filter(|material| contains(material.words, allergy)) {
            let Material { what, words, .. } = material;
            let says = format!("allergic to {}; the {what} is `{words}`", allergy.shown());
            findings.push(answered(
                facts,
                material,
                Finding::at(format!("history.allergies[{at}].to")).says(says),
            ));
        }
    }
    let Some((at, allergy)) = allergies().find(|(_, allergy)| may_be_in_a_dressing(allergy)) else {
        return findings;
    };
    for material in &materials {
        for part in parts(material.words).filter(|part| substances(part).is_empty()) {
            let says = format!(
                "allergic to {}; what `{part}` in the {} is made of is not in the table",
                allergy.shown(),
                material.what
            );
            let finding = Finding::at(format!("history.allergies[{at}].to")).says(says);
            findings.push(answered(facts, material, finding));
        }
    }
    findings
}

fn answered(facts: &Facts, material: &Material<'_>, finding: Finding) -> Finding {
    match material.path {
        Some(path) => finding
            .see(path, format!("the {}", material.what))
            .fix("say under `accepted` how the toe was watched, or correct the entry"),
        None if facts.case.operation.is_some() && material.what == DRESSING => {
            finding.fix("enter what was put on instead under `operation.dressing`, or correct the entry")
        }
        None => finding.fix("say under `accepted` what is used instead, or correct the entry"),
    }
}

const DRESSING: &str = "dressing";

fn materials(facts: &Facts) -> Vec<Material<'_>> {
    let protocol = &facts.clinic.protocol;
    let own = facts.case.operation.as_ref().and_then(|operation| operation.skin_preparation.as_deref());
    let path = own.map(|_| "operation.skin_preparation");
    let preparation = own.or(protocol.skin_preparation.as_deref());
    let mut materials: Vec<Material<'_>> =
        preparation.map(|words| Material { what: "skin preparation", words, path }).into_iter().collect();
    match facts.case.operation.as_ref().and_then(|operation| operation.dressing.as_deref()) {
        Some(words) => materials.push(Material { what: DRESSING, words, path: Some("operation.dressing") }),
        None => materials.extend(protocol.dressing.iter().map(|words| Material {
            what: DRESSING,
            words,
            path: None,
        })),
    }
    materials
}

/// An allergy to something of which dressings are made, or to something unknown.
fn may_be_in_a_dressing(allergy: &LookedUp) -> bool {
    allergy.name.is_none() || OF_DRESSINGS.into_iter().any(|class| allergy.is(class))
}

/// The layers of a dressing, where a text names several.
fn parts(words: &str) -> impl Iterator<Item = &str> {
    words
        .split([',', ';', '+', '&'])
        .flat_map(|part| part.split(" and "))
        .flat_map(|part| part.split(" with "))
        .flat_map(|part| part.split(" then "))
        .map(str::trim)
        .filter(|part| !part.is_empty())
}

/// The words of a text, without marks between them.
fn tokens(words: &str) -> Vec<String> {
    folded(words)
        .split(|c: char| !(c.is_alphanumeric() || matches!(c, '-' | '\'')))
        .filter(|token| !token.is_empty())
        .map(str::to_owned)
        .collect()
}

/// What a text names, the longest name first: `latex-free cohesive bandage` is no `cohesive bandage`.
/// What the words say is absent (`adhesive-free`, `without alcohol`) does not count.
fn substances(words: &str) -> Vec<&'static Entry> {
    let tokens = tokens(words);
    let tokens: Vec<&str> = tokens.iter().map(String::as_str).collect();
    let mut found = Vec::new();
    let mut from = 0;
    while from < tokens.len() {
        let longest = (from + 1..=tokens.len().min(from + LONGEST_NAME))
            .rev()
            .find_map(|to| Some((to, allergens().named(&tokens[from..to].join(" "))?)));
        match longest {
            Some((to, entry)) => {
                if !is_absent(&tokens, from, to) {
                    found.push(entry);
                }
                from = to;
            }
            None => from += 1,
        }
    }
    found
}

fn is_absent(tokens: &[&str], from: usize, to: usize) -> bool {
    tokens.get(to) == Some(&"free")
        || (from > 0 && ["no", "non", "not", "without"].contains(&tokens[from - 1]))
        || (from > 1 && tokens[from - 2..from] == ["free", "of"])
}

/// True if the words name the substance or something that belongs to it, `povidone-iodine` to `iodine`,
/// or the very words of the allergy.
fn contains(words: &str, allergy: &LookedUp) -> bool {
    let is_named = |entry: &Entry| {
        let holds_it = allergy.parts.iter().any(|part| entry.is_a(part));
        holds_it || entry.parts.iter().any(|part| allergy.is_a(part))
    };
    if substances(words).into_iter().any(is_named) {
        return true;
    }
    let (tokens, typed) = (tokens(words), folded(&allergy.written));
    let tokens: Vec<&str> = tokens.iter().map(String::as_str).collect();
    (0..tokens.len()).any(|from| {
        (from + 1..=tokens.len().min(from + LONGEST_NAME))
            .any(|to| tokens[from..to].join(" ") == typed && !is_absent(&tokens, from, to))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, says};

    fn allergic(to: &str) -> String {
        format!("history: {{allergies: [{{to: {to}}}]}}")
    }

    fn with(dressing: &str, to: &str) -> Vec<Finding> {
        findings(&RULE, &format!("{{operation: {{dressing: \"{dressing}\"}}, {}}}", allergic(to)))
    }

    #[test]
    fn skin_preparation_and_layers_are_compared() {
        assert_eq!(
            says(&RULE, &allergic("Chlorhexadine")),
            ["allergic to Chlorhexadine; the skin preparation is `chlorhexidine 0.5 % in alcohol`"]
        );
        assert_eq!(says(&RULE, &allergic("seaweed dressing")).len(), 1);
        assert_eq!(says(&RULE, &allergic("surgical spirit")).len(), 1);
        assert!(says(&RULE, &allergic("iodine")).is_empty());
        assert!(says(&RULE, &allergic("honey")).is_empty());
    }

    #[test]
    fn the_dressing_of_the_operation_counts_instead_of_the_protocol() {
        assert!(with("sterile gauze", "alginate").is_empty());
        let found = with("povidone-iodine gauze", "iodine");
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].see[0].0.to_string(), "operation.dressing");
        assert_eq!(with("zinc oxide tape", "plasters").len(), 1);
        assert_eq!(with("Larkplast", "larkplast").len(), 2, "by its name, and since nothing is known of it");
    }

    #[test]
    fn a_brand_is_what_it_holds() {
        for (dressing, to) in [
            ("Inadine, sterile gauze", "iodine"),
            ("Inadine", "Betadine"),
            ("Aquacel Ag", "silver"),
            ("Granuflex", "rosin"),
            ("Elastoplast over gauze", "colophony"),
            ("Mepore", "Elastoplast"),
            ("Medihoney, gauze", "bee stings"),
            ("Bactigras", "tulle gras"),
            ("gauze, Coban", "latex"),
            ("Flamazine", "sulfa drugs"),
        ] {
            assert_eq!(with(dressing, to).len(), 1, "{dressing}, {to}");
        }
        for (dressing, to) in [
            ("Aquacel", "silver"),
            ("Inadine", "silver"),
            ("gauze, Coban LF", "latex"),
            ("Medihoney", "wasp stings"),
        ] {
            assert!(with(dressing, to).is_empty(), "{dressing}, {to}");
        }
    }

    /// Colophony sits in some adhesives and in no others.
    #[test]
    fn colophony_is_told_apart_from_other_adhesives() {
        assert!(with("Mepore", "colophony").is_empty());
        assert_eq!(with("zinc oxide tape", "colophony").len(), 1);
        assert_eq!(with("Mepore", "sticking plasters").len(), 1);
        assert_eq!(with("surgical tape", "acrylate").len(), 1, "a tape of which nothing more is known");
    }

    #[test]
    fn an_unknown_dressing_counts_beside_an_allergy_that_it_may_hold() {
        let found = with("Larkplast, sterile gauze", "iodine");
        assert_eq!(
            found[0].says,
            "allergic to iodine; what `Larkplast` in the dressing is made of is not in the table"
        );
        assert_eq!(with("Larkplast", "moon dust").len(), 1, "what is unknown may be anything");
        assert!(with("Larkplast", "penicillin").is_empty());
        assert!(with("alginate, sterile gauze, tubular bandage, light compression", "iodine").is_empty());
    }

    #[test]
    fn what_is_absent_does_not_count() {
        for dressing in ["non-adhesive pad", "adhesive-free pad", "adhesive free pad", "pad without adhesive"]
        {
            assert!(with(dressing, "adhesive").is_empty(), "{dressing}");
        }
        assert_eq!(with("pad with adhesive", "adhesive").len(), 1);
        assert!(with("latex-free cohesive bandage", "latex").is_empty());
        assert_eq!(with("cohesive bandage", "latex").len(), 1);
    }
}
