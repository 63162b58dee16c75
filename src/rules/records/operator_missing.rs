//! Nobody can tell who operated.

use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::words::{List, nearest};

pub(super) static RULE: Rule = Rule {
    name: "operator-missing",
    topic: Topic::Records,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "candour-letter"]),
    title: "who operated cannot be told",
    why: "The operation note and the letter are signed in the name of the one who operated, with their \
          registration.",
    cite: Cite::states(&sources::records::OPERATION_NOTE_FRAMEWORK, "operator and assistants"),
    limits: "Knows the practitioners of the clinic file only; it does not look at any register.",
    example: Example { bad: "operation: {operator: qill}", good: "operation: {operator: quill}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(operation) = &facts.case.operation else { return Vec::new() };
    if facts.operator().is_some() {
        return Vec::new();
    }
    let keys: Vec<&str> = facts.clinic.practitioners.keys().map(String::as_str).collect();
    let known = if keys.is_empty() {
        "add a practitioner to the clinic file and name them here".to_owned()
    } else {
        format!("the clinic file knows {}", List::or_ticked(&keys))
    };
    let finding = Finding::at("operation.operator");
    vec![match &operation.operator {
        None => finding
            .says(match keys.len() {
                0 => "the clinic file has no practitioner".to_owned(),
                number => format!("no operator is named, and the clinic has {number} practitioners"),
            })
            .fix(if keys.is_empty() { known } else { format!("write `operator: KEY`; {known}") }),
        Some(typed) => finding.says(format!("`{typed}` is not a practitioner of the clinic")).fix(
            match nearest(typed, keys.iter().copied()) {
                Some(near) => format!("did you mean `{near}`?"),
                None => known,
            },
        ),
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths};

    const TWO: &str =
        "clinic: {practitioners: {finch: {name: A. Finch, registration: HCPC CH00001, role: Podiatrist}}}";

    fn fix(fragment: &str) -> Option<String> {
        findings(&RULE, fragment).first().and_then(|finding| finding.fix.clone())
    }

    #[test]
    fn the_only_practitioner_need_not_be_named() {
        assert!(paths(&RULE, "operation: {operator: ~}").is_empty());
        assert_eq!(paths(&RULE, &format!("{{{TWO}, operation: {{operator: ~}}}}")), ["operation.operator"]);
        assert!(paths(&RULE, &format!("{{{TWO}, operation: {{operator: finch}}}}")).is_empty());
    }

    #[test]
    fn a_slip_is_answered_with_the_name_that_was_meant() {
        assert_eq!(fix("operation: {operator: qill}").as_deref(), Some("did you mean `quill`?"));
        assert_eq!(fix("operation: {operator: zzz}").as_deref(), Some("the clinic file knows `quill`"));
    }

    #[test]
    fn a_clinic_without_anyone() {
        let empty = "{clinic: {practitioners: {quill: ~}}, operation: {operator: ~}}";
        assert_eq!(paths(&RULE, empty), ["operation.operator"]);
    }
}
