//! The program on a terminal of its own: a pseudo-terminal, so that no other program is needed.

use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};
use rustix::termios::{Winsize, tcsetwinsize};
use std::fs::{File, OpenOptions};
use std::io::{Read, Write};
use std::path::Path;
use std::process::{Child, Command, ExitStatus};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// A slow machine makes a test slower, never red.
const PATIENCE: Duration = Duration::from_secs(120);

/// A run on a terminal; it ends with the test.
pub struct Terminal {
    child: Child,
    keys: File,
    screen: Arc<Mutex<Vec<u8>>>,
}

impl Terminal {
    /// Runs the program on a terminal of so many columns.
    pub fn new(columns: u16, folder: &Path, arguments: &[&str]) -> Terminal {
        let master = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY).unwrap();
        grantpt(&master).unwrap();
        unlockpt(&master).unwrap();
        tcsetwinsize(&master, Winsize { ws_row: 30, ws_col: columns, ws_xpixel: 0, ws_ypixel: 0 }).unwrap();
        let name = ptsname(&master, Vec::new()).unwrap().into_string().unwrap();
        let end = || OpenOptions::new().read(true).write(true).open(&name).unwrap();
        let mut command = Command::new(env!("CARGO_BIN_EXE_faultbook"));
        command.args(arguments).current_dir(folder).env("NO_COLOR", "1").env_remove("COLUMNS");
        let child = command.stdin(end()).stdout(end()).stderr(end()).spawn().unwrap();
        let keys = File::from(master);
        let screen = Arc::new(Mutex::new(vec![]));
        let (mut from, to) = (keys.try_clone().unwrap(), Arc::clone(&screen));
        std::thread::spawn(move || {
            let mut bytes = [0; 4096];
            while let Ok(n @ 1..) = from.read(&mut bytes) {
                to.lock().unwrap().extend_from_slice(&bytes[..n]);
            }
        });
        Terminal { child, keys, screen }
    }

    /// Types a line.
    pub fn line(&mut self, bytes: impl AsRef<[u8]>) {
        self.keys.write_all(bytes.as_ref()).unwrap();
        self.keys.write_all(b"\n").unwrap();
    }

    /// All that was shown so far.
    pub fn shown(&self) -> String {
        String::from_utf8_lossy(&self.screen.lock().unwrap()).replace('\r', "")
    }

    /// Waits until something was shown, and gives all that was.
    pub fn wait_for(&self, words: &str) -> String {
        self.wait_after(0, words)
    }

    fn wait_after(&self, before: usize, words: &str) -> String {
        let start = Instant::now();
        loop {
            let shown = self.shown();
            if shown.get(before..).is_some_and(|new| new.contains(words)) {
                return shown;
            }
            assert!(start.elapsed() < PATIENCE, "waited for `{words}`:\n{shown}");
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    /// Types a line and waits for an answer to it.
    pub fn say(&mut self, line: &str, words: &str) -> String {
        let before = self.shown().len();
        self.line(line);
        self.wait_after(before, words)
    }

    /// Ends it as a power cut does.
    pub fn kill(&mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }

    /// Waits for its end.
    pub fn end(&mut self) -> ExitStatus {
        let start = Instant::now();
        loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                return status;
            }
            assert!(start.elapsed() < PATIENCE, "it does not end:\n{}", self.shown());
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    /// The number of its process.
    pub fn process(&self) -> rustix::process::Pid {
        rustix::process::Pid::from_child(&self.child)
    }
}

impl Drop for Terminal {
    fn drop(&mut self) {
        self.child.kill().ok();
        self.child.wait().ok();
    }
}
