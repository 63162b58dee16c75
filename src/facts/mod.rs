//! All that rules and documents may look at: of one case, or of many.

mod case;

pub use case::{Facts, covers};
