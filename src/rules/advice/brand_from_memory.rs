//! A brand name whose contents were not seen in a publication.

use crate::clinical::Cite;
use crate::derive::LookedUp;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::words::List;

pub(super) static RULE: Rule = Rule {
    name: "brand-from-memory",
    topic: Topic::AllergiesAndAdvice,
    severity: Severity::Note,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "what a brand holds is known from memory only",
    why: "A brand name is replaced by what it holds, and everything that is said of it rests on that pair. Most \
          pairs were seen in a published list; this one was not.",
    cite: Cite::project_default("the row of each brand says where its pair was seen"),
    limits: "Does not know whether the brand holds something else as well, nor whether it is still sold.",
    example: Example {
        bad: "history: {medicines: [Sinthrome]}",
        good: "history: {medicines: [acenocoumarol]}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let found = |list: &[LookedUp], path: fn(usize) -> String| -> Vec<Finding> {
        let from_memory = list.iter().enumerate().filter_map(|(at, item)| {
            let brand = item.brand.filter(|brand| brand.is_from_memory())?;
            let holds = List::and(&brand.holds);
            let says = format!("`{}` was read as {holds}: that is from memory", brand.name);
            Some(Finding::at(path(at)).says(says).fix("look at the packet, or write the generic name"))
        });
        from_memory.collect()
    };
    let mut findings = found(&facts.derived.medicines, |at| format!("history.medicines[{at}]"));
    findings.extend(found(&facts.derived.allergies, |at| format!("history.allergies[{at}].to")));
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    #[test]
    fn only_what_was_not_seen_in_a_publication() {
        let several = "history: {medicines: [Eliquis, Sinthrome 1 mg, warfarin], allergies: [{to: Inadine}]}";
        assert_eq!(paths(&RULE, several), ["history.medicines[1]", "history.allergies[0].to"]);
        assert_eq!(says(&RULE, several)[0], "`Sinthrome` was read as acenocoumarol: that is from memory");
    }
}
