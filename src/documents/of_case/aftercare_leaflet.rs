//! The aftercare leaflet: what the patient takes home. It speaks to the patient; every word stands
//! in the template, and here only what is true of this patient. It decides nothing clinical: which
//! medicine may be named was decided where it was worked out.

use serde::Serialize;

use crate::anatomy::Toe;
use crate::case::Need;
use crate::clinical::tables::Class;
use crate::clinical::thresholds::Threshold;
use crate::date::CivilDate;
use crate::derive::{Analgesia, FIRST_REDRESSING, Nsaid, Numbness, PainReason, Paracetamol, PlannedVisit};
use crate::diagnostic::Path;
use crate::documents::of_case::school_note;
use crate::documents::page::{Feet, with_shared};
use crate::documents::parts::given_up::GivenUp;
use crate::documents::parts::home_care::HomeCare;
use crate::documents::parts::incidents::Watching;
use crate::documents::parts::numb::NumbView;
use crate::documents::parts::plain::{self, Changes, CloseUp, PlainToe, called, years_on};
use crate::documents::{Audience, Document, Edition, Made, Toes};
use crate::facts::Facts;

/// The aftercare leaflet.
pub(crate) static DOCUMENT: Document = Document {
    name: "aftercare-leaflet",
    title: "After your nail surgery",
    template: "aftercare-leaflet/main.typ",
    audience: Audience::Patient,
    toes: Toes::Operated,
    tells_incidents: false,
    made: Made::OfCase { missing, view },
};

fn missing(facts: &Facts) -> Vec<Path> {
    match &facts.case.operation {
        None => vec![Path::from("operation")],
        // Given up before an injection: nothing to take care of.
        Some(operation) if operation.toes.is_empty() => vec![Path::from("operation.toes")],
        Some(_) => Vec::new(),
    }
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
    /// It is handed over on the day of surgery: what it says of today is true.
    is_on_the_day: bool,
    is_under_16: bool,
    is_under_18: bool,
    has_carer: bool,
    /// Nothing was removed: a page of its own takes the place of the others.
    given_up: GivenUp,
    operated: Vec<PlainToe>,
    feet: Feet,
    close_ups: Vec<CloseUp>,
    has_several: bool,
    any_phenol: bool,
    any_without_phenol: bool,
    had_tourniquet: bool,
    numb: NumbView,
    no_other_anaesthetic_hours: String,
    press_minutes: String,
    weeping_weeks: String,
    pain: Pain,
    first_visit: VisitView,
    later_visits: Vec<VisitView>,
    healing: HealingView,
    dates: Vec<DateView>,
    /// Part of a nail was taken away.
    any_partial: bool,
    /// A whole nail was taken away and phenol used, so that it should not grow back.
    any_whole_with_phenol: bool,
    /// A child old enough to be spoken to in a box of its own.
    is_teenager: bool,
    /// A note for the school is made beside it.
    has_school_note: bool,
    /// The language of the interpreter; empty where none is needed.
    language: String,
    care: HomeCare,
    changes: Changes,
    watching: Watching,
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
    /// `one or two 500mg tablets`.
    counted: String,
    hours_between: String,
    doses: String,
    most: String,
    /// `8 tablets`.
    most_counted: String,
    /// Something speaks against ibuprofen and the like: the reasons, where the clinic's policy is one.
    nsaid_not_advised: bool,
    /// The clinic lets patients take ibuprofen, and nothing speaks against it.
    nsaid_may_take: bool,
    nsaid_reasons: Vec<Reason>,
    no_aspirin_under_16: bool,
    /// What was agreed with this patient, as typed; empty if nothing is recorded.
    agreed: String,
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
    /// Its day lies before that of the leaflet.
    is_past: bool,
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

/// The language in which the patient is spoken to by an interpreter; empty where none is needed.
fn language(facts: &Facts) -> String {
    let language = facts.case.patient.language.clone().filter(|_| plain::needs_interpreter(facts));
    language.unwrap_or_default()
}

/// On a later day than that of surgery the times of that day are past, and the hours are said.
fn numb(facts: &Facts, made_on: CivilDate) -> NumbView {
    let Some(given) = facts.derived.numb_given.get() else { return NumbView::default() };
    if made_on == facts.day() {
        return NumbView::of(given, facts.day());
    }
    NumbView::of(&Numbness { back: None, ring_at: None, ..given.clone() }, facts.day())
}

/// A leaflet is about an operation, and then they are known.
fn no_other_anaesthetic_hours(facts: &Facts) -> String {
    facts.derived.next_anaesthetic_hours.get().map_or_else(String::new, u32::to_string)
}

fn pain(facts: &Facts, analgesia: Option<&Analgesia>) -> Pain {
    let follow_up = facts.case.follow_up.as_ref();
    let agreed = follow_up.and_then(|follow_up| follow_up.pain_relief.as_deref()).unwrap_or_default();
    let agreed = crate::documents::page::without_stop(agreed).to_owned();
    let Some(analgesia) = analgesia else { return Pain { must_ask: true, agreed, ..Pain::default() } };
    let takes_aspirin = facts.derived.medicines.iter().any(|medicine| medicine.is(Class::Aspirin));
    let mut pain = Pain {
        nsaid_not_advised: analgesia.nsaid == Nsaid::NotAdvised,
        nsaid_may_take: analgesia.nsaid == Nsaid::MayTake,
        nsaid_reasons: analgesia.no_nsaid_because.iter().take(MOST_REASONS).map(Reason::from).collect(),
        no_aspirin_under_16: analgesia.no_aspirin_under_16,
        agreed,
        keeps_aspirin: analgesia.prescribed_antiplatelet && takes_aspirin,
        ..Pain::default()
    };
    match &analgesia.paracetamol {
        Paracetamol::Advise { each, counted, hours_between, doses_in_24_h, most_in_24_h, most_counted } => {
            pain.can_take = true;
            pain.each.clone_from(each);
            pain.counted.clone_from(counted);
            pain.most_counted.clone_from(most_counted);
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

fn visit_view(visit: &PlannedVisit, made_on: CivilDate) -> VisitView {
    VisitView {
        is_known: true,
        is_past: visit.date < made_on,
        date: visit.date.long_with_day(),
        has_time: visit.at.is_some(),
        time: visit.at.map_or_else(String::new, |at| at.plain()),
    }
}

fn first_visit(facts: &Facts, made_on: CivilDate) -> VisitView {
    let visits = facts.derived.next_visits.get();
    let first = visits.and_then(|visits| visits.iter().find(|visit| visit.purpose == FIRST_REDRESSING));
    first.map_or_else(VisitView::default, |visit| visit_view(visit, made_on))
}

fn later_visits(facts: &Facts, made_on: CivilDate) -> Vec<VisitView> {
    let visits = facts.derived.next_visits.get().into_iter().flatten();
    let later = visits.filter(|visit| visit.purpose != FIRST_REDRESSING);
    later.map(|visit| visit_view(visit, made_on)).collect()
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

fn compose(facts: &Facts, made_on: CivilDate) -> View {
    let years = years_on(facts, facts.day()).unwrap_or(Threshold::Adult.whole());
    let toes = facts.operated();
    let operated: Vec<PlainToe> = toes
        .iter()
        .map(|(toe, done)| PlainToe::new(*toe, done.nail, &done.edges, done.phenol.is_some()))
        .collect();
    let drawn: Vec<_> = toes.iter().map(|(toe, done)| (*toe, done.nail, done.edges())).collect();
    let feet = Feet::of(&drawn);
    let which: Vec<Toe> = toes.iter().map(|(toe, _)| *toe).collect();
    let presses_longer = facts.derived.bleeding_risk.is_raised();
    let press = if presses_longer { Threshold::PressLongerFor } else { Threshold::PressFor };
    let changes = Changes::of(facts, &which);
    let watching = Watching::of(facts);
    let has_carer = plain::needs(facts, Need::CarerPresent);
    let is_under_16 = years < Threshold::YoungPerson.whole();
    let pain = pain(facts, facts.derived.analgesia.get());
    let extras = usize::from(is_under_16 || has_carer)
        + usize::from(operated.len() > 1)
        + usize::from(!language(facts).is_empty())
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
        is_on_the_day: made_on == facts.day(),
        is_under_16,
        is_under_18: years < Threshold::Adult.whole(),
        has_carer,
        given_up: GivenUp::plain(facts),
        close_ups: CloseUp::of(&operated, &feet),
        feet,
        has_several: operated.len() > 1,
        any_phenol: operated.iter().any(|toe| toe.has_phenol),
        any_partial: operated.iter().any(|toe| !toe.is_whole),
        any_whole_with_phenol: operated.iter().any(|toe| toe.is_whole && toe.has_phenol),
        is_teenager: is_under_16 && years >= Threshold::LeafletForChildFrom.whole(),
        has_school_note: school_note::is_for(facts),
        language: language(facts),
        any_without_phenol: operated.iter().any(|toe| !toe.has_phenol),
        operated,
        had_tourniquet: facts
            .treated()
            .iter()
            .any(|(_, done)| done.tourniquet.as_ref().is_some_and(|band| !band.off.is_missing())),
        numb: numb(facts, made_on),
        no_other_anaesthetic_hours: no_other_anaesthetic_hours(facts),
        press_minutes: press.whole().to_string(),
        weeping_weeks: Threshold::WeepsFor.whole().to_string(),
        pain,
        first_visit: first_visit(facts, made_on),
        later_visits: later_visits(facts, made_on),
        healing: healing(facts),
        dates: dates(facts),
        care: HomeCare::of(facts),
        changes,
        watching,
    }
}

fn view(facts: &Facts, edition: &Edition) -> serde_json::Value {
    with_shared(facts, edition, &DOCUMENT, String::new(), true, &compose(facts, edition.made_on))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::derive::Why;
    use crate::render::Templates;
    use crate::rules::example::facts_of;
    use crate::units::TextValue as _;

    /// Handed over on the day of surgery.
    fn of(fragment: &str) -> View {
        let facts = facts_of(fragment);
        compose(&facts, facts.day())
    }

    /// Made on a later day it says nothing of today, and of no visit that it is to come when it is past.
    #[test]
    fn what_is_past_when_it_is_made_is_said_as_past() {
        let facts = facts_of("");
        let on = |day: &str| compose(&facts, CivilDate::parse(day).expect("a literal date"));
        let today = on("2026-11-24");
        assert!(today.is_on_the_day && !today.first_visit.is_past);
        let on_the_visit = on("2026-11-27");
        assert!(!on_the_visit.is_on_the_day && !on_the_visit.first_visit.is_past, "it may still take place");
        let after = on("2026-11-28");
        assert!(after.first_visit.is_past && !after.later_visits[0].is_past);
        assert!(on("2027-01-06").later_visits[0].is_past);
        let lidocaine = facts_of("operation: {anaesthetic: {agent: lidocaine, strength: 2 %}}");
        let clock = |day: CivilDate| {
            let view = serde_json::to_value(compose(&lidocaine, day).numb).expect("it is text");
            (view["has_clock"] == true, view["has_ring_clock"] == true, view["is_range"] == true)
        };
        assert_eq!(clock(lidocaine.day()), (true, true, true));
        assert_eq!(
            clock(lidocaine.day().plus_days(1)),
            (false, false, true),
            "hours, and no time of a day past"
        );
    }

    #[test]
    fn it_needs_an_operation_and_nothing_else() {
        assert_eq!(missing(&facts_of("")), Vec::new());
        assert_eq!(missing(&facts_of("operation: ~")), vec![Path::from("operation")]);
        assert_eq!(missing(&facts_of("history: ~")), Vec::new());
        let given_up = "operation: {abandoned: {because: fainted}, toes: ~}";
        assert_eq!(missing(&facts_of(given_up)), vec![Path::from("operation.toes")], "nothing was injected");
        assert_eq!(missing(&facts_of("operation: {toes: {L1: {nail: none}}}")), Vec::new());
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
        let edition = Edition::first(facts.day());
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
        // Each reason in the branch in which the derivation really gives it: words elsewhere are no help.
        let mut given: Vec<(bool, bool, &str)> = Vec::new();
        for fragment in REASONS {
            let facts = facts_of(fragment);
            let analgesia = facts.derived.analgesia.get().unwrap_or_else(|| panic!("{fragment}"));
            match &analgesia.paracetamol {
                Paracetamol::Advise { .. } => {}
                Paracetamol::AskUs(reason) => given.push((true, false, reason.why.key())),
                Paracetamol::Avoid(reason) => given.push((false, true, reason.why.key())),
            }
            given.extend(analgesia.no_nsaid_because.iter().map(|reason| (false, false, reason.why.key())));
        }
        for why in Why::ALL {
            assert!(given.iter().any(|(.., key)| *key == why.key()), "no case here gives {why:?}");
        }
        for is_easy_read in [false, true] {
            for (ask, avoid, key) in &given {
                assert!(
                    filled(is_easy_read, *ask, *avoid, key)
                        != filled(is_easy_read, *ask, *avoid, "no such key"),
                    "no words for {key}, easy read: {is_easy_read}, ask: {ask}, avoid: {avoid}"
                );
            }
        }
    }

    /// Histories that between them give every reason about pain relief.
    const REASONS: &[&str] = &[
        "history: {allergies: [{to: paracetamol}]}",
        "history: {allergies: ~}",
        "history: {medicines: ~}",
        "history: {conditions: ~}",
        "history: {allergies: [{to: moonmilk}]}",
        "history: {medicines: [paracetamol]}",
        "history: {medicines: [co-codamol]}",
        "history: {medicines: [carbamazepine]}",
        "history: {medicines: [moonmilk]}",
        "history: {conditions: [cirrhosis]}",
        "history: {conditions: [alcohol dependence]}",
        "history: {conditions: [malnutrition]}",
        "history: {conditions: [dialysis]}",
        "patient: {born: 2026-11-26}",
        "patient: {born: 2026-11-01}",
        "patient: {weight: ~}",
        "patient: {weight: 33 kg}",
        "history: {allergies: [{to: nsaids}, {to: ibuprofen}]}",
        "history: {pregnant: true}",
        "history: {medicines: [apixaban]}",
        "history: {medicines: [clopidogrel]}",
        "history: {medicines: [sertraline]}",
        "history: {medicines: [naproxen]}",
        "history: {medicines: [lithium]}",
        "history: {conditions: [asthma, peptic ulcer, heart failure, haemophilia, crohns disease]}",
    ];

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
        assert_eq!(of("history: {conditions: [haemophilia]}").press_minutes, "20");
        assert_eq!(of("history: {medicines: [aspirin]}").press_minutes, "15");
    }

    #[test]
    fn a_close_up_shows_the_side_that_the_owner_sees() {
        let of = |fragment: &str| of(fragment).close_ups;
        let one = |name: &str, strip, is_left| CloseUp { name: name.into(), strip, is_left };
        // Looking down, the outer edge of the left big toe lies on the left.
        assert_eq!(of(""), [one("left big toe", "left", true)]);
        let right = "operation: {toes: {L1: ~, R1: {nail: partial, edges: [medial]}}}";
        assert_eq!(of(right), [one("right big toe", "left", false)]);
    }

    #[test]
    fn a_child_is_spoken_to_from_twelve() {
        let teenager = |born: &str| of(&format!("patient: {{born: {born}}}")).is_teenager;
        assert!(!teenager("2014-11-25") && teenager("2014-11-24"), "12 on the day of surgery");
        assert!(teenager("2010-11-25") && !teenager("2010-11-24"), "16 is no child");
    }

    #[test]
    fn a_tourniquet_is_said_to_be_off_only_if_that_was_recorded() {
        assert!(of("").had_tourniquet);
        assert!(!of("operation: {toes: {L1: {tourniquet: {off: ~}}}}").had_tourniquet);
    }
}
