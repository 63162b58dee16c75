//! An operation that was begun and not finished: why, when, and what happens now. The sentences stand in the
//! templates.

use serde::Serialize;

use crate::anatomy::Toe;
use crate::date::TimeOfDay;
use crate::documents::page::{Naming, gap, without_stop};
use crate::facts::Facts;
use crate::words::{List, capitalised};

/// What may be said; all empty and false where the operation was done.
#[derive(Debug, Default, Serialize)]
pub(in crate::documents) struct GivenUp {
    /// Nothing was removed from any toe.
    nothing_removed: bool,
    /// Something was removed before it was given up.
    ended_early: bool,
    /// At least one toe was injected.
    was_injected: bool,
    /// `left hallux (L1)`: the toes that were prepared, else those that were planned.
    toes: String,
    /// The same, one by one.
    each_toe: Vec<String>,
    /// There are several of them.
    has_several: bool,
    because: String,
    /// `09:40`; empty where it is not recorded.
    at: String,
    /// Why it is not recorded.
    at_gap: String,
    /// What happens now, with the stop of a sentence; empty where it is not recorded.
    next: String,
}

impl GivenUp {
    pub(in crate::documents) fn of(facts: &Facts, naming: Naming) -> GivenUp {
        GivenUp::with(facts, facts.given_up_toes().into_iter().map(|toe| naming.toe(toe)).collect())
    }

    /// For the patient: `left big toe`.
    pub(in crate::documents) fn plain(facts: &Facts) -> GivenUp {
        GivenUp::with(facts, facts.given_up_toes().into_iter().map(Toe::plain).collect())
    }

    fn with(facts: &Facts, each_toe: Vec<String>) -> GivenUp {
        let Some(operation) = &facts.case.operation else { return GivenUp::default() };
        let abandoned = operation.abandoned.as_ref();
        let nothing_removed = operation.is_given_up();
        GivenUp {
            nothing_removed,
            ended_early: abandoned.is_some() && !nothing_removed,
            was_injected: operation.toes.iter().any(|(_, done)| !done.injections().is_empty()),
            toes: List::and(&each_toe).to_string(),
            has_several: each_toe.len() > 1,
            each_toe,
            because: abandoned.map_or_else(String::new, |one| without_stop(&one.because).to_owned()),
            at: abandoned.and_then(|one| one.at.value()).map_or_else(String::new, TimeOfDay::clinical),
            at_gap: abandoned.map_or_else(String::new, |one| gap(&one.at)),
            next: abandoned
                .and_then(|one| one.next.as_deref())
                .filter(|next| !next.trim().is_empty())
                .map_or_else(String::new, |next| format!("{}.", capitalised(without_stop(next)))),
        }
    }
}
