//! The rooms' insides: inner rooms import one way, and no files import each other in a circle.

use crate::run::root;
use petgraph::algo::tarjan_scc;
use petgraph::graph::DiGraph;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// The inner rooms of a room, each importing only from those before it.
const INNER: &[(&str, &[&str])] = &[("belief", &["model", "arith", "query", "order", "eliminate", "sample", "engine", "export"])];

/// All files below a folder, or the file itself, with their text.
fn texts(path: &Path) -> Vec<(PathBuf, String)> {
    if path.is_file() {
        return vec![(path.to_path_buf(), fs::read_to_string(path).unwrap())];
    }
    entries(path).iter().flat_map(|e| texts(e)).collect()
}

fn entries(folder: &Path) -> Vec<PathBuf> {
    let mut all: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    all.sort();
    all
}

fn name(path: &Path) -> String {
    path.file_stem().unwrap().to_string_lossy().into_owned()
}

/// Names that stand right after a path in a text, alone or in braces.
fn named_after(text: &str, path: &str) -> BTreeSet<String> {
    let mut names = BTreeSet::new();
    for (at, _) in text.match_indices(path) {
        if text[..at].ends_with("::") {
            continue;
        }
        let rest = &text[at + path.len()..];
        let inside =
            rest.strip_prefix('{').map_or_else(|| rest.split([':', ';', ',', ' ', '\n', '(', '<']).next(), |r| r.split("};").next());
        let words = inside.unwrap_or_default().split(|c: char| !c.is_alphanumeric() && c != '_');
        names.extend(words.filter(|w| !w.is_empty()).map(String::from));
    }
    names
}

/// Who imports whom among the files and folders of one folder.
fn imports(folder: &Path) -> Vec<(String, BTreeSet<String>)> {
    let own: Vec<String> = folder.strip_prefix(root().join("src")).unwrap().iter().map(|p| p.to_string_lossy().into_owned()).collect();
    let absolute = std::iter::once("crate".to_string()).chain(own).map(|p| p + "::").collect::<String>();
    let inside = entries(folder).into_iter().filter(|e| !["mod", "lib", "main"].contains(&name(e).as_str()));
    let of = |entry: PathBuf| {
        let mut all = BTreeSet::new();
        for (file, text) in texts(&entry) {
            let depth = file.strip_prefix(folder).unwrap().components().count() - usize::from(name(&file) == "mod");
            let relative = "super::".repeat(depth);
            all.extend([absolute.as_str(), relative.as_str()].into_iter().flat_map(|path| named_after(&text, path)));
        }
        (name(&entry), all)
    };
    inside.map(of).collect()
}

#[test]
fn inner_rooms_import_one_way() {
    let mut wrong = Vec::new();
    for (room, inner) in INNER {
        let place = |name: &str| inner.iter().position(|r| *r == name);
        for (own, others) in imports(&root().join("src").join(room)) {
            let Some(at) = place(&own) else {
                wrong.push(format!("{room}: give `{own}` its place in the order"));
                continue;
            };
            let later = others.iter().filter(|o| place(o).is_some_and(|other| other > at));
            wrong.extend(later.map(|other| format!("{room}: `{own}` imports from `{other}`")));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn no_files_import_each_other_in_a_circle() {
    let mut folders: Vec<PathBuf> = INNER.iter().map(|(room, _)| root().join("src").join(room)).collect();
    let mut circles = Vec::new();
    while let Some(folder) = folders.pop() {
        folders.extend(entries(&folder).into_iter().filter(|e| e.is_dir()));
        let imports = imports(&folder);
        let mut graph = DiGraph::<&str, ()>::new();
        let nodes: Vec<_> = imports.iter().map(|(name, _)| graph.add_node(name)).collect();
        for (i, (own, others)) in imports.iter().enumerate() {
            let among = imports.iter().enumerate().filter(|(_, (name, _))| name != own && others.contains(name));
            for (j, _) in among {
                graph.add_edge(nodes[i], nodes[j], ());
            }
        }
        let round = tarjan_scc(&graph).into_iter().filter(|ring| ring.len() > 1);
        circles.extend(round.map(|ring| format!("{}: {:?}", folder.display(), ring.iter().map(|n| graph[*n]).collect::<Vec<_>>())));
    }
    assert!(circles.is_empty(), "files that import each other:\n{}", circles.join("\n"));
}
