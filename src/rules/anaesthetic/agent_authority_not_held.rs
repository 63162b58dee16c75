//! The authority named is one that the person who injected does not hold, as far as it was stated.

use crate::case::{Annotation, AuthorityKind};
use crate::clinical::{Cite, sources};
use crate::derive::Injector;
use crate::diagnostic::{Finding, Path, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "agent-authority-not-held",
    topic: Topic::Anaesthetic,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["operation-note"]),
    title: "the person who injected does not hold the authority that is named",
    why: "The exemption is for podiatrists whose entry in the register is annotated, and nobody can pass it \
          on to an assistant or a student. A prescription of one's own needs the annotation of a prescriber.",
    cite: Cite::adapts(
        &sources::anaesthetic::HCPC_ANNOTATIONS,
        "prescription only medicines, administration",
        "the annotations are named there; that the exemption cannot be passed on is said by the Institute of \
         Podiatrists (iop-uk.org, patient specific directions)",
    ),
    limits: "Goes by the annotations that the clinic file states for its practitioners; the register itself \
             is not looked up. Where none are stated it is a note, and where the clinic file does not know \
             the person a caution. Directions are not looked at: who may act on them is in their own text.",
    example: Example {
        bad: "{operation: {authority: exemption}, clinic: {practitioners: {quill: {annotations: [sale and supply]}}}}",
        good: "{operation: {authority: exemption}, clinic: {practitioners: {quill: {annotations: [administration]}}}}",
    },
    check,
};

/// Words in a role of those to whom the exemption cannot be passed on.
const NOT_ON_THE_REGISTER: [&str; 3] = ["assistant", "student", "technician"];

fn check(facts: &Facts) -> Vec<Finding> {
    let mut findings: Vec<Finding> = Vec::new();
    for given in &facts.derived.given_under {
        let Some((authority, block)) = &given.authority else { continue };
        let (needed, what): (&[Annotation], _) = match block.under {
            AuthorityKind::Exemption => (&[Annotation::Administration], "the exemption"),
            AuthorityKind::OwnPrescription => {
                (&[Annotation::IndependentPrescriber], "a prescription of one's own")
            }
            AuthorityKind::SupplementaryPrescribing => (
                &[Annotation::SupplementaryPrescriber, Annotation::IndependentPrescriber],
                "supplementary prescribing",
            ),
            AuthorityKind::PatientGroupDirection | AuthorityKind::PatientSpecificDirection => continue,
        };
        let finding = Finding::at(authority.clone())
            .see(given.entry.key("agent"), format!("{} was given", given.agent));
        let finding = match &given.injector {
            Injector::Unknown => continue,
            Injector::Other(name) => finding
                .says(format!("{what} is named; {name} is not in the clinic file"))
                .fix("add the person to the clinic file with `annotations`, or correct the authority")
                .weighs(Severity::Caution),
            Injector::OfClinic { name, role, .. } if is_not_on_the_register(role) => {
                finding.says(format!("{what} is named; {name} is {}", role.to_lowercase())).fix(
                    "if a direction covered it, write that; if the podiatrist injected, correct `given_by`; \
                     if neither, record it as an incident",
                )
            }
            Injector::OfClinic { key, annotations: None, name, .. } => {
                Finding::at(Path::from("practitioners").key(key))
                    .in_clinic()
                    .says(format!("{what} is named; no annotations of {name} are stated"))
                    .fix("write them in the clinic file, like `annotations: [administration]`")
                    .weighs(Severity::Note)
            }
            Injector::OfClinic { annotations: Some(annotations), name, .. } => {
                if needed.iter().any(|needed| annotations.contains(needed)) {
                    continue;
                }
                let word = needed[0].word();
                finding.says(format!("{what} is named; {name} is stated without `{word}`")).fix(
                    "correct the authority or the annotations in the clinic file; if both are right, record \
                     it as an incident",
                )
            }
        };
        if !findings.iter().any(|known| known.path == finding.path && known.says == finding.says) {
            findings.push(finding);
        }
    }
    findings
}

fn is_not_on_the_register(role: &str) -> bool {
    let role = role.to_lowercase();
    NOT_ON_THE_REGISTER.iter().any(|word| role.contains(word))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::File;
    use crate::rules::testing::{findings, paths, says, weights};

    fn stated(authority: &str, annotations: &str) -> String {
        format!(
            "{{operation: {{authority: {authority}}}, \
             clinic: {{practitioners: {{quill: {{annotations: {annotations}}}}}}}}}"
        )
    }

    #[test]
    fn each_authority_needs_its_annotation() {
        assert!(paths(&RULE, &stated("exemption", "[administration]")).is_empty());
        assert_eq!(weights(&RULE, &stated("exemption", "[sale and supply]")), [Severity::Stop]);
        assert_eq!(weights(&RULE, &stated("exemption", "[independent prescriber]")), [Severity::Stop]);
        assert!(paths(&RULE, &stated("own prescription", "[independent prescriber]")).is_empty());
        assert_eq!(
            says(&RULE, &stated("own prescription", "[administration]")),
            ["a prescription of one's own is named; Robin Quill is stated without `independent prescriber`"]
        );
        let supplementary = "{under: supplementary prescribing, by: Dr A. Fenwright, on: 2026-10-01}";
        assert!(paths(&RULE, &stated(supplementary, "[supplementary prescriber]")).is_empty());
        assert_eq!(weights(&RULE, &stated(supplementary, "[administration]")), [Severity::Stop]);
        let direction = "patient-specific direction by Dr A. Fenwright";
        assert!(paths(&RULE, &stated(direction, "[sale and supply]")).is_empty());
    }

    #[test]
    fn nothing_stated_is_a_note_in_the_clinic_file() {
        let found = findings(&RULE, &stated("exemption", "~"));
        assert_eq!((found[0].file, found[0].severity), (File::Clinic, Some(Severity::Note)));
        assert_eq!(found[0].path.to_string(), "practitioners.quill");
    }

    #[test]
    fn an_assistant_cannot_hold_it_and_a_stranger_is_asked_for() {
        let by = |name: &str| {
            format!(
                "{{operation: {{authority: exemption, anaesthetic: {{given_by: {name}}}}}, \
                 clinic: {{practitioners: {{reed: {{name: M. Reed, registration: none, role: Podiatry assistant, \
                 annotations: [administration]}}}}}}}}"
            )
        };
        assert_eq!(weights(&RULE, &by("reed")), [Severity::Stop]);
        assert_eq!(says(&RULE, &by("reed")), ["the exemption is named; M. Reed is podiatry assistant"]);
        assert_eq!(weights(&RULE, &by("A. Stranger")), [Severity::Caution]);
    }
}
