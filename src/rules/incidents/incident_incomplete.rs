//! An entry that does not say all that it must. Until it does, it answers nothing.

use super::{called, entries};
use crate::case::Incident;
use crate::clinical::incidents::consequence;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::is_blank;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::words::List;

pub(super) static RULE: Rule = Rule {
    name: "incident-incomplete",
    topic: Topic::Incidents,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "candour-letter"]),
    title: "an incident is not fully recorded",
    why: "Colleagues, the practice and the patient read from this entry what happened and what was done. \
          What it leaves out, nobody can tell later.",
    cite: Cite::adapts(
        &sources::incidents::HCPC_CANDOUR,
        "8.1",
        "it asks for what happened, its likely effect and what was done to put it right; the keys, and the \
         words for harm, which are those of the national record of patient safety events, are ours",
    ),
    limits: "Sees whether something is written, not whether it is all. How grave the harm is, is never worked \
             out from the words.",
    example: Example {
        bad: "incidents: [{answers: [], what_happened: fell from the couch}]",
        good: r#"incidents: [{answers: [], what_happened: fell from the couch, found: {on: 2026-11-24, by: R. Quill},
  done_at_once: looked at; no injury, harm: none, told: {on: 2026-11-24, by: R. Quill, apology: true}}]"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let incomplete = entries(facts).filter_map(|(at, incident)| {
        let lacking = lacks(incident);
        let lines = List::and(lacking.iter().map(|(_, line)| line));
        (!lacking.is_empty()).then(|| {
            Finding::at(format!("incidents[{at}]"))
                .says(format!(
                    "{} does not say {}",
                    called(at, incident),
                    List::and(lacking.iter().map(|(what, _)| what))
                ))
                .fix(format!("add {lines}"))
        })
    });
    incomplete.collect()
}

/// What an entry does not say yet, each with the line that says it. Whether the patient was told is a
/// question of its own.
pub(in crate::rules) fn lacks(incident: &Incident) -> Vec<(&'static str, &'static str)> {
    let found = incident.found.clone().unwrap_or_default();
    let by_the_hour = incident
        .answered_rules()
        .iter()
        .any(|rule| consequence(rule).is_some_and(|consequence| consequence.needs_time));
    let keys = [
        (
            incident.answers.is_none(),
            ("which rules it answers", "`answers: [rule]`, or `answers: []` for what no rule finds"),
        ),
        (is_blank(incident.what_happened.as_deref()), ("what happened", "`what_happened: …`")),
        (found.on.is_none(), ("on which day it was found", "`found: {on: …}`")),
        (
            by_the_hour && found.at.is_none(),
            ("at what time it was found, which tells what to watch for", "`found: {at: …}`"),
        ),
        (is_blank(found.by.as_deref()), ("who found it", "`found: {by: …}`")),
        (is_blank(incident.done_at_once.as_deref()), ("what was done at once", "`done_at_once: …`")),
        (
            incident.harm.is_none(),
            ("how grave the physical harm is", "`harm:` none, low, moderate, severe or fatal"),
        ),
    ];
    keys.into_iter().filter_map(|(lacks, line)| lacks.then_some(line)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths};

    const WHOLE: &str = "answers: [], what_happened: fell, found: {on: 2026-11-24, by: R. Quill}, \
                         done_at_once: looked at, harm: none";

    fn entry(keys: &str) -> String {
        format!("incidents: [{{{keys}}}]")
    }

    #[test]
    fn each_key_that_is_missing_is_named_in_one_finding() {
        assert!(paths(&RULE, &entry(WHOLE)).is_empty());
        let found = findings(&RULE, "incidents: [{}]");
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].path.to_string(), "incidents[0]");
        for what in ["which rules", "what happened", "which day", "who found", "done at once", "harm"] {
            assert!(found[0].says.contains(what), "{what}: {}", found[0].says);
        }
        for (key, what) in [
            ("answers: []", "which rules it answers"),
            ("what_happened: fell", "what happened"),
            ("on: 2026-11-24, ", "on which day it was found"),
            (", by: R. Quill", "who found it"),
            ("done_at_once: looked at", "what was done at once"),
            ("harm: none", "how grave the physical harm is"),
        ] {
            let without = entry(&WHOLE.replace(key, "").replace(", ,", ",").replace("{,", "{"));
            let without = without.replace("{, ", "{").replace(", }", "}");
            assert_eq!(
                findings(&RULE, &without).iter().map(|found| found.says.as_str()).collect::<Vec<_>>(),
                [format!("incident 1 does not say {what}")],
                "{without}"
            );
        }
    }

    #[test]
    fn blank_words_say_nothing() {
        let blank = entry(&WHOLE.replace("what_happened: fell", "what_happened: \" \""));
        assert_eq!(paths(&RULE, &blank), ["incidents[0]"]);
    }

    /// What to watch for after an overdose depends on the hour; after a wrong toe it does not.
    #[test]
    fn the_time_is_asked_for_where_it_tells_what_to_watch_for() {
        let of = |rule: &str| entry(&WHOLE.replace("answers: []", &format!("answers: [{rule}]")));
        assert!(paths(&RULE, &of("toe-not-planned")).is_empty());
        let overdose = findings(&RULE, &of("dose-over-limit"));
        assert!(overdose[0].says.contains("at what time it was found"), "{}", overdose[0].says);
        let timed = of("dose-over-limit").replace("on: 2026-11-24", "on: 2026-11-24, at: \"10:20\"");
        assert!(paths(&RULE, &timed).is_empty());
    }
}
