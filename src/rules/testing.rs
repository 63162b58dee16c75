//! Short forms for the unit tests of rules: what a rule says of the base case with a fragment over it.

use super::{Rule, example::facts_of};
use crate::diagnostic::{Finding, Severity};

/// The findings of one rule.
pub(super) fn findings(rule: &Rule, fragment: &str) -> Vec<Finding> {
    (rule.check)(&facts_of(fragment))
}

/// The paths it points at.
pub(super) fn paths(rule: &Rule, fragment: &str) -> Vec<String> {
    findings(rule, fragment).iter().map(|finding| finding.path.to_string()).collect()
}

/// What it says, one phrase a finding.
pub(super) fn says(rule: &Rule, fragment: &str) -> Vec<String> {
    findings(rule, fragment).into_iter().map(|finding| finding.says).collect()
}

/// How much each finding weighs.
pub(super) fn weights(rule: &Rule, fragment: &str) -> Vec<Severity> {
    findings(rule, fragment).iter().map(|finding| finding.severity.unwrap_or(rule.severity)).collect()
}

mod paths_exist {
    use serde_json::Value;

    use crate::case::{case_schema, clinic_schema};
    use crate::diagnostic::{File, Path, Segment};
    use crate::rules::{example::facts_of, rules};

    /// Every schema that a step below one of `nodes` may have.
    fn below(root: &Value, nodes: Vec<Value>, step: &Segment) -> Vec<Value> {
        let mut open = nodes;
        let mut found = Vec::new();
        while let Some(node) = open.pop() {
            if let Some(name) = node["$ref"].as_str() {
                open.extend(root.pointer(name.trim_start_matches('#')).cloned());
            }
            for several in ["anyOf", "oneOf", "allOf"] {
                open.extend(node[several].as_array().into_iter().flatten().cloned());
            }
            found.extend(match step {
                Segment::Key(key) => node["properties"]
                    .get(key)
                    .or(node["additionalProperties"].as_object().map(|_| &node["additionalProperties"]))
                    .cloned(),
                Segment::Index(_) => node.get("items").cloned(),
            });
        }
        found
    }

    fn exists(root: &Value, path: &Path) -> bool {
        let start = vec![root.clone()];
        !path.segments().iter().fold(start, |nodes, step| below(root, nodes, step)).is_empty()
    }

    /// A path with a slip in it would point at the block around it, or at the whole file.
    #[test]
    fn rules_point_only_at_keys_that_a_file_may_have() {
        let (case, clinic) = (case_schema(), clinic_schema());
        assert!(exists(&case, &Path::from("operation.toes.L1.tourniquet.off")));
        assert!(exists(&case, &Path::from("history.allergies[3].to")));
        assert!(!exists(&case, &Path::from("operation.toes.L1.tourniquet.of")));
        for rule in rules() {
            for finding in (rule.check)(&facts_of(rule.example.bad)) {
                let root = if finding.file == File::Clinic { &clinic } else { &case };
                for path in std::iter::once(&finding.path).chain(finding.see.iter().map(|(path, _)| path)) {
                    assert!(exists(root, path), "{} points at {path}", rule.name);
                }
                for (path, _) in &finding.see_in_clinic {
                    assert!(exists(&clinic, path), "{} points at {path} of the clinic file", rule.name);
                }
            }
        }
    }

    /// Labels are phrases, and only the fix tells the reader to act.
    #[test]
    fn messages_are_phrases() {
        for rule in rules() {
            for finding in (rule.check)(&facts_of(rule.example.bad)) {
                let labels = finding.see.iter().chain(&finding.see_in_clinic).map(|(_, label)| label);
                for text in std::iter::once(&finding.says).chain(labels).chain(&finding.fix) {
                    assert!(!text.is_empty() && !text.ends_with('.'), "{}: {text:?}", rule.name);
                    assert!(!text.contains("  "), "{}: {text:?}", rule.name);
                }
            }
        }
    }
}
