//! `routine: as protocol` where the protocol does not say what it stands for.

use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::words::List;

pub(super) static RULE: Rule = Rule {
    name: "routine-incomplete",
    topic: Topic::Records,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "the protocol does not say what `routine: as protocol` stands for",
    why: "The line stands for seven answers. Where the clinic file has no such answer, the note would say that \
          something was as usual, and nobody could read what.",
    cite: Cite::project_default(
        "what the clinic does with everybody is said in its own words, or not at all",
    ),
    limits: "Sees whether something is written, not whether it was done. Skin preparation and dressing are asked for \
             where nail was removed, lavage where phenol was used.",
    example: Example {
        bad: "{clinic: {protocol: {lavage: saline, urgency: elective, antibiotics: none}}, operation: {routine: as \
              protocol, urgency: ~, antibiotics: ~, vte_prophylaxis: ~, toes: {L1: {lavage: ~}}}}",
        good: "{clinic: {protocol: {lavage: saline, urgency: elective, antibiotics: none, vte_prophylaxis: none}}, \
               operation: {routine: as protocol, urgency: ~, antibiotics: ~, vte_prophylaxis: ~, toes: {L1: {lavage: \
               ~}}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let lacking = &facts.derived.routine.lacking;
    if lacking.is_empty() {
        return Vec::new();
    }
    let keys = List::and(lacking.iter().map(|key| format!("`{key}`")));
    vec![
        Finding::at("operation.routine")
            .says(format!("the protocol has no {keys}"))
            .see_in_clinic("protocol", "the protocol stands here")
            .fix(format!("add {keys} to `protocol` in the clinic file, or type what was done in this case")),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths, says};

    const SILENT: &str = "urgency: ~, antibiotics: ~, vte_prophylaxis: ~, toes: {L1: {lavage: ~}}";

    fn with(protocol: &str, operation: &str) -> String {
        format!("{{clinic: {{protocol: {{{protocol}}}}}, operation: {{routine: as protocol, {operation}}}}}")
    }

    #[test]
    fn each_answer_that_is_missing_is_named_at_once() {
        let nothing = "technique: ~, skin_preparation: ~, dressing: []";
        assert_eq!(
            says(&RULE, &with(nothing, SILENT)),
            [
                "the protocol has no `technique`, `skin_preparation`, `lavage`, `dressing`, `urgency`, `antibiotics` and \
              `vte_prophylaxis`"
            ]
        );
        let found = findings(&RULE, &with(nothing, SILENT));
        assert_eq!(found[0].path.to_string(), "operation.routine");
        assert_eq!(found[0].see_in_clinic[0].0.to_string(), "protocol");
    }

    #[test]
    fn what_is_typed_beside_it_is_not_asked_of_the_protocol() {
        assert!(paths(&RULE, &with("", "urgency: elective")).is_empty(), "all of it stands in the base case");
        assert_eq!(says(&RULE, &with("", "antibiotics: ~")), ["the protocol has no `antibiotics`"]);
        let own = "skin_preparation: iodine, dressing: gauze, anaesthetic: {technique: ring block}";
        assert!(paths(&RULE, &with("technique: ~, skin_preparation: ~, dressing: []", own)).is_empty());
    }

    #[test]
    fn without_the_line_nothing_is_asked() {
        assert!(paths(&RULE, &format!("operation: {{{SILENT}}}")).is_empty());
    }
}
