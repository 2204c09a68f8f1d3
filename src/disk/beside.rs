//! Names for files that are being written, in the folder of the file they are for.

use super::medium::Medium;
use std::path::{Path, PathBuf};

/// The end of such a name: no rule file, sheet or log is called so.
const END: &str = ".unfinished";

/// A name nobody can foretell.
pub fn fresh<M: Medium>(medium: &M, target: &Path) -> PathBuf {
    let name = target.file_name().unwrap_or_default().to_string_lossy();
    target.with_file_name(format!(".{name}.{:016x}{END}", medium.draw()))
}

/// Takes away what earlier runs that were killed left of this file: such a one is held by nobody.
pub fn sweep<M: Medium>(medium: &M, target: &Path) {
    let folder = folder(target);
    let start = format!(".{}.", target.file_name().unwrap_or_default().to_string_lossy());
    let left = |name: &PathBuf| {
        let name = name.to_string_lossy();
        let inner = name.strip_prefix(&start).and_then(|rest| rest.strip_suffix(END));
        inner.is_some_and(|hex| hex.len() == 16 && hex.bytes().all(|b| b.is_ascii_hexdigit()))
    };
    for name in medium.names(folder).unwrap_or_default().into_iter().filter(left) {
        let path = folder.join(name);
        // held until it is gone, so that a run that has just made it notices; what can't be swept does no harm
        let Ok(file) = medium.open(&path, true) else { continue };
        if medium.lock(&file).unwrap_or(false) {
            medium.remove(&path).ok();
        }
    }
}

/// The folder a path lies in.
pub fn folder(path: &Path) -> &Path {
    path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."))
}
