//! How often what happens after nail surgery, for the consent form. Words and numbers, no choice of
//! what a patient is told.

use std::sync::OnceLock;

use serde::Deserialize;

use super::Cite;
use super::tables::SourceRow;

/// One outcome.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outcome {
    /// Permanent key: `regrowth-phenol`.
    pub key: String,
    /// How often, in the one form: `about 5 in 100 people`, or `about 3 times` for a comparison.
    pub how_often: String,
    /// People in 100; `None` for a comparison.
    pub per_100: Option<u32>,
    /// The rest of the sentence, in plain words.
    pub says: String,
    /// What the publications span, where they differ.
    pub range: Option<String>,
    /// Where it comes from.
    pub cite: Cite,
}

impl Outcome {
    /// `About 5 in 100 people have nail that grows back …`, without a full stop.
    pub fn sentence(&self) -> String {
        crate::diagnostic::english::capitalised(&format!("{} {}", self.how_often, self.says))
    }
}

/// Every outcome, in the order of the table.
pub fn outcomes() -> &'static [Outcome] {
    static OUTCOMES: OnceLock<Vec<Outcome>> = OnceLock::new();
    OUTCOMES.get_or_init(|| {
        read(include_str!("tables/outcomes.yaml")).expect("the embedded table passes its test")
    })
}

/// The outcome of a key.
pub fn outcome(key: &str) -> Option<&'static Outcome> {
    outcomes().iter().find(|outcome| outcome.key == key)
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    key: String,
    people: Option<u32>,
    times: Option<u32>,
    says: String,
    range: Option<String>,
    source: SourceRow,
}

fn read(text: &str) -> Result<Vec<Outcome>, String> {
    let rows: Vec<Row> = serde_yaml::from_str(text).map_err(|problem| problem.to_string())?;
    let mut outcomes: Vec<Outcome> = Vec::with_capacity(rows.len());
    for row in rows {
        let how_often = match (row.people, row.times) {
            (Some(people @ 1..=99), None) => format!("about {people} in 100 people"),
            (None, Some(times @ 2..)) => format!("about {times} times"),
            _ => return Err(format!("`{}` needs people in 100 or a comparison", row.key)),
        };
        if outcomes.iter().any(|other| other.key == row.key) {
            return Err(format!("`{}` stands twice", row.key));
        }
        outcomes.push(Outcome {
            how_often,
            per_100: row.people,
            cite: row.source.cite()?,
            key: row.key,
            says: row.says,
            range: row.range,
        });
    }
    Ok(outcomes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_form_for_all() {
        let sentence = |key: &str| outcome(key).map(Outcome::sentence).unwrap_or_default();
        assert_eq!(
            sentence("regrowth-phenol"),
            "About 5 in 100 people have nail that grows back and gives trouble again, although phenol was used"
        );
        assert_eq!(
            sentence("infection-over-60"),
            "About 3 times as likely to get an infection when older than 60"
        );
        assert_eq!(outcome("infection").and_then(|outcome| outcome.per_100), Some(3));
        assert_eq!(outcome("amputation"), None);
    }

    #[test]
    fn a_bad_row_is_refused() {
        let read_row = |row: &str| read(&format!("- {{{row}}}"));
        let source = "source: {relation: common practice}";
        assert!(read_row(&format!("key: a, people: 1, says: b, {source}")).is_ok());
        for wrong in [
            format!("key: a, people: 0, says: b, {source}"),
            format!("key: a, people: 100, says: b, {source}"),
            format!("key: a, people: 5, times: 2, says: b, {source}"),
            format!("key: a, says: b, {source}"),
            "key: a, people: 5, says: b".to_owned(),
        ] {
            assert!(read_row(&wrong).is_err(), "{wrong}");
        }
    }
}
