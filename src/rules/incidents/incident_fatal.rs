//! The patient died of it: no letter or leaflet can be written to them.

use super::{entries, is_fatal};
use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "incident-fatal",
    topic: Topic::Incidents,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["aftercare-leaflet", "candour-letter", "dressing-leaflet", "closing-letter"]),
    title: "the patient has died",
    why: "A leaflet or a letter addressed to somebody who has died would hurt those who open it. The family \
          is spoken to in person and written to by hand.",
    cite: Cite::common_practice(),
    limits: "Takes the word `fatal` as it is written. It does not know who the family is, nor whom the law \
             says must be told.",
    example: Example {
        bad: "incidents: [{answers: [], harm: fatal}]",
        good: "incidents: [{answers: [], harm: severe}]",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let fatal = entries(facts).filter(|(_, incident)| is_fatal(incident)).map(|(at, _)| {
        Finding::at(format!("incidents[{at}].harm")).says("recorded as fatal").fix(
            "write to the family by hand; the operation note and the letter to the practice can be issued",
        )
    });
    fatal.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn only_the_gravest_word_is_found() {
        assert_eq!(paths(&RULE, "incidents: [{answers: []}, {harm: fatal}]"), ["incidents[1].harm"]);
        assert!(paths(&RULE, "incidents: [{harm: severe}]").is_empty());
    }
}
