//! Medicines, allergies and conditions of the history, looked up in the tables.
//!
//! What is not in a table stays in the list without a name, so that a rule can say so.

use super::{Given, LookedUp};
use crate::case::{Checked, History};
use crate::clinical::tables::{Entry, Found, Names, allergens, classes_of, conditions, is_denied, medicines};

/// The most letters of an abbreviation.
const LONGEST_ABBREVIATION: usize = 5;

/// Between two names that were written as one item.
const JOINTS: [&str; 7] = [" and ", " & ", " + ", "+", " plus ", " with ", "/"];

/// Looks a text up in the first table that knows it. Where no table knows it whole, it may hold several
/// names (`aspirin and apixaban`): then the classes of all count, and it has a name only if all are known.
fn looked_up(tables: &[&'static Names], typed: &str) -> LookedUp {
    let find = |text: &str| tables.iter().find_map(|table| table.look_up(text));
    if let Some(found) = find(typed) {
        return LookedUp::found(typed, found);
    }
    if is_denied(typed) {
        return LookedUp::unknown(typed);
    }
    let mut parts = vec![typed];
    for joint in JOINTS {
        parts = parts.into_iter().flat_map(|part| part.split(joint)).collect();
    }
    let parts: Vec<&str> = parts.into_iter().map(str::trim).filter(|part| !part.is_empty()).collect();
    let known: Vec<Found<'static>> = parts.iter().filter_map(|part| find(part)).collect();
    let entries: Vec<&'static Entry> = known.iter().map(|found| found.entry).collect();
    let Some(first) = entries.first() else { return LookedUp::unknown(typed) };
    LookedUp {
        name: (known.len() == parts.len()).then_some(first.name),
        parts: entries.iter().flat_map(|entry| entry.parts.iter().copied()).collect(),
        classes: classes_of(&entries),
        ..LookedUp::unknown(typed)
    }
}

impl LookedUp {
    fn unknown(typed: &str) -> LookedUp {
        LookedUp {
            typed: typed.to_owned(),
            name: None,
            parts: Vec::new(),
            classes: &[],
            brand: None,
            written: typed.trim().to_owned(),
            dose: String::new(),
            is_checked: false,
        }
    }

    fn found(typed: &str, found: Found<'static>) -> LookedUp {
        LookedUp {
            name: Some(found.entry.name),
            parts: found.entry.parts.clone(),
            classes: &found.entry.classes,
            brand: found.brand,
            written: found.written,
            dose: found.rest,
            ..LookedUp::unknown(typed)
        }
    }

    /// A medicine, as the table of medicines knows it.
    pub fn medicine(typed: &str) -> LookedUp {
        looked_up(&[medicines()], typed)
    }

    /// The name for colleagues: as written, and a brand or an abbreviation behind what it stands for:
    /// `apixaban (Eliquis)`, `methotrexate (MTX)`.
    pub fn shown(&self) -> String {
        let is_short = self.written.chars().count() <= LONGEST_ABBREVIATION
            && self.written.chars().all(|c| c.is_ascii_uppercase());
        match self.name {
            Some(name) if self.brand.is_some() || is_short => format!("{name} ({})", self.written),
            _ => self.written.clone(),
        }
    }

    /// The name, and the dose as it was typed after it: `apixaban (Eliquis) 5mg bd`.
    pub fn in_full(&self) -> String {
        if self.dose.is_empty() { self.shown() } else { format!("{} {}", self.shown(), self.dose) }
    }
}

fn history<'a>(given: Given<'a>) -> Option<&'a History> {
    given.case.history.as_ref()
}

/// Each medicine, in file order. A dose of its own key counts before one that stands after the name.
pub(super) fn medicines_of(given: Given<'_>) -> Vec<LookedUp> {
    let list = history(given).and_then(|history| history.medicines.as_deref()).unwrap_or_default();
    list.iter()
        .map(|medicine| {
            let mut found = looked_up(&[medicines()], medicine.name());
            if let Some(dose) = medicine.dose() {
                found.dose = [found.dose.as_str(), dose].join(" ").trim().to_owned();
            }
            if let Some(last) = medicine.last_taken() {
                found.dose = format!("{} (last taken {last})", found.dose).trim().to_owned();
            }
            found.is_checked = medicine.checked() == Some(Checked::NoInteraction);
            found
        })
        .collect()
}

/// Each allergy, in file order. A medicine that is not in the table of allergens has the classes
/// it has as a medicine.
pub(super) fn allergies_of(given: Given<'_>) -> Vec<LookedUp> {
    let list = history(given).and_then(|history| history.allergies.as_ref()).map(|entry| entry.list());
    let tables = [allergens(), medicines()];
    list.unwrap_or_default().iter().map(|allergy| looked_up(&tables, &allergy.to)).collect()
}

/// Each condition, in file order.
pub(super) fn conditions_of(given: Given<'_>) -> Vec<LookedUp> {
    let list = history(given).and_then(|history| history.conditions.as_deref()).unwrap_or_default();
    list.iter().map(|condition| looked_up(&[conditions()], condition)).collect()
}

#[cfg(test)]
mod tests {
    use crate::clinical::tables::Class;
    use crate::derive::LookedUp;
    use crate::rules::example::facts_of;

    fn names(list: &[LookedUp]) -> Vec<Option<&'static str>> {
        list.iter().map(|item| item.name).collect()
    }

    fn medicine(typed: &str) -> LookedUp {
        facts_of(&format!("history: {{medicines: [\"{typed}\"]}}")).derived.medicines[0].clone()
    }

    #[test]
    fn every_item_is_kept_known_or_not() {
        let facts = facts_of(
            "history: {medicines: [Warfarin, {name: grandmother's drops, dose: daily}], \
             allergies: [{to: lignocaine}, {to: moon dust}, {to: methotrexate}], conditions: [high blood pressure, odd knee]}",
        );
        assert_eq!(names(&facts.derived.medicines), [Some("warfarin"), None]);
        assert_eq!(names(&facts.derived.allergies), [Some("lidocaine"), None, Some("methotrexate")]);
        assert_eq!(names(&facts.derived.conditions), [Some("hypertension"), None]);
        assert_eq!(facts.derived.medicines[1].typed, "grandmother's drops");
        assert!(facts.derived.medicines.iter().any(|one| one.is(Class::VitaminKAntagonist)));
        assert!(facts.allergic_to(Class::AmideAnaesthetic));
    }

    #[test]
    fn nothing_asked_is_an_empty_list() {
        let facts = facts_of("history: ~");
        assert!(facts.derived.medicines.is_empty() && facts.derived.allergies.is_empty());
    }

    #[test]
    fn a_brand_becomes_its_generic_name_and_the_dose_is_split_off() {
        for (typed, shown, dose) in [
            ("Eliquis 5mg bd", "apixaban (Eliquis)", "5mg bd"),
            ("eliquis5mg", "apixaban (eliquis)", "5mg"),
            ("Clopidogrel 75mg od", "Clopidogrel", "75mg od"),
            ("warfarin half a tablet at night", "warfarin", "half a tablet at night"),
            (
                "Butec patch 10 microgram/hour, weekly",
                "buprenorphine (Butec)",
                "patch 10 microgram/hour, weekly",
            ),
            ("Fragmin 5,000 units once daily", "dalteparin (Fragmin)", "5,000 units once daily"),
            ("aspirin \u{2013} for AF", "aspirin", "for AF"),
            ("co-codamol 30/500 two qds prn", "co-codamol", "30/500 two qds prn"),
            (
                "Nurofen Plus 2 tablets twice a day",
                "ibuprofen and codeine (Nurofen Plus)",
                "2 tablets twice a day",
            ),
            ("Lantus 20 units nocte", "insulin glargine (Lantus)", "20 units nocte"),
            ("Humulin M3 30 units", "biphasic insulin (Humulin M3)", "30 units"),
            ("metformin MR 1 g bd", "metformin", "MR 1 g bd"),
            ("apixaban (AF)", "apixaban", "(AF)"),
            ("methotrexate 15 mg weekly, Mondays", "methotrexate", "15 mg weekly, Mondays"),
            (
                "fentanyl patch 25 micrograms/hr every 72 hours",
                "fentanyl patch",
                "25 micrograms/hr every 72 hours",
            ),
            ("MTX 10mg weekly", "methotrexate (MTX)", "10mg weekly"),
            ("moon drops 5mg bd", "moon drops 5mg bd", ""),
        ] {
            let found = medicine(typed);
            assert_eq!((found.shown().as_str(), found.dose.as_str()), (shown, dose), "{typed}");
        }
        assert_eq!(medicine("Eliquis 5mg bd").in_full(), "apixaban (Eliquis) 5mg bd");
    }

    #[test]
    fn a_form_may_change_what_it_is() {
        for (typed, is, is_not) in [
            ("hydrocortisone 1% cream", "topical steroid", "immunosuppressant"),
            ("Betnovate ointment", "topical steroid", "immunosuppressant"),
            ("prednisolone eye drops", "topical steroid", "immunosuppressant"),
            ("Symbicort 200/6 2 puffs bd", "inhaled steroid", "immunosuppressant"),
            ("Protopic 0.1%", "topical immunomodulator", "immunosuppressant"),
            ("Voltarol Emulgel", "topical nsaid", "nsaid"),
            ("ibuprofen 5% gel", "topical nsaid", "nsaid"),
            ("Saxenda", "weight loss medicine", "antidiabetic"),
        ] {
            let found = medicine(typed);
            assert!(found.is_a(is) && !found.is_a(is_not), "{typed}: {:?}", found.classes);
        }
        for typed in ["prednisolone 5 mg od", "hydrocortisone 10 mg tablets", "tacrolimus capsules 1 mg"] {
            assert!(medicine(typed).is(Class::Immunosuppressant), "{typed}");
        }
    }

    /// A known danger is not hidden by an unknown word beside it.
    #[test]
    fn several_names_in_one_item_count_together() {
        let both = medicine("aspirin and apixaban");
        assert!(both.is(Class::Antiplatelet) && both.is(Class::Anticoagulant) && both.name.is_some());
        assert_eq!(both.shown(), "aspirin and apixaban");
        let half = medicine("warfarin + moon drops");
        assert!(half.is(Class::Anticoagulant) && half.name.is_none());
        let facts = facts_of(
            "history: {allergies: [{to: latex and plasters}], conditions: [asthma / COPD, \"type 2 diabetes, no complications\"]}",
        );
        assert!(facts.allergic_to(Class::Latex) && facts.allergic_to(Class::Adhesive));
        assert!(facts.derived.conditions[0].is(Class::Asthma) && facts.derived.conditions[0].is_a("copd"));
        assert!(facts.derived.conditions[1].is(Class::Diabetes));
    }

    #[test]
    fn what_is_denied_or_somebody_elses_is_not_recorded() {
        let condition = |typed: &str| {
            facts_of(&format!("history: {{conditions: [\"{typed}\"]}}")).derived.conditions[0].name
        };
        for typed in [
            "diabetes in family",
            "PAD excluded",
            "diabetes risk",
            "asthma: none",
            "no asthma",
            "family history of stroke and diabetes",
        ] {
            assert_eq!(condition(typed), None, "{typed}");
        }
        for (typed, name) in [
            ("PAD left leg, stent 2022", "peripheral arterial disease"),
            ("?PAD", "peripheral arterial disease"),
            ("possible PAD", "peripheral arterial disease"),
            ("heart failure (2019)", "heart failure"),
            ("epilepsy, well controlled", "well controlled epilepsy"),
            ("heart block - pacemaker fitted", "paced heart block"),
            ("CKD stage 3b", "moderate renal impairment"),
            ("type 2 diabetes since 2010", "type 2 diabetes"),
        ] {
            assert_eq!(condition(typed), Some(name), "{typed}");
        }
    }

    #[test]
    fn an_allergy_under_a_brand_is_one_to_what_it_holds() {
        let allergy = |to: &str| facts_of(&format!("history: {{allergies: [{{to: \"{to}\"}}]}}"));
        assert!(allergy("Scandonest (collapse)").allergic_to(Class::AmideAnaesthetic));
        assert!(allergy("Inadine").allergic_to(Class::Iodine));
        assert!(allergy("iodine (blisters)").allergic_to(Class::Iodine));
        assert!(allergy("Elastoplast").allergic_to(Class::Colophony));
        assert!(allergy("Augmentin").allergic_to(Class::Penicillin));
        assert!(allergy("Germolene cream").allergic_to(Class::Phenol));
        assert!(
            allergy("Nurofen").allergic_to(Class::Nsaid)
                && allergy("Plavix").allergic_to(Class::Antiplatelet)
        );
        assert!(
            !allergy("colophony").allergic_to(Class::Adhesive)
                && !allergy("micropore tape").allergic_to(Class::Latex)
        );
    }
}
