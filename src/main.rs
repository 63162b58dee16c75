//! The thin binary: arguments in, exit status out.

use std::process::ExitCode;

fn main() -> ExitCode {
    unguis::cli::main()
}
