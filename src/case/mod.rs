//! From bytes to a [`Case`]: the strict scan, the check against the model, the typed reading.
//!
//! Nothing here judges clinically and nothing here reads a file: text comes in, data and located
//! findings go out. Reading never stops at the first problem.

mod accepts;
mod aftercare_options;
mod characters;
mod check;
mod clinic;
mod formats;
mod forms;
mod gaps;
mod incident;
mod measured;
mod model;
mod nothing;
mod other_words;
mod people;
mod plain;
mod plain_words;
mod problem;
mod read;
mod retired;
mod scalar;
mod supplies;
mod syntax;
mod tidy;
mod tree;

pub(crate) use accepts::{Accepts, target_of};
pub use aftercare_options::*;
pub(crate) use characters::is_joiner;
pub use clinic::*;
pub use formats::{FORMATS, Format};
pub(crate) use forms::quoted;
pub use forms::{Edit, FORMS, Form, published};
pub use gaps::Gap;
pub use incident::*;
pub use measured::{Measured, NOT_RECORDED_KEY};
pub use model::*;
pub(crate) use nothing::is_word as is_nothing;
pub use problem::{READING_RULES, ReadingRule};
pub use read::{Read, case_schema, clinic_schema, read_case, read_case_with, read_clinic, read_text};
pub use supplies::Shelf;
pub use syntax::scan;
pub use tidy::{Untidy, folded, shortened, tidied, tidy, unfolded};
pub use tree::{Node, NodeKind, Spans};
