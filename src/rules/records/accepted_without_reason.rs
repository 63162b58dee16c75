//! An `accepted` entry without a reason or without a name.

use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::is_blank;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "accepted-without-reason",
    topic: Topic::Records,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "an accepted entry lacks its reason or its name",
    why: "The operation note prints who went on in spite of the caution, and why. Such an entry answers \
          nothing.",
    cite: Cite::adapts(
        &sources::records::HCPC_RECORDS,
        "10.1",
        "the source asks for full, clear and accurate records; asking for reason and name is ours",
    ),
    limits: "Sees whether something is written, not whether it is a good reason.",
    example: Example {
        bad: r#"{operation: {toes: {L1: {refill: 4 s}}},
 accepted: [{rule: refill-slow, because: "", by: R. Quill}]}"#,
        good: r"{operation: {toes: {L1: {refill: 4 s}}},
 accepted: [{rule: refill-slow, because: cold room; pink at 5 min, by: R. Quill}]}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (at, entry) in facts.case.accepted.iter().enumerate() {
        for (key, text, says) in
            [("because", &entry.because, "no reason is given"), ("by", &entry.by, "nobody is named")]
        {
            if is_blank(Some(text)) {
                findings.push(
                    Finding::at(format!("accepted[{at}].{key}"))
                        .says(says)
                        .fix("write why it was right to go on, and who decided"),
                );
            }
        }
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn both_must_be_there() {
        let entry = |because: &str, by: &str| {
            format!("accepted: [{{rule: refill-slow, because: \"{because}\", by: \"{by}\"}}]")
        };
        assert!(paths(&RULE, &entry("cold", "R. Quill")).is_empty());
        assert_eq!(paths(&RULE, &entry(" ", "R. Quill")), ["accepted[0].because"]);
        assert_eq!(paths(&RULE, &entry("cold", "")), ["accepted[0].by"]);
    }
}
