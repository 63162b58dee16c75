//! The foot-risk tiers in words: what puts a foot into each, and how soon and how often it is seen.
//! Which tier a patient is in is not decided here.

use std::sync::OnceLock;

use serde::Deserialize;

use super::Cite;
use super::tables::{SourceRow, keep};
use crate::clinical::table_of;

/// Foot-risk tier.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "lowercase")]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum FootRisk {
    Low,
    Moderate,
    High,
    Active,
}

impl FootRisk {
    /// `low`, `moderate`, `high`, `active`.
    pub fn word(self) -> &'static str {
        match self {
            FootRisk::Low => "low",
            FootRisk::Moderate => "moderate",
            FootRisk::High => "high",
            FootRisk::Active => "active",
        }
    }

    /// What the pathway says of this tier.
    pub fn tier(self) -> &'static Tier {
        &tiers()[self as usize]
    }
}

/// What the pathway says of a tier.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tier {
    /// What puts a foot into it.
    pub criteria: &'static str,
    /// How soon the foot protection service first sees it; `None` where it need not.
    pub first_seen: Option<&'static str>,
    /// How often the foot is looked at.
    pub review: &'static str,
    /// Where it comes from.
    pub cite: Cite,
}

fn tiers() -> &'static [Tier; 4] {
    static TIERS: OnceLock<[Tier; 4]> = OnceLock::new();
    TIERS.get_or_init(|| read(built_table!("foot_risk")).expect("the embedded table passes its test"))
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    tier: FootRisk,
    criteria: String,
    first_seen: Option<String>,
    review: String,
    source: SourceRow,
}

fn read(text: &str) -> Result<[Tier; 4], String> {
    let rows: Vec<Row> = table_of(text)?;
    let mut tiers = [None; 4];
    for row in rows {
        let word = row.tier.word();
        let first_seen_is_empty = row.first_seen.as_deref().is_some_and(str::is_empty);
        if row.criteria.is_empty() || row.review.is_empty() || first_seen_is_empty {
            return Err(format!("{word}: no words"));
        }
        let tier = Tier {
            criteria: keep(row.criteria),
            first_seen: row.first_seen.map(keep),
            review: keep(row.review),
            cite: row.source.cite()?,
        };
        if tiers[row.tier as usize].replace(tier).is_some() {
            return Err(format!("{word} stands twice"));
        }
    }
    let [Some(low), Some(moderate), Some(high), Some(active)] = tiers else {
        return Err("a tier is not in the table".into());
    };
    Ok([low, moderate, high, active])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clinical::Relation;

    const TABLE: &str = include_str!("tables/foot_risk.yaml");

    /// FRAME, NHS England pathway: 6 to 8 weeks and 3 to 6 months; 2 to 4 weeks and 1 to 2 months.
    #[test]
    fn each_tier_has_its_own_row() {
        assert_eq!((FootRisk::Low.tier().first_seen, FootRisk::Low.tier().review), (None, "every year"));
        let moderate = FootRisk::Moderate.tier();
        assert_eq!(
            (moderate.first_seen, moderate.review),
            (Some("within 6 to 8 weeks"), "every 3 to 6 months")
        );
        assert_eq!(FootRisk::High.tier().first_seen, Some("within 2 to 4 weeks"));
        assert!(FootRisk::High.tier().review.starts_with("every 1 to 2 months"));
        let active = FootRisk::Active.tier();
        assert_eq!(active.cite.relation, Relation::States);
        assert!(
            active.first_seen.is_some_and(|when| when.starts_with("immediately")),
            "gangrene cannot wait"
        );
    }

    #[test]
    fn a_table_with_a_gap_a_twin_or_no_source_is_refused() {
        assert!(read(TABLE).is_ok());
        assert!(read(&TABLE.replacen("tier: high", "tier: moderate", 1)).is_err());
        assert!(read(TABLE.split("- tier: active").next().unwrap_or("")).is_err());
        assert!(read(&TABLE.replacen("review: every year", "review: ''", 1)).is_err());
        let line = TABLE.lines().find(|line| line.starts_with("  source: ")).expect("each row has one");
        assert!(read(&TABLE.replacen(line, "", 1)).is_err(), "a row without a source was accepted");
    }
}
