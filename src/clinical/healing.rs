//! How many weeks healing takes. No date is worked out here.

use std::sync::OnceLock;

use serde::Deserialize;

use super::Cite;
use super::tables::SourceRow;
use crate::anatomy::{Matrix, Nail};
use crate::clinical::table_of;

/// Weeks from surgery to a healed toe.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HealingTime {
    /// At the earliest.
    pub weeks_from: u32,
    /// Usually by.
    pub weeks_to: u32,
    /// Where it comes from.
    pub cite: Cite,
}

/// The time of one toe: the whole nail or a part of it, with phenol or without.
pub fn healing_time(is_total: bool, with_phenol: bool) -> HealingTime {
    static ROWS: OnceLock<[HealingTime; 4]> = OnceLock::new();
    let rows =
        ROWS.get_or_init(|| read(built_table!("healing")).expect("the embedded table passes its test"));
    rows[place(is_total, with_phenol)]
}

fn place(is_total: bool, with_phenol: bool) -> usize {
    usize::from(is_total) * 2 + usize::from(with_phenol)
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    nail: Nail,
    matrix: Matrix,
    weeks: [u32; 2],
    source: SourceRow,
}

fn read(text: &str) -> Result<[HealingTime; 4], String> {
    let rows: Vec<Row> = table_of(text)?;
    let mut times = [None; 4];
    for row in rows {
        let [weeks_from, weeks_to] = row.weeks;
        if weeks_from == 0 || weeks_from > weeks_to {
            return Err(format!("{weeks_from} to {weeks_to} weeks is not a range"));
        }
        let place = place(row.nail == Nail::Total, row.matrix == Matrix::Phenol);
        let time = HealingTime { weeks_from, weeks_to, cite: row.source.cite()? };
        if times[place].replace(time).is_some() {
            return Err(format!("{:?} {:?} stands twice", row.nail, row.matrix));
        }
    }
    let [Some(a), Some(b), Some(c), Some(d)] = times else {
        return Err("a combination is not in the table".into());
    };
    Ok([a, b, c, d])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_whole_nail_takes_longer() {
        let weeks = |is_total, with_phenol| {
            let time = healing_time(is_total, with_phenol);
            (time.weeks_from, time.weeks_to)
        };
        assert_eq!(weeks(false, true), (4, 8));
        assert_eq!(weeks(true, true), (8, 12));
        assert_eq!(weeks(false, false), weeks(false, true));
        assert_eq!(weeks(true, false), weeks(true, true));
    }

    #[test]
    fn a_table_with_a_gap_or_a_twin_is_refused() {
        let table = include_str!("tables/healing.yaml");
        assert!(read(table).is_ok());
        assert!(read(&table.replacen("nail: total", "nail: partial", 1)).is_err());
        assert!(read(&table.replacen("weeks: [4, 8]", "weeks: [8, 4]", 1)).is_err());
        assert!(read(table.split("- nail: total").next().unwrap_or("")).is_err());
    }
}
