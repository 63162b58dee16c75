//! Clinical rules: one file, one const, one pure function each.
//!
//! A rule looks at [`Facts`] and reports in paths. It never formats for paper, never reads a
//! clock, and does not report what another rule reports.

pub mod accept;
mod advice;
mod anaesthetic;
pub mod answers;
mod bleeding;
mod boxes;
mod circulation;
mod consent;
mod correct_site;
mod diabetes;
pub mod example;
pub mod explain;
mod feet;
mod history;
mod identity;
mod incidents;
mod infection;
mod phenol;
mod records;
mod stage;
#[cfg(test)]
mod testing;
mod tourniquet;
mod visits;
mod words;

use crate::case::Clinic;
use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;

/// What a rule is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Topic {
    Identity,
    CorrectSite,
    Consent,
    Anaesthetic,
    History,
    Circulation,
    Diabetes,
    Bleeding,
    Infection,
    Phenol,
    Tourniquet,
    Records,
    AllergiesAndAdvice,
    Visits,
    Incidents,
}

impl Topic {
    /// The heading of the topic.
    pub fn title(self) -> &'static str {
        match self {
            Topic::Identity => "identity",
            Topic::CorrectSite => "correct site",
            Topic::Consent => "consent",
            Topic::Anaesthetic => "anaesthetic",
            Topic::History => "history",
            Topic::Circulation => "circulation",
            Topic::Diabetes => "diabetes",
            Topic::Bleeding => "bleeding",
            Topic::Infection => "infection",
            Topic::Phenol => "phenol",
            Topic::Tourniquet => "tourniquet",
            Topic::Records => "records",
            Topic::AllergiesAndAdvice => "allergies and advice",
            Topic::Visits => "visits and closing",
            Topic::Incidents => "incidents",
        }
    }
}

/// One rule, with all that `explain` prints of it.
#[derive(Debug)]
pub struct Rule {
    /// The permanent name; it names the fault, never the remedy.
    pub name: &'static str,
    /// What it is about.
    pub topic: Topic,
    /// Its usual weight; a finding may differ with [`Finding::weighs`].
    pub severity: Severity,
    /// What answers a stop of this rule. Cautions and notes are always answered with a reason.
    pub answered_by: AnsweredBy,
    /// The documents that an open finding of this rule holds back.
    pub holds: Holds,
    /// The headline: the same each time, lowercase, no full stop.
    pub title: &'static str,
    /// Why it matters, in a sentence or two.
    pub why: &'static str,
    /// Where it comes from.
    pub cite: Cite,
    /// What this rule does not know.
    pub limits: &'static str,
    /// A case that raises it and one that does not.
    pub example: Example,
    /// Finds it.
    pub check: fn(&Facts) -> Vec<Finding>,
}

/// What may answer a stop.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum AnsweredBy {
    /// Nothing: the page would be false. The file is mended.
    Never,
    /// A reason and a name under `accepted`.
    Reason,
    /// A complete entry under `incidents`: it really happened, and the record says so.
    Incident,
}

/// The documents that an open finding holds back: those that it makes untrue or unsafe, and no other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Holds {
    /// Every document.
    All,
    /// These, by their permanent names.
    Only(&'static [&'static str]),
}

impl Holds {
    /// True if this document is held.
    pub fn holds(self, document: &str) -> bool {
        match self {
            Holds::All => true,
            Holds::Only(names) => names.contains(&document),
        }
    }
}

/// Two fragments of a case file, laid over [`example::BASE_CASE`]. `~` as a value leaves the key out.
#[derive(Debug)]
pub struct Example {
    /// Raises the rule.
    pub bad: &'static str,
    /// Does not raise it.
    pub good: &'static str,
}

/// Every rule, in the order of the table: topics as in [`Topic`].
pub fn rules() -> impl Iterator<Item = &'static Rule> {
    [
        identity::RULES,
        correct_site::RULES,
        consent::RULES,
        anaesthetic::RULES,
        history::RULES,
        circulation::RULES,
        diabetes::RULES,
        bleeding::RULES,
        infection::RULES,
        phenol::RULES,
        tourniquet::RULES,
        records::RULES,
        advice::RULES,
        visits::RULES,
        incidents::RULES,
    ]
    .into_iter()
    .flatten()
    .copied()
}

/// Names that were given up, with what replaced them; `explain` still answers.
pub const RETIRED: &[(&str, &str)] = &[];

/// Rules whose answers the general practice should know of: what was decided about its medicines, and
/// which of its patient's conditions were weighed up.
pub const FOR_THE_PRACTICE: &[&str] = &[
    "anticoagulant",
    "inr-high",
    "bleeding-disorder",
    "immunosuppression",
    "phenol-poor-circulation",
    "arterial-disease",
    "abpi-low",
    "tbpi-low",
    "toe-pressure-low",
    "toe-pressure-borderline",
    "pulses-absent",
    "foot-active",
    "hba1c-high",
    "phenol-pregnancy",
    "paracetamol-unsuitable",
];

/// The rule of a name.
pub fn rule(name: &str) -> Option<&'static Rule> {
    rules().find(|rule| rule.name == name)
}

/// What every rule finds, in the order of [`rules`].
pub fn check_all(facts: &Facts) -> Vec<(&'static Rule, Finding)> {
    rules().flat_map(|rule| (rule.check)(facts).into_iter().map(move |finding| (rule, finding))).collect()
}

/// What the clinic file shows without a case.
pub fn check_clinic(clinic: &Clinic) -> Vec<(&'static Rule, Finding)> {
    [anaesthetic::of_clinic(clinic), records::of_clinic(clinic)].concat()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_and_well_formed() {
        let mut names: Vec<&str> = rules().map(|rule| rule.name).collect();
        for name in &names {
            assert!(
                name.bytes().all(|byte| byte.is_ascii_lowercase() || byte == b'-' || byte.is_ascii_digit()),
                "{name}"
            );
            assert!(
                !["no-must", "use-"].iter().any(|start| name.starts_with(start)),
                "{name} names the remedy"
            );
        }
        let count = names.len();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), count);
        assert!(RETIRED.iter().all(|(old, _)| rule(old).is_none()));
        let unknown: Vec<_> = FOR_THE_PRACTICE.iter().filter(|name| rule(name).is_none()).collect();
        assert_eq!(unknown, Vec::<&&str>::new(), "no such rule");
    }

    #[test]
    fn the_base_case_raises_nothing() {
        let found: Vec<String> = check_all(&example::facts_of(""))
            .into_iter()
            .map(|(rule, finding)| format!("{} at {}: {}", rule.name, finding.path, finding.says))
            .collect();
        assert_eq!(found, Vec::<String>::new());
    }

    /// The documentation cannot lie: every bad example raises its rule, every good one does not.
    #[test]
    fn examples_do_what_they_say() {
        for rule in rules() {
            let raised = |fragment: &str| !(rule.check)(&example::facts_of(fragment)).is_empty();
            assert!(raised(rule.example.bad), "the bad example of {} raises nothing", rule.name);
            assert!(!raised(rule.example.good), "the good example of {} raises it", rule.name);
        }
    }

    #[test]
    fn every_rule_can_be_explained() {
        for rule in rules() {
            for text in [rule.title, rule.why, rule.limits] {
                assert!(text.len() > 15, "{}: {text:?} explains nothing", rule.name);
            }
            assert!(
                !rule.title.ends_with('.') && rule.why.ends_with('.') && rule.limits.ends_with('.'),
                "{}",
                rule.name
            );
            assert!(
                rule.answered_by == AnsweredBy::Never || answers::why(rule).is_some(),
                "{}: cautions are acceptable anyway",
                rule.name
            );
        }
    }
}
