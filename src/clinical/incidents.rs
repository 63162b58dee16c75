//! What follows from an incident: what the patient is told to watch for, and what is asked of the record.
//! The words stand in the templates.

use std::sync::OnceLock;

use serde::Deserialize;

use super::Cite;
use super::tables::SourceRow;
use crate::clinical::table_of;

/// What a patient watches for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
pub enum Watch {
    /// Signs of too much local anaesthetic.
    #[serde(rename = "toxicity")]
    Toxicity,
    /// Signs of an allergic reaction.
    #[serde(rename = "allergy")]
    Allergy,
    /// Signs that too little blood reaches the toe.
    #[serde(rename = "blood flow")]
    BloodFlow,
}

/// What follows where an incident answers one of these rules.
#[derive(Debug)]
pub struct Consequence {
    /// The rules, by name.
    pub rules: Vec<String>,
    /// What the patient watches for; `None` if nothing beyond the usual.
    pub watch: Option<Watch>,
    /// What to watch for depends on the hour.
    pub needs_time: bool,
    /// A medicine was at fault, or may have been.
    pub is_of_a_medicine: bool,
    /// Where it comes from.
    pub cite: Cite,
}

/// Every row of the table.
pub fn consequences() -> &'static [Consequence] {
    static ROWS: OnceLock<Vec<Consequence>> = OnceLock::new();
    ROWS.get_or_init(|| read(built_table!("incidents")).expect("the embedded table passes its test"))
}

/// What follows where an incident answers this rule; `None` if nothing special.
pub fn consequence(rule: &str) -> Option<&'static Consequence> {
    consequences().iter().find(|row| row.rules.iter().any(|name| name == rule))
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    rules: Vec<String>,
    watch: Option<Watch>,
    hours: bool,
    medicine: bool,
    source: SourceRow,
}

fn read(text: &str) -> Result<Vec<Consequence>, String> {
    let rows: Vec<Row> = table_of(text)?;
    let mut all: Vec<Consequence> = Vec::with_capacity(rows.len());
    for row in rows {
        let known = |rule: &String| all.iter().any(|other| other.rules.contains(rule));
        if let Some(twice) = row.rules.iter().find(|rule| known(rule)) {
            return Err(format!("`{twice}` stands in two rows"));
        }
        all.push(Consequence {
            rules: row.rules,
            watch: row.watch,
            needs_time: row.hours,
            is_of_a_medicine: row.medicine,
            cite: row.source.cite()?,
        });
    }
    Ok(all)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_overdose_is_watched_by_the_hour_and_a_wrong_toe_is_not() {
        let overdose = consequence("dose-over-limit").expect("a row");
        assert_eq!((overdose.watch, overdose.needs_time), (Some(Watch::Toxicity), true));
        assert_eq!(consequence("agent-allergy").and_then(|row| row.watch), Some(Watch::Allergy));
        assert_eq!(consequence("tourniquet-not-removed").and_then(|row| row.watch), Some(Watch::BloodFlow));
        assert!(consequence("toe-not-planned").is_none());
    }

    #[test]
    fn a_bad_row_is_refused() {
        let row = "{rules: [a], hours: false, medicine: false, source: {relation: common practice}}";
        assert!(read(&format!("[{row}]")).is_ok());
        assert!(read(&format!("[{row}, {row}]")).is_err(), "one rule in two rows");
        assert!(read("[{rules: [a], hours: false, medicine: false}]").is_err(), "no source");
    }
}
