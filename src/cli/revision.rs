//! A folder as it was in a revision of the git repository here.

use super::failure::Failure;
use super::files::harmless;
use std::path::Path;
use std::process::Command;

/// A folder in a revision.
pub struct Revision<'a> {
    place: &'a str,
    files: Vec<String>,
}

impl<'a> Revision<'a> {
    /// The folder at `REVISION:FOLDER`; the folder counts from the top of the repository.
    pub fn open(place: &'a str) -> Result<Revision<'a>, Failure> {
        let unknown = || {
            Failure::new(
                format!("`{place}` is neither a folder nor a git revision with one"),
                "name a folder, or `REVISION:FOLDER` such as `HEAD~1:rules`",
            )
        };
        if !place.contains(':') {
            return Err(unknown());
        }
        let names = git(&["ls-tree", "-r", "-z", "--full-tree", "--name-only", "--end-of-options", place]).ok_or_else(unknown)?;
        Ok(Revision { place, files: names.split('\0').filter(|n| !n.is_empty()).map(String::from).collect() })
    }

    /// The texts of those files whose path within the folder is wanted, by that path.
    pub fn texts(&self, wanted: impl Fn(&Path) -> bool) -> Result<Vec<(String, String)>, Failure> {
        let text = |name: &&String| {
            let object = format!("{}{}{name}", self.place, if self.place.ends_with([':', '/']) { "" } else { "/" });
            let text = git(&["cat-file", "blob", "--end-of-options", &object]).ok_or_else(|| {
                Failure::new(format!("`{object}` can't be read from git"), "look at it with `git show`; a name must not hold a line break")
            })?;
            Ok((name.to_string(), harmless(&text)))
        };
        self.files.iter().filter(|n| wanted(Path::new(n))).map(|n| text(&n)).collect()
    }
}

/// What git prints; none where it fails. Arguments are handed over as they are, never through a shell.
pub fn git(arguments: &[&str]) -> Option<String> {
    let done = Command::new("git").args(arguments).output().ok()?;
    done.status.success().then(|| String::from_utf8_lossy(&done.stdout).into_owned())
}
