//! The date inside the CHI number is not the patient's date of birth.

use chrono::Datelike;

use crate::clinical::{Cite, chi_number, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "chi-number-birth",
    topic: Topic::Identity,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::All,
    title: "the CHI number holds another date of birth",
    why: "One of the two may be a slip of the pen, or the number may be another patient's.",
    cite: Cite::adapts(
        &sources::records::CHI_CHECK,
        "the first six digits are the date of birth",
        "comparing them with the date of birth is ours",
    ),
    limits: "A date of birth that was put right later can leave the old one in the number: that is a reason. The \
             century is not in the number. A number that is no valid one is `chi-number-check`.",
    example: Example {
        bad: r#"patient: {nhs_number: ~, born: 2001-01-10, chi_number: "0101011237"}"#,
        good: r#"patient: {nhs_number: ~, born: 2001-01-01, chi_number: "0101011237"}"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let patient = &facts.case.patient;
    let number = patient.chi_number.as_ref().map(|number| chi_number::check(&number.0));
    let Some(Ok(inside)) = number else { return Vec::new() };
    let born = patient.born.0;
    let is_same = (u32::from(inside.day), u32::from(inside.month)) == (born.day(), born.month())
        && i32::from(inside.year) == born.year() % 100;
    if is_same {
        return Vec::new();
    }
    vec![
        Finding::at("patient.chi_number")
            .says("its first six digits are another day")
            .see("patient.born", format!("born on {}", patient.born.clinical()))
            .fix("compare both with the referral and with the patient; if both are right, say why under `accepted`"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn the_day_is_compared_and_the_century_is_not() {
        let born = |on: &str| paths(&RULE, &format!("patient: {{born: {on}, chi_number: 010101 1237}}"));
        assert!(born("2001-01-01").is_empty());
        assert!(born("1901-01-01").is_empty());
        for other in ["2001-01-02", "2001-02-01", "2002-01-01"] {
            assert_eq!(born(other), ["patient.chi_number"], "{other}");
        }
        assert!(paths(&RULE, "patient: {chi_number: 010101 1238}").is_empty(), "it is no number at all");
    }
}
