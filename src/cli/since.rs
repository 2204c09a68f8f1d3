//! What changed since a revision of the git repository here: the lines that are new or differ, file by file.

use super::failure::Failure;
use super::revision::git;
use crate::syntax::{Remark, Sources};
use std::collections::HashMap;
use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};

/// The changed lines of each file, from 1; a file that git does not know yet has changed as a whole.
pub struct Changed(HashMap<PathBuf, Vec<RangeInclusive<usize>>>);

impl Changed {
    /// What changed since a revision, with what is not committed yet.
    pub fn since(revision: &str) -> Result<Changed, Failure> {
        let unknown = || {
            Failure::new(
                format!("`{revision}` is no revision of a git repository here"),
                "name a commit, a branch or a tag, such as `HEAD~1`",
            )
        };
        let top = PathBuf::from(git(&["rev-parse", "--show-toplevel"]).ok_or_else(unknown)?.trim_end_matches('\n'));
        let commit =
            git(&["rev-parse", "--verify", "--quiet", "--end-of-options", &format!("{revision}^{{commit}}")]).ok_or_else(unknown)?;
        let unread = || Failure::new(format!("git can't tell what changed since `{revision}`"), "look at it with `git diff`");
        let plain = [
            "-c",
            "core.quotepath=off",
            "diff",
            "--unified=0",
            "--no-color",
            "--no-ext-diff",
            "--no-renames",
            "--no-prefix",
            commit.trim(),
        ];
        let mut changed = differing(&git(&plain).ok_or_else(unread)?);
        let root = top.to_string_lossy();
        let new = git(&["-C", &root, "ls-files", "--others", "--exclude-standard", "-z"]).ok_or_else(unread)?;
        changed.extend(new.split('\0').filter(|n| !n.is_empty()).map(|name| (PathBuf::from(name), vec![1..=usize::MAX])));
        Ok(Changed(changed.into_iter().map(|(name, lines)| (top.join(name), lines)).collect()))
    }

    /// Whether a remark is about something that changed: one of its places has a changed line in it.
    pub fn touches(&self, remark: &Remark, sources: &Sources) -> bool {
        remark.labels.iter().any(|label| {
            let name = Path::new(&sources.get(label.span.file).name);
            let path = name.canonicalize().unwrap_or_else(|_| std::path::absolute(name).unwrap_or_else(|_| name.to_path_buf()));
            let (first, _) = sources.line_column(label.span);
            let (last, _) = sources.line_column(crate::syntax::Span { start: label.span.end.max(label.span.start), ..label.span });
            self.0.get(&path).is_some_and(|lines| lines.iter().any(|l| *l.start() <= last && first <= *l.end()))
        })
    }
}

/// The changed lines in a diff without context. Where lines were only taken out, those on both sides have changed.
fn differing(diff: &str) -> HashMap<PathBuf, Vec<RangeInclusive<usize>>> {
    let mut changed: HashMap<PathBuf, Vec<RangeInclusive<usize>>> = HashMap::new();
    let mut file = None;
    let mut lines = diff.lines();
    while let Some(line) = lines.next() {
        if let Some(name) = line.strip_prefix("+++ ") {
            file = Some(PathBuf::from(name.trim_end_matches('\t')));
        } else if let (Some(hunk), Some(file)) = (line.strip_prefix("@@ "), &file) {
            let mut sides = hunk.split(' ').map(counted);
            let (Some((_, old)), Some((start, new))) = (sides.next().flatten(), sides.next().flatten()) else { continue };
            // what stands in the lines themselves is no header, however it looks
            lines.by_ref().take(old + new).for_each(drop);
            let range = if new == 0 { start.max(1)..=start + 1 } else { start..=start + new - 1 };
            changed.entry(file.clone()).or_default().push(range);
        }
    }
    changed
}

/// `-12,3` or `+12` of a hunk: the first line and how many.
fn counted(side: &str) -> Option<(usize, usize)> {
    let (start, count) = side.get(1..)?.split_once(',').unwrap_or((side.get(1..)?, "1"));
    Some((start.parse().ok()?, count.parse().ok()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_that_look_like_headers_are_lines() {
        let diff = "diff --git a.rules a.rules\n--- a.rules\n+++ a.rules\n@@ -2 +2,2 @@ x\n-old\n+++ b.rules\n+@@ -1 +1 @@\n@@ -9,2 +9,0 @@\n-x\n-y\n--- b c.rules\t\n+++ b c.rules\t\n@@ -0,0 +1,4 @@\n+1\n+2\n+3\n+4\n";
        let found = differing(diff);
        assert_eq!(found[Path::new("a.rules")], [2..=3, 9..=10]);
        assert_eq!(found[Path::new("b c.rules")], [1..=4]);
        assert_eq!(found.len(), 2);
    }
}
