//! The channels of a drive as they stand at one row: their values, how fresh they are, and whether they can be believed.
//!
//! A recorder that has lost contact repeats what it knew. So a value counts only while its channel is being given, and nothing counts after a
//! pause, a jump of the clock, a stopped engine or a long stretch in which nothing at all moves, until something moves again.

use crate::book::{Book, Channel, Id};

/// The generic identifier of engine speed (SAE J1979, service 01): the channel with it tells whether the engine turns.
const ENGINE_SPEED: u8 = 0x0C;
/// Above this many rpm an engine runs by itself; below the second it stands or is cranked. Common practice, no source.
const RUNS: f64 = 450.0;
const STOPS: f64 = 300.0;
/// Seconds in which nothing moves, after which the recorder is taken to have lost contact. A real drive of ten channels never stood still for more than 2.2 s.
const STILL: f64 = 15.0;
/// Seconds after a loss of contact before values count again: each channel must have been asked once.
const SETTLE: f64 = 2.0;
/// Seconds after an engine stop before values count: pressures and the throttle come to rest.
const REST: f64 = 5.0;
/// Seconds before contact was lost or the engine stopped in which the throttle shuts and values come late: no extreme may be taken of them.
pub const TAIL: f64 = 2.0;
/// A channel that was never asked twice is believed for so many seconds.
const FIRST_HOLD: f64 = 10.0;
/// A channel is believed for so many of its usual intervals, and for two seconds at least.
const INTERVALS: f64 = 5.0;
const LEAST_HOLD: f64 = 2.0;

/// One channel.
#[derive(Debug, Clone)]
pub struct Slot {
    /// Its value in its own unit; NaN where it is not known or not believed.
    pub value: f64,
    /// Least value over the whole log.
    pub least: f64,
    /// Greatest value over the whole log.
    pub most: f64,
    last: f64,
    /// Samples before it was given in every row.
    given: u64,
    /// The row it was given in last, or since which it is given in every row.
    row: u64,
    /// Whether it is given in every row, so that nothing need be noted of it while it stands.
    every_row: bool,
    at: f64,
    interval: f64,
}

/// Nothing after this moment counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cut {
    /// The last moment that counts.
    pub until: f64,
    /// The last moment that counts for what a single sample can spoil: least, most, first, last, spread, mean.
    pub careful: f64,
}

/// All channels of a drive.
#[derive(Debug)]
pub struct Signals {
    slots: Vec<Slot>,
    engine: Option<usize>,
    turns: Option<bool>,
    has_run: bool,
    stopped: bool,
    /// Seconds since the log began, at this row and the one before.
    pub now: f64,
    /// The time of the row before.
    pub before: f64,
    row: u64,
    moved_at: f64,
    moved: bool,
    ready_at: f64,
    ready: bool,
    moved_since_cut: bool,
    next_check: f64,
    /// Channels whose value changed in this row.
    pub changed: Vec<usize>,
    /// What went wrong with the recording.
    pub pauses: Pauses,
}

/// What in a log could not be believed.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Pauses {
    /// Pauses between rows, the recorder's clock jumping, repeated headings.
    pub breaks: u64,
    /// The longest pause, seconds.
    pub longest: f64,
    /// Jumps of the clock.
    pub jumps: u64,
    /// Seconds in which nothing moved, beyond what a live recording shows.
    pub still: f64,
    /// How often the engine was switched off or died.
    pub stops: u64,
}

impl Signals {
    /// All channels of the book, none known.
    pub fn new(book: &Book) -> Signals {
        let nothing = f64::NAN;
        let slot = Slot {
            value: nothing,
            least: nothing,
            most: nothing,
            last: nothing,
            given: 0,
            row: 0,
            every_row: false,
            at: 0.0,
            interval: 0.0,
        };
        let engine = book.channels.iter().find(|(_, c)| c.pid == Some(ENGINE_SPEED)).map(|(id, _)| id.index());
        Signals {
            slots: vec![slot; book.channels.len()],
            engine,
            turns: None,
            has_run: false,
            stopped: false,
            now: 0.0,
            before: 0.0,
            row: 0,
            moved_at: 0.0,
            moved: false,
            ready_at: 0.0,
            ready: true,
            moved_since_cut: true,
            next_check: 0.0,
            changed: vec![],
            pauses: Pauses::default(),
        }
    }

    /// The channel of that number.
    pub fn slot(&self, channel: usize) -> &Slot {
        &self.slots[channel]
    }

    /// The value of a channel; NaN where it is not known.
    pub fn value(&self, channel: Id<Channel>) -> f64 {
        self.slots[channel.index()].value
    }

    /// The channel that tells whether the engine turns.
    pub fn engine(&self) -> Option<usize> {
        self.engine
    }

    /// Whether the engine is known to stand.
    pub fn stands(&self) -> bool {
        self.turns == Some(false)
    }

    /// Whether values may be counted now.
    pub fn ready(&self) -> bool {
        self.ready
    }

    /// Samples a channel was given before this row.
    pub fn given_before(&self, channel: usize) -> u64 {
        let slot = &self.slots[channel];
        if slot.every_row { slot.given + self.row - slot.row } else { slot.given - u64::from(slot.row == self.row) }
    }

    /// Whether a channel was given in this row.
    pub fn given_now(&self, channel: usize) -> bool {
        let slot = &self.slots[channel];
        slot.every_row || slot.row == self.row
    }

    /// Begins a row at its time. `pause` is the longest step that is still one recording.
    pub fn begin(&mut self, now: f64, jumped: bool, pause: f64) -> Option<Cut> {
        self.before = self.now;
        self.now = now;
        self.row += 1;
        self.changed.clear();
        self.moved = false;
        self.stopped = false;
        let step = now - self.before;
        self.pauses.jumps += u64::from(jumped);
        if !jumped && step > pause {
            self.pauses.longest = self.pauses.longest.max(step);
        }
        ((jumped || step > pause) && self.row > 1).then(|| self.lose_contact(self.before))
    }

    /// The recorder began anew.
    pub fn restart(&mut self) -> Cut {
        self.lose_contact(self.now)
    }

    /// Contact is lost: nothing is known until it is given again.
    fn lose_contact(&mut self, at: f64) -> Cut {
        self.pauses.breaks += 1;
        for (channel, slot) in self.slots.iter_mut().enumerate() {
            if slot.value.is_finite() {
                slot.value = f64::NAN;
                self.changed.push(channel);
            }
        }
        self.distrust(self.now);
        self.cut_at(at)
    }

    /// With the engine at rest nothing comes late.
    fn cut_at(&self, until: f64) -> Cut {
        Cut { until, careful: until - if self.stands() && !self.stopped { 0.0 } else { TAIL } }
    }

    fn distrust(&mut self, ready_at: f64) {
        self.ready = false;
        self.moved_since_cut = false;
        self.ready_at = ready_at;
    }

    /// A channel is given one sample.
    pub fn sample(&mut self, channel: usize, value: f64) {
        let (now, row) = (self.now, self.row);
        let slot = &mut self.slots[channel];
        slot.space(now);
        slot.at = now;
        slot.given += 1;
        slot.row = row;
        self.set(channel, value);
    }

    /// A channel is given a value in this row, and the same in every row until it is given another or hushed.
    pub fn give(&mut self, channel: usize, value: f64) {
        let (now, row) = (self.now, self.row);
        let slot = &mut self.slots[channel];
        if !slot.every_row {
            slot.space(now);
            slot.every_row = true;
            slot.row = row;
        }
        self.set(channel, value);
    }

    /// A channel is no longer given.
    pub fn hush(&mut self, channel: usize) {
        let (before, row) = (self.before, self.row);
        let slot = &mut self.slots[channel];
        if slot.every_row {
            slot.every_row = false;
            slot.given += row - slot.row;
            slot.row = row.saturating_sub(1);
            slot.at = before;
        }
    }

    fn set(&mut self, channel: usize, value: f64) {
        let slot = &mut self.slots[channel];
        if same(slot.value, value) {
            return;
        }
        slot.least = slot.least.min(value);
        slot.most = slot.most.max(value);
        self.moved |= !same(slot.last, value);
        slot.value = value;
        slot.last = value;
        self.changed.push(channel);
        if self.engine == Some(channel) {
            self.turn(value);
        }
    }

    fn turn(&mut self, rpm: f64) {
        if rpm >= RUNS {
            self.turns = Some(true);
            self.has_run = true;
        } else if rpm < STOPS {
            self.stopped = self.turns == Some(true);
            self.turns = Some(false);
        }
    }

    /// Ends a row: what it showed of the engine and of the recording.
    pub fn end(&mut self) -> Option<Cut> {
        let cut = if self.stopped { Some(self.stop()) } else { self.stand_still() };
        if self.moved {
            self.moved_at = self.now;
            if !self.moved_since_cut {
                self.moved_since_cut = true;
                self.ready_at = self.ready_at.max(self.now + SETTLE);
            }
        }
        if self.now >= self.next_check {
            self.next_check = self.now + LEAST_HOLD / 4.0;
            self.forget_old();
        }
        if !self.ready && self.moved_since_cut && self.now >= self.ready_at {
            self.ready = true;
            self.changed.extend(0..self.slots.len());
        }
        cut
    }

    fn stop(&mut self) -> Cut {
        self.pauses.stops += 1;
        self.distrust(self.now + REST);
        self.cut_at(self.before)
    }

    /// Nothing moves for long: stale, not steady. An engine that has not been started yet may well stand still.
    fn stand_still(&mut self) -> Option<Cut> {
        let still = self.now - self.moved_at;
        let live = self.stands() && !self.has_run;
        if self.moved || live || still <= STILL {
            return None;
        }
        self.pauses.still += if self.ready { still } else { self.now - self.before };
        self.ready.then(|| {
            self.distrust(self.now);
            self.cut_at(self.moved_at)
        })
    }

    /// A channel that is no longer given is no longer known.
    fn forget_old(&mut self) {
        for (channel, slot) in self.slots.iter_mut().enumerate() {
            if !slot.every_row && slot.value.is_finite() && self.now - slot.at > slot.hold() {
                slot.value = f64::NAN;
                self.changed.push(channel);
            }
        }
    }

    /// The last moment that counts when the log ends here.
    pub fn finish(&self) -> Cut {
        match self.turns {
            None => Cut { until: self.now, careful: self.now },
            Some(_) => self.cut_at(self.now),
        }
    }
}

impl Slot {
    /// Learns how often the channel is given; a pause is no interval.
    fn space(&mut self, now: f64) {
        let interval = now - self.at;
        if self.given == 1 {
            self.interval = interval;
        } else if self.given > 1 && interval <= self.hold() {
            self.interval += 0.1 * (interval - self.interval);
        }
    }

    fn hold(&self) -> f64 {
        if self.given < 2 { FIRST_HOLD } else { LEAST_HOLD.max(INTERVALS * self.interval) }
    }
}

/// Two printed values are the same where they are written the same.
#[allow(clippy::float_cmp)]
fn same(a: f64, b: f64) -> bool {
    a == b
}
