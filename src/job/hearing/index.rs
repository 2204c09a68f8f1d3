//! What people say of each of many things -> an index that ranks the things by what somebody said.
//!
//! Ranking is Okapi BM25 (Robertson and Zaragoza 2009, "The Probabilistic Relevance Framework", equation 3.15; k1 = 1.2, b = 0.75) over single words and pairs of neighbours, plus how well
//! the three best phrases of the thing are covered, nearest and in order.

use super::said::{Sense, Word, words};
use super::vocabulary::vocabulary;
use foldhash::fast::RandomState;
use indexmap::{IndexMap, IndexSet};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

const K1: f64 = 1.2;
const B: f64 = 0.75;
/// A word that means the same counts so much of the word itself.
const ALIKE: f64 = 0.85;
/// What is covered in part counts by this power of the share.
const PART: f64 = 1.5;
/// How much the words at large count beside the phrases.
const AT_LARGE: f64 = 0.3;
/// So many words before and behind its best phrase belong to a thing.
const AROUND: usize = 12;
/// A word with fewer letters is heard as it is spelled: `still` is no `stall`.
const SLIPS_FROM: usize = 6;

/// A word tells as much as it would among so many things at least: in a small book each word stands in half of all, and its symptoms would be heard by nobody. Fewer than the
/// symptoms of the book on which the cut of `listen` was fitted.
const AMONG: f64 = 200.0;

/// Number of a stem.
type Term = u32;
/// A stem, or a stem and the next.
type Key = (Term, Option<Term>);

#[derive(Serialize, Deserialize)]
struct Phrase {
    thing: usize,
    terms: Vec<Term>,
    denies: bool,
    well: bool,
}

#[derive(Default, Serialize, Deserialize)]
struct Thing {
    /// How often each stem and pair stands in it, in their order.
    counts: Vec<(Key, u32)>,
    /// Stems in all.
    length: u32,
}

impl Thing {
    fn count(&self, key: Key) -> u32 {
        self.counts.binary_search_by_key(&key, |(own, _)| *own).map_or(0, |at| self.counts[at].1)
    }
}

/// The index. Plain lists for the most part, so that one made when the program was built is read in no time; what they don't hold is found by going through them.
#[derive(Default, Serialize, Deserialize)]
pub(super) struct Index {
    terms: IndexSet<String, RandomState>,
    /// The term of each longer word as it is written, for slips.
    written: IndexMap<String, Term, RandomState>,
    phrases: Vec<Phrase>,
    things: Vec<Thing>,
    /// In how many things each term stands.
    spread: Vec<u32>,
}

/// How well a thing is meant.
#[derive(Debug, Clone)]
pub(super) struct Ranked {
    /// Its number.
    pub thing: usize,
    /// How strongly; no unit, above 0.
    pub strength: f64,
    /// Share of the weight of its best phrase that was said, above 0 to 1.
    pub covered: f64,
    /// The words of the best phrase by their places in the list of words, with their weights.
    pub heard: Vec<(usize, f64)>,
}

/// How far the senses of the words count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Heed {
    /// What is denied or in order is not meant.
    Senses,
    /// Only the words count.
    Words,
}

impl Index {
    /// Adds the next thing: what people say of it, and words that belong to it without being said.
    pub(super) fn add<'t>(&mut self, phrases: impl Iterator<Item = &'t str>, beside: impl Iterator<Item = &'t str>) {
        let thing = self.things.len();
        let mut keys: Vec<Key> = Vec::new();
        for phrase in phrases {
            let said = words(phrase);
            let terms = self.count(&said, &mut keys);
            if terms.is_empty() {
                continue;
            }
            let denies = said.iter().any(|w| w.sense == Sense::Denied || w.role == super::said::Role::Denial);
            self.phrases.push(Phrase { thing, terms, denies, well: said.iter().any(Word::says_well) });
        }
        for text in beside {
            self.count(&words(text), &mut keys);
        }
        keys.sort_unstable();
        let counts: Vec<(Key, u32)> = keys.chunk_by(|a, b| a == b).map(|same| (same[0], same.len() as u32)).collect();
        let single = |key: &Key| key.1.is_none();
        counts.iter().filter(|(key, _)| single(key)).for_each(|((term, _), _)| self.spread[*term as usize] += 1);
        self.things.push(Thing { counts, length: keys.iter().filter(|k| single(k)).count() as u32 });
    }

    fn count(&mut self, said: &[Word], keys: &mut Vec<Key>) -> Vec<Term> {
        let terms: Vec<Term> = said.iter().filter(|w| w.tells()).map(|w| self.term(w)).collect();
        keys.extend(terms.iter().map(|t| (*t, None)));
        keys.extend(terms.windows(2).map(|pair| (pair[0], Some(pair[1]))));
        terms
    }

    fn term(&mut self, word: &Word) -> Term {
        let at = self.terms.get_index_of(&*word.stem).unwrap_or_else(|| {
            self.spread.push(0);
            self.terms.insert_full(word.stem.to_string()).0
        });
        if word.plain.chars().count() >= SLIPS_FROM {
            match self.written.get_mut(&word.plain) {
                Some(known) => *known = at as Term,
                None => {
                    self.written.insert(word.plain.clone(), at as Term);
                }
            }
        }
        at as Term
    }

    /// Inverse document frequency of what stands in so many things, 0 or more.
    fn tells(&self, held: u32) -> f64 {
        let (among, held) = ((self.things.len() as f64).max(AMONG), f64::from(held));
        (1.0 + (among - held + 0.5) / (held + 0.5)).ln()
    }

    fn term_tells(&self, term: Term) -> f64 {
        self.tells(self.spread[term as usize])
    }

    /// The terms that a word may stand for, each with how near it is; of a word that nobody knows those that are one slip away.
    fn meant(&self, word: &Word) -> Vec<(Term, f64)> {
        let number = |stem: &str| self.terms.get_index_of(stem).map(|at| at as Term);
        let alike = vocabulary().alike.get(&*word.stem).into_iter().flatten();
        let mut out: Vec<(Term, f64)> =
            number(&word.stem).map(|t| (t, 1.0)).into_iter().chain(alike.filter_map(|s| number(s)).map(|t| (t, ALIKE))).collect();
        if out.is_empty() && word.plain.chars().count() >= SLIPS_FROM {
            let near = |known: &str| strsim::damerau_levenshtein(known, &word.plain) <= 1;
            out = self.written.iter().filter(|(known, _)| near(known)).map(|(_, t)| (*t, 1.0)).collect();
        }
        out.sort_by_key(|(term, _)| *term);
        out.dedup_by_key(|(term, _)| *term);
        out
    }

    /// All that was meant at least in part, the strongest first.
    pub(super) fn rank(&self, said: &[Word], heed: Heed) -> Vec<Ranked> {
        let telling: Vec<usize> = (0..said.len()).filter(|i| said[*i].tells()).collect();
        let meant: Vec<Vec<(Term, f64)>> = telling.iter().map(|i| self.meant(&said[*i])).collect();
        let mut wanted = vec![false; self.terms.len()];
        meant.iter().flatten().for_each(|(term, _)| wanted[*term as usize] = true);
        let query = Query::new(self, said, &telling, &meant, heed);
        let mut best: BTreeMap<usize, Vec<Match>> = BTreeMap::new();
        for phrase in self.phrases.iter().filter(|p| p.terms.iter().any(|t| wanted[*t as usize])) {
            if let Some(found) = query.matches(phrase) {
                best.entry(phrase.thing).or_default().push(found);
            }
        }
        let mut out: Vec<Ranked> = best.into_iter().map(|(thing, found)| query.sum(thing, found)).collect();
        out.sort_by(|a, b| b.strength.total_cmp(&a.strength).then(a.thing.cmp(&b.thing)));
        out
    }
}

struct Match {
    strength: f64,
    covered: f64,
    heard: Vec<(usize, f64)>,
}

/// Something said, laid beside the index.
struct Query<'a> {
    index: &'a Index,
    said: &'a [Word],
    telling: &'a [usize],
    meant: &'a [Vec<(Term, f64)>],
    /// What each of them and the next make as a pair, and how much that tells; none where a clause ends between them.
    pairs: Vec<Option<(Key, f64)>>,
    heed: Heed,
    /// Stems of a thing in the mean.
    average: f64,
}

impl<'a> Query<'a> {
    fn new(index: &'a Index, said: &'a [Word], telling: &'a [usize], meant: &'a [Vec<(Term, f64)>], heed: Heed) -> Query<'a> {
        let pair = |at: usize| {
            let key = (meant[at].first()?.0, Some(meant.get(at + 1)?.first()?.0));
            (said[telling[at]].clause == said[telling[at + 1]].clause).then(|| {
                let held = index.things.iter().filter(|t| t.count(key) > 0).count();
                (key, index.tells(held as u32))
            })
        };
        let average = index.things.iter().map(|t| f64::from(t.length)).sum::<f64>() / index.things.len() as f64;
        Query { index, said, telling, meant, pairs: (0..telling.len()).map(pair).collect(), heed, average }
    }

    /// How well a phrase was said: the stretch of words that covers most of it.
    fn matches(&self, phrase: &Phrase) -> Option<Match> {
        let weights: Vec<f64> = phrase.terms.iter().map(|t| self.index.term_tells(*t)).collect();
        let hits = self.hits(phrase);
        let reach = 2 * phrase.terms.len() + 4;
        let mut best: Option<Match> = None;
        for from in 0..hits.len() {
            let mut held: Vec<Option<(usize, f64)>> = vec![None; phrase.terms.len()];
            let mut used: Vec<usize> = vec![];
            for (at, slot, near) in &hits[from..] {
                if self.said[*at].place - self.said[hits[from].0].place > reach {
                    break;
                }
                if !used.contains(at) && held[*slot].is_none_or(|(_, n)| *near > n) {
                    held[*slot] = Some((*at, *near));
                    used.push(*at);
                }
            }
            if let Some(found) = self.judge(phrase, &weights, &held).filter(|f| best.as_ref().is_none_or(|b| f.strength > b.strength)) {
                best = Some(found);
            }
        }
        best
    }

    /// Which word may stand for which of the phrase, in the order of what was said.
    fn hits(&self, phrase: &Phrase) -> Vec<(usize, usize, f64)> {
        let mut hits = Vec::new();
        for (at, meant) in self.telling.iter().zip(self.meant) {
            let sense = self.said[*at].sense;
            let out = (sense == Sense::Well && !phrase.well) || (sense == Sense::Denied && !phrase.denies);
            if out && self.heed == Heed::Senses {
                continue;
            }
            for (slot, wanted) in phrase.terms.iter().enumerate() {
                hits.extend(meant.iter().find(|(term, _)| term == wanted).map(|(_, near)| (*at, slot, *near)));
            }
        }
        hits
    }

    /// A phrase that denies must meet a denial. In order and close together counts most.
    fn judge(&self, phrase: &Phrase, weights: &[f64], held: &[Option<(usize, f64)>]) -> Option<Match> {
        let places: Vec<usize> = held.iter().flatten().map(|(at, _)| *at).collect();
        let (first, last) = (*places.iter().min()?, *places.iter().max()?);
        let denied = places.iter().any(|at| self.said[*at].sense == Sense::Denied);
        if phrase.denies && !denied && self.heed == Heed::Senses {
            return None;
        }
        let heard: Vec<(usize, f64)> = held.iter().zip(weights).filter_map(|(h, w)| h.map(|(at, _)| (at, *w))).collect();
        let weight: f64 = held.iter().zip(weights).filter_map(|(h, w)| h.map(|(_, near)| near * w)).sum();
        let covered = weight / weights.iter().sum::<f64>().max(f64::MIN_POSITIVE);
        let steps = places.len().saturating_sub(1);
        let right = places.windows(2).filter(|pair| pair[0] < pair[1]).count();
        let order = if steps == 0 { 1.0 } else { right as f64 / steps as f64 };
        let wide = (self.said[last].place - self.said[first].place + 1).saturating_sub(phrase.terms.len());
        let close = 1.0 / (1.0 + 0.04 * wide as f64);
        Some(Match { strength: weight * covered.powf(PART) * (0.9 + 0.1 * order) * close, covered, heard })
    }

    /// The best phrase in full, the second and third by a half and a third, and the words at large.
    fn sum(&self, thing: usize, mut found: Vec<Match>) -> Ranked {
        found.sort_by(|a, b| b.strength.total_cmp(&a.strength));
        let phrases: f64 = found.iter().take(3).enumerate().map(|(i, m)| m.strength / (i + 1) as f64).sum();
        let best = found.swap_remove(0);
        let strength = phrases + AT_LARGE * self.at_large(thing, &best.heard);
        Ranked { thing, strength, covered: best.covered, heard: best.heard }
    }

    fn at_large(&self, thing: usize, heard: &[(usize, f64)]) -> f64 {
        let index = self.index;
        let places = heard.iter().map(|(at, _)| self.said[*at].place);
        let (first, last) = (places.clone().min().unwrap_or(0), places.max().unwrap_or(0));
        let around = |at: usize| self.said[self.telling[at]].place + AROUND >= first && self.said[self.telling[at]].place <= last + AROUND;
        let thing = &index.things[thing];
        let long = 1.0 - B + B * f64::from(thing.length) / self.average;
        let gain = |key: Key, tells: f64, near: f64| {
            let count = near * f64::from(thing.count(key));
            tells * count * (K1 + 1.0) / (count + K1 * long)
        };
        let mut seen = BTreeSet::new();
        let mut sum = 0.0;
        let plain = |at: usize| self.said[self.telling[at]].sense != Sense::Well || self.heed == Heed::Words;
        for at in (0..self.telling.len()).filter(|at| plain(*at) && around(*at)) {
            if seen.insert(&self.said[self.telling[at]].stem) {
                let one = |(t, near): &(Term, f64)| gain((*t, None), index.term_tells(*t), *near);
                sum += self.meant[at].iter().map(one).fold(0.0, f64::max);
            }
            if let Some((key, tells)) = self.pairs[at].filter(|_| around(at + 1)) {
                sum += gain(key, tells, 1.0);
            }
        }
        sum
    }
}
