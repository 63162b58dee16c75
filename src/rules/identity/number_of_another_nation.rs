//! What stands under the NHS number looks like the number of another nation.

use crate::clinical::{Cite, chi_number, hc_number, nhs_number, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "number-of-another-nation",
    topic: Topic::Identity,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::All,
    title: "the NHS number looks like that of another nation",
    why: "Scotland and Northern Ireland have numbers of their own, also of ten digits. Under the wrong label a \
          letter may not find its record.",
    cite: Cite::states(&sources::records::NUMBER_RANGES, "ranges of the four nations"),
    limits: "Goes by the ranges: 32 to 39 is Northern Ireland, and up to 31 with a date in front Scotland. Some \
             lists give part of the first range to England as well: then say so under `accepted`. A number that \
             is no valid one is `nhs-number-check`.",
    example: Example {
        bad: "patient: {nhs_number: 320 000 0015}",
        good: "patient: {nhs_number: ~, hc_number: 320 000 0015}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(number) = &facts.case.patient.nhs_number else { return Vec::new() };
    if !nhs_number::is_valid(&number.0) {
        return Vec::new();
    }
    let (says, key) = if hc_number::is_in_range(&number.0) {
        ("it is from the range of Northern Ireland", "hc_number")
    } else if chi_number::is_valid(&number.0) {
        ("it is from the range of Scotland and begins with a date", "chi_number")
    } else {
        return Vec::new();
    };
    vec![
        Finding::at("patient.nhs_number")
            .says(says)
            .fix(format!("if it is one, write it under `{key}`; if not, say so under `accepted`")),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths};

    #[test]
    fn each_range_is_sent_to_its_own_key() {
        let key = |number: &str| {
            let found = findings(&RULE, &format!("patient: {{nhs_number: {number}}}"));
            let fix = found.first().and_then(|one| one.fix.clone()).unwrap_or_default();
            ["hc_number", "chi_number"].into_iter().find(|key| fix.contains(key))
        };
        assert_eq!(key("320 000 0015"), Some("hc_number"));
        assert_eq!(key("010 101 1237"), Some("chi_number"));
        assert_eq!(key("943 476 5919"), None);
        assert_eq!(key("999 000 0018"), None);
        assert!(paths(&RULE, "patient: {nhs_number: 320 000 0016}").is_empty(), "it is no number at all");
    }
}
