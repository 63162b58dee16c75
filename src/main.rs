//! The thin binary: arguments in, exit status out.

use std::process::ExitCode;

/// Typst allocates often and from every thread; this allocator does not make the threads wait.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    unguis::cli::main()
}
