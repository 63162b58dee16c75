//! An interpreter is needed and none is recorded.

use crate::case::Need;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::is_blank;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "interpreter-not-recorded",
    topic: Topic::Consent,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "consent-form"]),
    title: "the patient needs an interpreter and none is recorded",
    why: "Consent rests on what the patient understood. A professional interpreter is offered, not family or \
          friends, and never a child.",
    cite: Cite::adapts(
        &sources::consent::INTERPRETERS,
        "answer",
        "the source says who interprets and that the need is recorded; asking for the name is ours",
    ),
    limits: "Does not know who the person named is, nor how well it went.",
    example: Example {
        bad: "patient: {needs: [interpreter], language: Polish}",
        good: r#"{patient: {needs: [interpreter], language: Polish},
 consent: {interpreter: "J. Nowak, telephone interpreter 4417"}}"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(consent) = &facts.case.consent else { return Vec::new() };
    let patient = &facts.case.patient;
    let (path, need) = if let Some(at) = patient.needs.iter().position(|need| *need == Need::Interpreter) {
        (format!("patient.needs[{at}]"), "an interpreter is needed".to_owned())
    } else if let Some(language) = &patient.language {
        ("patient.language".to_owned(), format!("the interpreter's language is {language}"))
    } else {
        return Vec::new();
    };
    if !is_blank(consent.interpreter.as_deref()) {
        return Vec::new();
    }
    vec![
        Finding::at("consent.interpreter")
            .says("no interpreter is recorded")
            .see(path, need)
            .fix("write who interpreted under `consent.interpreter`"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn a_need_or_a_language_asks_for_a_name() {
        assert_eq!(paths(&RULE, "patient: {needs: [large print, interpreter]}"), ["consent.interpreter"]);
        assert_eq!(paths(&RULE, "patient: {language: Polish}"), ["consent.interpreter"]);
        assert!(paths(&RULE, "patient: {needs: [large print]}").is_empty());
        assert!(
            paths(&RULE, "{patient: {needs: [interpreter]}, consent: {interpreter: J. Nowak}}").is_empty()
        );
    }

    #[test]
    fn before_consent_there_is_nothing_to_interpret() {
        assert!(paths(&RULE, "{patient: {needs: [interpreter]}, consent: ~}").is_empty());
    }
}
