//! The exemption for podiatrists is named for a solution that it does not cover.

use super::entries;
use crate::case::AuthorityKind;
use crate::clinical::tables::{Exempt, agent};
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "agent-outside-exemption",
    topic: Topic::Anaesthetic,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["operation-note"]),
    title: "the exemption for podiatrists does not cover this solution",
    why: "The exemption lists what a podiatrist with the annotation may inject without a prescription. \
          Articaine is not in the list, and with lidocaine or bupivacaine adrenaline at most 1 mg in 200 ml.",
    cite: Cite::states(&sources::anaesthetic::HUMAN_MEDICINES_SCHEDULE_17, "item 1"),
    limits: "Compares the strength of adrenaline as the label has it, exactly. Other agents with adrenaline \
             are not listed as a combination: a caution, since the item may be read to allow what is ready \
             made of listed substances. Felypressin is not asked for.",
    example: Example {
        bad: "operation: {authority: exemption, anaesthetic: {agent: articaine, strength: 4 %, adrenaline: \"1:200000\"}}",
        good: "operation: {authority: exemption, anaesthetic: {agent: lidocaine, strength: 1 %, adrenaline: \"1:200000\"}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let all = entries(facts);
    let mut findings = Vec::new();
    for given in &facts.derived.given_under {
        let Some((authority, block)) = &given.authority else { continue };
        let Some((_, entry)) = all.iter().find(|(path, _)| *path == given.entry) else { continue };
        // A name that the table does not hold is `agent-unknown`.
        let Some(agent) = agent(&entry.agent) else { continue };
        if block.under != AuthorityKind::Exemption {
            continue;
        }
        let name = agent.name;
        let finding = match (agent.exempt(entry.adrenaline.map(|ratio| ratio.0)), entry.adrenaline) {
            (Exempt::Listed, _) => continue,
            (Exempt::NotListed, _) => {
                Finding::at(given.entry.key("agent")).says(format!("{name} is not in the list"))
            }
            (Exempt::TooStrong(most), Some(ratio)) => Finding::at(given.entry.key("adrenaline"))
                .says(format!("{name} with adrenaline 1:{}; the list allows 1:{most}", ratio.0)),
            (_, _) => Finding::at(given.entry.key("adrenaline"))
                .says(format!("{name} with adrenaline is not in the list as a combination"))
                .fix("check the list; say under `accepted` why it is covered, or correct the authority")
                .weighs(Severity::Caution),
        };
        let finding = finding.see(authority.clone(), "the exemption is named");
        findings.push(match finding.severity {
            Some(_) => finding,
            None => finding.fix(
                "if it was given under a prescription or a direction, write that; if under nothing else, \
                 record it as an incident",
            ),
        });
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says, weights};

    fn under(authority: &str, entry: &str) -> String {
        format!("operation: {{authority: {authority}, anaesthetic: {{{entry}}}}}")
    }

    fn with(agent: &str, ratio: &str) -> String {
        under("exemption", &format!("agent: {agent}, adrenaline: \"1:{ratio}\""))
    }

    #[test]
    fn articaine_is_in_no_list() {
        assert_eq!(weights(&RULE, &under("exemption", "agent: articaine")), [Severity::Stop]);
        assert_eq!(says(&RULE, &under("exemption", "agent: articaine")), ["articaine is not in the list"]);
        assert!(paths(&RULE, &under("own prescription", "agent: articaine")).is_empty());
        for agent in
            ["lidocaine", "mepivacaine", "prilocaine", "bupivacaine", "levobupivacaine", "ropivacaine"]
        {
            assert!(paths(&RULE, &under("exemption", &format!("agent: {agent}"))).is_empty(), "{agent}");
        }
    }

    #[test]
    fn one_in_two_hundred_thousand_is_the_strongest() {
        for agent in ["lidocaine", "bupivacaine"] {
            assert!(paths(&RULE, &with(agent, "200000")).is_empty(), "{agent}");
            assert!(paths(&RULE, &with(agent, "400000")).is_empty(), "weaker");
            assert_eq!(weights(&RULE, &with(agent, "199999")), [Severity::Stop], "{agent}");
        }
        assert_eq!(
            says(&RULE, &with("lidocaine", "80000")),
            ["lidocaine with adrenaline 1:80000; the list allows 1:200000"]
        );
    }

    #[test]
    fn a_combination_that_is_not_listed_is_a_question() {
        for agent in ["mepivacaine", "prilocaine", "ropivacaine", "levobupivacaine"] {
            assert_eq!(weights(&RULE, &with(agent, "200000")), [Severity::Caution], "{agent}");
        }
    }
}
