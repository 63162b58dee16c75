//! What answers a stop, and why: one row for each rule that can stop a document.
//!
//! The rule itself says what answers it; this table says why, so that all the answers can be read and
//! compared in one place. A test holds the two together: a stop without a row fails it, and so does a
//! row that differs from its rule.
//!
//! The question behind each row: what would somebody have to write who is honest?
//! - [`AnsweredBy::Never`]: something true always takes the place of what was found, so the file is
//!   mended. That may be the words `not_recorded` with their reason.
//! - [`AnsweredBy::Reason`]: it can be right to do this on purpose. Who decided, and why, stands in the
//!   note. Where nobody decided and it happened unawares, an incident answers it as well.
//! - [`AnsweredBy::Incident`]: nobody does this on purpose. If it happened, the patient is told, and the
//!   record says what happened.

use super::{AnsweredBy, Rule};

/// What answers a stop, and why.
#[derive(Debug)]
pub struct Answered {
    /// The rule.
    pub rule: &'static str,
    /// What answers its stop.
    pub by: AnsweredBy,
    /// Why that, and not another.
    pub why: &'static str,
}

/// Why a stop of this rule is answered as it is; nothing for a rule that never stops.
pub fn why(rule: &Rule) -> Option<&'static str> {
    ANSWERS.iter().find(|row| row.rule == rule.name).map(|row| row.why)
}

const fn never(rule: &'static str, why: &'static str) -> Answered {
    Answered { rule, by: AnsweredBy::Never, why }
}

const fn reason(rule: &'static str, why: &'static str) -> Answered {
    Answered { rule, by: AnsweredBy::Reason, why }
}

const fn incident(rule: &'static str, why: &'static str) -> Answered {
    Answered { rule, by: AnsweredBy::Incident, why }
}

/// A row for each rule that can stop a document, in the order of [`super::rules`].
pub static ANSWERS: &[Answered] = &[
    // identity
    never(
        "nhs-number-check",
        "A wrong number names another patient on every page. A number that nobody can find is left out.",
    ),
    never(
        "chi-number-check",
        "A wrong number names another patient on every page. A number that nobody can find is left out.",
    ),
    never(
        "hc-number-check",
        "A wrong number names another patient on every page. A number that nobody can find is left out.",
    ),
    never("born-in-future", "Nobody was born after today: the date is a slip, and the true one is known."),
    reason(
        "mass-and-height-swapped",
        "A body can be so. That both were measured again and stand as written is the reason.",
    ),
    reason(
        "mass-implausible",
        "A patient can weigh so much or so little. That the mass was looked at again is the reason.",
    ),
    reason(
        "height-implausible",
        "A patient can be so tall or so small. That the height was looked at again is the reason.",
    ),
    // correct site
    incident(
        "toe-not-planned",
        "Nobody operates on another toe on purpose: what agreed with the patient changes the plan first. \
         If it happened, a page that hides it would be false.",
    ),
    incident(
        "edge-not-planned",
        "What the patient agreed to on the day has a key of its own, `agreed_on_day`. Without that the edge \
         was removed by mistake.",
    ),
    never(
        "edge-not-named",
        "Which edge is planned, or was removed, can be seen on the form or on the toe, and is written down.",
    ),
    incident(
        "nail-type-differs",
        "More was removed than planned, and nothing says that the patient agreed before it was done. Where \
         less was removed it is a caution, and a reason answers it.",
    ),
    incident(
        "consent-toe-mismatch",
        "Surgery beyond the signed form is surgery without consent. Before surgery a new form is signed.",
    ),
    // consent
    incident(
        "consent-missing",
        "A form that was lost, or a consent that was only spoken, cannot be signed later. The note then says \
         what there was, and the patient is told.",
    ),
    incident(
        "consent-after-operation",
        "A form that was really signed after surgery keeps its true date; it must not be made earlier.",
    ),
    incident(
        "guardian-without-responsibility",
        "After surgery nobody can give this consent again. The note says who signed, and those who decide \
         are told.",
    ),
    incident(
        "capacity-not-recorded",
        "A judgement of capacity that was not made before surgery cannot be made up afterwards. One that was \
         made and not written down is written now, with its true date.",
    ),
    incident(
        "decider-not-in-law",
        "After surgery nobody can decide again. The note says who decided and on what ground, and those who \
         should have are told.",
    ),
    incident(
        "authority-not-recorded",
        "A document that was seen has its day written down. One that nobody saw before surgery cannot be \
         seen afterwards.",
    ),
    incident(
        "certificate-not-valid",
        "A certificate that covered the operation is written down with its true days. Without one there was \
         no authority, and no day is made to fit.",
    ),
    reason(
        "letter-objected",
        "The patient can have been told why the practice must know, and the law can allow it. Who weighed \
         that, and how, is the reason.",
    ),
    // anaesthetic
    incident(
        "anaesthetic-missing",
        "What was injected stands on the cartridge or in the stock book. If nobody can tell any more, that \
         is an incident of its own.",
    ),
    reason(
        "agent-unknown",
        "A slip is corrected. An agent that is really not in the table can be right for this patient: who \
         chose it, and with what the dose was compared, is the reason.",
    ),
    never(
        "weight-missing",
        "A mass is written as measured; where nobody weighed the patient, that and its reason are written in \
         place of a number.",
    ),
    never(
        "volume-missing",
        "A volume is written as given, `0 ml` where there was none; where it was not written down at the \
         time, that and its reason stand in place of a number.",
    ),
    incident(
        "second-agent-unclear",
        "Two syringes that nobody can tell apart are an incident. Where it is known which was injected, it \
         is written.",
    ),
    incident(
        "dose-over-limit",
        "Nobody gives more than the limit on purpose. A dose that was given is recorded as it was given, \
         never made smaller.",
    ),
    incident(
        "agents-combined-over-limit",
        "Nobody gives more than the limit on purpose, in one medicine or in two.",
    ),
    never(
        "local-limit-refused",
        "The limit stands in the clinic file and says nothing of this patient: it is corrected there, or \
         taken out.",
    ),
    incident(
        "agent-allergy",
        "Nobody gives a known allergen on purpose. If it turned out to be no allergy, the history is \
         corrected.",
    ),
    reason(
        "agent-under-age",
        "A prescriber can choose an agent below the age of its licence; who did, and why, is the reason. \
         Given unawares, it is an incident.",
    ),
    incident(
        "agent-expired",
        "Nobody uses an expired medicine on purpose. A date copied wrongly is corrected; a true one stays.",
    ),
    reason(
        "agent-condition",
        "The benefit can outweigh it, on the advice of those who treat the condition; who advised, and why, \
         is the reason. Given unawares, it is an incident.",
    ),
    incident(
        "adrenaline-in-digit",
        "It stops where circulation is poor or the solution is as strong as a dental cartridge, and there nobody \
         uses adrenaline on purpose.",
    ),
    incident(
        "anaesthetic-within-24-h",
        "Two doses that are only together over the limit are an overdose of which nobody knew. If both were \
         given, the patient is watched, and the record says so.",
    ),
    incident(
        "agent-outside-exemption",
        "Nobody injects outside the law on purpose. Where a prescription or a direction covered it, that is \
         written; where nothing did, it is reported, and the page says what was given.",
    ),
    incident(
        "agents-mixed",
        "What was mixed in one syringe cannot be unmixed on paper. Where a prescription or a direction covered \
         it, that is written; where nothing did, it is reported.",
    ),
    incident(
        "agent-authority-not-held",
        "Either the authority or the annotation is written wrongly and is put right, or somebody injected who \
         was not entitled to, which is reported.",
    ),
    incident(
        "agent-authority-expired",
        "The day in the direction can be looked up. If the direction did not hold, the injection had none, \
         which is reported.",
    ),
    // circulation
    reason(
        "abpi-low",
        "Surgery can be right on vascular advice, such as to let pus out. Who advised it is the reason; a \
         result that was overlooked is an incident.",
    ),
    reason(
        "toe-pressure-low",
        "Surgery can be right on vascular advice, such as to let pus out. Who advised it is the reason; a \
         result that was overlooked is an incident.",
    ),
    // diabetes
    reason(
        "foot-active",
        "The foot protection team can ask for this very operation, such as to let pus out. Who asked is the \
         reason; disease that was overlooked is an incident.",
    ),
    // bleeding
    reason(
        "inr-high",
        "Surgery can be more urgent than a lower INR. Who decided it with whom is the reason; a result that \
         was overlooked is an incident.",
    ),
    // infection
    reason(
        "cellulitis",
        "To take the nail out can be part of the treatment. Who decided it, and under which antibiotic, is \
         the reason.",
    ),
    // phenol
    reason(
        "phenol-pregnancy",
        "It can be right once the patient knows what is not known. Who decided it with her is the reason; \
         not having asked is an incident.",
    ),
    incident(
        "phenol-allergy",
        "Nobody gives a known allergen on purpose. If it turned out to be no allergy, the history is \
         corrected.",
    ),
    reason(
        "phenol-poor-circulation",
        "The circulation can have been judged by somebody who measured more. Who did is the reason; a result \
         that was overlooked is an incident.",
    ),
    incident(
        "phenol-expired",
        "Nobody uses an expired chemical on purpose. A date copied wrongly is corrected; a true one stays.",
    ),
    incident(
        "phenol-not-as-planned",
        "Phenol that was not planned was not agreed to, unless `agreed_on_day` says so. Where it was left \
         out it is a caution, and a reason answers it.",
    ),
    // tourniquet
    incident(
        "tourniquet-not-removed",
        "A tourniquet that was left on stays without a time off, and no time is made up for it. Where it was \
         seen off and nobody looked at the clock, that and its reason stand in place of the time.",
    ),
    never(
        "tourniquet-order",
        "One of the two times is a slip. Where nobody can tell which, the one that is doubtful is written as \
         not recorded, with its reason.",
    ),
    reason(
        "tourniquet-long",
        "A difficult toe can need longer. Why, and how the toe was afterwards, is the reason; one that was \
         forgotten is an incident.",
    ),
    never(
        "refill-not-recorded",
        "A refill is written as measured; where nobody measured it, that and its reason, such as pink and \
         warm at once, stand in place of a number.",
    ),
    // records
    incident(
        "dressing-expired",
        "Nobody uses an expired pack on purpose. A date copied wrongly is corrected; a true one stays.",
    ),
    never(
        "record-gap",
        "Why there is no value is known to whoever leaves it out: a word that says nothing gives way to the \
         reason.",
    ),
    incident(
        "count-incomplete",
        "Nobody leaves an instrument or a swab behind on purpose. What was missing, how it was looked for and \
         what the patient was told is what happened.",
    ),
    never("gp-unknown", "The practice is known or it is not: without one the letter is not made."),
    never(
        "nothing-operated",
        "What was removed stands on the toe; that nothing was, and why, has a key of its own, `abandoned`.",
    ),
    never("nothing-removed-contradicted", "The toe shows whether any nail was removed from it."),
    never(
        "operation-in-future",
        "An operation that has not been done cannot have been recorded: the date is a slip.",
    ),
    never("operator-missing", "Who operated is known, and is added to the clinic file."),
    reason(
        "times-inconsistent",
        "Times are not made to fit. Where a clock was wrong, they stay as written, and the reason says so.",
    ),
    never(
        "dates-out-of-order",
        "Each date is one on a form, on a result or in the diary, and can be looked up.",
    ),
    never(
        "routine-incomplete",
        "What was done is known, and is written in the clinic file once or in this case.",
    ),
    never(
        "supply-not-in-use",
        "Which box was used, and when it was opened, can be seen on the shelf: one of the two is a slip.",
    ),
    // history
    never(
        "history-contradicts",
        "Of two entries that cannot both be true one is a slip: whoever asked the patient knows which.",
    ),
    never("accepted-unmatched", "An entry that answers nothing is taken out, and nothing is lost."),
    never(
        "accepted-not-acceptable",
        "A reason does not make a false page true: the entry is taken out, or written under `incidents`.",
    ),
    never("accepted-without-reason", "The reason and the name are known to whoever wrote the entry."),
    // allergies and advice
    incident(
        "medicine-allergy-given",
        "Nobody gives a known allergen on purpose. If it turned out to be no allergy, the history is \
         corrected.",
    ),
    // visits and closing
    never(
        "visit-without-operation",
        "The operation was done and is entered, or the visit belongs to another case.",
    ),
    never(
        "visit-toe-not-operated",
        "Which toe was seen is known; what is said of another stands in the note.",
    ),
    never(
        "missed-visit-with-findings",
        "Either the patient came or not. What was done at another time is a visit of its own.",
    ),
    never("healing-contradicted", "A toe is healed or it is not, and on a day after surgery."),
    reason(
        "antibiotic-allergy",
        "An allergy can be doubtful, or the medicine was taken since without harm. Who decided, and why, is the \
         reason.",
    ),
    incident(
        "antibiotic-allergy-given",
        "Nobody gives it on purpose. If it was given, the patient is told, and the record says so.",
    ),
    never(
        "closed-toe-open",
        "A toe that nobody saw healed is closed for another reason: lost, moved away, own wish.",
    ),
    never("closed-against-record", "There are other reasons to close a case, and one of them is true."),
    never("visit-after-closing", "A case in which care goes on is not closed yet."),
    never("case-refers-to-itself", "The other case has a reference of its own."),
    // incidents
    never("incident-incomplete", "What the entry lacks is known to those who were there, and is added."),
    never(
        "incident-not-told",
        "Either somebody told the patient, or nobody has yet and there is a reason: both can be written.",
    ),
    never("incident-fatal", "The pages it holds must not reach the family by post, whatever the reason."),
    never("incident-unmatched", "A name that answers nothing is taken out; what happened stays recorded."),
    never("incident-not-answerable", "What the entry names is a slip in the file, and is mended there."),
];

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::diagnostic::Severity;
    use crate::rules::{example::facts_of, rule, rules};

    /// Every rule of which a finding was seen to stop, or that says itself that it can.
    fn stopping() -> BTreeSet<&'static str> {
        let raised = rules().filter(|rule| {
            let found = (rule.check)(&facts_of(rule.example.bad));
            found.iter().any(|finding| finding.severity == Some(Severity::Stop))
        });
        rules()
            .filter(|rule| rule.severity == Severity::Stop || rule.answered_by != AnsweredBy::Never)
            .chain(raised)
            .map(|rule| rule.name)
            .collect()
    }

    #[test]
    fn every_stop_has_a_row_that_agrees_with_its_rule() {
        for name in stopping() {
            assert!(
                ANSWERS.iter().any(|row| row.rule == name),
                "`{name}` stops: say in src/rules/answers.rs what answers it, and why"
            );
        }
        let mut seen = BTreeSet::new();
        for row in ANSWERS {
            let Some(rule) = rule(row.rule) else { panic!("there is no rule `{}`", row.rule) };
            assert!(seen.insert(row.rule), "`{}` has two rows", row.rule);
            assert_eq!(row.by, rule.answered_by, "`{}`: the row and the rule differ", row.rule);
            assert!(row.why.len() > 40 && row.why.ends_with('.'), "{}: {:?}", row.rule, row.why);
            assert_eq!(why(rule), Some(row.why));
        }
    }
}
