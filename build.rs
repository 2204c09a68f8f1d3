//! Tells cargo that the rules and the pages are part of the program: a new file among them is a reason to build again.

#[allow(clippy::print_stdout)] // how a build script speaks to cargo
fn main() {
    for folder in ["rules", "src/lint/pages"] {
        println!("cargo:rerun-if-changed={folder}");
    }
}
