//! The family doctor is named by a key that the clinic's address book does not have.

use crate::case::GpEntry;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::words::{List, nearest};

pub(super) static RULE: Rule = Rule {
    name: "gp-unknown",
    topic: Topic::Records,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["gp-letter", "visit-letter"]),
    title: "the family doctor is not in the clinic's address book",
    why: "The letter would have no address, or go to the wrong practice.",
    cite: Cite::states(&sources::records::RECORD_HEADINGS, "GP practice"),
    limits: "Does not know whether the patient is still with this practice.",
    example: Example { bad: "gp: birchgat", good: "gp: birchgate" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(GpEntry::Key(typed)) = &facts.case.gp else { return Vec::new() };
    let keys: Vec<&str> = facts.clinic.gps.keys().map(String::as_str).collect();
    if keys.contains(&typed.as_str()) {
        return Vec::new();
    }
    let block = "write the practice here as a block: `practice`, `address`; where the patient has none, leave the \
                 key out: then no letter is made";
    let fix = match (nearest(typed, keys.iter().copied()), keys.is_empty()) {
        (Some(near), _) => format!("did you mean `{near}`?"),
        (None, true) => format!("add it to `gps` in the clinic file, or {block}"),
        (None, false) => format!("the clinic file knows {}; or {block}", List::or_ticked(&keys)),
    };
    vec![Finding::at("gp").says(format!("`{typed}` is not among `gps` in the clinic file")).fix(fix)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths};

    #[test]
    fn a_known_key_a_block_and_none_pass() {
        assert!(paths(&RULE, "").is_empty());
        assert!(paths(&RULE, "gp: ~").is_empty());
        assert!(paths(&RULE, "gp: {practice: Eastmoor Surgery, address: [1 High Street]}").is_empty());
    }

    #[test]
    fn a_slip_is_answered_with_the_key_that_was_meant() {
        let found = findings(&RULE, "gp: birchgat");
        assert_eq!(found[0].fix.as_deref(), Some("did you mean `birchgate`?"));
        let none = findings(&RULE, "gp: none");
        assert!(none[0].fix.as_deref().is_some_and(|fix| fix.contains("leave the key out")));
        assert!(findings(&RULE, "gp: q")[0].fix.as_deref().is_some_and(|fix| fix.contains("`birchgate`")));
    }
}
