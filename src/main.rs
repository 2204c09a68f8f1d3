//! Starts the command line.

fn main() -> std::process::ExitCode {
    faultbook::cli::main()
}
