//! `unguis schema`: the JSON Schema of the case and clinic files, with long and short forms.

use crate::case::{case_schema, clinic_schema, published};
use crate::cli::args::{Schema, SchemaOf};
use crate::cli::{Error, Exit, io};

/// Prints the schema.
pub(super) fn run(args: &Schema) -> Result<Exit, Error> {
    let schema = match args.of {
        SchemaOf::Case => case_schema(),
        SchemaOf::Clinic => clinic_schema(),
    };
    io::print(&format!("{:#}\n", published(&schema)));
    Ok(Exit::Done)
}
