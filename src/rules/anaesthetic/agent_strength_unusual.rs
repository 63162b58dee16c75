//! A strength in which the agent is not commonly sold.

use super::entries;
use crate::clinical::Cite;
use crate::clinical::tables::agent;
use crate::diagnostic::english::List;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "agent-strength-unusual",
    topic: Topic::Anaesthetic,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "aftercare-leaflet"]),
    title: "an unusual strength of anaesthetic",
    why: "A slip in the strength makes the dose wrong by the same factor: 30 % for 3 % is ten times the \
          dose.",
    cite: Cite::project_default("the strengths of the table of agents are those that are commonly sold"),
    limits: "Knows only the strengths of its table; others may be sold.",
    example: Example {
        bad: "operation: {anaesthetic: {strength: 30 %}}",
        good: "operation: {anaesthetic: {strength: 3 %}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let unusual = entries(facts).into_iter().filter_map(|(path, entry)| {
        let agent = agent(&entry.agent)?;
        (!agent.strengths.contains(&entry.strength)).then(|| {
            Finding::at(path.key("strength"))
                .says(format!(
                    "{} of {}; it is commonly sold in {}",
                    entry.strength,
                    agent.name,
                    List::and(&agent.strengths)
                ))
                .fix("copy the strength from the label; if it is right, say so under `accepted`")
        })
    });
    unusual.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    #[test]
    fn the_strengths_of_the_table_pass() {
        let strength = |percent: &str| format!("operation: {{anaesthetic: {{strength: {percent} %}}}}");
        for usual in ["2", "3", "3.0"] {
            assert!(paths(&RULE, &strength(usual)).is_empty(), "{usual}");
        }
        assert_eq!(
            says(&RULE, &strength("0.3")),
            ["0.3 % of mepivacaine; it is commonly sold in 2 % and 3 %"]
        );
    }

    #[test]
    fn an_unknown_agent_is_another_rule() {
        assert!(paths(&RULE, "operation: {anaesthetic: {agent: water, strength: 30 %}}").is_empty());
    }
}
