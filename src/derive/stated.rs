//! Breastfeeding, smoking and frailty: each has a field, and each is also written among the conditions.
//!
//! As with pregnancy, a condition speaks where the field is silent, and the safer answer counts where the two
//! differ; that they differ is a contradiction of its own.

use super::fact::conditions;
use super::{Fact, Given, LookedUp, Reason};
use crate::case::{History, Smoker};
use crate::clinical::Cite;
use crate::clinical::tables::Class;

/// Breastfeeding now, in the table of conditions.
pub(super) const BREASTFEEDING: Class = Class::Breastfeeding;
/// Smoking now.
const SMOKING: Class = Class::Smoking;
/// Frailty of any degree.
pub(super) const FRAILTY: Class = Class::Frailty;

/// Words beside smoking that say that it is over: then it is written down, and says nothing of now.
const OVER: &[&str] =
    &["history", "h/o", "hx", "stopped", "ex", "former", "formerly", "past", "previous", "quit", "until"];

/// Whether the patient is breastfeeding.
pub(super) fn breastfeeding_of(given: Given<'_>, list: &[LookedUp]) -> Fact {
    let words = conditions(list, BREASTFEEDING, Cite::common_practice());
    stated(given, words, ("history.breastfeeding", "breastfeeding"), |history| history.breastfeeding)
}

/// Whether the patient smokes.
pub(super) fn smoking_of(given: Given<'_>, list: &[LookedUp]) -> Fact {
    stated(given, smokes_now(list), ("history.smoker", "smokes"), |history| {
        history.smoker.map(Smoker::smokes)
    })
}

/// Whether the patient is frail.
pub(super) fn frailty_of(given: Given<'_>, list: &[LookedUp]) -> Fact {
    let words = conditions(list, FRAILTY, Cite::common_practice());
    stated(given, words, ("history.frail", "frail"), |history| history.frail)
}

fn stated(
    given: Given<'_>,
    words: Vec<Reason>,
    (path, says): (&str, &str),
    field: fn(&History) -> Option<bool>,
) -> Fact {
    let field = given.case.history.as_ref().and_then(field);
    let own = (field == Some(true)).then(|| Reason::new(path, says, Cite::common_practice()));
    Fact::of(own.into_iter().chain(words).collect(), field.is_some())
}

/// The conditions that say that the patient smokes.
pub(super) fn smokes_now(list: &[LookedUp]) -> Vec<Reason> {
    let mut words = conditions(list, SMOKING, Cite::common_practice());
    words.retain(|reason| {
        let typed = reason.says.to_lowercase();
        let mut each = typed.split(|sign: char| !(sign.is_alphanumeric() || sign == '/'));
        !each.any(|word| OVER.contains(&word))
    });
    words
}

#[cfg(test)]
mod tests {
    use super::super::{Answer, Derived};
    use crate::rules::example::facts_of;

    #[test]
    fn the_field_answers_and_a_condition_speaks_too() {
        let answer = |key: &str, derived: &Derived| match key {
            "breastfeeding" => derived.breastfeeding.answer,
            "smoker" => derived.smoking.answer,
            _ => derived.frailty.answer,
        };
        for (key, word) in
            [("breastfeeding", "lactating"), ("smoker", "current smoker"), ("frail", "moderate frailty")]
        {
            let of = |history: &str| answer(key, &facts_of(&format!("history: {{{history}}}")).derived);
            assert_eq!(of(&format!("{key}: true")), Answer::Yes, "{key}");
            assert_eq!(of(&format!("{key}: false")), Answer::No, "{key}");
            assert_eq!(of(&format!("{key}: ~")), Answer::NotKnown, "{key}");
            assert_eq!(of(&format!("{key}: ~, conditions: [{word}]")), Answer::Yes, "{word}");
            assert_eq!(
                of(&format!("{key}: false, conditions: [{word}]")),
                Answer::Yes,
                "the safer one counts"
            );
            assert_eq!(of(&format!("{key}: false, conditions: [asthma]")), Answer::No, "{key}");
        }
    }

    #[test]
    fn whoever_has_stopped_does_not_smoke_now() {
        for over in ["smoker, stopped 2010", "history of smoking", "smoker until 2019", "smoking (stopped)"] {
            let derived = facts_of(&format!("history: {{smoker: ~, conditions: ['{over}']}}")).derived;
            assert_eq!(derived.smoking.answer, Answer::NotKnown, "{over}");
            let derived = facts_of(&format!("history: {{smoker: false, conditions: ['{over}']}}")).derived;
            assert!(derived.contradictions.is_empty(), "{over}");
        }
        let now = facts_of("history: {smoker: ~, conditions: ['smoker, 20 a day']}").derived;
        assert_eq!(now.smoking.answer, Answer::Yes);
    }
}
