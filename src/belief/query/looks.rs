//! Several looks at one finding as one piece of evidence.
//!
//! Looks between which nothing that pushes the finding can have ended show one state: they are an epoch.

use super::lives::Lives;
use crate::belief::model::{MISREAD, Seen};
use std::collections::HashMap;

/// All looks at one finding.
#[derive(Debug)]
pub enum Track<'a> {
    /// One look, by its place among all.
    One(usize, &'a Seen),
    /// Several, by the place of the first.
    Many(usize, usize, Vec<Epoch>),
}

/// Looks that show one state.
#[derive(Debug, Clone, PartialEq)]
pub struct Epoch {
    /// The period of the first of them.
    pub period: usize,
    /// What all of them say of each state.
    pub weights: Vec<f64>,
}

/// Gathers looks by finding, in the order in which the findings first come up.
pub fn tracks<'a>(lives: &Lives, seen: &[&'a Seen]) -> Vec<Track<'a>> {
    let mut first = vec![0u32; lives.network.findings().len()];
    let mut tracks: Vec<Track> = Vec::with_capacity(seen.len());
    let mut again: HashMap<usize, Vec<&Seen>> = HashMap::new();
    for (i, look) in seen.iter().enumerate() {
        match first[look.finding] {
            0 => {
                tracks.push(Track::One(i, look));
                first[look.finding] = tracks.len() as u32;
            }
            _ => again.entry(look.finding).or_default().push(look),
        }
    }
    for (finding, mut looks) in again {
        let track = &mut tracks[first[finding] as usize - 1];
        if let Track::One(i, look) = *track {
            looks.insert(0, look);
            *track = Track::Many(i, finding, epochs(lives, finding, looks));
        }
    }
    tracks
}

/// What a later look says: with a small chance it is misread.
fn later(weights: &[f64]) -> impl Iterator<Item = f64> {
    let share = MISREAD / weights.len() as f64 * weights.iter().sum::<f64>();
    weights.iter().map(move |w| (1.0 - MISREAD) * w + share)
}

/// Puts the looks at one finding together, the oldest first.
pub fn epochs(lives: &Lives, finding: usize, mut looks: Vec<&Seen>) -> Vec<Epoch> {
    looks.sort_by_key(|look| look.period);
    let mut epochs: Vec<Epoch> = Vec::new();
    for (i, look) in looks.into_iter().enumerate() {
        let weights: Vec<f64> = if i == 0 { look.weights.clone() } else { later(&look.weights).collect() };
        match epochs.last_mut() {
            Some(epoch) if !lives.changed(finding, epoch.period, look.period) => {
                epoch.weights.iter_mut().zip(weights).for_each(|(all, w)| *all *= w);
            }
            _ => epochs.push(Epoch { period: look.period, weights }),
        }
    }
    epochs
}
