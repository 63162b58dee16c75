//! A box of the clinic's supplies of which too little is said, or what cannot be true.

use crate::case::{Clinic, Supply, SupplyKind};
use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::boxes::place;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "supply-unclear",
    topic: Topic::Records,
    severity: Severity::Note,
    answered_by: AnsweredBy::Never,
    holds: Holds::All,
    title: "a box of the clinic file cannot be used as it stands",
    why: "A case takes from the box all that it would otherwise say itself; what is missing there is missing in \
          every case that names the box.",
    cite: Cite::project_default("what stands on a label is typed once, when the box is opened"),
    limits: "Looks at what is in the box, the strength, and the order of its days. Whether they are those of the \
             label is not known.",
    example: Example {
        bad: "clinic: {supplies: {mepi: {agent: mepivacaine, batch: M4417, expires: 2027-08}}}",
        good: "clinic: {supplies: {mepi: {agent: mepivacaine, strength: 3 %, batch: M4417, expires: 2027-08}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    of_clinic(&facts.clinic)
}

/// What the clinic file alone shows.
pub(super) fn of_clinic(clinic: &Clinic) -> Vec<Finding> {
    let each = clinic.supplies.iter().filter_map(|(key, supply)| {
        let (value, says, fix) = fault(key, supply)?;
        Some(Finding::at(place(key, value)).in_clinic().says(says).fix(fix))
    });
    each.collect()
}

fn fault(key: &str, supply: &Supply) -> Option<(&'static str, String, &'static str)> {
    match supply.kind() {
        None => {
            let says = format!("`{key}` says of neither a medicine nor a dressing what it is, or of both");
            return Some(("agent", says, "write `agent: …`, or `dressing: …` for a dressing"));
        }
        Some(SupplyKind::Dressing) => {}
        Some(SupplyKind::Anaesthetic | SupplyKind::Phenol) if supply.strength.is_none() => {
            return Some((
                "strength",
                format!("`{key}` has no strength"),
                "add `strength: …` from the label",
            ));
        }
        Some(SupplyKind::Anaesthetic) if supply.form.is_some() => {
            return Some(("form", format!("`{key}` has a form, which phenol alone has"), "take out `form`"));
        }
        Some(SupplyKind::Phenol) if supply.adrenaline.is_some() => {
            return Some(("adrenaline", format!("`{key}` is phenol with adrenaline"), "correct the entry"));
        }
        Some(SupplyKind::Anaesthetic | SupplyKind::Phenol) => {}
    }
    let (opened, finished) = (supply.opened?, supply.finished?);
    (finished < opened).then(|| {
        let says = format!("`{key}` was finished {} and opened {}", finished.clinical(), opened.clinical());
        ("finished", says, "correct one of the two days")
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn each_fault_is_pointed_at_in_its_box() {
        let of = |rest: &str| {
            paths(&RULE, &format!("clinic: {{supplies: {{x: {{batch: B1, expires: 2027-08, {rest}}}}}}}"))
        };
        assert_eq!(of("opened: 2026-11-01"), ["supplies.x.agent"]);
        assert_eq!(of("agent: phenol, dressing: gauze, strength: 89 %"), ["supplies.x.agent"]);
        assert_eq!(of("agent: phenol"), ["supplies.x.strength"]);
        assert_eq!(of("agent: mepivacaine, strength: 3 %, form: bottle"), ["supplies.x.form"]);
        assert_eq!(of("agent: Phenol, strength: 89 %, adrenaline: \"1:200000\""), ["supplies.x.adrenaline"]);
        assert_eq!(of("dressing: gauze, opened: 2026-11-02, finished: 2026-11-01"), ["supplies.x.finished"]);
        assert!(of("dressing: gauze, opened: 2026-11-02, finished: 2026-11-02").is_empty());
    }
}
