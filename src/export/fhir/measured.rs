//! What was measured: mass, height, pressures and their indices, HbA1c, INR, observations of the day. What was not
//! is there too, with the reason.

use rust_decimal::Decimal;

use super::clock;
use super::codes::{
    BODY_WEIGHT, BODY_WEIGHT_SNOMED, CENTIMETRE, KILOGRAM, MMHG, MMOL_PER_LITRE, MMOL_PER_MOL, PER_MINUTE,
    VITAL_SIGNS,
};
use super::resources::{Component, Concept, Note, Observation, Quantity, Resource};
use super::{Entries, Told, absent, absent_because, quantity};
use crate::anatomy::Side;
use crate::case::{self, FootCirculation, Measured, OneOrMany};
use crate::derive::{Answer, Banded, Value};
use crate::documents::{not_known_because, without_stop};
use crate::facts::Facts;
use crate::units::Mmhg;

/// Where nobody answered.
const NOT_RECORDED: &str = "not recorded";

/// A value or why there is none, and what else is said of it.
#[derive(Default)]
struct Finding {
    name: String,
    code: Option<Concept>,
    value: Option<Quantity>,
    words: Option<String>,
    absent: Option<Concept>,
    /// The day or moment; `None` if nobody wrote it down.
    at: Option<String>,
    site: Option<String>,
    category: Vec<Concept>,
    note: Option<String>,
    meaning: Option<String>,
    method: Option<String>,
    parts: Vec<Component>,
}

impl Finding {
    fn of(name: impl Into<String>, words: &str) -> Finding {
        Finding { name: name.into(), code: Some(Concept::text(words)), ..Finding::default() }
    }

    /// The value, or why there is none.
    fn with<T>(self, measured: &Measured<T>, show: impl FnOnce(&T) -> Quantity) -> Finding {
        match measured {
            Measured::Value(value) => Finding { value: Some(show(value)), ..self },
            Measured::Missing => Finding { absent: absent_because(NOT_RECORDED), ..self },
            Measured::NotRecorded(reason) => Finding {
                absent: absent_because(&format!("{NOT_RECORDED}: {}", without_stop(reason))),
                ..self
            },
        }
    }

    /// `68 kilogram`; `1.03 (normal)`; why there is none.
    fn in_words(&self) -> String {
        let quantity = |quantity: &Quantity| {
            let number = quantity.value.map_or_else(String::new, |number| number.0.to_string());
            [number, quantity.unit.clone().unwrap_or_default()].join(" ").trim().to_owned()
        };
        let parts = self.parts.iter().filter_map(|part| {
            Some(format!("{} {}", part.code.as_ref()?.text, quantity(part.value_quantity.as_ref()?)))
        });
        let value = self.value.as_ref().map(quantity).or_else(|| self.words.clone());
        let absent = self.absent.as_ref().map(|absent| absent.text.clone());
        let says = value.or(absent).unwrap_or_else(|| parts.collect::<Vec<_>>().join(", "));
        let meaning = self.meaning.as_ref().map_or_else(String::new, |meaning| format!(" ({meaning})"));
        let at = self.at.as_ref().map_or_else(String::new, |at| format!(", {}", at.replace('T', " ")));
        let note = self.note.as_ref().map_or_else(String::new, |note| format!("; {note}"));
        format!("{says}{meaning}{at}{note}")
    }

    fn add(self, entries: &mut Entries<'_>, told: &mut Told) {
        let code = self.code.as_ref().map(|code| code.text.clone()).unwrap_or_default();
        let site = self.site.as_ref().map_or_else(String::new, |site| format!(", {site}"));
        let line = (format!("{code}{site}"), self.in_words());
        let name = format!("observation {}", self.name);
        let is_undated = self.at.is_none();
        let observation = Observation {
            id: entries.id(&name),
            status: "final",
            category: self.category,
            code: self.code,
            subject: entries.patient(),
            effective_date_time: self.at,
            effective_absent: if is_undated { absent() } else { None },
            value_quantity: self.value,
            value_string: self.words,
            data_absent_reason: self.absent,
            interpretation: self.meaning.iter().map(Concept::text).collect(),
            note: self.note.into_iter().map(|text| Note { text }).collect(),
            body_site: self.site.map(Concept::text),
            method: self.method.map(Concept::text),
            component: self.parts,
        };
        told.push(entries.add(&name, Resource::Observation(observation)), line.0, line.1);
    }
}

/// Adds what was found at the assessment and on the day.
pub(super) fn found(facts: &Facts, entries: &mut Entries<'_>) -> Told {
    let patient = &facts.case.patient;
    let mass = Finding::of("mass", "Body weight").with(&patient.weight, |mass| {
        quantity(crate::units::shortened(mass.metric.0), KILOGRAM.word, Some(KILOGRAM))
    });
    let mass = Finding {
        code: Some(BODY_WEIGHT.and(BODY_WEIGHT_SNOMED)),
        category: vec![VITAL_SIGNS.concept()],
        note: as_typed(&patient.weight),
        ..mass
    };
    let height = Finding::of("height", "Body height").with(&patient.height, |height| {
        quantity(crate::units::shortened(height.metric.0), CENTIMETRE.word, Some(CENTIMETRE))
    });
    let height = Finding { note: as_typed(&patient.height), ..height };
    let mut all = vec![mass, height];
    all.extend(circulation(facts));
    all.extend(of_the_day(facts));
    let mut told = Told::default();
    all.into_iter().for_each(|finding| finding.add(entries, &mut told));
    told
}

/// How it was typed, where that was in another unit: `66.7 kg (10 st 7 lb)`.
fn as_typed<T: ToString>(value: &Measured<T>) -> Option<String> {
    let typed = value.get().map(ToString::to_string);
    typed.filter(|typed| typed.contains('(')).map(|typed| format!("as recorded: {typed}"))
}

/// Arms and feet, right before left: pressures as measured, indices as worked out.
fn circulation(facts: &Facts) -> Vec<Finding> {
    let vascular = facts.case.vascular.clone().unwrap_or_default();
    let brachial = vascular.brachial.clone().unwrap_or_default();
    let pressure = |name: String, words: &str, site: String, value: &Measured<Mmhg>| Finding {
        site: Some(site),
        ..Finding::of(name, words).with(value, |value| mmhg(value.0))
    };
    let mut all = Vec::new();
    for side in Side::BOTH {
        let (arm, foot) = match side {
            Side::Right => (&brachial.right, vascular.right.clone()),
            Side::Left => (&brachial.left, vascular.left.clone()),
        };
        let foot: FootCirculation = foot.unwrap_or_default();
        let of = |what: &str| format!("{what} {}", side.word());
        let site = |what: &str| format!("{} {what}", side.word());
        all.push(pressure(of("brachial"), "Systolic pressure of the arm", site("arm"), arm));
        for (name, words, value) in [
            ("dorsalis pedis", "Systolic pressure of the dorsalis pedis artery", &foot.dorsalis_pedis),
            ("posterior tibial", "Systolic pressure of the posterior tibial artery", &foot.posterior_tibial),
        ] {
            all.push(pressure(of(name), words, site("ankle"), value));
        }
        all.push(pressure(of("toe"), "Systolic pressure of the toe", site("foot"), &foot.toe));
        let indices = facts.derived.circulation.get(side);
        all.push(index(of("abpi"), "Ankle-brachial pressure index (ABPI)", site("leg"), &indices.abpi));
        all.push(index(of("tbpi"), "Toe-brachial pressure index (TBPI)", site("leg"), &indices.tbpi));
        let pulses = Finding { site: Some(site("foot")), ..Finding::of(of("pulses"), "Pedal pulses") };
        all.push(in_words(pulses, &foot.pulses));
        if !foot.doppler.is_missing() {
            let heard = Finding { site: Some(site("foot")), ..Finding::of(of("doppler"), "Doppler sounds") };
            all.push(in_words(heard, &foot.doppler));
        }
        let sensation = facts.case.sensation.clone().unwrap_or_default();
        let sites = match side {
            Side::Right => sensation.right,
            Side::Left => sensation.left,
        };
        let felt = Finding { site: Some(site("foot")), ..Finding::of(of("sensation"), "10 g monofilament") };
        let sites = sites.map(|sites| format!("{} of {} sites felt", sites.felt, sites.tested));
        all.push(in_words(felt, &sites));
    }
    all
}

/// A value that is words.
fn in_words<T: ToString>(finding: Finding, value: &Measured<T>) -> Finding {
    match value {
        Measured::Value(value) => Finding { words: Some(value.to_string()), ..finding },
        other => finding.with(other, |_| Quantity::default()),
    }
}

/// An index with its band and its working, or what is lacking.
fn index(name: String, words: &str, site: String, value: &Value<Banded>) -> Finding {
    let finding = Finding { site: Some(site), ..Finding::of(name, words) };
    match value {
        Value::Known(known) => Finding {
            value: Some(Quantity { unit: None, ..quantity(known.value.index, "", None) }),
            meaning: Some(known.value.band.word().to_owned()),
            note: Some(known.working.clone()),
            ..finding
        },
        Value::Unknown(unknown) => Finding { absent: absent_because(&not_known_because(unknown)), ..finding },
    }
}

fn mmhg(pressure: u16) -> Quantity {
    quantity(Decimal::from(pressure), MMHG.word, Some(MMHG))
}

/// Blood pressure, pulse and glucose on the day of surgery, as far as any was taken.
fn of_the_day(facts: &Facts) -> Vec<Finding> {
    let Some(operation) = &facts.case.operation else { return Vec::new() };
    let mut all = Vec::new();
    let each = operation.observations.iter().flat_map(OneOrMany::<case::Observation>::all).enumerate();
    for (at, (_, seen)) in each {
        let when = Some(clock::measured(operation.date, &seen.at));
        let named = |what: &str| format!("{what} {at}");
        let taken = |finding: Finding| Finding { at: when.clone(), ..finding };
        if !seen.blood_pressure.is_missing() {
            let finding = Finding::of(named("blood pressure"), "Blood pressure");
            let part = |words: &str, number: u16| Component {
                code: Some(Concept::text(words)),
                value_quantity: Some(mmhg(number)),
            };
            let finding = match seen.blood_pressure.get() {
                Some(pressure) => Finding {
                    parts: vec![part("Systolic", pressure.systolic), part("Diastolic", pressure.diastolic)],
                    ..finding
                },
                None => finding.with(&seen.blood_pressure, |_| Quantity::default()),
            };
            all.push(taken(finding));
        }
        if !seen.pulse.is_missing() {
            let finding = Finding::of(named("pulse"), "Pulse rate");
            let show = |pulse: &crate::units::Pulse| {
                quantity(Decimal::from(pulse.0), PER_MINUTE.word, Some(PER_MINUTE))
            };
            all.push(taken(finding.with(&seen.pulse, show)));
        }
        if !seen.glucose.is_missing() {
            let finding = Finding::of(named("glucose"), "Glucose of capillary blood");
            all.push(taken(finding.with(&seen.glucose, |glucose| {
                quantity(glucose.0, MMOL_PER_LITRE.word, Some(MMOL_PER_LITRE))
            })));
        }
        if let Some(note) = &seen.note {
            let finding = Finding::of(named("remark"), "Observation on the day");
            all.push(taken(Finding { words: Some(note.trim().to_owned()), ..finding }));
        }
    }
    all
}

/// Adds results of the laboratory: HbA1c unless there is no diabetes, INR where there is one, samples.
pub(super) fn results(facts: &Facts, entries: &mut Entries<'_>) -> Told {
    let mut all = Vec::new();
    let history = facts.case.history.as_ref();
    if facts.derived.diabetes.answer != Answer::No {
        let finding = Finding::of("hba1c", "HbA1c");
        let tested = facts.derived.hba1c_judged.as_ref().and_then(|judged| judged.tested);
        let finding = Finding { at: tested.map(|day| day.to_string()), ..finding };
        all.push(match &facts.derived.hba1c {
            Value::Known(known) => Finding {
                value: Some(quantity(known.value.mmol_per_mol, MMOL_PER_MOL.word, Some(MMOL_PER_MOL))),
                note: Some(format!("{} % (DCCT): {}", known.value.percent, known.working)),
                method: Some("IFCC units".to_owned()),
                ..finding
            },
            Value::Unknown(unknown) => {
                Finding { absent: absent_because(&not_known_because(unknown)), ..finding }
            }
        });
    }
    if let Some(inr) = history.map(|history| &history.inr).filter(|inr| !inr.is_missing()) {
        let finding = Finding::of("inr", "INR");
        let finding = Finding { at: inr.get().map(|inr| inr.tested.to_string()), ..finding };
        all.push(finding.with(inr, |inr| Quantity { unit: None, ..quantity(inr.value, "", None) }));
    }
    let day = facts.case.operation.as_ref().map(|operation| operation.date.to_string());
    for (at, sample) in facts.case.operation.iter().flat_map(|operation| &operation.samples).enumerate() {
        let finding = Finding::of(format!("sample {at}"), &format!("Sample: {}", without_stop(&sample.what)));
        let acts = sample.acts.as_deref().unwrap_or("who acts on the result is not recorded");
        let lab = sample.lab.iter().map(|lab| format!("laboratory: {lab}"));
        let note: Vec<String> = lab.chain([format!("acts on the result: {acts}")]).collect();
        let (words, absent) = match &sample.result {
            Some(result) => (Some(result.trim().to_owned()), None),
            None => (None, absent_because("result awaited")),
        };
        all.push(Finding { at: day.clone(), words, absent, note: Some(note.join("; ")), ..finding });
    }
    let mut told = Told::default();
    all.into_iter().for_each(|finding| finding.add(entries, &mut told));
    told
}
