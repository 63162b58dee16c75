//! HbA1c in both units: the reported one as it was reported, the other converted once.

use super::{Given, Hba1cBoth, Value};
use crate::case::DiabetesEntry;
use crate::clinical::hba1c::{
    TO_MMOL_PER_MOL, TO_PERCENT, mmol_per_mol_from_percent, percent_from_mmol_per_mol,
};
use crate::units::Hba1c;

pub(super) fn hba1c_of(given: Given<'_>) -> Value<Hba1cBoth> {
    match given.case.history.as_ref().and_then(|history| history.diabetes.as_ref()) {
        None => Value::missing("history.diabetes"),
        Some(DiabetesEntry::None(_)) => Value::because("no diabetes"),
        Some(DiabetesEntry::Some(diabetes)) => {
            diabetes.hba1c.map_or_else(|| Value::missing("history.diabetes.hba1c"), both)
        }
    }
}

fn both(reported: Hba1c) -> Value<Hba1cBoth> {
    match reported {
        Hba1c::MmolPerMol(mmol_per_mol) => {
            let percent = percent_from_mmol_per_mol(mmol_per_mol);
            let working = format!("0.09148 × {} + 2.152 = {percent} %", mmol_per_mol.normalize());
            Value::known(Hba1cBoth { mmol_per_mol, percent }, working, TO_PERCENT)
        }
        Hba1c::Percent(percent) => {
            let mmol_per_mol = mmol_per_mol_from_percent(percent);
            let working = format!("({} − 2.15) × 10.929 = {mmol_per_mol} mmol/mol", percent.normalize());
            Value::known(Hba1cBoth { mmol_per_mol, percent }, working, TO_MMOL_PER_MOL)
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::derive::Value;
    use crate::rules::example::facts_of;

    fn printed(diabetes: &str) -> String {
        let facts = facts_of(&format!("history: {{diabetes: {diabetes}}}"));
        facts.derived.hba1c.print(|both| format!("{} / {}", both.mmol_per_mol, both.percent))
    }

    #[test]
    fn the_reported_unit_is_kept() {
        assert_eq!(printed("{type: 2, hba1c: 59 mmol/mol}"), "59 / 7.5");
        assert_eq!(printed("{type: 2, hba1c: 58 mmol/mol}"), "58 / 7.5");
        assert_eq!(printed("{type: 2, hba1c: 7.5 %}"), "58 / 7.5");
        assert_eq!(printed("{type: 2, hba1c: 7.55 %}"), "59 / 7.55");
    }

    #[test]
    fn the_working_shows_one_conversion() {
        let facts = facts_of("history: {diabetes: {type: 2, hba1c: 58 mmol/mol}}");
        let Value::Known(known) = facts.derived.hba1c else { panic!("not known") };
        assert_eq!(known.working, "0.09148 × 58 + 2.152 = 7.5 %");
    }

    #[test]
    fn unknown_for_three_different_reasons() {
        assert_eq!(printed("none"), "not known: no diabetes");
        assert_eq!(printed("~"), "not known: history.diabetes missing");
        assert_eq!(printed("{type: 1}"), "not known: history.diabetes.hba1c missing");
    }
}
