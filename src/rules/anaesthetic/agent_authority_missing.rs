//! An anaesthetic was given, and nothing says by what authority.

use crate::clinical::tables::{Exempt, agent};
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::words::List;

use super::entries;

pub(super) static RULE: Rule = Rule {
    name: "agent-authority-missing",
    topic: Topic::Anaesthetic,
    severity: Severity::Note,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "by what authority the anaesthetic was given is not recorded",
    why: "Nobody may inject a prescription-only medicine into another without being a prescriber, acting on \
          the directions of one, or standing under an exemption. The record shows which it was.",
    cite: Cite::adapts(
        &sources::anaesthetic::HUMAN_MEDICINES_214,
        "paragraph 2",
        "the regulation was read in a summary; asking for the authority in the record is ours",
    ),
    limits: "Said once for each operation. A note where the exemption could cover what was given; a caution \
             where only a prescription or a direction can. Who is on the register, and with which annotation, \
             nobody here can look up.",
    example: Example { bad: "operation: {authority: ~}", good: "operation: {authority: exemption}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let without: Vec<_> =
        facts.derived.given_under.iter().filter(|given| given.authority.is_none()).collect();
    if without.is_empty() {
        return Vec::new();
    }
    let all = entries(facts);
    let is_exempt = without.iter().all(|given| {
        let entry = all.iter().find(|(path, _)| *path == given.entry).map(|(_, entry)| *entry);
        let adrenaline = entry.and_then(|entry| entry.adrenaline).map(|ratio| ratio.0);
        agent(&given.agent).is_some_and(|agent| agent.exempt(adrenaline) == Exempt::Listed)
    });
    let names = List::and(without.iter().map(|given| &given.agent)).to_string();
    let finding = without.iter().fold(Finding::at("operation.authority"), |finding, given| {
        finding.see(given.entry.key("agent"), format!("{} was given", given.agent))
    });
    vec![if is_exempt {
        finding
            .says(format!("{names}: exemption, prescription or direction?"))
            .fix("write `authority: exemption` below `operation`, or what it was given under")
    } else {
        finding
            .says(format!("{names}: the exemption for podiatrists does not cover it"))
            .fix(
                "write the prescription or direction it was given under, like `authority: own prescription`; \
                 if there was none, say so under `accepted`",
            )
            .weighs(Severity::Caution)
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says, weights};

    #[test]
    fn silence_is_a_note_where_the_exemption_could_cover_it() {
        let without = |entry: &str| format!("operation: {{authority: ~, anaesthetic: {entry}}}");
        assert_eq!(weights(&RULE, "operation: {authority: ~}"), [Severity::Note]);
        let articaine = without("{agent: articaine, strength: 4 %}");
        assert_eq!(weights(&RULE, &articaine), [Severity::Caution]);
        assert_eq!(says(&RULE, &articaine), ["articaine: the exemption for podiatrists does not cover it"]);
        let lidocaine =
            |ratio: &str| without(&format!("{{agent: lidocaine, strength: 1 %, adrenaline: \"1:{ratio}\"}}"));
        assert_eq!(weights(&RULE, &lidocaine("200000")), [Severity::Note]);
        assert_eq!(weights(&RULE, &lidocaine("100000")), [Severity::Caution]);
    }

    #[test]
    fn once_for_each_operation_and_not_before_it() {
        let two = "operation: {authority: ~, anaesthetic: [{agent: lidocaine, strength: 1 %}, \
                   {agent: mepivacaine, strength: 3 %}]}";
        assert_eq!(says(&RULE, two), ["lidocaine and mepivacaine: exemption, prescription or direction?"]);
        let own = "operation: {authority: ~, anaesthetic: {authority: exemption}}";
        assert!(paths(&RULE, own).is_empty());
        assert!(paths(&RULE, "operation: ~").is_empty());
        assert!(paths(&RULE, "operation: {authority: ~, anaesthetic: ~}").is_empty());
    }
}
