//! Graphs of the book that must have no loop: what brings what, what needs what, what follows what.

use super::codes::LOOP;
use super::table::{Id, Table};
use super::types::{Book, Headed};
use crate::syntax::Remark;
use petgraph::algo::{is_cyclic_directed, kosaraju_scc};
use petgraph::graph::{DiGraph, NodeIndex};

/// A remark for each loop, with the loop printed.
pub fn loops(book: &Book) -> Vec<Remark> {
    let mut remarks = Vec::new();
    remarks.extend(of(&book.causes, "brings about", |c| c.brings.iter().map(|(id, _)| *id).collect()));
    remarks.extend(of(&book.access, "needs", |a| a.needs.clone()));
    remarks.extend(of(&book.checks, "comes after", |c| c.after.clone()));
    remarks.extend(of(&book.fixes, "comes after", |f| f.after.clone()));
    remarks.extend(of(&book.aftercare, "comes after", |a| a.after.clone()));
    remarks
}

fn of<T: Headed>(table: &Table<T>, verb: &str, next: impl Fn(&T) -> Vec<Id<T>>) -> Vec<Remark> {
    let mut graph = DiGraph::<(), ()>::new();
    let nodes: Vec<NodeIndex> = table.iter().map(|_| graph.add_node(())).collect();
    for (id, row) in table.iter() {
        for to in next(row) {
            graph.add_edge(nodes[id.index()], nodes[to.index()], ());
        }
    }
    if !is_cyclic_directed(&graph) {
        return vec![];
    }
    kosaraju_scc(&graph)
        .into_iter()
        .filter(|part| part.len() > 1 || graph.contains_edge(part[0], part[0]))
        .map(|part| remark(table, &graph, part, verb))
        .collect()
}

fn remark<T: Headed>(table: &Table<T>, graph: &DiGraph<(), ()>, mut part: Vec<NodeIndex>, verb: &str) -> Remark {
    part.sort();
    let path = walk(graph, &part);
    let row = |n: NodeIndex| &table[Id::from_index(n.index())];
    let names: Vec<String> = path.iter().map(|n| format!("`{}`", row(*n).name())).collect();
    let first = row(path[0]);
    let chain = names.join(&format!(" {verb} "));
    Remark::new(LOOP, format!("{chain} {verb} `{}`", first.name()), first.head().span, "the loop starts here")
        .help("take one of these links away")
}

/// One way round a strongly connected part, from its first node.
fn walk(graph: &DiGraph<(), ()>, part: &[NodeIndex]) -> Vec<NodeIndex> {
    let start = part[0];
    let mut came_from = std::collections::HashMap::new();
    let mut queue = std::collections::VecDeque::from([start]);
    while let Some(node) = queue.pop_front() {
        for next in graph.neighbors(node) {
            if next == start {
                let mut path = vec![node];
                while let Some(previous) = came_from.get(path.last().unwrap_or(&start)) {
                    path.push(*previous);
                }
                path.reverse();
                return path;
            }
            if part.contains(&next) && next != node && !came_from.contains_key(&next) {
                came_from.insert(next, node);
                queue.push_back(next);
            }
        }
    }
    vec![start]
}
