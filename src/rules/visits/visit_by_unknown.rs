//! Who saw the patient is written as a key, and the clinic file has no such practitioner.

use super::VISIT;
use crate::clinical::{Cite, sources};
use crate::diagnostic::Path;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Rule, Topic};
use crate::words::{List, nearest};

pub(super) static RULE: Rule = Rule {
    name: "visit-by-unknown",
    topic: Topic::Visits,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: VISIT,
    title: "who saw the patient is not known",
    why: "The note names who saw the patient. A key that nobody has is printed as it is typed, and nobody can be asked.",
    cite: Cite::adapts(
        &sources::records::HCPC_RECORDS,
        "10.1",
        "the source asks for clear and accurate records; comparing the entries is ours",
    ),
    limits: "A word without a capital is taken for a key. A name is printed as it stands.",
    example: Example {
        bad: r#"visits: [{on: 2026-11-27, kind: redressing, by: qill}]"#,
        good: r#"visits: [{on: 2026-11-27, kind: redressing, by: R. Quill}]"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let people = &facts.clinic.practitioners;
    let visits = facts.case.visits.iter().enumerate();
    let by =
        visits.filter_map(|(at, visit)| Some((Path::from(format!("visits[{at}].by")), visit.by.as_deref()?)));
    let closed = facts.case.closed.as_ref().and_then(|closed| closed.by.as_deref());
    by.chain(closed.map(|by| (Path::from("closed.by"), by)))
        .filter(|(_, by)| !people.contains_key(*by) && !by.chars().any(char::is_uppercase))
        .map(|(path, by)| {
            let keys = people.keys().map(String::as_str);
            let fix = match nearest(by, keys.clone()) {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("write a name, or one of {}", List::or_ticked(keys)),
            };
            Finding::at(path).says(format!("`{by}` is no key of the clinic file, and no name")).fix(fix)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn a_key_and_a_name_pass_and_another_word_does_not() {
        let by = |by: &str| format!("visits: [{{on: 2026-11-27, kind: redressing, by: {by}}}]");
        for known in ["quill", "T. Marsh", "Nurse Okafor"] {
            assert!(paths(&RULE, &by(known)).is_empty(), "{known}");
        }
        assert_eq!(paths(&RULE, &by("qill")), ["visits[0].by"]);
        assert_eq!(paths(&RULE, "closed: {on: 2026-11-27, because: lost, by: nobody}"), ["closed.by"]);
    }
}
