//! Pressure indices and toe pressure: the arithmetic and the bands.
//!
//! Which arm or artery is taken is decided where the case is read, not here.

use std::sync::OnceLock;

use rust_decimal::Decimal;
use serde::Deserialize;

use super::Cite;
use super::tables::SourceRow;
use crate::clinical::table_of;
use crate::units::{Mmhg, round_half_up};

/// What a pressure index says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Band {
    Normal,
    Borderline,
    Abnormal,
    NonCompressible,
}

impl Band {
    /// `normal`, `borderline`, `abnormal`, `non-compressible`.
    pub fn word(self) -> &'static str {
        match self {
            Band::Normal => "normal",
            Band::Borderline => "borderline",
            Band::Abnormal => "abnormal",
            Band::NonCompressible => "non-compressible",
        }
    }
}

/// A row of the table: from which value a band, or a grade, reaches up to the next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Step<T> {
    from: Decimal,
    is: T,
    cite: Cite,
}

/// A grade of toe pressure: the ischaemia grade of the WIfI classification.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ToePressureGrade {
    /// 0 none to 3 severe.
    pub grade: u8,
    /// Where it comes from.
    pub cite: Cite,
}

/// Pressure below over pressure at the arm, rounded half up and always with 2 decimals; `None` if the arm reads 0.
/// Exact: 181/200 is 0.905 and rounds to 0.91.
pub fn pressure_index(below: Mmhg, arm: Mmhg) -> Option<Decimal> {
    let ratio = Decimal::from(below.0).checked_div(Decimal::from(arm.0))?;
    let mut index = round_half_up(ratio, 2);
    index.rescale(2);
    Some(index)
}

/// The band of an ankle-brachial index, which is rounded to 2 decimals first.
pub fn abpi_band(index: Decimal) -> Band {
    row_of(&tables().abpi, round_half_up(index, 2)).is
}

/// The band of a toe-brachial index, which is rounded to 2 decimals first.
pub fn tbpi_band(index: Decimal) -> Band {
    row_of(&tables().tbpi, round_half_up(index, 2)).is
}

/// The WIfI ischaemia grade of a toe pressure: 3 below 30 mmHg, 2 to 39, 1 to 59, 0 from 60.
pub fn toe_pressure_grade(pressure: Mmhg) -> ToePressureGrade {
    let row = row_of(&tables().toe, Decimal::from(pressure.0));
    ToePressureGrade { grade: row.is, cite: row.cite }
}

fn row_of<T>(rows: &[Step<T>], value: Decimal) -> &Step<T> {
    let above = rows.partition_point(|row| row.from <= value);
    &rows[above.saturating_sub(1)]
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    measure: Measure,
    from: String,
    band: String,
    source: SourceRow,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
enum Measure {
    #[serde(rename = "abpi")]
    Abpi,
    #[serde(rename = "tbpi")]
    Tbpi,
    #[serde(rename = "toe pressure")]
    ToePressure,
}

#[derive(Debug, Default)]
struct Tables {
    abpi: Vec<Step<Band>>,
    tbpi: Vec<Step<Band>>,
    toe: Vec<Step<u8>>,
}

fn tables() -> &'static Tables {
    static TABLES: OnceLock<Tables> = OnceLock::new();
    TABLES.get_or_init(|| read(built_table!("pressure_bands")).expect("the embedded table passes its test"))
}

fn read(text: &str) -> Result<Tables, String> {
    let rows: Vec<Row> = table_of(text)?;
    let mut tables = Tables::default();
    for row in rows {
        let from = crate::units::plain_decimal(&row.from)?;
        let cite = row.source.cite()?;
        match row.measure {
            Measure::Abpi => add(&mut tables.abpi, from, band_of(&row.band)?, cite)?,
            Measure::Tbpi => add(&mut tables.tbpi, from, band_of(&row.band)?, cite)?,
            Measure::ToePressure => {
                let grade = row.band.parse().map_err(|_| format!("`{}` is not a grade", row.band))?;
                add(&mut tables.toe, from, grade, cite)?;
            }
        }
    }
    if tables.abpi.is_empty() || tables.tbpi.is_empty() || tables.toe.is_empty() {
        return Err("a measure has no bands".into());
    }
    Ok(tables)
}

fn band_of(word: &str) -> Result<Band, String> {
    serde_yaml::from_str(word).map_err(|_| format!("`{word}` is not a band"))
}

fn add<T>(rows: &mut Vec<Step<T>>, from: Decimal, is: T, cite: Cite) -> Result<(), String> {
    if rows.last().map_or(!from.is_zero(), |before| before.from >= from) {
        return Err(format!("{from}: bands start at 0 and rise"));
    }
    rows.push(Step { from, is, cite });
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn number(text: &str) -> Decimal {
        text.parse().expect("a literal number")
    }

    #[test]
    fn indices_are_exact_and_round_half_up() {
        let index = |below, arm| pressure_index(Mmhg(below), Mmhg(arm));
        assert_eq!(index(181, 200), Some(number("0.91")));
        assert_eq!(index(226, 250), Some(number("0.90")));
        assert_eq!(index(0, 120), Some(number("0.00")));
        assert_eq!(index(120, 0), None);
    }

    #[test]
    fn abpi_bands_meet_at_their_edges() {
        for (index, name) in [
            ("0", "abnormal"),
            ("0.90", "abnormal"),
            ("0.904", "abnormal"),
            ("0.905", "borderline"),
            ("0.91", "borderline"),
            ("0.99", "borderline"),
            ("1.00", "normal"),
            ("1.40", "normal"),
            ("1.401", "normal"),
            ("1.41", "non-compressible"),
            ("3.5", "non-compressible"),
        ] {
            assert_eq!(abpi_band(number(index)).word(), name, "{index}");
        }
    }

    #[test]
    fn tbpi_bands_meet_at_their_edge() {
        assert_eq!(tbpi_band(number("0.70")), Band::Abnormal);
        assert_eq!(tbpi_band(number("0.71")), Band::Normal);
    }

    #[test]
    fn toe_pressure_grades() {
        for (pressure, grade) in [(0, 3), (29, 3), (30, 2), (39, 2), (40, 1), (59, 1), (60, 0), (350, 0)] {
            assert_eq!(toe_pressure_grade(Mmhg(pressure)).grade, grade, "{pressure} mmHg");
        }
    }

    #[test]
    fn a_bad_table_is_refused() {
        let source = "source: {relation: common practice}";
        let row = |measure: &str, from: &str, band: &str| {
            format!("- {{measure: {measure}, from: '{from}', band: '{band}', {source}}}\n")
        };
        let rest = row("tbpi", "0", "abnormal") + &row("toe pressure", "0", "3");
        let good = row("abpi", "0", "abnormal") + &row("abpi", "0.91", "normal");
        assert!(read(&(good.clone() + &rest)).is_ok());
        for wrong in [
            good,
            row("abpi", "0", "low") + &rest,
            row("abpi", "0.1", "abnormal") + &rest,
            row("abpi", "0", "abnormal") + &row("abpi", "0", "normal") + &rest,
            row("abpi", "0", "abnormal") + &rest + &row("toe pressure", "30", "severe"),
            row("abpi", "0", "abnormal").replace(source, "note: none") + &rest,
        ] {
            assert!(read(&wrong).is_err(), "{wrong}");
        }
    }
}
