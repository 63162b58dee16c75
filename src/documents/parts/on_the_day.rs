//! What was measured and asked on the day beside the operation itself, and how the patient left. All of it
//! is optional: what is not recorded is empty here and not printed.

use serde::Serialize;

use crate::case::{Chaperone, Leaving, Measured, Observation, OneOrMany, Operation, Sample};
use crate::date::TimeOfDay;
use crate::documents::page::{gap, measured, name_of, without_stop};
use crate::facts::Facts;
use crate::words::capitalised;

/// What may be said; every text is empty where nothing is recorded.
#[derive(Debug, Default, Serialize)]
pub(in crate::documents) struct OnTheDay {
    observations: Vec<ObservationView>,
    sedative: String,
    /// By name; so for all people here.
    supervised_by: String,
    second_checker: String,
    chaperone: ChaperoneView,
    photographs: String,
    samples: Vec<SampleView>,
    leaving: LeavingView,
}

/// What was measured at one time; a value that is said not to be recorded says why.
#[derive(Debug, Serialize)]
struct ObservationView {
    at: String,
    at_gap: String,
    /// `132/78 mmHg`; `not recorded: cuff too small`.
    blood_pressure: String,
    pulse: String,
    glucose: String,
    note: String,
}

/// At most one of the first three is true.
#[derive(Debug, Default, PartialEq, Eq, Serialize)]
struct ChaperoneView {
    is_declined: bool,
    is_not_offered: bool,
    /// Offered, and nothing says what came of it.
    is_only_offered: bool,
    who: String,
}

/// A swab or tissue that was sent.
#[derive(Debug, PartialEq, Eq, Serialize)]
pub(in crate::documents) struct SampleView {
    what: String,
    lab: String,
    acts: String,
    result: String,
}

/// How the patient left.
#[derive(Debug, Default, PartialEq, Eq, Serialize)]
struct LeavingView {
    at: String,
    at_gap: String,
    with: String,
    told: String,
    leaflet: String,
    leaflet_by: String,
}

impl OnTheDay {
    pub(in crate::documents) fn of(facts: &Facts) -> OnTheDay {
        let Some(operation) = &facts.case.operation else { return OnTheDay::default() };
        let named = |typed: &Option<String>| name_of(facts, typed.as_deref().unwrap_or_default());
        OnTheDay {
            observations: observations(operation),
            sedative: capitalised(&inside(operation.sedative.as_ref())),
            supervised_by: named(&operation.supervised_by),
            second_checker: named(&operation.second_checker),
            chaperone: operation
                .chaperone
                .as_ref()
                .map_or_else(ChaperoneView::default, |chaperone| chaperone_view(facts, chaperone)),
            photographs: capitalised(&inside(operation.photographs.as_ref())),
            samples: samples(facts),
            leaving: operation
                .leaving
                .as_ref()
                .map_or_else(LeavingView::default, |leaving| leaving_view(facts, leaving)),
        }
    }
}

/// Everything that was sent at the operation.
pub(in crate::documents) fn samples(facts: &Facts) -> Vec<SampleView> {
    let samples = facts.case.operation.iter().flat_map(|operation| &operation.samples);
    samples.map(|sample| sample_view(facts, sample)).collect()
}

fn sample_view(facts: &Facts, sample: &Sample) -> SampleView {
    SampleView {
        what: capitalised(&inside(Some(&sample.what))),
        lab: inside(sample.lab.as_ref()),
        acts: name_of(facts, sample.acts.as_deref().unwrap_or_default()),
        result: inside(sample.result.as_ref()),
    }
}

fn observations(operation: &Operation) -> Vec<ObservationView> {
    let each = operation.observations.iter().flat_map(OneOrMany::<Observation>::all);
    each.map(|(_, seen)| ObservationView {
        at: seen.at.value().map_or_else(String::new, TimeOfDay::clinical),
        at_gap: gap(&seen.at),
        blood_pressure: if_written(&seen.blood_pressure),
        pulse: if_written(&seen.pulse),
        glucose: if_written(&seen.glucose),
        note: inside(seen.note.as_ref()),
    })
    .collect()
}

/// The value, or why there is none; empty where nobody has answered.
fn if_written<T: ToString>(value: &Measured<T>) -> String {
    if value.is_missing() { String::new() } else { measured(value, ToString::to_string) }
}

fn chaperone_view(facts: &Facts, chaperone: &Chaperone) -> ChaperoneView {
    let who = name_of(facts, chaperone.who.as_deref().unwrap_or_default());
    let is_declined = chaperone.declined == Some(true);
    ChaperoneView {
        is_declined,
        is_not_offered: chaperone.offered == Some(false) && !is_declined,
        is_only_offered: chaperone.offered == Some(true) && !is_declined && who.is_empty(),
        who,
    }
}

fn leaving_view(facts: &Facts, leaving: &Leaving) -> LeavingView {
    LeavingView {
        at: leaving.at.value().map_or_else(String::new, TimeOfDay::clinical),
        at_gap: gap(&leaving.at),
        with: inside(leaving.with.as_ref()),
        told: capitalised(&inside(leaving.told.as_ref())),
        leaflet: inside(leaving.leaflet.as_ref()),
        leaflet_by: name_of(facts, leaving.leaflet_by.as_deref().unwrap_or_default()),
    }
}

/// As typed, without the stop of a whole sentence.
fn inside(text: Option<&String>) -> String {
    text.map_or_else(String::new, |text| without_stop(text).to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    fn of(operation: &str) -> OnTheDay {
        OnTheDay::of(&facts_of(&format!("operation: {{{operation}}}")))
    }

    #[test]
    fn nothing_is_said_of_what_is_not_recorded() {
        let day = of("");
        assert!(day.observations.is_empty() && day.samples.is_empty());
        assert!(
            [&day.sedative, &day.supervised_by, &day.second_checker, &day.photographs]
                .iter()
                .all(|text| text.is_empty())
        );
        assert_eq!(day.chaperone, ChaperoneView::default());
        assert_eq!(day.leaving, LeavingView::default());
    }

    #[test]
    fn a_gap_is_said_and_silence_is_not() {
        let day = of("observations: {blood_pressure: {not_recorded: cuff too small}, pulse: 72/min}");
        let [seen] = day.observations.as_slice() else { panic!("{day:?}") };
        assert_eq!(
            [&seen.at, &seen.blood_pressure, &seen.pulse, &seen.glucose],
            ["", "not recorded: cuff too small", "72/min", ""]
        );
        let day = of("observations: [{at: '09:20', glucose: 7.2 mmol/l}, {at: {not_recorded: clock}}]");
        assert_eq!(
            (day.observations[0].at.as_str(), day.observations[1].at_gap.as_str()),
            ("09:20", "clock")
        );
    }

    #[test]
    fn an_offer_is_not_taken_for_a_chaperone() {
        let said = |chaperone: &str| {
            let view = of(&format!("chaperone: {{{chaperone}}}")).chaperone;
            (view.is_declined, view.is_not_offered, view.is_only_offered, view.who)
        };
        assert_eq!(said("offered: true"), (false, false, true, String::new()));
        assert_eq!(said("offered: true, declined: true"), (true, false, false, String::new()));
        assert_eq!(said("offered: false"), (false, true, false, String::new()));
        assert_eq!(said("offered: true, who: quill"), (false, false, false, "Robin Quill".into()));
        assert_eq!(said("who: M. Reed"), (false, false, false, "M. Reed".into()));
    }

    #[test]
    fn people_stand_by_name() {
        let day =
            of("supervised_by: quill, second_checker: M. Reed, leaving: {leaflet: x, leaflet_by: quill}, \
                      samples: [{what: swab, acts: quill}]");
        assert_eq!((day.supervised_by.as_str(), day.second_checker.as_str()), ("Robin Quill", "M. Reed"));
        assert_eq!(
            (day.leaving.leaflet_by.as_str(), day.samples[0].acts.as_str()),
            ("Robin Quill", "Robin Quill")
        );
    }
}
