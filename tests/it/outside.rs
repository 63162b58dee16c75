//! Check values from outside: numbers that publications print, or that follow by hand from what they
//! print. The rows stand as data in `tests/outside/`, each with its source and how far to trust it.
//!
//! A row is changed only together with its count and hash here, and the commit says why.

use std::collections::BTreeMap;
use std::fs;

use rust_decimal::Decimal;
use serde::Deserialize;
use sha2::{Digest, Sha256};
use unguis::clinical::body_size::{Chart, child};
use unguis::clinical::child_medians::{Child, median_mass_of_height};
use unguis::clinical::pressure_bands::{abpi_band, tbpi_band, toe_pressure_grade};
use unguis::clinical::tables::{DoseLimit, agent};
use unguis::clinical::working_days::OpeningDays;
use unguis::clinical::{Cite, chi_number, hba1c, hc_number, nhs_number};
use unguis::date::{Age, CivilDate, TimeOfDay};
use unguis::derive::dose::{cartridges_of, dose_of, limit_for, room_of};
use unguis::derive::{Answer, Derived, Fact, FootRisk, InrAge, InrBand, Paracetamol, Urgency};
use unguis::diagnostic::Severity;
use unguis::documents::{Edition, Paper, document};
use unguis::facts::Facts;
use unguis::nation::Division;
use unguis::rules::example::facts_of;
use unguis::rules::rule;
use unguis::units::{Hba1c, Milligrams, Mmhg, TextValue, plain_decimal};

/// One check value.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    kind: String,
    input: BTreeMap<String, String>,
    expected: String,
    source: String,
    locator: String,
    status: Status,
    note: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
enum Status {
    #[serde(rename = "published")]
    Published,
    #[serde(rename = "derived")]
    Derived,
    #[serde(rename = "common practice, no source")]
    CommonPractice,
    #[serde(rename = "from memory")]
    FromMemory,
}

impl Row {
    fn get(&self, key: &str) -> &str {
        self.input.get(key).unwrap_or_else(|| panic!("{self:?}: no `{key}`"))
    }

    fn read<T: TextValue>(&self, key: &str) -> T {
        T::parse(self.get(key)).unwrap_or_else(|problem| panic!("{self:?}: {problem}"))
    }

    fn number(&self, key: &str) -> Decimal {
        plain_decimal(self.get(key)).unwrap_or_else(|problem| panic!("{self:?}: {problem}"))
    }
}

/// Reads a file, holds it to its count and hash, and compares every answer.
fn run(name: &str, count: usize, hash: &str, answer: fn(&Row) -> String) {
    let path = format!("{}/tests/outside/{name}", env!("CARGO_MANIFEST_DIR"));
    let text = fs::read_to_string(&path).unwrap_or_else(|problem| panic!("{path}: {problem}"));
    let rows: Vec<Row> = serde_yaml::from_str(&text).unwrap_or_else(|problem| panic!("{path}: {problem}"));
    assert_eq!(rows.len(), count, "{name}: rows");
    let is_published = rows.iter().any(|row| row.status == Status::Published);
    let all_worked_out = ["working_days.yaml", "body_size.yaml", "circulation.yaml"].contains(&name);
    assert!(is_published || all_worked_out, "{name}: no row is published");
    let found: String = Sha256::digest(text.as_bytes()).iter().map(|byte| format!("{byte:02x}")).collect();
    assert_eq!(found, hash, "{name}: a check value was changed");
    for row in &rows {
        assert!(!row.source.is_empty() && !row.locator.is_empty(), "{row:?}: where from?");
        assert!(row.note.as_deref() != Some(""), "{row:?}: an empty note");
        assert_eq!(answer(row), row.expected, "{name}: {row:#?}");
    }
}

fn unknown_kind(row: &Row) -> ! {
    panic!("{row:?}: no such kind")
}

#[test]
fn nhs_numbers() {
    run("nhs_numbers.yaml", 21, "7106e4013a0ecd1684625751f04fcf7a7d2104d54b6115bf1720ad7b5daf05b1", |row| {
        let number = row.get("number");
        match row.kind.as_str() {
            "display" => nhs_number::grouped(number).unwrap_or_default(),
            "check" => match nhs_number::check(number) {
                Ok(passed) if row.expected.contains("sum") => format!("valid, sum {}", passed.sum),
                Ok(_) => "valid".to_owned(),
                Err(fault) => fault.to_string(),
            },
            _ => unknown_kind(row),
        }
    });
}

#[test]
fn national_numbers() {
    run(
        "national_numbers.yaml",
        16,
        "f4cda63a726a743e61b8c426cc362d38a33914b8067482ccd31362fc0ccf7252",
        |row| {
            let number = row.get("number");
            let fault = match row.kind.as_str() {
                "chi" => chi_number::check(number).err().map(|fault| fault.to_string()),
                "health and care" => hc_number::check(number).err().map(|fault| fault.to_string()),
                _ => unknown_kind(row),
            };
            fault.unwrap_or_else(|| "valid".to_owned())
        },
    );
}

#[test]
fn hba1c_in_both_units() {
    run("hba1c.yaml", 19, "bc754fe2019149abefdf9fa246a6c105c05111ff36ccdb981a7e6d8c5f19b286", |row| {
        match (row.kind.as_str(), row.read("hba1c")) {
            ("from %", Hba1c::Percent(percent)) => {
                format!("{} mmol/mol", hba1c::mmol_per_mol_from_percent(percent))
            }
            ("from mmol/mol", Hba1c::MmolPerMol(mmol_per_mol)) => {
                format!("{} %", hba1c::percent_from_mmol_per_mol(mmol_per_mol))
            }
            _ => unknown_kind(row),
        }
    });
}

#[test]
fn circulation() {
    run("circulation.yaml", 22, "b869d056fa35583d6c95e2321078f0706e055912942528ddc65b53c4cb94bdb5", |row| {
        match row.kind.as_str() {
            "index" => {
                let (right, left, ankle) = (row.get("right arm"), row.get("left arm"), row.get("ankle"));
                let facts = facts_of(&format!(
                    "vascular: {{brachial: {{right: {right}, left: {left}}}, \
                     left: {{dorsalis_pedis: {ankle}, posterior_tibial: {ankle}}}}}"
                ));
                let abpi = &facts.derived.circulation.left.abpi;
                abpi.print(|index| format!("{} {}", index.index, index.band.word()))
            }
            "abpi band" => abpi_band(row.number("index")).word().to_owned(),
            "tbpi band" => tbpi_band(row.number("index")).word().to_owned(),
            "toe grade" => {
                let pressure = row.get("toe").parse().map(Mmhg).expect("a whole number of mmHg");
                toe_pressure_grade(pressure).grade.to_string()
            }
            _ => unknown_kind(row),
        }
    });
}

#[test]
fn body_size() {
    run("body_size.yaml", 11, "53ebd5e60da4773f49854cbc2f588a4b259474f2726024f7ca8abc89747e7625", |row| {
        let years: u32 = row.get("years").parse().expect("an age in years");
        match row.kind.as_str() {
            "range" => {
                let chart = if row.get("chart") == "boys" { Chart::Boys } else { Chart::Girls };
                let usual = child(years * 12, chart).expect("an age of the table").usual;
                let (range, unit) = match row.get("measure") {
                    "mass" => (usual.mass, "kg"),
                    _ => (usual.height, "cm"),
                };
                format!("{:.1} to {:.1} {unit}", range.low, range.high)
            }
            "entry" => asked_about(row, years),
            _ => unknown_kind(row),
        }
    });
}

/// What the rules say of a mass and a height on a birthday: the weight of the finding and the unit that was
/// probably meant.
fn asked_about(row: &Row, years: u32) -> String {
    let or_none = |key: &str| row.input.get(key).map_or("~", String::as_str);
    let (sex, mass, height) = (row.get("sex"), or_none("mass"), or_none("height"));
    // The day of surgery in the base case is 24 November 2026.
    let facts = facts_of(&format!(
        "patient: {{born: {}-11-24, sex: {sex}, weight: {mass}, height: {height}}}",
        2026 - years
    ));
    let size = &facts.derived.body_size;
    let doubts = [
        ("mass", size.mass.as_ref().map(|doubt| (doubt.is_gross, first(&doubt.meant)))),
        ("height", size.height.as_ref().map(|doubt| (doubt.is_gross, first(&doubt.meant)))),
    ];
    let said = doubts.into_iter().filter_map(|(of, doubt)| {
        let (is_gross, meant) = doubt?;
        let found = (rule(&format!("{of}-implausible"))?.check)(&facts);
        let weight = found.first()?.severity?;
        assert_eq!(weight == Severity::Stop, is_gross, "{row:?}");
        Some(format!("{of} {}, {meant}", weight.word()))
    });
    let said = said.collect::<Vec<_>>().join("; ");
    if said.is_empty() { "nothing".to_owned() } else { said }
}

fn first<T: ToString>(meant: &[(&'static str, T)]) -> String {
    meant.first().map(|(unit, value)| format!("{unit} {}", value.to_string())).unwrap_or_default()
}

/// The name as it stands in the banner of a clinician's document.
fn banner_name(title: &str, given: &str, family: &str) -> String {
    let facts = facts_of(&format!("patient: {{title: {title}, given: {given}, family: {family}}}"));
    let edition = Edition::draft(facts.today);
    let note = document("operation-note").expect("it is one of the documents");
    Paper::once(note).view(&facts, &edition)["banner"]["name"].as_str().unwrap_or_default().to_owned()
}

#[test]
fn names_ages_dates_and_times() {
    run("display.yaml", 22, "9d1eb5ed9a8983857aeafcf5bf2992e6e18625708fda26d09f11af0bf9cb28f4", |row| {
        match row.kind.as_str() {
            "age" => Age::on(row.read("born"), row.read("on")).map(Age::clinical).unwrap_or_default(),
            "date for clinicians" => row.read::<CivilDate>("date").clinical(),
            "date for patients" => row.read::<CivilDate>("date").long(),
            "time for clinicians" => row.read::<TimeOfDay>("time").clinical(),
            "time for patients" => row.read::<TimeOfDay>("time").plain(),
            "name" => banner_name(row.get("title"), row.get("given"), row.get("family")),
            _ => unknown_kind(row),
        }
    });
}

#[test]
fn working_days() {
    use chrono::Weekday::{Fri, Mon, Thu, Tue, Wed};
    run("working_days.yaml", 18, "01e4baf024f07f2b5dd9e1e36abb871f98353fbcd10901836e830e90241794a2", |row| {
        let division: Division =
            serde_yaml::from_str(row.get("division")).expect("a division of the United Kingdom");
        assert_eq!(row.kind, "first open day");
        let days = OpeningDays { division, weekdays: vec![Mon, Tue, Wed, Thu, Fri], closed: &[] };
        let open = days.first_open_from(row.read("from"));
        open.map_or_else(|none| none.to_string(), |open| open.date.to_string())
    });
}

#[test]
fn foot_risk() {
    run("foot_risk.yaml", 13, "a5e755dfe8491ec769e0926dcb773cf133ff3cccc989e690fb300fa295882421", |row| {
        let foot = row.get("foot");
        let sensation = row.input.get("sensation").map_or("10/10", String::as_str);
        let pulses = row.input.get("pulses").map_or("palpable", String::as_str);
        let facts = facts_of(&format!(
            "{{history: {{diabetes: {{type: 2}}, foot: [{foot}]}}, sensation: {{right: {sensation}}}, \
                 vascular: {{brachial: ~, left: {{dorsalis_pedis: ~, posterior_tibial: ~, toe: ~, \
                   pulses: {pulses}}}}}}}"
        ));
        assert_eq!(row.kind, "tier");
        facts.derived.foot_risk.print(|risk| risk.word().to_owned())
    });
}

/// The base case without any pressure, with what a row says laid over it.
fn facts_of_row(row: &Row) -> Facts {
    let get = |key: &str| row.input.get(key).map(String::as_str);
    // Both arms read 200 mmHg, so that an index is half the pressure below, in hundredths.
    let below =
        |index: &str| (plain_decimal(index).expect("an index") * Decimal::from(200)).normalize().to_string();
    let ankle = get("ABPI").map_or_else(|| "~".to_owned(), below);
    let toe = get("toe").map_or_else(|| get("TBPI").map_or_else(|| "~".to_owned(), below), str::to_owned);
    let arms = if get("ABPI").or(get("TBPI")).is_some() { "{right: 200, left: 200}" } else { "~" };
    let pulses = get("pulses").unwrap_or("palpable");
    let sites = get("sites").unwrap_or("10/10");
    let (condition, foot) = (get("condition").unwrap_or(""), get("foot").unwrap_or(""));
    facts_of(&format!(
        "{{history: {{conditions: [{condition}], foot: [{foot}]}}, sensation: {{left: {sites}}}, \
           vascular: {{brachial: {arms}, \
             left: {{dorsalis_pedis: {ankle}, posterior_tibial: {ankle}, toe: {toe}, pulses: {pulses}}}}}}}"
    ))
}

fn word(fact: &Fact) -> String {
    match fact.answer {
        Answer::Yes => "yes",
        Answer::No => "no",
        Answer::NotKnown => "not known",
    }
    .to_owned()
}

#[test]
fn facts() {
    run("facts.yaml", 36, "14c8df6e9251256884e1cfdc96cddffdfbe0bdf31d567313d7284209715ad347", |row| {
        let inr = |value: &str, tested: CivilDate| {
            let facts = facts_of(&format!("history: {{inr: {{value: \"{value}\", tested: {tested}}}}}"));
            facts.derived.bleeding_risk.inr.expect("an INR is recorded")
        };
        match row.kind.as_str() {
            "poor circulation" => word(&facts_of_row(row).derived.poor_circulation.left),
            "reduced feeling" => word(&facts_of_row(row).derived.reduced_feeling.left),
            "INR" => match inr(row.get("value"), CivilDate::of(2026, 11, 24).expect("a date")).band {
                InrBand::Usual => "usual".to_owned(),
                InrBand::Raised => "raised".to_owned(),
                InrBand::TooHigh => "too high".to_owned(),
            },
            "INR age" => {
                let days: u32 = row.get("days").parse().expect("whole days");
                match inr("2.5", CivilDate::of(2026, 11, 24 - days).expect("a date")).age {
                    InrAge::Fresh => "fresh".to_owned(),
                    InrAge::IfStable => "if stable".to_owned(),
                    InrAge::Old => "old".to_owned(),
                }
            }
            "HbA1c high" => {
                let diabetes = format!("{{type: 2, hba1c: {}}}", row.get("hba1c"));
                let judged = facts_of(&format!("history: {{diabetes: {diabetes}}}")).derived.hba1c_judged;
                (if judged.expect("a result").is_high { "yes" } else { "no" }).to_owned()
            }
            "active foot" => match facts_of_row(row).derived.foot_history.urgency {
                Some(Urgency::AtOnce) => "at once".to_owned(),
                Some(Urgency::WithinAWorkingDay) => "within 1 working day".to_owned(),
                None => String::new(),
            },
            "first seen" => {
                let tiers = [FootRisk::Low, FootRisk::Moderate, FootRisk::High, FootRisk::Active];
                let tier = tiers.into_iter().find(|tier| tier.word() == row.get("tier"));
                tier.and_then(|tier| tier.tier().first_seen).unwrap_or_default().to_owned()
            }
            _ => unknown_kind(row),
        }
    });
}

#[test]
fn doses() {
    run(
        "doses.yaml",
        93,
        "7b5250dc55e832b1e46cef25a31bbd4dcc8aaa9aa21f8900bae1e31ca0a72cb2",
        |row| match row.kind.as_str() {
            "dose" => dose_of(row.read("volume"), row.read("strength")).to_string(),
            "limit by mass" => {
                let source = Cite::common_practice();
                let no_cap = Milligrams::whole(1_000_000);
                let limit = DoseLimit::of_one_source(row.read("per kg"), no_cap, source);
                limit_for(&limit, row.read("mass")).0.to_string()
            }
            "limit of the table" => {
                let agent = agent(row.get("agent")).expect("an agent of the table");
                let years: u32 = row.get("age").parse().expect("an age in years");
                let limit = agent
                    .limit_at(years * 12, row.input.contains_key("adrenaline"))
                    .expect("a limit at this age");
                limit_for(limit, row.read("mass")).0.to_string()
            }
            "ideal mass" => body_weight(row, "70 kg").ideal_body_weight.print(ToString::to_string),
            "mass of the limit" => body_weight(row, row.get("mass")).dosing_weight.print(ToString::to_string),
            "median of a height" => {
                let child = if row.get("sex") == "male" { Child::Boy } else { Child::Girl };
                median_mass_of_height(child, row.read("height"))
                    .map(|mass| mass.to_string())
                    .unwrap_or_default()
            }
            "volume" => room_of(row.read("dose"), row.read("strength"))
                .map(|volume| volume.to_string())
                .unwrap_or_default(),
            "cartridges" => cartridges_of(row.read("dose"), row.read("strength"), row.read("cartridge"))
                .map(|number| number.to_string())
                .unwrap_or_default(),
            "room of the same agent" => room_of_last(&given(row, &["agent"])),
            "room of a second agent" => room_of_last(&given(row, &["first", "second"])),
            "sum of shares" => given(row, &["first", "second"])
                .anaesthetic_share
                .print(|share| share.normalize().to_string()),
            "paracetamol" => paracetamol(row, |each, doses, _| format!("{each}, {doses} doses")),
            "most paracetamol" => paracetamol(row, |_, _, most| most.to_owned()),
            "most paracetamol, or less" => {
                let grams = |text: &str| text.trim_end_matches('g').parse::<u32>().expect("whole grams");
                let most = paracetamol(row, |_, _, most| most.to_owned());
                if grams(&most) <= grams(&row.expected) { row.expected.clone() } else { most }
            }
            _ => unknown_kind(row),
        },
    );
}

/// An adult of this sex, height and mass.
fn body_weight(row: &Row, mass: &str) -> Derived {
    let (sex, height) = (row.get("sex"), row.get("height"));
    facts_of(&format!("patient: {{sex: {sex}, height: {height}, weight: {mass}}}")).derived
}

/// A case in which these agents were injected under these limits:
/// `lidocaine 1 % 10 ml, limit 3 mg/kg 200 mg`.
fn given(row: &Row, keys: &[&str]) -> Derived {
    let (mut agents, mut injected, mut limits) = (Vec::new(), Vec::new(), Vec::new());
    for key in keys {
        let (given, limit) = row.get(key).split_once(", limit ").expect("agent and limit");
        let mut words = given.split(' ');
        let (Some(name), Some(percent), Some("%"), Some(volume), Some("ml")) =
            (words.next(), words.next(), words.next(), words.next(), words.next())
        else {
            panic!("{row:?}: agent, strength, volume");
        };
        let (per_kg, most) = limit.split_once("mg/kg ").expect("a limit for mass and a most");
        agents.push(format!("{{agent: {name}, strength: {percent} %}}"));
        if volume != "0" {
            injected.push(format!("{{agent: {name}, volume: {volume} ml}}"));
        }
        limits.push(format!(
            "{name}: {{per_kg: {per_kg} mg/kg, max: {most}, because: the limit of the check value}}"
        ));
    }
    let fragment = format!(
        "{{patient: {{weight: {}, height: ~}}, clinic: {{limits: {{anaesthetic: {{{}}}}}}}, \
         operation: {{anaesthetic: [{}], toes: {{L1: {{injected: [{}]}}}}}}}}",
        row.get("mass"),
        limits.join(", "),
        agents.join(", "),
        injected.join(", ")
    );
    facts_of(&fragment).derived
}

fn room_of_last(derived: &Derived) -> String {
    let last = derived.agents.last().expect("an agent was given");
    last.room.print(ToString::to_string)
}

fn paracetamol(row: &Row, print: fn(&str, u32, &str) -> String) -> String {
    let years: i32 = row.get("age").parse().expect("an age in years");
    let facts = facts_of(&format!(
        "patient: {{born: {}-02-09, weight: {}, height: ~}}",
        2026 - years,
        row.get("mass")
    ));
    facts.derived.analgesia.print(|advice| match &advice.paracetamol {
        Paracetamol::Advise { each, doses_in_24_h, most_in_24_h, .. } => {
            print(each, *doses_in_24_h, most_in_24_h)
        }
        Paracetamol::AskUs(reason) | Paracetamol::Avoid(reason) => reason.to_string(),
    })
}
