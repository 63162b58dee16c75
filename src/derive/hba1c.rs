//! HbA1c in both units: the reported one as it was reported, the other converted once. And what it says:
//! whether it is high for elective surgery, and whether it still speaks for the day.

use rust_decimal::Decimal;

use super::{Given, Hba1cBoth, Value};
use crate::case::DiabetesEntry;
use crate::clinical::hba1c::{
    TO_MMOL_PER_MOL, TO_PERCENT, mmol_per_mol_from_percent, percent_from_mmol_per_mol,
};
use crate::clinical::thresholds::Threshold;
use crate::date::CivilDate;
use crate::units::Hba1c;

pub(super) fn hba1c_of(given: Given<'_>) -> Value<Hba1cBoth> {
    match given.case.history.as_ref().and_then(|history| history.diabetes.as_ref()) {
        None => Value::missing("history.diabetes"),
        Some(DiabetesEntry::None(_)) => Value::because("no diabetes"),
        Some(DiabetesEntry::Some(diabetes)) => {
            let result = diabetes.hba1c.value();
            result.map_or_else(|| Value::lacking("history.diabetes.hba1c", &diabetes.hba1c), both)
        }
    }
}

/// How an HbA1c is judged.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hba1cJudged {
    /// High for elective surgery.
    pub is_high: bool,
    /// The limit in mmol/mol that it was held to.
    pub limit: Decimal,
    /// Why the clinic has a limit of its own; `None` where it has none.
    pub local_because: Option<String>,
    /// When it was taken, if that is known.
    pub tested: Option<CivilDate>,
    /// How far it speaks for the day of surgery, or for today before surgery.
    pub age: Hba1cAge,
}

/// How far a result speaks for the day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hba1cAge {
    /// It does.
    Fresh,
    /// It is older than one asks for before surgery, and not older than people are usually tested.
    Noted,
    /// It does not.
    Old,
    /// Nobody knows when it was taken.
    NotKnown,
}

/// The judgement of a result, if there is one.
pub(super) fn judged(given: Given<'_>, hba1c: &Value<Hba1cBoth>) -> Option<Hba1cJudged> {
    let both = hba1c.get()?;
    let local = given.clinic.limits.hba1c.as_ref();
    let limit = local.map_or_else(|| Threshold::Hba1cHighFrom.number(), |local| Decimal::from(local.limit));
    let DiabetesEntry::Some(diabetes) = given.case.history.as_ref()?.diabetes.as_ref()? else { return None };
    let is_older = |tested: CivilDate, than: Threshold| tested.plus_months(than.whole()) < given.day();
    let age = match diabetes.tested {
        None => Hba1cAge::NotKnown,
        Some(tested) if is_older(tested, Threshold::Hba1cOldAfter) => Hba1cAge::Old,
        Some(tested) if is_older(tested, Threshold::Hba1cNotedAfter) => Hba1cAge::Noted,
        Some(_) => Hba1cAge::Fresh,
    };
    Some(Hba1cJudged {
        is_high: both.mmol_per_mol >= limit,
        limit,
        local_because: local.map(|local| local.because.clone()),
        tested: diabetes.tested,
        age,
    })
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
    use super::Hba1cAge;
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
    fn height_and_age_are_judged_at_their_limits() {
        let judged = |diabetes: &str| {
            let facts = facts_of(&format!("history: {{diabetes: {{type: 2, {diabetes}}}}}"));
            facts.derived.hba1c_judged.map(|judged| (judged.is_high, judged.age))
        };
        assert_eq!(judged("hba1c: 68 mmol/mol, tested: 2026-08-24"), Some((false, Hba1cAge::Fresh)));
        assert_eq!(judged("hba1c: 69 mmol/mol, tested: 2026-08-23"), Some((true, Hba1cAge::Noted)));
        assert_eq!(judged("hba1c: 52 mmol/mol, tested: 2026-05-24"), Some((false, Hba1cAge::Noted)));
        assert_eq!(judged("hba1c: 52 mmol/mol, tested: 2026-05-23"), Some((false, Hba1cAge::Old)));
        assert_eq!(judged("hba1c: 52 mmol/mol"), Some((false, Hba1cAge::NotKnown)));
        assert_eq!(judged("tested: 2026-05-23"), None);
    }

    #[test]
    fn unknown_for_three_different_reasons() {
        assert_eq!(printed("none"), "not known: no diabetes");
        assert_eq!(printed("~"), "not known: history.diabetes missing");
        assert_eq!(printed("{type: 1}"), "not known: history.diabetes.hba1c missing");
    }
}
