//! The aftercare leaflet: what the patient takes home. It speaks to the patient; every word stands
//! in the template, and here only what is true of this patient. It decides nothing clinical: which
//! medicine may be named was decided where it was worked out.

use serde::Serialize;

use super::incidents::Watching;
use super::plain::{
    self, ADULT_YEARS, Changes, NO_OTHER_ANAESTHETIC_HOURS, NUMB_HOURS, PRESS_MINUTES, PRESS_MINUTES_THINNER,
    PlainToe, WEEPING_WEEKS, YOUNG_PERSON_YEARS, called, years_on,
};
use super::view::{Feet, with_shared};
use super::{Audience, Document, Edition, Toes};
use crate::case::{Need, Toe, Washing};
use crate::date::{CivilDate, TimeOfDay};
use crate::derive::{Analgesia, FIRST_REDRESSING, NumbUntil, PainReason, Paracetamol, Value, Visit};
use crate::diagnostic::Path;
use crate::facts::Facts;

/// The aftercare leaflet.
pub(crate) static DOCUMENT: Document = Document {
    name: "aftercare-leaflet",
    title: "After your nail surgery",
    template: "aftercare-leaflet/main.typ",
    audience: Audience::Patient,
    toes: Toes::Operated,
    tells_incidents: false,
    missing,
    view,
};

fn missing(facts: &Facts) -> Vec<Path> {
    if facts.operated().is_empty() { vec![Path::from("operation")] } else { Vec::new() }
}

/// What the template may print. Every key is always there.
#[derive(Debug, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "each is one passage that stands or does not")]
struct View {
    is_large_print: bool,
    is_easy_read: bool,
    /// More is said than usual: the lines stand closer.
    is_full: bool,
    /// So much is said that the letters are a little smaller, to keep to one sheet of paper.
    is_very_full: bool,
    called: String,
    born: String,
    surgery: String,
    is_under_16: bool,
    is_under_18: bool,
    has_carer: bool,
    operated: Vec<PlainToe>,
    feet: Feet,
    has_several: bool,
    any_phenol: bool,
    any_without_phenol: bool,
    had_tourniquet: bool,
    numb: Numb,
    no_other_anaesthetic_hours: &'static str,
    press_minutes: &'static str,
    weeping_weeks: &'static str,
    pain: Pain,
    first_visit: VisitView,
    later_visits: Vec<VisitView>,
    healing: HealingView,
    dates: Vec<DateView>,
    keep_dry: bool,
    salt_water: bool,
    shower: bool,
    changes: Changes,
    watching: Watching,
}

/// When feeling comes back, over all toes.
#[derive(Debug, Default, PartialEq, Eq, Serialize)]
struct Numb {
    is_known: bool,
    from: String,
    to: String,
    /// Both are tomorrow.
    starts_next_day: bool,
    /// At least the later one is tomorrow.
    is_next_day: bool,
    /// Where the time is not known.
    about_hours: &'static str,
}

/// What may be said about pain relief.
#[derive(Debug, Default, PartialEq, Eq, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "each is one passage that stands or does not")]
struct Pain {
    can_take: bool,
    must_ask: bool,
    must_avoid: bool,
    reason: Reason,
    each: String,
    hours_between: String,
    doses: String,
    most: String,
    nsaid_reasons: Vec<Reason>,
    no_aspirin_under_16: bool,
    /// Aspirin is taken every day, as prescribed: it goes on.
    keeps_aspirin: bool,
}

/// A reason by its key, [`crate::derive::Why::key`]; the template has the words.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
struct Reason {
    key: &'static str,
    /// The medicine, allergy or condition; may be empty.
    name: String,
}

impl From<&PainReason> for Reason {
    fn from(reason: &PainReason) -> Reason {
        Reason { key: reason.why.key(), name: reason.name.clone() }
    }
}

/// A visit.
#[derive(Debug, Default, PartialEq, Eq, Serialize)]
struct VisitView {
    is_known: bool,
    date: String,
    has_time: bool,
    time: String,
}

/// One dot of the timeline.
#[derive(Debug, PartialEq, Eq, Serialize)]
struct DateView {
    date: String,
    is_surgery: bool,
    is_first_visit: bool,
    is_later_visit: bool,
    is_healed_from: bool,
    is_healed_to: bool,
    /// Stated in the case, rather than worked out.
    is_fixed: bool,
}

#[derive(Debug, Default, Serialize)]
struct HealingView {
    is_known: bool,
    weeks_from: String,
    weeks_to: String,
}

/// The advice is the same for one reason and for ten; more than these nobody reads.
const MOST_REASONS: usize = 5;

/// Passages beyond the usual ones that still fit on one sheet in letters of 14 points.
const MANY_EXTRAS: usize = 3;

/// "About 11:37am" claims too much: the range is widened to whole steps of this.
const ROUND_MINUTES: i64 = 5;

fn minute(time: TimeOfDay) -> i64 {
    i64::from(chrono::Timelike::minute(&time.0))
}

/// The earliest and the latest over all toes, rounded outwards; unknown if any toe is.
fn numb<'a>(toes: impl Iterator<Item = &'a Value<NumbUntil>>) -> Numb {
    let unknown = Numb { about_hours: NUMB_HOURS.number, ..Numb::default() };
    let Some(toes) = toes.map(Value::get).collect::<Option<Vec<_>>>() else { return unknown };
    let from = toes.iter().map(|toe| (toe.earliest_next_day, toe.earliest)).min();
    let to = toes.iter().map(|toe| (toe.latest_next_day, toe.latest)).max();
    let (Some((starts_next_day, from)), Some((is_next_day, to))) = (from, to) else { return unknown };
    let (from, _) = from.plus_minutes(-(minute(from) % ROUND_MINUTES));
    let (to, midnights) = to.plus_minutes((ROUND_MINUTES - minute(to) % ROUND_MINUTES) % ROUND_MINUTES);
    let is_next_day = is_next_day || midnights > 0;
    Numb { is_known: true, from: from.plain(), to: to.plain(), starts_next_day, is_next_day, ..unknown }
}

fn pain(facts: &Facts, analgesia: Option<&Analgesia>) -> Pain {
    let Some(analgesia) = analgesia else { return Pain { must_ask: true, ..Pain::default() } };
    let takes_aspirin = facts.derived.medicines.iter().any(|medicine| medicine.is("aspirin"));
    let mut pain = Pain {
        nsaid_reasons: analgesia.no_nsaid_because.iter().take(MOST_REASONS).map(Reason::from).collect(),
        no_aspirin_under_16: analgesia.no_aspirin_under_16,
        keeps_aspirin: analgesia.prescribed_antiplatelet && takes_aspirin,
        ..Pain::default()
    };
    match &analgesia.paracetamol {
        Paracetamol::Advise { each, hours_between, doses_in_24_h, most_in_24_h } => {
            pain.can_take = true;
            pain.each.clone_from(each);
            pain.hours_between = hours_between.to_string();
            pain.doses = doses_in_24_h.to_string();
            pain.most.clone_from(most_in_24_h);
        }
        Paracetamol::AskUs(reason) => {
            pain.must_ask = true;
            pain.reason = reason.into();
        }
        Paracetamol::Avoid(reason) => {
            pain.must_avoid = true;
            pain.reason = reason.into();
        }
    }
    pain
}

fn visit_view(visit: &Visit) -> VisitView {
    VisitView {
        is_known: true,
        date: visit.date.long_with_day(),
        has_time: visit.at.is_some(),
        time: visit.at.map_or_else(String::new, |at| at.plain()),
    }
}

fn first_visit(facts: &Facts) -> VisitView {
    let visits = facts.derived.next_visits.get();
    let first = visits.and_then(|visits| visits.iter().find(|visit| visit.purpose == FIRST_REDRESSING));
    first.map_or_else(VisitView::default, visit_view)
}

fn later_visits(facts: &Facts) -> Vec<VisitView> {
    let visits = facts.derived.next_visits.get().into_iter().flatten();
    visits.filter(|visit| visit.purpose != FIRST_REDRESSING).map(visit_view).collect()
}

/// Surgery, visits and healing, in the order of their days.
fn dates(facts: &Facts) -> Vec<DateView> {
    let blank = |day: CivilDate| DateView {
        date: day.0.format("%-d %B").to_string(),
        is_surgery: false,
        is_first_visit: false,
        is_later_visit: false,
        is_healed_from: false,
        is_healed_to: false,
        is_fixed: false,
    };
    let day = facts.day();
    let mut dates = vec![(day, DateView { is_surgery: true, is_fixed: true, ..blank(day) })];
    for visit in facts.derived.next_visits.get().into_iter().flatten() {
        let is_first_visit = visit.purpose == FIRST_REDRESSING;
        let view = DateView {
            is_first_visit,
            is_later_visit: !is_first_visit,
            is_fixed: visit.is_booked,
            ..blank(visit.date)
        };
        dates.push((visit.date, view));
    }
    if let Some(healing) = facts.derived.expected_healing.get() {
        dates.push((healing.from, DateView { is_healed_from: true, ..blank(healing.from) }));
        dates.push((healing.to, DateView { is_healed_to: true, ..blank(healing.to) }));
    }
    dates.sort_by_key(|(day, _)| *day);
    dates.into_iter().map(|(_, view)| view).collect()
}

fn healing(facts: &Facts) -> HealingView {
    facts.derived.expected_healing.get().map_or_else(HealingView::default, |healing| HealingView {
        is_known: true,
        weeks_from: healing.weeks_from.to_string(),
        weeks_to: healing.weeks_to.to_string(),
    })
}

fn compose(facts: &Facts) -> View {
    let years = years_on(facts, facts.day()).unwrap_or(ADULT_YEARS);
    let toes = facts.operated();
    let operated: Vec<PlainToe> = toes
        .iter()
        .map(|(toe, done)| PlainToe::new(*toe, done.nail, &done.edges, done.phenol.is_some()))
        .collect();
    let drawn: Vec<_> = toes.iter().map(|(toe, done)| (*toe, done.nail, done.edges.as_slice())).collect();
    let which: Vec<Toe> = toes.iter().map(|(toe, _)| *toe).collect();
    let washing = facts.clinic.protocol.washing;
    let thins_blood = facts.takes("anticoagulant");
    let changes = Changes::of(facts, &which);
    let watching = Watching::of(facts);
    let has_carer = plain::needs(facts, Need::CarerPresent);
    let is_under_16 = years < YOUNG_PERSON_YEARS;
    let pain = pain(facts, facts.derived.analgesia.get());
    let extras = usize::from(is_under_16 || has_carer)
        + usize::from(operated.len() > 1)
        + changes.count()
        + watching.count()
        + pain.nsaid_reasons.len() / 3;
    View {
        is_full: extras > 0,
        is_very_full: extras > MANY_EXTRAS,
        is_large_print: plain::needs(facts, Need::LargePrint),
        is_easy_read: plain::needs(facts, Need::EasyRead),
        called: called(facts),
        born: facts.case.patient.born.long(),
        surgery: facts.day().long_with_day(),
        is_under_16,
        is_under_18: years < ADULT_YEARS,
        has_carer,
        feet: Feet::of(&drawn),
        has_several: operated.len() > 1,
        any_phenol: operated.iter().any(|toe| toe.has_phenol),
        any_without_phenol: operated.iter().any(|toe| !toe.has_phenol),
        operated,
        had_tourniquet: toes
            .iter()
            .any(|(_, done)| done.tourniquet.as_ref().is_some_and(|band| band.off.is_some())),
        numb: numb(which.iter().filter_map(|toe| facts.derived.toes.get(toe)).map(|times| &times.numb_until)),
        no_other_anaesthetic_hours: NO_OTHER_ANAESTHETIC_HOURS.number,
        press_minutes: if thins_blood { PRESS_MINUTES_THINNER.number } else { PRESS_MINUTES.number },
        weeping_weeks: WEEPING_WEEKS.number,
        pain,
        first_visit: first_visit(facts),
        later_visits: later_visits(facts),
        healing: healing(facts),
        dates: dates(facts),
        keep_dry: washing == Some(Washing::KeepDry),
        salt_water: washing == Some(Washing::SaltWater),
        shower: washing == Some(Washing::Shower),
        changes,
        watching,
    }
}

fn view(facts: &Facts, edition: &Edition) -> serde_json::Value {
    with_shared(facts, edition, &DOCUMENT, String::new(), true, &compose(facts))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::derive::Why;
    use crate::render::Templates;
    use crate::rules::example::facts_of;
    use crate::units::TextValue;

    fn of(fragment: &str) -> View {
        compose(&facts_of(fragment))
    }

    fn time(text: &str) -> TimeOfDay {
        TimeOfDay::parse(text).expect("a literal time")
    }

    #[test]
    fn it_needs_an_operation_and_nothing_else() {
        assert_eq!(missing(&facts_of("")), Vec::new());
        assert_eq!(missing(&facts_of("operation: ~")), vec![Path::from("operation")]);
        assert_eq!(missing(&facts_of("history: ~")), Vec::new());
    }

    #[test]
    fn sixteen_and_eighteen_are_told_from_the_day_before() {
        let ages = |born: &str| {
            let view = of(&format!("patient: {{born: {born}}}"));
            (view.is_under_16, view.is_under_18)
        };
        assert_eq!(ages("2010-11-25"), (true, true), "15 for one more day");
        assert_eq!(ages("2010-11-24"), (false, true), "16 on the day");
        assert_eq!(ages("2008-11-25"), (false, true), "17 for one more day");
        assert_eq!(ages("2008-11-24"), (false, false), "18 on the day");
    }

    #[test]
    fn numbness_is_the_widest_range_rounded_outwards() {
        let until = |earliest: &str, latest: &str, latest_next_day| {
            let range = NumbUntil {
                earliest: time(earliest),
                earliest_next_day: false,
                latest: time(latest),
                latest_next_day,
                end_point: "return of normal feeling".into(),
            };
            Value::known(range, "", crate::clinical::Cite::common_practice())
        };
        let range = |toes: &[Value<NumbUntil>]| {
            let numb = numb(toes.iter());
            (numb.is_known, numb.from, numb.to, numb.is_next_day)
        };
        let two = [until("11:36", "13:36", false), until("11:30", "13:40", false)];
        assert_eq!(range(&two), (true, "11:30am".into(), "1:40pm".into(), false));
        assert_eq!(range(&two[..1]), (true, "11:35am".into(), "1:40pm".into(), false));
        let late = [until("21:00", "23:56", false)];
        assert_eq!(range(&late), (true, "9pm".into(), "midnight".into(), true));
        let unknown = [until("11:36", "13:36", false), Value::missing("operation.toes.L1.at")];
        assert!(!range(&unknown).0, "one toe of which nothing is known");
        assert!(!range(&[]).0);
    }

    #[test]
    fn where_the_time_is_not_known_the_common_one_is_given_as_such() {
        let view = of("operation: {toes: {L1: {at: ~}}}");
        assert!(!view.numb.is_known);
        assert_eq!(view.numb.about_hours, "4");
    }

    #[test]
    fn exactly_one_thing_is_said_about_paracetamol() {
        for (fragment, can_take, must_ask, must_avoid) in [
            ("", true, false, false),
            ("patient: {weight: ~}", false, true, false),
            ("history: {allergies: [{to: paracetamol}]}", false, false, true),
        ] {
            let pain = of(fragment).pain;
            assert_eq!((pain.can_take, pain.must_ask, pain.must_avoid), (can_take, must_ask, must_avoid));
            assert_eq!(pain.reason.key.is_empty(), can_take, "{fragment}");
            assert_eq!(pain.most.is_empty(), !can_take, "no dose without advice");
        }
        assert!(pain(&facts_of(""), None).must_ask);
    }

    #[test]
    fn aspirin_that_is_taken_every_day_goes_on() {
        let keeps = |medicine: &str| of(&format!("history: {{medicines: [{medicine}]}}")).pain.keeps_aspirin;
        assert!(keeps("aspirin") && !keeps("clopidogrel") && !keeps("apixaban"));
    }

    /// A key without words would leave half a sentence on the page.
    #[test]
    fn the_templates_have_words_for_every_reason() {
        let templates = Templates::built_in();
        let facts = facts_of("");
        let edition = Edition {
            is_draft: false,
            version: 1,
            made_on: facts.day(),
            replaces: None,
            answered: Vec::new(),
            open: Vec::new(),
        };
        let filled = |is_easy_read: bool, must_ask: bool, must_avoid: bool, why: &str| {
            let mut view = view(&facts, &edition);
            view["is_easy_read"] = is_easy_read.into();
            let reason = serde_json::json!({"key": why, "name": "moonmilk"});
            view["pain"]["can_take"] = false.into();
            view["pain"]["must_ask"] = must_ask.into();
            view["pain"]["must_avoid"] = must_avoid.into();
            view["pain"]["reason"] = reason.clone();
            view["pain"]["nsaid_reasons"] =
                if must_ask || must_avoid { serde_json::json!([]) } else { serde_json::json!([reason]) };
            templates.render(DOCUMENT.template, &view).unwrap_or_else(|problem| panic!("{problem}")).main
        };
        for is_easy_read in [false, true] {
            for why in Why::ALL {
                let is_said =
                    [(true, false), (false, true), (false, false)].into_iter().any(|(ask, avoid)| {
                        filled(is_easy_read, ask, avoid, why.key())
                            != filled(is_easy_read, ask, avoid, "no such key")
                    });
                assert!(is_said, "no words for {why:?}, easy read: {is_easy_read}");
            }
        }
    }

    #[test]
    fn a_booked_time_is_printed_as_people_say_it() {
        let visit = of("follow_up: {first_redressing: 2026-11-27, at: \"14:05\"}").first_visit;
        assert_eq!((visit.date.as_str(), visit.time.as_str()), ("Friday 27 November 2026", "2:05pm"));
        assert!(!of("").first_visit.has_time);
        assert_eq!(of("").later_visits[0].date, "Tuesday 5 January 2027");
        let none = of("clinic: {protocol: {first_redressing_days: ~}}").first_visit;
        assert_eq!(none, VisitView::default());
    }

    #[test]
    fn the_timeline_is_in_the_order_of_the_days() {
        let dates = of("").dates;
        let days: Vec<&str> = dates.iter().map(|day| day.date.as_str()).collect();
        assert_eq!(days, ["24 November", "27 November", "22 December", "5 January", "19 January"]);
        assert!(dates[0].is_surgery && dates[1].is_first_visit && dates[3].is_later_visit);
        assert!(dates[2].is_healed_from && dates[4].is_healed_to);
        assert!(of("follow_up: {first_redressing: 2026-11-27}").dates[1].is_fixed);
        assert!(!dates[1].is_fixed);
    }

    #[test]
    fn a_blood_thinner_needs_longer_pressing() {
        assert_eq!(of("").press_minutes, "15");
        assert_eq!(of("history: {medicines: [apixaban]}").press_minutes, "20");
        assert_eq!(of("history: {medicines: [aspirin]}").press_minutes, "15");
    }

    #[test]
    fn a_tourniquet_is_said_to_be_off_only_if_that_was_recorded() {
        assert!(of("").had_tourniquet);
        assert!(!of("operation: {toes: {L1: {tourniquet: {off: ~}}}}").had_tourniquet);
    }
}
