//! Who decided, and when, as pages for colleagues tell it. The sentence stands in
//! `templates/clinician/consent.typ`.

use serde::Serialize;

use super::{name_of, without_stop};
use crate::case::{ConsentBy, LetterToGp};
use crate::date::CivilDate;
use crate::facts::Facts;
use crate::words::List as Words;

/// Who decided, and when: the sentence stands in `templates/clinician/consent.typ`.
#[derive(Debug, Default, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "each is one form of the sentence")]
pub(in crate::documents) struct Consent {
    is_recorded: bool,
    /// Empty if it is not recorded; so for all texts here.
    signed: String,
    /// The version of the form that was signed.
    form: String,
    confirmed: String,
    /// Signed on the day of surgery: nothing is left to confirm.
    is_on_the_day: bool,
    by_patient: bool,
    by_guardian: bool,
    /// An attorney, deputy or welfare guardian.
    by_authority: bool,
    is_best_interests: bool,
    is_certificate: bool,
    /// `Helen Brightwater (mother)`.
    guardian: String,
    /// `Ada Hollis (daughter), attorney`; the kind of power alone where no name is recorded.
    authority: String,
    authority_seen: String,
    /// `Dr A. Vane (doctor)`.
    certificate: String,
    certificate_from: String,
    certificate_until: String,
    interpreter: String,
    /// Who took it.
    taken_by: String,
    /// `Delyth Winslade (sister) and Marcus Oduya (key worker)`, where nobody consents for the patient.
    consulted: String,
    /// What the patient said about the letter to the family doctor.
    told_of_letter: bool,
    agrees_to_letter: bool,
    objects_to_letter: bool,
}

impl Consent {
    pub(in crate::documents) fn of(facts: &Facts) -> Consent {
        let Some(consent) = &facts.case.consent else { return Consent::default() };
        let day = |day: Option<CivilDate>| day.map_or_else(String::new, CivilDate::clinical);
        let guardian = facts.case.patient.guardian.as_ref();
        let surgery = facts.case.operation.as_ref().map(|operation| operation.date);
        let certificate = consent.certificate.as_ref();
        Consent {
            is_recorded: true,
            signed: day(consent.signed),
            form: consent.form.map_or_else(String::new, |form| form.to_string()),
            confirmed: day(consent.confirmed),
            is_on_the_day: consent.signed.is_some() && consent.signed == surgery,
            by_patient: consent.by == Some(ConsentBy::Patient),
            by_guardian: consent.by == Some(ConsentBy::Guardian),
            by_authority: authority_kind(consent.by).is_some(),
            is_best_interests: consent.by == Some(ConsentBy::BestInterests),
            is_certificate: consent.by == Some(ConsentBy::Certificate),
            authority: authority(consent),
            authority_seen: day(consent.authority.as_ref().and_then(|authority| authority.seen)),
            certificate: certificate.map_or_else(String::new, |certificate| {
                format!("{} ({})", certificate.signed_by, certificate.profession.word())
            }),
            certificate_from: day(certificate.map(|certificate| certificate.from)),
            certificate_until: day(certificate.map(|certificate| certificate.until)),
            told_of_letter: consent.letter_to_gp == Some(LetterToGp::Told),
            agrees_to_letter: consent.letter_to_gp == Some(LetterToGp::DoesNotObject),
            objects_to_letter: consent.letter_to_gp == Some(LetterToGp::Objects),
            guardian: guardian.map_or_else(String::new, |guardian| {
                format!("{} ({})", guardian.name, guardian.relationship)
            }),
            interpreter: interpreter(consent),
            taken_by: name_of(facts, consent.taken_by.as_deref().unwrap_or_default()),
            consulted: consulted(consent),
        }
    }
}

fn consulted(consent: &crate::case::Consent) -> String {
    let each = consent.consulted.iter().flatten().map(|one| match &one.relationship {
        Some(relationship) => format!("{} ({relationship})", one.name),
        None => one.name.clone(),
    });
    Words::and(each).to_string()
}

/// `A. Lisowska, by telephone`; empty if none is recorded.
fn interpreter(consent: &crate::case::Consent) -> String {
    let typed = without_stop(consent.interpreter.as_deref().unwrap_or_default());
    match consent.interpreted.map(crate::case::Interpreted::word) {
        Some(how) if !typed.is_empty() && !typed.contains(how) => format!("{typed}, {how}"),
        _ => typed.to_owned(),
    }
}

/// The kind of power by which somebody else consents.
fn authority_kind(by: Option<ConsentBy>) -> Option<&'static str> {
    match by {
        Some(by @ (ConsentBy::Attorney | ConsentBy::Deputy | ConsentBy::WelfareGuardian)) => Some(by.word()),
        _ => None,
    }
}

fn authority(consent: &crate::case::Consent) -> String {
    let kind = authority_kind(consent.by).unwrap_or_default();
    match &consent.authority {
        None => kind.to_owned(),
        Some(authority) => match &authority.relationship {
            Some(relationship) => format!("{} ({relationship}), {kind}", authority.name),
            None => format!("{}, {kind}", authority.name),
        },
    }
}

/// The risks that were discussed, in one line, to stand inside a sentence; empty if none are recorded.
pub(in crate::documents) fn risks_discussed(facts: &Facts) -> String {
    let risks = facts.case.consent.iter().flat_map(|consent| consent.risks.iter().flatten());
    Words::and(risks.map(|risk| without_stop(risk))).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    #[test]
    fn who_took_consent_is_said_only_where_it_is_recorded() {
        let taken_by = |fragment: &str| Consent::of(&facts_of(fragment)).taken_by;
        assert_eq!(taken_by(""), "Robin Quill");
        assert_eq!(taken_by("consent: {taken_by: Tamsin Ashdown}"), "Tamsin Ashdown");
        assert_eq!(taken_by("consent: {taken_by: ~}"), "");
    }

    #[test]
    fn who_was_consulted_is_named() {
        let consulted =
            "consent: {consulted: [{name: Ada Hollis, relationship: sister}, {name: Marcus Oduya}]}";
        assert_eq!(Consent::of(&facts_of(consulted)).consulted, "Ada Hollis (sister) and Marcus Oduya");
        assert_eq!(Consent::of(&facts_of("")).consulted, "");
    }

    #[test]
    fn consent_of_the_day_of_surgery_needs_no_confirmation() {
        let said = |fragment: &str| Consent::of(&facts_of(fragment));
        assert!(!said("").is_on_the_day);
        assert!(said("consent: {signed: 2026-11-24, confirmed: ~}").is_on_the_day);
        assert!(!said("consent: {signed: ~}").is_on_the_day);
        assert!(!said("consent: ~").is_recorded);
    }

    #[test]
    fn an_interpreter_took_part_in_a_way_that_is_said_once() {
        let said = |fragment: &str| Consent::of(&facts_of(&format!("consent: {{{fragment}}}"))).interpreter;
        assert_eq!(said("interpreter: J. Nowak, interpreted: by telephone"), "J. Nowak, by telephone");
        let both = "interpreter: \"J. Nowak, by telephone\", interpreted: by telephone";
        assert_eq!(said(both), "J. Nowak, by telephone");
        assert_eq!(said("interpreted: by telephone"), "");
    }

    #[test]
    fn who_consents_by_a_power_is_named_with_it() {
        let said = |fragment: &str| Consent::of(&facts_of(&format!("consent: {{{fragment}}}")));
        let attorney =
            said("by: attorney, authority: {name: Ada Hollis, relationship: daughter, seen: 2026-11-20}");
        assert!(attorney.by_authority && attorney.authority == "Ada Hollis (daughter), attorney");
        assert_eq!(attorney.authority_seen, "20-Nov-2026");
        assert_eq!(said("by: deputy").authority, "deputy");
        assert!(!said("by: patient").by_authority);
    }
}
