//! Paracetamol by age and by body mass. Who may be told to take it is not decided here.

use std::sync::OnceLock;

use serde::Deserialize;

use super::Cite;
use super::tables::{SourceRow, keep};
use crate::clinical::table_of;
use crate::units::Kilograms;

/// A dose for some ages, and for some masses where those decide.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PainDose {
    /// Completed years of age.
    pub years: Span<u32>,
    /// Body mass; `None` where the age alone decides.
    pub mass: Option<Span<Kilograms>>,
    /// Each dose, in patient form: `500mg to 1g`.
    pub each: &'static str,
    /// The same in tablets or spoons: `one or two 500mg tablets`.
    pub counted: &'static str,
    /// Hours between two doses, at least.
    pub hours_between: u32,
    /// Doses in 24 hours, at most.
    pub doses_in_24_h: u32,
    /// The most in 24 hours, in patient form: `4g`.
    pub most_in_24_h: &'static str,
    /// The same in tablets or spoons: `8 tablets`.
    pub most_counted: &'static str,
    /// Where it comes from.
    pub cite: Cite,
}

/// From one bound, up to but not including another; without a bound it has no end on that side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Span<T> {
    /// The lowest that belongs to it.
    pub from: Option<T>,
    /// The lowest that no longer does.
    pub below: Option<T>,
}

impl<T: PartialOrd> Span<T> {
    fn contains(&self, value: &T) -> bool {
        self.from.as_ref().is_none_or(|from| value >= from)
            && self.below.as_ref().is_none_or(|below| value < below)
    }
}

impl PainDose {
    fn is_for(&self, years: u32, mass: Kilograms) -> bool {
        self.years.contains(&years) && self.mass.is_none_or(|span| span.contains(&mass))
    }
}

/// Completed years of age from which a dose is known.
pub fn youngest() -> u32 {
    rows().iter().map(|row| row.years.from.unwrap_or(0)).min().unwrap_or(u32::MAX)
}

/// The dose of an age at which the mass does not matter.
pub fn dose_by_age(years: u32) -> Option<&'static PainDose> {
    rows().iter().find(|row| row.mass.is_none() && row.years.contains(&years))
}

/// The dose of an age and a mass; `None` only below [`youngest`].
pub fn dose_by_mass(years: u32, mass: Kilograms) -> Option<&'static PainDose> {
    rows().iter().find(|row| row.is_for(years, mass))
}

fn rows() -> &'static [PainDose] {
    static ROWS: OnceLock<Vec<PainDose>> = OnceLock::new();
    ROWS.get_or_init(|| read(built_table!("paracetamol")).expect("the embedded table passes its test"))
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    years: Span<u32>,
    mass: Option<Span<Kilograms>>,
    each: String,
    counted: String,
    hours: u32,
    doses: u32,
    most: String,
    most_counted: String,
    source: SourceRow,
}

fn read(text: &str) -> Result<Vec<PainDose>, String> {
    let rows: Vec<Row> = table_of(text)?;
    let mut doses = Vec::new();
    for row in rows {
        let texts = [&row.each, &row.counted, &row.most, &row.most_counted];
        if row.hours == 0 || row.doses == 0 || texts.iter().any(|text| text.is_empty()) {
            return Err(format!("{:?}: a dose of nothing", row.years));
        }
        doses.push(PainDose {
            years: row.years,
            mass: row.mass,
            each: keep(row.each),
            counted: keep(row.counted),
            hours_between: row.hours,
            doses_in_24_h: row.doses,
            most_in_24_h: keep(row.most),
            most_counted: keep(row.most_counted),
            cite: row.source.cite()?,
        });
    }
    one_row_each(&doses)?;
    Ok(doses)
}

/// A gap or an overlap shows at one of the bounds: nothing changes between two of them.
fn one_row_each(doses: &[PainDose]) -> Result<(), String> {
    let ages = doses.iter().flat_map(|dose| [dose.years.from, dose.years.below]).flatten();
    let masses = doses.iter().filter_map(|dose| dose.mass).flat_map(|span| [span.from, span.below]);
    let masses: Vec<Kilograms> = masses.flatten().chain([Kilograms::whole(0)]).collect();
    for years in ages {
        for mass in &masses {
            let count = doses.iter().filter(|dose| dose.is_for(years, *mass)).count();
            if count != 1 {
                return Err(format!("{count} rows for {years} years and {mass}"));
            }
        }
    }
    if doses.is_empty() { Err("no row".into()) } else { Ok(()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TABLE: &str = include_str!("tables/paracetamol.yaml");

    #[test]
    fn bands_meet_at_their_edges() {
        let most = |years, kg| dose_by_mass(years, Kilograms::whole(kg)).map(|dose| dose.most_in_24_h);
        assert_eq!(youngest(), 2);
        assert_eq!((most(1, 10), most(2, 10)), (None, Some("30ml (720mg)")));
        assert_eq!((most(15, 60), most(16, 60)), (Some("3g"), Some("4g")));
        assert_eq!((most(30, 49), most(30, 50)), (Some("2g"), Some("4g")));
        assert!(dose_by_age(15).is_some() && dose_by_age(16).is_none());
    }

    /// What is counted is what is weighed: 500mg a tablet, 5ml a spoon.
    #[test]
    fn tablets_and_spoons_are_the_same_dose() {
        let number =
            |text: &str| text.split(|c: char| !c.is_ascii_digit() && c != '.').next()?.parse::<f64>().ok();
        for row in rows() {
            let most = number(row.most_in_24_h).expect("a number of grams or millilitres");
            let counted = number(row.most_counted).expect("a number of tablets or spoons");
            let words = [("two", 2.0), ("one and a half", 1.5), ("one", 1.0)];
            let most_each = words.iter().find(|(word, _)| row.counted.contains(word)).expect("a count").1;
            let (each, a_piece) = if row.counted.contains("tablet") {
                // The upper end of `500mg to 750mg` or `500mg to 1g`, in grams.
                let upper = row.each.rsplit(' ').next().unwrap_or_default();
                let grams =
                    number(upper).map(|value| if upper.ends_with("mg") { value / 1000.0 } else { value });
                (grams, 0.5)
            } else {
                (number(row.each), 5.0)
            };
            assert_eq!(Some(most_each * a_piece), each, "{row:?}");
            assert!((counted * a_piece - most).abs() < 1e-9, "{row:?}");
            assert_eq!(row.most_counted.contains("tablet"), row.counted.contains("tablet"), "{row:?}");
        }
    }

    #[test]
    fn the_source_changes_with_the_age_where_the_dose_does_not() {
        let dose = |years| dose_by_mass(years, Kilograms::whole(50)).expect("from 2 years");
        assert_eq!(dose(17).most_in_24_h, dose(18).most_in_24_h);
        assert_ne!(dose(17).cite, dose(18).cite);
    }

    #[test]
    fn a_table_with_a_gap_an_overlap_or_no_source_is_refused() {
        assert!(read(TABLE).is_ok());
        assert!(read("[]").is_err());
        for (right, wrong) in [
            ("below: 4}", "below: 3}"),
            ("below: 4}", "below: 5}"),
            ("{from: 12, below: 16}", "{from: 12, below: 15}"),
            ("{below: 50 kg}", "{below: 49 kg}"),
            ("{below: 50 kg}", "{below: 51 kg}"),
            ("{below: 50 kg}", "{from: 1 kg, below: 50 kg}"),
            ("doses: 4", "doses: 0"),
            ("  hours: 4\n", ""),
            ("relation: from memory", "relation: surely"),
        ] {
            let changed = TABLE.replacen(right, wrong, 1);
            assert_ne!(changed, TABLE, "{right}");
            assert!(read(&changed).is_err(), "{wrong} was accepted");
        }
        let without = TABLE.lines().filter(|line| !line.contains("at: up to 40 kg")).collect::<Vec<_>>();
        assert!(read(&without.join("\n")).is_err(), "a row without a source was accepted");
    }
}
