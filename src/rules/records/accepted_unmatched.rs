//! An `accepted` entry that answers nothing. An entry for a stop that cannot be accepted is
//! `accepted-not-acceptable`.

use crate::case::Accepted;
use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, RETIRED, Rule, Topic, accept, rule, rules};
use crate::words::nearest;

pub(super) static RULE: Rule = Rule {
    name: "accepted-unmatched",
    topic: Topic::Records,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "an accepted entry answers nothing",
    why: "Accepted cautions are printed in the operation note with reason and name. An entry left over from \
          an earlier version of the file, or with a slip in its name, would be lost without a word.",
    cite: Cite::project_default(
        "an answer to something that is not there is a slip of the pen or out of date",
    ),
    limits: "Matches the rule's name only; whether the reason fits is for the reader.",
    example: Example {
        bad: r"accepted: [{rule: refil-slow, because: cold room, by: R. Quill}]",
        good: r"{operation: {toes: {L1: {refill: 4 s}}},
 accepted: [{rule: refill-slow, because: cold room; pink at 5 min, by: R. Quill}]}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let accepted = &facts.case.accepted;
    accepted.iter().enumerate().filter_map(|(at, entry)| unmatched(facts, at, entry)).collect()
}

fn unmatched(facts: &Facts, at: usize, entry: &Accepted) -> Option<Finding> {
    let name = entry.rule.as_str();
    let finding = Finding::at(format!("accepted[{at}].rule"));
    let Some(named) = rule(name) else {
        return Some(match RETIRED.iter().find(|(old, _)| *old == name) {
            Some((_, new)) => finding.says(format!("`{name}` was given up")).fix(format!("see {new}")),
            None => finding.says(format!("there is no rule `{name}`")).fix(
                match nearest(name, rules().map(|rule| rule.name)) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => "take the name from the finding, as `check` prints it".into(),
                },
            ),
        });
    };
    if let Some(first) = accept::first_entry(facts, name).filter(|first| *first < at) {
        return Some(
            finding
                .says(format!("a second entry for `{name}`"))
                .see(format!("accepted[{first}].rule"), "the first entry answers all its findings")
                .fix("make one entry of the two"),
        );
    }
    // Asking one of these rules would come back here.
    if accept::is_about_answers(named) || !(named.check)(facts).is_empty() {
        return None;
    }
    Some(finding.says(format!("`{name}` finds nothing in this case")).fix("take the entry out"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths, says};

    fn entries(rules: &[&str]) -> String {
        let entries: Vec<String> =
            rules.iter().map(|rule| format!("{{rule: {rule}, because: so, by: R. Quill}}")).collect();
        format!("operation: {{toes: {{L1: {{refill: 4 s}}}}}}\naccepted: [{}]", entries.join(", "))
    }

    #[test]
    fn a_slip_is_answered_with_the_rule_that_was_meant() {
        let found = findings(&RULE, &entries(&["refil-slow"]));
        assert_eq!(found[0].fix.as_deref(), Some("did you mean `refill-slow`?"));
        assert_eq!(says(&RULE, &entries(&["bananas"])), ["there is no rule `bananas`"]);
    }

    #[test]
    fn a_rule_that_finds_nothing_and_a_second_entry_are_found() {
        assert!(paths(&RULE, &entries(&["refill-slow"])).is_empty());
        assert_eq!(paths(&RULE, &entries(&["refill-slow", "tray-missing"])), ["accepted[1].rule"]);
        assert_eq!(
            says(&RULE, &entries(&["refill-slow", "refill-slow"])),
            ["a second entry for `refill-slow`"]
        );
    }
}
