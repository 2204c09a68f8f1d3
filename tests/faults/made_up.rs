//! A made-up file system: every operation may fail, stop short or be the last one before a crash, and other programs come between.
//!
//! What is on the disk after a power cut is what was synced, and of the rest any beginning, perhaps with zeros after it; names given and taken
//! away since the folder was synced are there up to any one of them.

use faultbook::disk::{Identity, Medium, Trouble};
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};
use std::rc::Rc;

/// Numbers that are the same in every run of one seed.
#[derive(Clone)]
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Dice {
        Dice(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15).wrapping_add(0xD1B5_4A32_D192_ED03))
    }

    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    pub fn below(&mut self, n: usize) -> usize {
        (self.bits() % n as u64) as usize
    }

    /// True once in so many times.
    pub fn one_in(&mut self, n: usize) -> bool {
        n > 0 && self.below(n) == 0
    }
}

/// What may go wrong; 0 is never.
#[derive(Clone, Copy, Default)]
pub struct Weather {
    /// One operation in so many fails.
    pub fails: usize,
    /// One write in so many stops short.
    pub short: usize,
    /// The operation that is the last before a crash.
    pub crash_at: usize,
    /// Before one operation in so many another program does something.
    pub others: usize,
}

#[derive(Clone, Default)]
struct Node {
    text: Vec<u8>,
    synced: Vec<u8>,
}

struct State {
    dice: Dice,
    weather: Weather,
    nodes: Vec<Node>,
    names: BTreeMap<PathBuf, usize>,
    synced_names: BTreeMap<PathBuf, usize>,
    unsynced: Vec<(PathBuf, Option<usize>)>,
    locks: BTreeMap<usize, usize>,
    handles: usize,
    done: usize,
    down: bool,
    other: fn(&mut Other),
    /// The number of operations done when another program last did something.
    meddled: Option<usize>,
}

/// The file system; clones are the same one.
#[derive(Clone)]
pub struct MadeUp(Rc<RefCell<State>>);

/// An open file.
pub struct Open {
    node: usize,
    handle: usize,
    state: Rc<RefCell<State>>,
}

impl Drop for Open {
    fn drop(&mut self) {
        // a state that is borrowed is one that is being dropped itself
        if let Ok(mut state) = self.state.try_borrow_mut() {
            let own = self.handle;
            state.locks.retain(|_, holder| *holder != own);
        }
    }
}

/// What another program sees and does.
pub struct Other<'a> {
    state: &'a mut State,
}

impl Other<'_> {
    pub fn dice(&mut self) -> &mut Dice {
        &mut self.state.dice
    }

    pub fn read(&self, path: &str) -> Option<Vec<u8>> {
        self.state.names.get(Path::new(path)).map(|n| self.state.nodes[*n].text.clone())
    }

    /// Saves as editors do that write in place.
    pub fn overwrite(&mut self, path: &str, text: Vec<u8>) {
        if let Some(node) = self.state.names.get(Path::new(path)) {
            self.state.nodes[*node] = Node { text: text.clone(), synced: text };
        }
    }

    /// Saves as editors do that rename.
    pub fn replace(&mut self, path: &str, text: Vec<u8>) {
        self.state.nodes.push(Node { text: text.clone(), synced: text });
        let node = self.state.nodes.len() - 1;
        self.state.name(Path::new(path), Some(node));
        self.state.keep_names();
    }

    pub fn remove(&mut self, path: &str) {
        self.state.name(Path::new(path), None);
        self.state.keep_names();
    }
}

impl State {
    fn name(&mut self, path: &Path, node: Option<usize>) {
        match node {
            Some(node) => self.names.insert(path.into(), node),
            None => self.names.remove(path),
        };
        self.unsynced.push((path.into(), node));
    }

    fn keep_names(&mut self) {
        self.synced_names.clone_from(&self.names);
        self.unsynced.clear();
    }
}

fn failed() -> io::Error {
    io::Error::other("made-up failure")
}

impl MadeUp {
    pub fn new(seed: u64, weather: Weather, other: fn(&mut Other)) -> MadeUp {
        MadeUp(Rc::new(RefCell::new(State {
            dice: Dice::new(seed),
            weather,
            nodes: vec![],
            names: BTreeMap::new(),
            synced_names: BTreeMap::new(),
            unsynced: vec![],
            locks: BTreeMap::new(),
            handles: 0,
            done: 0,
            down: false,
            other,
            meddled: None,
        })))
    }

    /// Puts a file there, on the disk.
    pub fn place(&self, path: &str, text: &[u8]) {
        Other { state: &mut self.0.borrow_mut() }.replace(path, text.to_vec());
    }

    /// What stands there now.
    pub fn text(&self, path: &Path) -> Option<Vec<u8>> {
        let state = self.0.borrow();
        state.names.get(path).map(|n| state.nodes[*n].text.clone())
    }

    pub fn paths(&self) -> Vec<PathBuf> {
        self.0.borrow().names.keys().cloned().collect()
    }

    /// Whether it has crashed.
    pub fn is_down(&self) -> bool {
        self.0.borrow().down
    }

    /// Operations so far.
    pub fn done(&self) -> usize {
        self.0.borrow().done
    }

    /// Whether another program has done something since so many operations.
    pub fn meddled_since(&self, done: usize) -> bool {
        self.0.borrow().meddled.is_some_and(|at| at >= done)
    }

    /// Nothing goes wrong from now on.
    pub fn calm(&self) {
        self.0.borrow_mut().weather = Weather::default();
    }

    /// Up again after a crash. A kill leaves what was written; a power cut leaves what was synced and any part of the rest.
    pub fn restart(&self) {
        let state = &mut *self.0.borrow_mut();
        let power = state.down && state.dice.one_in(2);
        (state.down, state.weather) = (false, Weather::default());
        state.locks.clear();
        if !power {
            return;
        }
        for node in &mut state.nodes {
            let mut kept = node.synced.clone();
            if let Some(rest) = node.text.strip_prefix(&node.synced[..]) {
                let (part, zeros) = (state.dice.below(rest.len() + 1), state.dice.one_in(3));
                kept.extend_from_slice(&rest[..part]);
                // the length got to the disk, and the bytes did not
                kept.resize(if zeros { node.text.len() } else { kept.len() }, 0);
            } else if state.dice.one_in(2) {
                kept.clone_from(&node.text);
            }
            *node = Node { text: kept.clone(), synced: kept };
        }
        let until = state.dice.below(state.unsynced.len() + 1);
        state.names.clone_from(&state.synced_names);
        for (path, node) in std::mem::take(&mut state.unsynced).into_iter().take(until) {
            match node {
                Some(node) => state.names.insert(path, node),
                None => state.names.remove(&path),
            };
        }
        state.keep_names();
    }

    /// One operation: others come first, then it fails, happens, or happens just before a crash.
    fn step<T>(&self, what: impl FnOnce(&mut State) -> io::Result<T>) -> io::Result<T> {
        let state = &mut *self.0.borrow_mut();
        if state.down {
            return Err(failed());
        }
        state.done += 1;
        if state.dice.one_in(state.weather.others) {
            (state.other)(&mut Other { state });
            state.meddled = Some(state.done);
        }
        if state.done == state.weather.crash_at {
            state.down = true;
            if state.dice.one_in(2) {
                what(state).ok();
            }
            return Err(failed());
        }
        if state.dice.one_in(state.weather.fails) {
            return Err(failed());
        }
        what(state)
    }

    fn opened(&self, node: usize) -> Open {
        let mut state = self.0.borrow_mut();
        state.handles += 1;
        Open { node, handle: state.handles, state: Rc::clone(&self.0) }
    }
}

impl Medium for MadeUp {
    type File = Open;

    fn open(&self, path: &Path, _: bool) -> Result<Open, Trouble> {
        let node = self.step(|s| s.names.get(path).copied().ok_or(io::ErrorKind::NotFound.into()))?;
        Ok(self.opened(node))
    }

    fn create(&self, path: &Path, _: Option<&Path>) -> Result<Open, Trouble> {
        let node = self.step(|s| {
            if s.names.contains_key(path) {
                return Err(io::ErrorKind::AlreadyExists.into());
            }
            s.nodes.push(Node::default());
            s.name(path, Some(s.nodes.len() - 1));
            Ok(s.nodes.len() - 1)
        })?;
        Ok(self.opened(node))
    }

    fn stands(&self, path: &Path) -> io::Result<Option<Identity>> {
        self.step(|s| Ok(s.names.get(path).map(|n| Identity { device: u64::MAX, number: *n as u64 })))
    }

    fn identity(&self, file: &Open) -> io::Result<Identity> {
        self.step(|_| Ok(Identity { device: u64::MAX, number: file.node as u64 }))
    }

    fn lock(&self, file: &Open) -> io::Result<bool> {
        self.step(|s| Ok(*s.locks.entry(file.node).or_insert(file.handle) == file.handle))
    }

    fn read(&self, file: &mut Open, most: u64) -> Result<Vec<u8>, Trouble> {
        let text = self.step(|s| Ok(s.nodes[file.node].text.clone()))?;
        if text.len() as u64 > most { Err(Trouble::Long(most)) } else { Ok(text) }
    }

    fn write(&self, file: &mut Open, bytes: &[u8]) -> io::Result<usize> {
        let (short, part) = {
            let state = &mut *self.0.borrow_mut();
            (state.dice.one_in(state.weather.short), state.dice.below(bytes.len() + 1))
        };
        let bytes = if short { &bytes[..part] } else { bytes };
        self.step(|s| {
            s.nodes[file.node].text.extend_from_slice(bytes);
            Ok(bytes.len())
        })
    }

    fn cut(&self, file: &Open, length: u64) -> io::Result<()> {
        self.step(|s| {
            s.nodes[file.node].text.resize(length as usize, 0);
            Ok(())
        })
    }

    fn sync(&self, file: &Open) -> io::Result<()> {
        self.step(|s| {
            let node = &mut s.nodes[file.node];
            node.synced.clone_from(&node.text);
            Ok(())
        })
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.step(|s| {
            let node = *s.names.get(from).ok_or(io::ErrorKind::NotFound)?;
            s.names.remove(from);
            s.names.insert(to.into(), node);
            // one step on the disk too: both or neither
            s.unsynced.push((to.into(), Some(node)));
            s.unsynced.push((from.into(), None));
            Ok(())
        })
    }

    fn publish(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.step(|s| {
            if s.names.contains_key(to) {
                return Err(io::ErrorKind::AlreadyExists.into());
            }
            let node = *s.names.get(from).ok_or(io::ErrorKind::NotFound)?;
            s.name(to, Some(node));
            s.name(from, None);
            Ok(())
        })
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        self.step(|s| {
            s.names.get(path).ok_or(io::ErrorKind::NotFound)?;
            s.name(path, None);
            Ok(())
        })
    }

    fn sync_folder(&self, _: &Path) -> io::Result<()> {
        self.step(|s| {
            s.keep_names();
            Ok(())
        })
    }

    fn names(&self, folder: &Path) -> io::Result<Vec<PathBuf>> {
        self.step(|s| Ok(s.names.keys().filter(|p| p.parent() == Some(folder)).filter_map(|p| p.file_name()).map(PathBuf::from).collect()))
    }

    fn follow(&self, path: &Path) -> io::Result<PathBuf> {
        self.step(|s| s.names.contains_key(path).then(|| path.to_path_buf()).ok_or(io::ErrorKind::NotFound.into()))
    }

    fn draw(&self) -> u64 {
        self.0.borrow_mut().dice.bits()
    }
}
