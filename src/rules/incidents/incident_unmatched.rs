//! An entry that names a rule which finds nothing, is no rule, or is answered already.

use super::entries;
use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, RETIRED, Rule, Topic, accept, rule, rules};
use crate::words::nearest;

pub(super) static RULE: Rule = Rule {
    name: "incident-unmatched",
    topic: Topic::Incidents,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "candour-letter"]),
    title: "an incident answers nothing",
    why: "The patient would be told of something that the rest of the record does not show. Either the entry \
          is left over from an earlier version of the file, or the record was changed to look right.",
    cite: Cite::project_default(
        "an answer to something that is not there is a slip of the pen or out of date",
    ),
    limits: "Matches the rule's name only; whether the words fit is for the reader. What no rule finds is \
             recorded with `answers: []`.",
    example: Example { bad: "incidents: [{answers: [toe-not-planned]}]", good: "incidents: [{answers: []}]" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut seen: Vec<(&str, String)> = Vec::new();
    for (at, incident) in entries(facts) {
        for (which, name) in incident.answered_rules().iter().enumerate() {
            let path = format!("incidents[{at}].answers[{which}]");
            let first = seen.iter().find(|(other, _)| other == name).map(|(_, path)| path.clone());
            seen.push((name.as_str(), path.clone()));
            findings.extend(unmatched(facts, name, &path, first));
        }
    }
    findings
}

fn unmatched(facts: &Facts, name: &str, path: &str, first: Option<String>) -> Option<Finding> {
    let finding = Finding::at(path);
    let Some(named) = rule(name) else {
        return Some(match RETIRED.iter().find(|(old, _)| *old == name) {
            Some((_, new)) => finding.says(format!("`{name}` was given up")).fix(format!("see {new}")),
            None => finding.says(format!("there is no rule `{name}`")).fix(
                match nearest(name, rules().map(|rule| rule.name)) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => "take the name from the finding, as `check` prints it; what no rule finds is \
                             recorded with `answers: []`"
                        .into(),
                },
            ),
        });
    };
    if let Some(first) = first {
        return Some(
            finding
                .says(format!("`{name}` is answered twice"))
                .see(first, "the first entry answers all its findings")
                .fix("name it in one incident only"),
        );
    }
    // Asking one of these rules would come back here.
    if named.topic == Topic::Incidents || accept::is_about_answers(named) {
        return None;
    }
    if let Some(at) = accept::first_entry(facts, name) {
        return Some(
            finding
                .says(format!("`{name}` is answered twice"))
                .see(format!("accepted[{at}].rule"), "answered here with a reason")
                .fix("keep the one that is true: a decision with its reason, or an incident"),
        );
    }
    if !(named.check)(facts).is_empty() {
        return None;
    }
    Some(finding.says(format!("`{name}` finds nothing in this case")).fix(
        "write the plan, the consent and the operation as they really were, or take the name out of `answers`",
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    const OTHER_FOOT: &str = "plan: {L1: ~, R1: {nail: partial, edges: [lateral], matrix: phenol}}";

    fn with(incidents: &str) -> String {
        format!("{{{OTHER_FOOT}, incidents: [{incidents}]}}")
    }

    #[test]
    fn what_is_found_is_answered_and_nothing_else() {
        assert!(paths(&RULE, &with("{answers: [toe-not-planned]}")).is_empty());
        assert_eq!(
            says(&RULE, "incidents: [{answers: [toe-not-planned]}]"),
            ["`toe-not-planned` finds nothing in this case"]
        );
        assert_eq!(says(&RULE, &with("{answers: [toe-not-plannd]}")), ["there is no rule `toe-not-plannd`"]);
    }

    #[test]
    fn a_rule_is_answered_once() {
        let twice = with("{answers: [toe-not-planned]}, {answers: [toe-not-planned]}");
        assert_eq!(paths(&RULE, &twice), ["incidents[1].answers[0]"]);
        let reason = "{operation: {toes: {L1: {refill: 4 s}}}, incidents: [{answers: [refill-slow]}], \
                      accepted: [{rule: refill-slow, because: cold, by: R. Quill}]}";
        assert_eq!(paths(&RULE, reason), ["incidents[0].answers[0]"]);
    }
}
