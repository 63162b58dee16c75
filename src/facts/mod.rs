//! All that rules and documents may look at: of one case, or of many.

mod case;
mod caseload;

pub use case::{Facts, PlanAndDone, covers};
pub use caseload::{Caseload, Gone, LastVersion, LeftOut, OneCase, Open, ReplacedList};
