//! The incidents of a case, for the pages on which they stand: strings ready to print. What follows from
//! them was decided where it was looked up; the sentences stand in the templates.

use serde::Serialize;

use crate::case::{Incident, PsychologicalHarm, Told};
use crate::clinical::incidents::{Watch, consequence};
use crate::date::{CivilDate, TimeOfDay};
use crate::documents::page::without_stop;
use crate::documents::{AnsweredCaution, Edition};
use crate::facts::Facts;
use crate::words::capitalised;

/// One incident for colleagues; a text is empty where nothing is recorded.
#[derive(Debug, Serialize)]
pub(in crate::documents) struct IncidentView {
    /// What the rules found, where it answers any: `A toe was operated on that was not planned: L1 …`.
    findings: Vec<String>,
    /// The headlines alone, each once.
    titles: Vec<String>,
    what_happened: String,
    found_on: String,
    found_at: String,
    found_by: String,
    done_at_once: String,
    /// `none`, `low`, `moderate`, `severe`, `fatal`.
    harm: &'static str,
    psychological_harm: &'static str,
    told: ToldView,
    /// `the clinic's manager (I-12)`.
    reported: Vec<String>,
}

/// Whether the patient was told.
#[derive(Debug, Default, Serialize)]
pub(in crate::documents) struct ToldView {
    pub(in crate::documents) is_told: bool,
    on: String,
    pub(in crate::documents) by: String,
    pub(in crate::documents) has_apology: bool,
    no_apology: bool,
    /// Why not yet; empty if told, or if nothing is recorded.
    pub(in crate::documents) not_yet: String,
}

impl ToldView {
    fn of(told: Option<&Told>, day: impl Fn(CivilDate) -> String) -> ToldView {
        let Some(told) = told else { return ToldView::default() };
        ToldView {
            is_told: told.on.is_some(),
            on: told.on.map_or_else(String::new, day),
            by: inside(told.by.as_ref()),
            has_apology: told.apology == Some(true),
            no_apology: told.apology == Some(false),
            not_yet: inside(told.not_yet.as_ref()),
        }
    }
}

/// Every incident, for colleagues.
pub(in crate::documents) fn for_colleagues(facts: &Facts, edition: &Edition) -> Vec<IncidentView> {
    let each = facts.case.incidents.iter().enumerate().map(|(at, incident)| {
        let found = incident.found.clone().unwrap_or_default();
        IncidentView {
            findings: findings(edition, at),
            titles: titles(edition, at),
            what_happened: capitalised(&inside(incident.what_happened.as_ref())),
            found_on: found.on.map_or_else(String::new, CivilDate::clinical),
            found_at: found.at.map_or_else(String::new, TimeOfDay::clinical),
            found_by: inside(found.by.as_ref()),
            done_at_once: capitalised(&inside(incident.done_at_once.as_ref())),
            harm: incident.harm.map_or("", crate::case::Harm::word),
            psychological_harm: incident.psychological_harm.map_or("", PsychologicalHarm::word),
            told: ToldView::of(incident.told.as_ref(), CivilDate::clinical),
            reported: reported(incident),
        }
    });
    each.collect()
}

/// What the rules found that this entry answers.
fn answered(edition: &Edition, at: usize) -> impl Iterator<Item = &AnsweredCaution> {
    edition.answered.iter().filter(move |answered| answered.incident == Some(at))
}

/// A headline on paper, with the apostrophe of print, as in the templates.
fn headline(title: &str) -> String {
    capitalised(title).replace('\'', "’")
}

/// `Headline: what is there`.
fn findings(edition: &Edition, at: usize) -> Vec<String> {
    answered(edition, at).map(|one| format!("{}: {}", headline(&one.title), one.says)).collect()
}

fn titles(edition: &Edition, at: usize) -> Vec<String> {
    let mut titles: Vec<String> = answered(edition, at).map(|one| headline(&one.title)).collect();
    titles.dedup();
    titles
}

/// To whom it was reported, with the number it has there.
pub(in crate::documents) fn reported(incident: &Incident) -> Vec<String> {
    let each = incident.reported.iter().map(|report| match &report.reference {
        Some(reference) => format!("{} ({reference})", without_stop(&report.to)),
        None => without_stop(&report.to).to_owned(),
    });
    each.collect()
}

/// Whether the patient was told, in the dates of the patient.
pub(in crate::documents) fn told_in_plain_words(incident: &Incident) -> ToldView {
    ToldView::of(incident.told.as_ref(), CivilDate::long)
}

/// As typed, without the stop of a whole sentence; empty if nothing is recorded.
fn inside(text: Option<&String>) -> String {
    text.map_or_else(String::new, |text| without_stop(text.trim()).to_owned())
}

/// What the patient is told to watch for, over all incidents.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
pub(in crate::documents) struct Watching {
    /// At least one of the others.
    pub(in crate::documents) any: bool,
    /// Signs of too much local anaesthetic.
    pub(in crate::documents) toxicity: bool,
    /// Signs of an allergic reaction.
    pub(in crate::documents) allergy: bool,
    /// Signs that too little blood reaches the toe.
    pub(in crate::documents) blood_flow: bool,
}

impl Watching {
    pub(in crate::documents) fn of(facts: &Facts) -> Watching {
        let rules = facts.case.incidents.iter().flat_map(Incident::answered_rules);
        let watched: Vec<Watch> =
            rules.filter_map(|rule| consequence(rule)).filter_map(|consequence| consequence.watch).collect();
        let has = |watch| watched.contains(&watch);
        Watching {
            any: !watched.is_empty(),
            toxicity: has(Watch::Toxicity),
            allergy: has(Watch::Allergy),
            blood_flow: has(Watch::BloodFlow),
        }
    }

    /// How many of them hold.
    pub(in crate::documents) fn count(self) -> usize {
        [self.toxicity, self.allergy, self.blood_flow].into_iter().filter(|holds| *holds).count()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    const OVERDOSE: &str = "incidents: [{answers: [dose-over-limit], what_happened: too much was given., \
        found: {on: 2026-11-24, at: \"10:20\", by: R. Quill}, done_at_once: watched, harm: none, \
        told: {on: 2026-11-24, by: R. Quill, apology: true}, reported: [{to: the manager, reference: I-12}]}]";

    #[test]
    fn what_the_rule_has_symptoms_for_is_watched() {
        assert!(Watching::of(&facts_of(OVERDOSE)).toxicity);
        let toe = Watching::of(&facts_of("incidents: [{answers: [toe-not-planned]}]"));
        assert_eq!(toe, Watching::default());
        let both = Watching::of(&facts_of(
            "incidents: [{answers: [agent-allergy]}, {answers: [tourniquet-not-removed]}]",
        ));
        assert!(both.allergy && both.blood_flow && both.count() == 2);
    }

    #[test]
    fn an_incident_is_printed_as_recorded_and_nothing_is_filled_in() {
        let edition = Edition::first(crate::date::CivilDate::of(2026, 11, 25).expect("a literal date"));
        let view = for_colleagues(&facts_of(OVERDOSE), &edition).remove(0);
        assert_eq!(view.what_happened, "Too much was given");
        assert_eq!((view.found_on.as_str(), view.found_at.as_str()), ("24-Nov-2026", "10:20"));
        assert_eq!((view.harm, view.psychological_harm), ("none", ""));
        assert_eq!(view.reported, ["the manager (I-12)"]);
        let bare = for_colleagues(&facts_of("incidents: [{}]"), &edition).remove(0);
        assert!(bare.what_happened.is_empty() && bare.harm.is_empty() && !bare.told.is_told);
    }
}
