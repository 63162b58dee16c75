//! How often what happens after nail surgery, for the consent form: counts, each with its source, and the
//! range over them. Numbers, no words and no choice of what a patient is told.

use std::sync::OnceLock;

use serde::Deserialize;

use super::Cite;
use super::tables::SourceRow;
use crate::clinical::table_of;

/// One outcome.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outcome {
    /// Permanent key: `regrowth-phenol`.
    pub key: String,
    /// What was counted, at least one.
    pub studies: Vec<Study>,
}

/// One count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Study {
    /// How many it happened to; `None` where only a share is known.
    pub count: Option<u32>,
    /// In 100, rounded half up to a whole number.
    pub in_100: u32,
    /// Of how many.
    pub of: u32,
    /// Months for which they were followed, where that is said.
    pub months: Option<u32>,
    /// Where it comes from.
    pub cite: Cite,
}

impl Outcome {
    /// The least and the most in 100; 0 means fewer than 1.
    pub fn range(&self) -> (u32, u32) {
        let each = self.studies.iter().map(|study| study.in_100);
        (each.clone().min().unwrap_or(0), each.max().unwrap_or(0))
    }

    /// The shortest and the longest follow-up in months; `None` if a study does not say.
    pub fn months(&self) -> Option<(u32, u32)> {
        let months: Option<Vec<u32>> = self.studies.iter().map(|study| study.months).collect();
        let months = months?;
        Some((months.iter().copied().min()?, months.into_iter().max()?))
    }

    /// The first study: for an outcome that rests on one.
    pub fn first(&self) -> &Study {
        self.studies.first().expect("the loader refuses an outcome without a study")
    }
}

/// Every outcome, in the order of the table.
pub fn outcomes() -> &'static [Outcome] {
    static OUTCOMES: OnceLock<Vec<Outcome>> = OnceLock::new();
    OUTCOMES.get_or_init(|| read(built_table!("outcomes")).expect("the embedded table passes its test"))
}

/// The outcome of a key.
pub fn outcome(key: &str) -> Option<&'static Outcome> {
    outcomes().iter().find(|outcome| outcome.key == key)
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    key: String,
    studies: Vec<StudyRow>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct StudyRow {
    count: Option<u32>,
    in_100: Option<u32>,
    of: u32,
    months: Option<u32>,
    source: SourceRow,
}

impl StudyRow {
    fn study(self) -> Result<Study, String> {
        let in_100 = match (self.count, self.in_100) {
            (Some(count), None) if count <= self.of && self.of > 0 => (count * 200 + self.of) / (2 * self.of),
            (None, Some(in_100)) if in_100 <= 100 && self.of > 0 => in_100,
            _ => return Err("a study has a count or a share, of somebody".into()),
        };
        Ok(Study { count: self.count, in_100, of: self.of, months: self.months, cite: self.source.cite()? })
    }
}

fn read(text: &str) -> Result<Vec<Outcome>, String> {
    let rows: Vec<Row> = table_of(text)?;
    let mut outcomes: Vec<Outcome> = Vec::with_capacity(rows.len());
    for Row { key, studies } in rows {
        if outcomes.iter().any(|other| other.key == key) {
            return Err(format!("`{key}` stands twice"));
        }
        let studies: Result<Vec<Study>, String> = studies.into_iter().map(StudyRow::study).collect();
        let studies = studies.map_err(|problem| format!("`{key}`: {problem}"))?;
        if studies.is_empty() {
            return Err(format!("`{key}` has no study"));
        }
        outcomes.push(Outcome { key, studies });
    }
    Ok(outcomes)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn range(key: &str) -> (u32, u32) {
        outcome(key).map(Outcome::range).expect("in the table")
    }

    /// Shares as the publications print them, beside our sums of their counts: Gerritsma-Bleeker 2002 (24 %),
    /// Karaca and Dereli 2012 (99.7 % without), the community clinic (5.6 % and 8.8 %).
    #[test]
    fn a_range_runs_from_the_least_to_the_most() {
        assert_eq!(range("regrowth-phenol"), (0, 24), "0 is fewer than 1");
        assert_eq!(range("regrowth-excision"), (18, 39));
        assert_eq!(range("regrowth-clinic"), (6, 6));
        assert_eq!(range("infection"), (3, 9));
    }

    #[test]
    fn follow_up_is_said_only_where_every_study_says_it() {
        let months = |key: &str| outcome(key).and_then(Outcome::months);
        assert_eq!(months("regrowth-phenol"), Some((12, 25)));
        assert_eq!(months("infection"), None);
        assert_eq!(outcome("amputation"), None);
    }

    #[test]
    fn a_bad_row_is_refused() {
        let study = |row: &str| {
            read(&format!("- {{key: a, studies: [{{{row}, source: {{relation: common practice}}}}]}}"))
        };
        assert!(study("count: 1, of: 8").is_ok());
        for wrong in [
            "count: 9, of: 8",
            "count: 0, of: 0",
            "count: 1, in_100: 3, of: 8",
            "of: 8",
            "in_100: 101, of: 8",
        ] {
            assert!(study(wrong).is_err(), "{wrong}");
        }
        assert!(read("- {key: a, studies: []}").is_err());
        assert!(read("- {key: a, studies: [{count: 1, of: 8}]}").is_err(), "no source");
    }

    #[test]
    fn shares_are_rounded_half_up() {
        let study = |count: u32, of: u32| {
            read(&format!(
                "- {{key: a, studies: [{{count: {count}, of: {of}, source: {{relation: common practice}}}}]}}"
            ))
            .map(|outcomes| outcomes[0].first().in_100)
        };
        assert_eq!(study(1, 200), Ok(1));
        assert_eq!(study(1, 201), Ok(0));
        assert_eq!(study(7, 29), Ok(24));
    }
}
