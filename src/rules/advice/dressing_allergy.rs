//! An allergy to something that the skin preparation or the dressing is named after.

use crate::clinical::Cite;
use crate::clinical::tables::{allergens, folded};
use crate::derive::LookedUp;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

/// The most words that a name in the table of allergies has.
const LONGEST_NAME: usize = 4;

pub(super) static RULE: Rule = Rule {
    name: "dressing-allergy",
    topic: Topic::AllergiesAndAdvice,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "consent-form", "aftercare-leaflet"]),
    title: "allergy to the dressing or the skin preparation",
    why: "The dressing stays on the wound for days. A reaction to it looks like infection and slows healing.",
    cite: Cite::project_default("the words of the protocol are compared with the list of allergies"),
    limits: "Compares words: it does not know what a product is made of unless its name says so. The layers \
             of `operation.dressing`, where given, count instead of the clinic's.",
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
    let mut findings = Vec::new();
    for (at, allergy) in facts.derived.allergies.iter().enumerate() {
        for material in materials.iter().filter(|material| contains(material.words, allergy)) {
            let Material { what, words, path } = material;
            let finding = Finding::at(format!("history.allergies[{at}].to"))
                .says(format!("allergic to {}; the {what} is `{words}`", allergy.typed));
            findings.push(match path {
                Some(path) => finding
                    .see(*path, format!("the {what}"))
                    .fix("say under `accepted` how the toe was watched, or correct the entry"),
                None if facts.case.operation.is_some() && *what == DRESSING => finding
                    .fix("enter what was put on instead under `operation.dressing`, or correct the entry"),
                None => finding.fix("say under `accepted` what is used instead, or correct the entry"),
            });
        }
    }
    findings
}

const DRESSING: &str = "dressing";

fn materials(facts: &Facts) -> Vec<Material<'_>> {
    let protocol = &facts.clinic.protocol;
    let preparation = protocol.skin_preparation.as_deref();
    let mut materials: Vec<Material<'_>> = preparation
        .map(|words| Material { what: "skin preparation", words, path: None })
        .into_iter()
        .collect();
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

/// True if the words name the substance or something that belongs to it: `povidone-iodine` to `iodine`.
/// What the words say is absent (`latex-free`, `without alcohol`) does not count.
fn contains(words: &str, allergy: &LookedUp) -> bool {
    let text = folded(words);
    let tokens: Vec<&str> = text
        .split(|c: char| !(c.is_alphanumeric() || matches!(c, '-' | '\'')))
        .filter(|token| !token.is_empty())
        .collect();
    (0..tokens.len()).any(|from| {
        (from + 1..=tokens.len().min(from + LONGEST_NAME)).any(|to| {
            let is_absent = tokens.get(to) == Some(&"free")
                || (from > 0 && ["no", "non", "not", "without"].contains(&tokens[from - 1]))
                || (from > 1 && tokens[from - 2..from] == ["free", "of"]);
            !is_absent && means(&tokens[from..to].join(" "), allergy)
        })
    })
}

fn means(phrase: &str, allergy: &LookedUp) -> bool {
    if phrase == folded(&allergy.typed) {
        return true;
    }
    let substance = allergens().find(phrase);
    allergy.name.is_some_and(|name| {
        substance.is_some_and(|substance| substance.classes.iter().any(|class| class == name))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, says};

    fn allergic(to: &str) -> String {
        format!("history: {{allergies: [{{to: {to}}}]}}")
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
        let with = |dressing: &str, to: &str| {
            findings(&RULE, &format!("{{operation: {{dressing: {dressing}}}, {}}}", allergic(to)))
        };
        assert!(with("sterile gauze", "alginate").is_empty());
        let found = with("povidone-iodine gauze", "iodine");
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].see[0].0.to_string(), "operation.dressing");
        assert_eq!(with("zinc oxide tape", "plasters").len(), 1);
        assert_eq!(with("Larkplast", "larkplast").len(), 1, "a name that no table knows");
    }

    #[test]
    fn what_is_absent_does_not_count() {
        let with = |dressing: &str| {
            says(&RULE, &format!("{{operation: {{dressing: {dressing}}}, {}}}", allergic("adhesive")))
        };
        for dressing in ["non-adhesive pad", "adhesive-free pad", "adhesive free pad", "pad without adhesive"]
        {
            assert!(with(dressing).is_empty(), "{dressing}");
        }
        assert_eq!(with("pad with adhesive").len(), 1);
    }
}
