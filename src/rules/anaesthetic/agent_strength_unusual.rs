//! A strength in which the agent is not commonly sold.

use super::entries;
use crate::clinical::Cite;
use crate::clinical::tables::agent;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::words::List;

pub(super) static RULE: Rule = Rule {
    name: "agent-strength-unusual",
    topic: Topic::Anaesthetic,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "aftercare-leaflet"]),
    title: "an unusual strength of anaesthetic, or one that is not sold plain",
    why: "A slip in the strength makes the dose wrong by the same factor: 30 % for 3 % is ten times the \
          dose. A solution that is only sold with adrenaline and entered without it hides the adrenaline.",
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
        let sold = agent.sold_with_adrenaline.as_ref();
        if let Some(sold) = sold.filter(|sold| sold.strengths.contains(&entry.strength))
            && entry.adrenaline.is_none()
        {
            return Some(
                Finding::at(path.key("strength"))
                    .says(format!("{} {} without adrenaline; it is sold with it", agent.name, entry.strength))
                    .see(path.key("agent"), sold.source.to_string())
                    .fix("copy the strength of adrenaline from the label; if there is none, say so under `accepted`"),
            );
        }
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
        for usual in ["3", "3.0"] {
            assert!(paths(&RULE, &strength(usual)).is_empty(), "{usual}");
        }
        assert_eq!(
            says(&RULE, &strength("0.3")),
            ["0.3 % of mepivacaine; it is commonly sold in 2 % and 3 %"]
        );
    }

    #[test]
    fn what_is_sold_with_adrenaline_is_not_plain() {
        let entry = |entry: &str| format!("operation: {{anaesthetic: {{{entry}}}}}");
        assert_eq!(
            says(&RULE, &entry("agent: articaine, strength: 4 %")),
            ["articaine 4 % without adrenaline; it is sold with it"]
        );
        assert!(paths(&RULE, &entry("agent: articaine, strength: 4 %, adrenaline: \"1:200000\"")).is_empty());
        assert_eq!(paths(&RULE, &entry("strength: 2 %")), ["operation.anaesthetic.strength"]);
        assert!(paths(&RULE, &entry("strength: 2 %, adrenaline: \"1:100000\"")).is_empty());
    }

    #[test]
    fn an_unknown_agent_is_another_rule() {
        assert!(paths(&RULE, "operation: {anaesthetic: {agent: water, strength: 30 %}}").is_empty());
    }
}
