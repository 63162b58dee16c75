//! Single numbers at which something begins to count: ages, days, results. What follows from them is
//! decided where a case is read, not here.

use std::sync::OnceLock;

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde::Deserialize;

use super::Cite;
use super::tables::SourceRow;
use crate::clinical::table_of;

/// One number of the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
pub enum Threshold {
    /// Completed years from which a young person is presumed able to consent.
    #[serde(rename = "young person")]
    YoungPerson,
    /// Completed years from which a person decides as an adult.
    #[serde(rename = "adult")]
    Adult,
    /// Completed years from which the dose limits of an adult hold; below, a patient is a child.
    #[serde(rename = "adult dose from")]
    AdultDoseFrom,
    /// Completed years from which aspirin is given without a prescription.
    #[serde(rename = "aspirin from")]
    AspirinFrom,
    /// Completed years above which infection is reported more often.
    #[serde(rename = "infection likelier over")]
    InfectionLikelierOver,
    /// Completed years from which a female patient is asked about pregnancy.
    #[serde(rename = "pregnancy asked from")]
    PregnancyAskedFrom,
    /// Completed years up to which she is.
    #[serde(rename = "pregnancy asked to")]
    PregnancyAskedTo,
    /// The ABPI below which a limb is in danger.
    #[serde(rename = "ABPI of a limb in danger below")]
    AbpiInDangerBelow,
    /// The ABPI from which it is not believed in diabetes or kidney disease.
    #[serde(rename = "ABPI of stiff arteries from")]
    AbpiStiffFrom,
    /// Monofilament sites of a foot up to which each counts by itself.
    #[serde(rename = "few sites tested")]
    FewSites,
    /// Sites not felt that count where few were tested.
    #[serde(rename = "missed of few sites")]
    MissedOfFewSites,
    /// Sites not felt that count where more were tested.
    #[serde(rename = "missed of many sites")]
    MissedOfManySites,
    /// HbA1c in mmol/mol that is high for elective surgery.
    #[serde(rename = "HbA1c high from")]
    Hba1cHighFrom,
    /// Calendar months after which its age is noted.
    #[serde(rename = "HbA1c worth a word after")]
    Hba1cNotedAfter,
    /// Calendar months after which it is too old.
    #[serde(rename = "HbA1c old after")]
    Hba1cOldAfter,
    /// Capillary glucose in mmol/l below which it is treated first.
    #[serde(rename = "glucose low below")]
    GlucoseLowBelow,
    /// Capillary glucose in mmol/l above which it is.
    #[serde(rename = "glucose high over")]
    GlucoseHighOver,
    /// INR above which surgery is weighed up.
    #[serde(rename = "INR raised over")]
    InrRaisedOver,
    /// INR from which surgery is put off.
    #[serde(rename = "INR too high from")]
    InrTooHighFrom,
    /// Days after which its age is noted.
    #[serde(rename = "INR worth a word after")]
    InrNotedAfter,
    /// Days after which it is too old.
    #[serde(rename = "INR old after")]
    InrOldAfter,
    /// Days after surgery up to which an infection counts as one of the operation.
    #[serde(rename = "infection of the operation up to")]
    InfectionOfTheOperation,
    /// Weeks by which an audit asks whether a toe was healed.
    #[serde(rename = "audit: healed by")]
    AuditHealedBy,
    /// Months within which an audit counts nail that came back.
    #[serde(rename = "audit: regrowth within")]
    AuditRegrowthWithin,
    /// Months after which somebody must have looked for it.
    #[serde(rename = "audit: regrowth looked for from")]
    AuditRegrowthLookedForFrom,
    /// Millilitres of a strong solution above which there is much in one toe.
    #[serde(rename = "much of a strong solution in a toe over")]
    MuchOfStrongInToeOver,
    /// The same of a weaker one, of which more is needed; also the most of any.
    #[serde(rename = "much of any solution in a toe over")]
    MuchOfAnyInToeOver,
    /// Strength in per cent from which less volume numbs a toe.
    #[serde(rename = "strong solution from")]
    StrongSolutionFrom,
    /// Minutes of tourniquet above which it was on for long.
    #[serde(rename = "tourniquet long over")]
    TourniquetLongOver,
    /// Minutes of tourniquet above which it was on for too long.
    #[serde(rename = "tourniquet too long over")]
    TourniquetTooLongOver,
    /// Per cent of the limit from which a dose is near it.
    #[serde(rename = "dose near the limit from")]
    DoseNearFrom,
    /// Hours after surgery before another local anaesthetic.
    #[serde(rename = "another anaesthetic after")]
    AnotherAnaestheticAfter,
    /// Body mass in kg below which, from 16 years, no dose of paracetamol is printed.
    #[serde(rename = "paracetamol asked about below")]
    ParacetamolAskedBelow,
    /// Minutes of pressing on a toe that bleeds.
    #[serde(rename = "press a bleeding toe for")]
    PressFor,
    /// The same where blood clots badly.
    #[serde(rename = "press longer for")]
    PressLongerFor,
    /// Weeks in which fluid and redness are normal.
    #[serde(rename = "weeps for")]
    WeepsFor,
    /// Calendar months for which a certificate of incapacity holds at most, but for cases that are set out.
    #[serde(rename = "certificate holds for")]
    CertificateHoldsFor,
    /// Days within which an infected toe is looked at again.
    #[serde(rename = "infection seen again within")]
    InfectionSeenAgainWithin,
    /// Millimetres of redness in diabetes above which it is a sign of infection.
    #[serde(rename = "redness in diabetes over")]
    RednessInDiabetesOver,
    /// Millimetres above which the infection is a moderate one.
    #[serde(rename = "wide redness in diabetes over")]
    WideRednessInDiabetesOver,
    /// Days in which a letter goes that asks the practice for something.
    #[serde(rename = "letter to the practice within")]
    LetterToPractice,
    /// Completed years above which the texts of some agents ask for a smaller dose.
    #[serde(rename = "dose reduced over")]
    DoseReducedOver,
    /// Body mass index of an adult from which the ideal mass counts.
    #[serde(rename = "obese from")]
    ObeseFrom,
    /// Per cent of the median mass of the height above which a child is taken for obese.
    #[serde(rename = "obese child over")]
    ObeseChildOver,
    /// One part of adrenaline in so many, or weaker, is remarked on where the pulses are palpable.
    #[serde(rename = "adrenaline weak from")]
    AdrenalineWeakFrom,
    /// One part of adrenaline in fewer than so many is as strong as in a dental cartridge.
    #[serde(rename = "adrenaline strong below")]
    AdrenalineStrongBelow,
    /// Seconds of phenol on an edge below which the time is short.
    #[serde(rename = "phenol from")]
    PhenolShortest,
    /// Seconds up to which it is usual.
    #[serde(rename = "phenol usual up to")]
    PhenolUsualUpTo,
    /// Seconds above which it is long.
    #[serde(rename = "phenol up to")]
    PhenolLongest,
    /// Seconds of capillary refill up to which it counts as normal.
    #[serde(rename = "refill normal up to")]
    RefillNormalUpTo,
    /// Calendar months after which a consent is gone through again, where the clinic sets none.
    #[serde(rename = "consent old after")]
    ConsentOldAfter,
    /// Completed years beyond which a wrong century is likelier than a true date of birth.
    #[serde(rename = "older than anybody over")]
    OldestPlausible,
    /// Completed years from which children are at school.
    #[serde(rename = "school from")]
    SchoolFrom,
    /// Completed years from which a leaflet speaks to the child in a box of its own.
    #[serde(rename = "a box for the child from")]
    LeafletForChildFrom,
}

impl Threshold {
    /// Every one; the table has a row for each.
    pub const ALL: [Threshold; 54] = [
        Threshold::YoungPerson,
        Threshold::Adult,
        Threshold::AdultDoseFrom,
        Threshold::AspirinFrom,
        Threshold::InfectionLikelierOver,
        Threshold::PregnancyAskedFrom,
        Threshold::PregnancyAskedTo,
        Threshold::AbpiInDangerBelow,
        Threshold::AbpiStiffFrom,
        Threshold::FewSites,
        Threshold::MissedOfFewSites,
        Threshold::MissedOfManySites,
        Threshold::Hba1cHighFrom,
        Threshold::Hba1cNotedAfter,
        Threshold::Hba1cOldAfter,
        Threshold::GlucoseLowBelow,
        Threshold::GlucoseHighOver,
        Threshold::InrRaisedOver,
        Threshold::InrTooHighFrom,
        Threshold::InrNotedAfter,
        Threshold::InrOldAfter,
        Threshold::InfectionOfTheOperation,
        Threshold::AuditHealedBy,
        Threshold::AuditRegrowthWithin,
        Threshold::AuditRegrowthLookedForFrom,
        Threshold::MuchOfStrongInToeOver,
        Threshold::MuchOfAnyInToeOver,
        Threshold::StrongSolutionFrom,
        Threshold::TourniquetLongOver,
        Threshold::TourniquetTooLongOver,
        Threshold::DoseNearFrom,
        Threshold::AnotherAnaestheticAfter,
        Threshold::ParacetamolAskedBelow,
        Threshold::PressFor,
        Threshold::PressLongerFor,
        Threshold::WeepsFor,
        Threshold::CertificateHoldsFor,
        Threshold::InfectionSeenAgainWithin,
        Threshold::RednessInDiabetesOver,
        Threshold::WideRednessInDiabetesOver,
        Threshold::LetterToPractice,
        Threshold::DoseReducedOver,
        Threshold::ObeseFrom,
        Threshold::ObeseChildOver,
        Threshold::AdrenalineWeakFrom,
        Threshold::AdrenalineStrongBelow,
        Threshold::PhenolShortest,
        Threshold::PhenolUsualUpTo,
        Threshold::PhenolLongest,
        Threshold::RefillNormalUpTo,
        Threshold::ConsentOldAfter,
        Threshold::OldestPlausible,
        Threshold::SchoolFrom,
        Threshold::LeafletForChildFrom,
    ];

    /// The number, exact.
    pub fn number(self) -> Decimal {
        self.row().number
    }

    /// A number of whole years, months, weeks, days, hours, minutes, seconds, sites or parts.
    ///
    /// # Panics
    /// Never for the thresholds that count something: the loader sees to it.
    pub fn whole(self) -> u32 {
        self.row().number.to_u32().expect("the loader takes whole numbers only where something is counted")
    }

    /// Where it comes from.
    pub fn cite(self) -> Cite {
        self.row().cite
    }

    fn row(self) -> &'static Row {
        let row = table().iter().find(|row| row.threshold == self);
        row.expect("the loader asks for a row for each")
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    threshold: Threshold,
    number: String,
    unit: String,
    source: SourceRow,
}

#[derive(Debug)]
struct Row {
    threshold: Threshold,
    number: Decimal,
    cite: Cite,
}

/// Units of what is measured; everything else is counted.
const MEASURED: &[&str] = &["ABPI", "INR", "kg", "kg/m2", "ml", "mm", "mmol/l", "mmol/mol", "per cent"];

/// Units of what is counted.
const COUNTED: &[&str] =
    &["years", "months", "weeks", "days", "hours", "minutes", "seconds", "sites", "parts"];

fn table() -> &'static [Row] {
    static TABLE: OnceLock<Vec<Row>> = OnceLock::new();
    TABLE.get_or_init(|| read(built_table!("thresholds")).expect("the embedded table passes its test"))
}

fn read(text: &str) -> Result<Vec<Row>, String> {
    let written: Vec<Written> = table_of(text)?;
    let mut rows: Vec<Row> = Vec::new();
    for Written { threshold, number, unit, source } in written {
        let number = crate::units::plain_decimal(&number)?;
        let is_counted = COUNTED.contains(&unit.as_str());
        if !is_counted && !MEASURED.contains(&unit.as_str()) {
            return Err(format!("{threshold:?}: `{unit}` is no unit of this table"));
        }
        if is_counted && number.to_u32().map(Decimal::from) != Some(number) {
            return Err(format!("{threshold:?}: {number} {unit} cannot be counted"));
        }
        if rows.iter().any(|row| row.threshold == threshold) {
            return Err(format!("{threshold:?} stands twice"));
        }
        rows.push(Row { threshold, number, cite: source.cite()? });
    }
    match Threshold::ALL.iter().find(|wanted| !rows.iter().any(|row| row.threshold == **wanted)) {
        Some(missing) => Err(format!("{missing:?} is not in the table")),
        None => Ok(rows),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TABLE: &str = include_str!("tables/thresholds.yaml");

    #[test]
    fn every_threshold_has_a_row() {
        assert_eq!(table().len(), Threshold::ALL.len());
        assert_eq!(Threshold::Adult.whole(), 18);
        assert_eq!(Threshold::InrRaisedOver.number().to_string(), "3.5");
    }

    #[test]
    fn a_table_with_a_gap_a_twin_or_half_a_year_is_refused() {
        assert!(read(TABLE).is_ok());
        for (was, is) in [
            ("- threshold: adult", "- threshold: young person"),
            ("- threshold: adult", "- threshold: grown up"),
            (r#"number: "18""#, r#"number: "18.5""#),
            ("unit: years", "unit: fortnights"),
        ] {
            assert!(read(&TABLE.replacen(was, is, 1)).is_err(), "{is}");
        }
        assert!(read(TABLE.split("# INR:").next().unwrap_or("")).is_err());
    }
}
