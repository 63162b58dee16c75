//! A case that was closed as healed, and a toe of which nobody wrote that it is.

use super::CLOSING;
use crate::case::ClosedBecause;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::named;
use crate::rules::{AnsweredBy, Example, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "closed-toe-open",
    topic: Topic::Visits,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: CLOSING,
    title: "the case was closed as healed, and a toe is not recorded as healed",
    why: "The closing letter tells the patient and the practice that the toe is healed.",
    cite: Cite::adapts(
        &sources::records::HCPC_RECORDS,
        "10.1",
        "the source asks for clear and accurate records; comparing the entries is ours",
    ),
    limits: "Healed is what a visit says of the toe; a later visit at which it is open takes it back.",
    example: Example {
        bad: r#"closed: {on: 2026-11-25, because: healed}"#,
        good: r#"{visits: [{on: 2026-11-25, kind: review, toes: {L1: {healed: true}}}], closed: {on: 2026-11-25, because: healed}}"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    if facts.case.closed.as_ref().is_none_or(|closed| closed.because != ClosedBecause::Healed) {
        return Vec::new();
    }
    let finding = Finding::at("closed.because").fix(
        "write `healed: true` at the visit at which it was seen, or close the case for the reason that is true: \
         `lost`, `moved away`, `own wish`",
    );
    let toes = &facts.derived.course.toes;
    if toes.is_empty() {
        return vec![finding.says("no toe was operated on")];
    }
    let open = toes.iter().filter(|toe| toe.healed.is_none());
    open.map(|toe| {
        let says = match toe.last_open {
            Some(on) => format!("{} was open on {}", named(toe.toe), on.clinical()),
            None => format!("nothing says that {} is healed", named(toe.toe)),
        };
        finding.clone().says(says)
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::says;

    #[test]
    fn each_open_toe_is_named() {
        let seen = |healed: &str| {
            says(
                &RULE,
                &format!(
                    "{{visits: [{{on: 2026-11-25, kind: review, toes: {{L1: {{healed: {healed}}}}}}}], \
                     closed: {{on: 2026-11-25, because: healed}}}}"
                ),
            )
        };
        assert!(seen("true").is_empty());
        assert_eq!(seen("false"), ["L1 (left hallux) was open on 25-Nov-2026"]);
        assert_eq!(says(&RULE, RULE.example.bad), ["nothing says that L1 (left hallux) is healed"]);
        assert!(says(&RULE, "closed: {on: 2026-11-25, because: lost}").is_empty());
    }
}
