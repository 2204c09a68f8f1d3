//! Starts the command line.

/// A plan is millions of small lists.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> std::process::ExitCode {
    faultbook::cli::main()
}
