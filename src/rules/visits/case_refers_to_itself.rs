//! A case that follows itself, or goes on under its own reference.

use crate::case::ClosedBecause;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "case-refers-to-itself",
    topic: Topic::Visits,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::All,
    title: "a case names itself as the one before or after it",
    why: "The reference of another case is missing, and the way from the first operation to the second is lost.",
    cite: Cite::adapts(
        &sources::records::HCPC_RECORDS,
        "10.1",
        "the source asks for clear and accurate records; comparing the entries is ours",
    ),
    limits: "Whether the other case is there, and of the same patient, is seen where both are in one run.",
    example: Example { bad: r#"follows: LFC-0001"#, good: r#"follows: LFC-0042"# },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let case = &facts.case;
    let after = match case.closed.as_ref().map(|closed| &closed.because) {
        Some(ClosedBecause::NewCase(after)) => Some(after),
        _ => None,
    };
    let before = case.follows.as_ref().map(|earlier| &earlier.reference);
    let mut findings = Vec::new();
    if before == Some(&case.reference) {
        findings.push(Finding::at("follows").says(format!("`{}` is this case", case.reference)));
    }
    if after == Some(&case.reference) {
        findings.push(Finding::at("closed.because").says(format!("`{}` is this case", case.reference)));
    } else if after.is_some() && after == before {
        let both = Finding::at("closed.because").says("the new case is the one that this one follows");
        findings.push(both.see("follows", "the earlier case"));
    }
    findings.into_iter().map(|finding| finding.fix("write the reference of the other case")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn itself_and_a_circle_are_found() {
        let own = crate::rules::example::facts_of("").case.reference.to_string();
        let other = "LFC-0042";
        let new = |new: &str| format!("closed: {{on: 2026-11-25, because: new case {new}}}");
        assert_eq!(paths(&RULE, &format!("follows: {own}")), ["follows"]);
        assert_eq!(paths(&RULE, &format!("{{{}}}", new(&own))), ["closed.because"]);
        assert!(paths(&RULE, &format!("{{follows: {other}, {}}}", new("LFC-0312"))).is_empty());
        assert_eq!(paths(&RULE, &format!("{{follows: {other}, {}}}", new(other))), ["closed.because"]);
    }
}
