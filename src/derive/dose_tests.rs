//! Tests of doses: published check values, and boundary pairs of the rules in between.

use proptest::prelude::*;
use rust_decimal::Decimal;

use super::*;
use crate::derive::Derived;
use crate::rules::example::facts_of;
use crate::units::{MilligramsPerKilogram, TextValue};

fn read<T: TextValue>(text: &str) -> T {
    T::parse(text).unwrap_or_else(|problem| panic!("{problem}"))
}

fn number(text: &str) -> Decimal {
    text.parse().expect("a literal number")
}

fn dose(volume: &str, strength: &str) -> String {
    dose_of(read(volume), read(strength)).to_string()
}

/// A limit without a cap.
fn uncapped(per_kg: &str, mass: &str) -> Milligrams {
    let per_kg: MilligramsPerKilogram = read(per_kg);
    limit_for(&DoseLimit::of_one_source(per_kg, Milligrams::whole(100_000), ARITHMETIC), read(mass)).0
}

fn table_limit(agent: &str, mass: &str) -> Milligrams {
    limit_for(&tables::agent(agent).expect("in the table").adult, read(mass)).0
}

/// Volume × strength × 10.
#[test]
fn volumes_and_strengths_make_the_printed_doses() {
    let rows = [
        ("0.25 %", "10 ml", "25 mg"),
        ("0.25 %", "20 ml", "50 mg"),
        ("0.5 %", "15 ml", "75 mg"),
        ("0.5 %", "20 ml", "100 mg"),
        ("1 %", "5 ml", "50 mg"),
        ("1 %", "10 ml", "100 mg"),
        ("2 %", "4 ml", "80 mg"),
        ("2 %", "10 ml", "200 mg"),
    ];
    for (strength, volume, expected) in rows {
        assert_eq!(dose(volume, strength), expected, "{volume} of {strength}");
    }
}

/// mg/kg × kg, without a cap.
#[test]
fn limits_by_mass_without_a_cap() {
    let rows = [
        ("3 mg/kg", "70 kg", 210),
        ("3 mg/kg", "68 kg", 204),
        ("3 mg/kg", "44 kg", 132),
        ("2 mg/kg", "37 kg", 74),
        ("2 mg/kg", "70 kg", 140),
        ("6 mg/kg", "50 kg", 300),
        ("6 mg/kg", "63 kg", 378),
        ("6 mg/kg", "70 kg", 420),
    ];
    for (per_kg, mass, expected) in rows {
        assert_eq!(uncapped(per_kg, mass), Milligrams::whole(expected), "{per_kg} at {mass}");
    }
}

/// The share that one agent has used is not there for the next.
#[test]
fn what_one_agent_has_used_is_gone_for_the_next() {
    let left = |given: i64, of: Milligrams, next: Milligrams| {
        round_half_up((Decimal::ONE - Decimal::from(given) / of.0) * next.0, 1)
    };
    assert_eq!(left(192, uncapped("6 mg/kg", "70 kg"), uncapped("3 mg/kg", "70 kg")), number("114.0"));
    assert_eq!(left(100, uncapped("3 mg/kg", "60 kg"), uncapped("2 mg/kg", "60 kg")), number("53.3"));
}

/// Rows 14 to 16: Mepivacaine 3 %, dose table by weight (Italian product characteristics).
#[test]
fn mepivacaine_limits_volumes_and_cartridges() {
    let strength = read("3 %");
    let rows = [
        ("50 kg", 220, "7.3 ml", "4", "3"),
        ("60 kg", 264, "8.8 ml", "5", "4"),
        ("70 kg", 300, "10 ml", "5.5", "4.5"),
        ("95 kg", 300, "10 ml", "5.5", "4.5"),
    ];
    for (mass, expected, volume, small, large) in rows {
        let limit = table_limit("mepivacaine", mass);
        assert_eq!(limit, Milligrams::whole(expected), "{mass}");
        assert_eq!(room_of(limit, strength).map(|room| room.to_string()).as_deref(), Some(volume), "{mass}");
        assert_eq!(cartridges_of(limit, strength, read("1.7 ml")), Some(number(small)), "{mass}");
        assert_eq!(cartridges_of(limit, strength, read("2.2 ml")), Some(number(large)), "{mass}");
    }
}

/// Row 18: Mepivacaine 3 %, child dosing. Rows 20, 21, 23, 24 and 28: ABC of Practical Procedures,
/// lidocaine product characteristics, the chiropody monograph, and the serratus block module.
#[test]
fn other_published_values() {
    let child =
        tables::agent("mepivacaine").and_then(|agent| agent.limit_at(60, false)).expect("from 4 years");
    assert_eq!(limit_for(child, read("20 kg")).0, Milligrams::whole(60));
    assert_eq!(limit_for(child, read("40 kg")).0, Milligrams::whole(120));
    assert_eq!(table_limit("bupivacaine", "75 kg"), Milligrams::whole(150));
    assert_eq!(room_of(Milligrams::whole(150), read("0.5 %")), Some(Millilitres::whole(30)));
    assert_eq!(uncapped("4 mg/kg", "75 kg"), Milligrams::whole(300));
    assert_eq!(room_of(Milligrams::whole(300), read("1 %")), Some(Millilitres::whole(30)));
    assert_eq!(room_of(Milligrams::whole(200), read("1 %")), Some(Millilitres::whole(20)));
    assert_eq!(room_of(Milligrams::whole(200), read("2 %")), Some(Millilitres::whole(10)));
    for (volume, expected) in [("2.2 ml", "66 mg"), ("4.0 ml", "120 mg"), ("4.4 ml", "132 mg")] {
        assert_eq!(dose(volume, "3 %"), expected);
    }
    assert_eq!(dose("40 ml", "0.25 %"), "100 mg");
}

/// Worked out from the limits: where each cap begins.
#[test]
fn caps_begin_where_they_should() {
    for (agent, below, at, most) in [
        ("lidocaine", "66.6 kg", "66.7 kg", 200),
        ("mepivacaine", "68.1 kg", "68.2 kg", 300),
        ("prilocaine", "66.6 kg", "66.7 kg", 400),
        ("bupivacaine", "74.9 kg", "75 kg", 150),
        ("levobupivacaine", "74.9 kg", "75 kg", 150),
        ("ropivacaine", "74.9 kg", "75 kg", 225),
    ] {
        assert!(table_limit(agent, below) < Milligrams::whole(most), "{agent}");
        assert_eq!(table_limit(agent, at), Milligrams::whole(most), "{agent}");
    }
}

/// Lidocaine: 3 mg/kg stands in a health board's text, 200 mg in the product characteristics.
#[test]
fn a_limit_names_the_source_of_the_figure_that_decides() {
    let key = |agent: &str, months: u32, mass: &str| {
        let limit =
            tables::agent(agent).and_then(|agent| agent.limit_at(months, false)).expect("in the table");
        limit_for(limit, read(mass)).2.source.map(|source| source.key)
    };
    assert_eq!(key("lidocaine", 480, "66.6 kg"), Some("lidocaine-nhsggc"));
    assert_eq!(key("lidocaine", 480, "66.7 kg"), Some("lidocaine-smpc"));
    assert_eq!(key("lidocaine", 60, "20 kg"), Some("bnfc-2018"));
    assert_eq!(key("prilocaine", 480, "66.6 kg"), Some("maximum-doses-au"));
    assert_eq!(key("prilocaine", 480, "66.7 kg"), Some("prilocaine-smpc"));
    assert_eq!(key("mepivacaine", 480, "68.1 kg"), Some("mepivacaine-smpc"));
    assert_eq!(key("mepivacaine", 480, "68.2 kg"), Some("mepivacaine-smpc"));
    // At exactly the most the mass alone already gives the figure.
    assert_eq!(key("levobupivacaine", 480, "75 kg"), Some("levobupivacaine-rcem"));
}

fn derived(fragment: &str) -> Derived {
    facts_of(fragment).derived
}

fn print<T: ToString>(value: &Value<T>) -> String {
    value.print(ToString::to_string)
}

#[test]
fn workings_read_as_a_person_would_write_them() {
    let derived = derived("patient: {weight: 62.3 kg}");
    let agent = &derived.agents[0];
    let working =
        |value: &Value<Milligrams>| value.entry().map(|known| known.working.clone()).unwrap_or_default();
    assert_eq!(agent.agent, "mepivacaine");
    assert_eq!(working(&agent.dose), "2.2 ml × 3 % × 10 = 66 mg");
    assert_eq!(
        working(&agent.limit),
        "4.4 mg/kg × 62.3 kg = 274 mg, rounded down, below the maximum of 300 mg"
    );
    let room = agent.room.entry().expect("known");
    assert_eq!(
        room.working,
        "(100 % − 24.1 %) × 274 mg ÷ (3 % × 10) = 6.9 ml, rounded down; \
         4 cartridges of 1.7 ml or 3 cartridges of 2.2 ml"
    );
    let share = derived.anaesthetic_share.entry().expect("known");
    assert_eq!(share.working, "66 mg ÷ 274 mg = 24.1 %");
}

/// One toe with 2 ml of each of two agents, the mass high enough for the caps.
fn two_agents(lidocaine: &str, other: &str, strength: &str, volume: &str) -> Derived {
    derived(&format!(
        "patient: {{weight: 90 kg, height: ~}}\n\
         operation: {{anaesthetic: [{{agent: lignocaine, strength: 1 %}}, {{agent: {other}, strength: {strength}}}],\n\
         \x20 toes: {{L1: {{injected: [{{agent: Lidocaine, volume: {lidocaine}}}, {{agent: {other}, volume: {volume}}}]}}}}}}"
    ))
}

/// Worked out from the sum rule: 100 of 200 mg and 150 of 300 mg is the limit; 120 of 200 mg and 75
/// of 150 mg is beyond it.
#[test]
fn shares_of_two_agents_add_up() {
    let at_limit = two_agents("10 ml", "mepivacaine", "3 %", "5 ml");
    assert_eq!(at_limit.anaesthetic_share.get(), Some(&Decimal::ONE));
    assert_eq!(at_limit.agents[0].agent, "lidocaine");
    assert!(at_limit.agents.iter().all(|agent| agent.room.get() == Some(&Millilitres::whole(0))));
    let beyond = two_agents("12 ml", "bupivacaine", "0.5 %", "15 ml");
    assert_eq!(beyond.anaesthetic_share.get(), Some(&number("1.1")));
    assert!(beyond.agents.iter().all(|agent| agent.room.get() == Some(&Millilitres::whole(0))));
    let below = two_agents("10 ml", "mepivacaine", "3 %", "4.9 ml");
    assert_eq!(below.agents[1].room.get(), Some(&read("0.1 ml")));
    assert_eq!(share_in_percent(number("1.0001")), "100.1 %");
}

#[test]
fn toes_and_top_ups_add_up() {
    let derived = derived(
        "operation: {toes: {L1: {injected: [{volume: 2 ml}, {volume: 0.4 ml, at: \"09:55\"}]}, \
         R1: {nail: partial, edges: [medial], injected: 1.1 ml}}}",
    );
    let agent = &derived.agents[0];
    assert_eq!(print(&agent.volume), "3.5 ml");
    let working = &agent.dose.entry().expect("known").working;
    assert_eq!(working, "(1.1 ml + 2 ml + 0.4 ml) × 3 % × 10 = 105 mg");
}

#[test]
fn two_batches_of_one_agent_are_one_agent() {
    let supply = |second: &str| {
        derived(&format!(
            "operation: {{anaesthetic: [{{agent: mepivacaine, strength: 3 %, batch: A}}, {second}]}}"
        ))
    };
    let same = supply("{agent: Mepivicaine, strength: 3 %, batch: B}");
    assert_eq!((same.agents.len(), print(&same.agents[0].dose)), (1, "66 mg".into()));
    assert_eq!(same.agents[0].entries, ["[0]", "[1]"]);
    let other = supply("{agent: mepivacaine, strength: 2 %}");
    assert!(print(&other.agents[0].dose).contains("more than one strength"));
    assert!(other.anaesthetic_share.get().is_none());
}

#[test]
fn a_volume_of_no_agent_makes_the_doses_unknown() {
    let unnamed = derived(
        "operation: {anaesthetic: [{agent: lidocaine, strength: 1 %}, {agent: mepivacaine, strength: 3 %}]}",
    );
    for agent in &unnamed.agents {
        assert_eq!(print(&agent.dose), "not known: operation.toes.L1.injected[0].agent missing");
    }
    assert_eq!(print(&unnamed.anaesthetic_share), "not known: operation.toes.L1.injected[0].agent missing");
    let not_supplied = derived("operation: {toes: {L1: {injected: [{agent: lidocaine, volume: 1 ml}]}}}");
    assert_eq!(print(&not_supplied.agents[1].volume), "1 ml");
    assert!(print(&not_supplied.anaesthetic_share).contains("does not stand under `operation.anaesthetic`"));
}

#[test]
fn what_is_missing_is_named() {
    let share = |fragment: &str| print(&derived(fragment).anaesthetic_share);
    assert_eq!(share("patient: {weight: ~}"), "not known: patient.weight missing");
    assert_eq!(share("operation: ~"), "not known: operation missing");
    assert_eq!(share("operation: {anaesthetic: ~}"), "not known: operation.anaesthetic missing");
    assert_eq!(
        share("operation: {toes: {L1: {injected: ~}}}"),
        "not known: operation.toes.L1.injected missing"
    );
    assert_eq!(
        share("operation: {anaesthetic: {agent: xyzcaine}}"),
        "not known: `xyzcaine` is not in the table of agents"
    );
}

#[test]
fn children_have_limits_by_age_on_the_day() {
    let limit = |born: &str, agent: &str| {
        let derived = derived(&format!(
            "patient: {{born: {born}, weight: 40 kg}}\noperation: {{anaesthetic: {{agent: {agent}}}}}"
        ));
        print(&derived.agents[0].limit)
    };
    assert_eq!(limit("2008-11-25", "mepivacaine"), "120 mg");
    assert_eq!(limit("2008-11-24", "mepivacaine"), "176 mg");
    assert_eq!(limit("2022-11-24", "mepivacaine"), "120 mg");
    assert_eq!(
        limit("2022-11-25", "mepivacaine"),
        "not known: no limit of mepivacaine is known at an age of 3y 11m"
    );
    assert_eq!(limit("2014-11-24", "bupivacaine"), "80 mg");
    assert!(limit("2014-11-25", "bupivacaine").contains("at an age of 11y 11m"));
    assert!(limit("2010-01-01", "levobupivacaine").contains("no limit of levobupivacaine is known"));
}

#[test]
fn a_clinics_limit_replaces_ours_with_its_reason() {
    let with = |limit: &str, patient: &str| {
        let facts = facts_of(&format!(
            "{patient}\nclinic: {{limits: {{anaesthetic: {{Mepivacaine: {{{limit}, because: audit of 2025}}}}}}}}"
        ));
        (facts.derived.agents[0].clone(), local_limit_problem(&facts.clinic, "Mepivacaine"))
    };
    let (agent, problem) = with("per_kg: 4 mg/kg, max: 280 mg", "");
    assert_eq!(problem, None);
    assert_eq!(print(&agent.limit), "272 mg");
    let (own, because) = agent.replaced_limit.expect("ours was replaced");
    assert_eq!((print(&own), because.as_str()), ("299 mg".into(), "audit of 2025"));

    assert_eq!(with("per_kg: 8.8 mg/kg, max: 600 mg", "").1, None, "double is the last that is taken");
    for too_high in ["per_kg: 8.81 mg/kg, max: 300 mg", "per_kg: 4.4 mg/kg, max: 601 mg"] {
        let (agent, problem) = with(too_high, "");
        assert!(problem.is_some_and(|problem| problem.contains("more than double")), "{too_high}");
        assert!(print(&agent.limit).contains("more than double"), "{too_high}");
    }
    assert!(with("per_kg: 0 mg/kg, max: 300 mg", "").1.is_some());

    let child = "patient: {born: 2012-01-01, weight: 40 kg}";
    assert_eq!(print(&with("per_kg: 6 mg/kg, max: 300 mg", child).0.limit), "120 mg", "not loosened");
    assert_eq!(print(&with("per_kg: 2 mg/kg, max: 300 mg", child).0.limit), "80 mg", "tightened");
}

#[test]
fn a_clinics_limit_without_a_reason_or_agent_is_refused() {
    let problem = |limits: &str, key: &str| {
        local_limit_problem(&facts_of(&format!("clinic: {{limits: {{anaesthetic: {limits}}}}}")).clinic, key)
    };
    let plain = "per_kg: 3 mg/kg, max: 200 mg";
    assert!(problem(&format!("{{lidocaine: {{{plain}, because: ' '}}}}"), "lidocaine").is_some());
    assert!(problem(&format!("{{xyzcaine: {{{plain}, because: x}}}}"), "xyzcaine").is_some());
    let twice = format!("{{lidocaine: {{{plain}, because: x}}, lignocaine: {{{plain}, because: y}}}}");
    assert!(problem(&twice, "lignocaine").is_some_and(|problem| problem.contains("twice")));
    assert_eq!(problem("{}", "lidocaine"), None);
}

proptest! {
    /// More volume is never a smaller share, nor more room.
    #[test]
    fn share_grows_with_volume(tenths in 0u32..300, more in 1u32..300, mass in 20u32..140) {
        let at = |tenths: u32| {
            let volume = Millilitres(Decimal::new(i64::from(tenths), 1));
            let derived = derived(&format!(
                "patient: {{weight: {mass} kg}}\noperation: {{toes: {{L1: {{injected: {volume}}}}}}}"
            ));
            let share = *derived.anaesthetic_share.get().expect("all is recorded");
            (share, *derived.agents[0].room.get().expect("all is recorded"))
        };
        let (less, room) = at(tenths);
        let (greater, room_after) = at(tenths + more);
        prop_assert!(greater > less);
        prop_assert!(room_after <= room);
        // What is left, given as well, stays within the limit.
        let room_tenths = u32::try_from((room.0 * Decimal::TEN).mantissa() / 10i128.pow(room.0.scale()));
        if less <= Decimal::ONE {
            let (filled, _) = at(tenths + room_tenths.expect("a small volume"));
            prop_assert!(filled <= Decimal::ONE);
        }
    }
}

/// 4.4 mg/kg × 62.3 kg are 274.12 mg: the limit is 274 mg, and 274.1 mg are over it.
#[test]
fn what_is_compared_is_what_is_printed() {
    let share = |volume: &str| {
        let fragment = format!(
            "{{patient: {{weight: 62.3 kg}}, operation: {{toes: {{L1: {{injected: {volume} ml}}}}}}}}"
        );
        *derived(&fragment).anaesthetic_share.get().expect("all is recorded")
    };
    assert!(share("9.133") <= Decimal::ONE, "273.99 mg");
    assert!(share("9.136667") > Decimal::ONE, "274.1 mg");
}

#[test]
fn adrenaline_raises_the_limit_where_all_of_the_agent_had_it() {
    let limit = |entries: &str| {
        let derived =
            derived(&format!("{{patient: {{weight: 60 kg}}, operation: {{anaesthetic: {entries}}}}}"));
        print(&derived.agents[0].limit)
    };
    let with = "{agent: lidocaine, strength: 1 %, adrenaline: \"1:200000\"}";
    assert_eq!(limit(with), "420 mg", "7 mg/kg");
    assert_eq!(limit("{agent: lidocaine, strength: 1 %}"), "180 mg", "3 mg/kg");
    assert_eq!(
        limit(&format!("[{with}, {{agent: lidocaine, strength: 1 %}}]")),
        "180 mg",
        "one of two plain"
    );
    let child = derived(&format!(
        "{{patient: {{born: 2012-01-01, weight: 45 kg, height: 155 cm}}, operation: {{anaesthetic: {with}}}}}"
    ));
    assert_eq!(print(&child.agents[0].limit), "135 mg", "a child keeps the limit of the plain solution");
}

/// An operation that was given up: what was injected stays in the body all the same.
#[test]
fn an_injection_counts_where_nothing_was_removed() {
    let given_up = "operation: {abandoned: {because: fainted}, \
                    toes: {L1: {nail: none, edges: ~, phenol: ~, groove_clear: ~}}}";
    let (done, given_up) = (facts_of(""), facts_of(given_up));
    assert_eq!(given_up.derived.agents, done.derived.agents);
    assert_eq!(given_up.derived.anaesthetic_share, done.derived.anaesthetic_share);
    assert_eq!(given_up.derived.numb_given, done.derived.numb_given);
    let minutes = |facts: &crate::facts::Facts| {
        facts.derived.toes.get(&crate::anatomy::Toe::L1).map(|times| times.tourniquet_minutes.clone())
    };
    assert_eq!(minutes(&given_up), minutes(&done));
    assert!(
        given_up.derived.expected_healing.get().is_none() && given_up.derived.next_visits.get().is_none()
    );
}
