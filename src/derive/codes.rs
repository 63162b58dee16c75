//! Suggested codes. A clinical coder decides; the tool only says what fits what was done.
//!
//! No rule was found on whether avulsion with phenol is one code or two, or on when removing a part of
//! a nail is an excision. The smallest set is given: what was done to the nail, what was done to the
//! nail bed, and the side.

use std::collections::BTreeSet;

use super::{Code, Given, Unknown, Value};
use crate::case::{AffectedToe, Matrix, Side, Toe};
use crate::clinical::{Cite, sources::records};

const CITE: Cite = Cite::adapts(
    &records::CODE_USAGE,
    "code titles",
    "the titles are stated; no coding rule for avulsion with phenol was found, so these are a suggestion and the coder decides",
);

const INGROWING_NAIL: Code = Code { system: "ICD-10", code: "L60.0", title: "Ingrowing nail" };
const AVULSION: Code = Code { system: "OPCS-4", code: "S70.1", title: "Avulsion of nail" };
const CHEMICAL_DESTRUCTION: Code =
    Code { system: "OPCS-4", code: "S64.2", title: "Chemical destruction of nail bed" };
const BILATERAL: Code = Code { system: "OPCS-4", code: "Z94.1", title: "Bilateral operation" };
const RIGHT_SIDED: Code = Code { system: "OPCS-4", code: "Z94.2", title: "Right sided operation" };
const LEFT_SIDED: Code = Code { system: "OPCS-4", code: "Z94.3", title: "Left sided operation" };

pub(super) fn codes_of(given: Given<'_>) -> Value<Vec<Code>> {
    let toes = operated_or_planned(given);
    if toes.is_empty() {
        return Value::Unknown(Unknown {
            missing: vec!["operation.toes".into(), "plan".into()],
            ..Unknown::default()
        });
    }
    let mut codes = Vec::new();
    let is_ingrown = is_ingrown(given);
    if is_ingrown {
        codes.push(INGROWING_NAIL);
    }
    codes.push(AVULSION);
    if toes.iter().any(|(_, with_phenol)| *with_phenol) {
        codes.push(CHEMICAL_DESTRUCTION);
    }
    codes.push(laterality(toes.iter().map(|(toe, _)| toe.side()).collect()));
    let diagnosis = if is_ingrown { "" } else { ", the diagnosis is left to the coder" };
    Value::known(codes, format!("a suggestion: the coder decides{diagnosis}"), CITE)
}

/// Each toe, and whether phenol was (or will be) used.
fn operated_or_planned(given: Given<'_>) -> Vec<(Toe, bool)> {
    if let Some(operation) = &given.case.operation {
        return operation.toes.iter().map(|(toe, done)| (toe, done.phenol.is_some())).collect();
    }
    let plan = given.case.plan.iter().flat_map(|plan| plan.iter());
    plan.map(|(toe, planned)| (toe, planned.matrix == Matrix::Phenol)).collect()
}

/// False only where the affected toes are recorded as thickened and none of them as ingrown, or where each has
/// a diagnosis of its own: words are left to the coder.
fn is_ingrown(given: Given<'_>) -> bool {
    let recorded = given.case.affected();
    let is_only_thick = |toe: &AffectedToe| {
        toe.thickened == Some(true)
            && toe.edges.is_empty()
            && toe.stage.is_none()
            && toe.involuted != Some(true)
    };
    recorded.is_none_or(|toes| {
        toes.is_empty() || !toes.iter().all(|(_, toe)| toe.diagnosis.is_some() || is_only_thick(toe))
    })
}

fn laterality(sides: BTreeSet<Side>) -> Code {
    match (sides.contains(&Side::Right), sides.contains(&Side::Left)) {
        (true, true) => BILATERAL,
        (true, false) => RIGHT_SIDED,
        (false, _) => LEFT_SIDED,
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::example::facts_of;

    fn codes(fragment: &str) -> String {
        facts_of(fragment)
            .derived
            .codes
            .print(|codes| codes.iter().map(|code| code.code).collect::<Vec<_>>().join(" "))
    }

    #[test]
    fn nail_nail_bed_and_side() {
        assert_eq!(codes(""), "L60.0 S70.1 S64.2 Z94.3");
        assert_eq!(codes("operation: {toes: {L1: {phenol: ~}}}"), "L60.0 S70.1 Z94.3");
        assert_eq!(codes("operation: {toes: {L1: ~, R1: {nail: total}}}"), "L60.0 S70.1 Z94.2");
        assert_eq!(codes("operation: {toes: {R1: {nail: total}}}"), "L60.0 S70.1 S64.2 Z94.1");
    }

    #[test]
    fn the_plan_serves_before_the_operation() {
        assert_eq!(codes("operation: ~"), "L60.0 S70.1 S64.2 Z94.3");
        assert_eq!(codes("{operation: ~, plan: {L1: {matrix: none}}}"), "L60.0 S70.1 Z94.3");
        assert_eq!(codes("{operation: ~, plan: ~}"), "not known: operation.toes and plan missing");
    }

    #[test]
    fn a_thick_nail_is_not_called_ingrowing() {
        let thick = "problem: {toes: {L1: {edges: [], stage: ~, thickened: true}}}";
        assert_eq!(codes(thick), "S70.1 S64.2 Z94.3");
        assert_eq!(
            codes("problem: {toes: {L1: {diagnosis: lifted nail after an injury}}}"),
            "S70.1 S64.2 Z94.3"
        );
        assert_eq!(codes("problem: {toes: {L1: {thickened: true}}}"), "L60.0 S70.1 S64.2 Z94.3");
        assert_eq!(codes("problem: ~"), "L60.0 S70.1 S64.2 Z94.3");
    }

    #[test]
    fn the_coder_decides() {
        let facts = facts_of("");
        let known = facts.derived.codes.entry().expect("known");
        assert!(known.source.to_string().contains("the coder decides"), "{}", known.source);
    }
}
