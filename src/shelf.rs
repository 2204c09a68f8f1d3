//! What lies in the program ready to be taken: the texts that ship, and what was made of them when it was built (`build.rs`).

/// The files of `rules`, by their paths in it and in their order, each with its text.
static TEXTS: &[(&str, &str)] = include!(concat!(env!("OUT_DIR"), "/rules.rs"));
/// The pages of the remarks, by the names of the files.
static PAGES: &[(&str, &str)] = include!(concat!(env!("OUT_DIR"), "/pages.rs"));
/// The texts, read: each by the name of what it was made into.
static IMAGES: &[(&str, &[u8])] = include!(concat!(env!("OUT_DIR"), "/images.rs"));

/// All files of the rules that ship: paths and texts, in order of the paths.
pub fn texts() -> impl Iterator<Item = (&'static str, &'static str)> {
    TEXTS.iter().copied()
}

/// The text of a file of the rules that ship.
pub fn text(path: &str) -> Option<&'static str> {
    texts().find(|(name, _)| *name == path).map(|(_, text)| text)
}

/// The pages of the remarks: names of files and texts.
pub fn pages() -> impl Iterator<Item = (&'static str, &'static str)> {
    PAGES.iter().copied()
}

/// What the build made of the texts under a name; none while it is being built.
pub fn image(name: &str) -> Option<&'static [u8]> {
    IMAGES.iter().find(|(own, _)| *own == name).map(|(_, bytes)| *bytes)
}
