//! Histories of a made-up file system: whatever fails, is cut short, crashes or comes between, what was said to be kept is there afterwards.
//!
//! `FAULTBOOK_HISTORIES` says how many; each has a seed that is named where it goes wrong.

use super::made_up::{Dice, MadeUp, Other, Weather};
use faultbook::disk::{Held, Kept, Trouble, exchange, put, put_new};
use std::path::Path;

const SHEET: &str = "/jobs/job.toml";
const HEAD: &str = "title = \"A van\"\n";
const MOST: u64 = 1 << 20;

fn histories() -> u64 {
    std::env::var("FAULTBOOK_HISTORIES").ok().and_then(|n| n.parse().ok()).unwrap_or(4000)
}

fn entry(number: usize) -> String {
    format!("\n[[journal]]\nanswer = \"number {number}\"\n")
}

fn from(text: &[u8]) -> usize {
    let at = |needle: &[u8]| text.windows(needle.len()).position(|w| w == needle);
    if text.starts_with(b"[[journal]]") { 0 } else { at(b"\n[[journal]]").map_or(text.len(), |at| at + 1) }
}

/// The numbers of the whole entries, in order.
fn numbers(text: &[u8]) -> Vec<usize> {
    let text = String::from_utf8_lossy(text);
    let entries = text.split("\n[[journal]]\nanswer = \"number ").skip(1);
    entries.filter_map(|e| e.split_once("\"\n").and_then(|(n, _)| n.parse().ok())).collect()
}

/// What other programs do to a sheet: save what they read a while ago, edit its head, take it away, put another in its place.
fn meddle(other: &mut Other) {
    let now = other.read(SHEET);
    let older = || {
        now.clone().map(|mut text| {
            let entries = from(&text);
            // an editor had it open since before the last entries
            let cut = text.get(entries..).and_then(|rest| rest.windows(13).rposition(|w| w == b"\n[[journal]]\n"));
            text.truncate(cut.map_or(entries, |at| entries + at));
            text
        })
    };
    let edited = |text: Vec<u8>| [b"# seen\n", &text[..]].concat();
    match (other.dice().below(8), now.clone()) {
        (0, _) => other.remove(SHEET),
        (1 | 2, Some(text)) => other.replace(SHEET, text),
        (3, _) => older().into_iter().for_each(|text| other.replace(SHEET, text)),
        (4, Some(text)) => other.replace(SHEET, edited(text)),
        (5, Some(text)) => other.overwrite(SHEET, edited(text)),
        (6, _) => older().into_iter().for_each(|text| other.overwrite(SHEET, edited(text))),
        (_, _) => other.replace(SHEET, b"title = \"Another car\"\n\n[[journal]]\nanswer = \"number 777\"\n".to_vec()),
    }
}

/// Weather of all kinds: some histories only crash, some only fail, some are meddled with, some all at once.
fn weather(dice: &mut Dice, others: bool) -> Weather {
    let pick = |dice: &mut Dice, some: &[usize]| some[dice.below(some.len())];
    Weather {
        fails: pick(dice, &[0, 0, 7, 30, 100]),
        short: pick(dice, &[0, 2, 5]),
        crash_at: if dice.one_in(2) { 1 + dice.below(120) } else { 0 },
        others: if others { pick(dice, &[6, 15, 40]) } else { 0 },
    }
}

/// A walk: entries are added until something goes wrong. Gives what was said to be kept, and where it is if not in the sheet.
fn walk(disk: &MadeUp, kept: &mut Vec<usize>) -> Option<std::path::PathBuf> {
    let mut held = Held::open(disk.clone(), Path::new(SHEET), MOST, from).ok()?;
    *kept = numbers(held.text());
    let start = kept.last().map_or(0, |n| n + 1);
    for number in start..start + 8 {
        match held.append(entry(number).as_bytes()) {
            Ok(_) => kept.push(number),
            Err(Trouble::Beside(path)) => {
                kept.push(number);
                return Some(path);
            }
            Err(_) => return None,
        }
    }
    None
}

/// Crashes, failures and short writes, nobody else about: every entry that was kept is there, in order, and after it at most the one under way.
#[test]
fn what_was_kept_is_there_after_any_crash() {
    for seed in 0..histories() {
        let mut dice = Dice::new(seed);
        let disk = MadeUp::new(seed, weather(&mut dice, false), |_| {});
        disk.place(SHEET, HEAD.as_bytes());
        let mut kept = vec![];
        let beside = walk(&disk, &mut kept);
        disk.restart();
        assert_eq!(beside, None, "seed {seed}");
        let text = disk.text(Path::new(SHEET)).unwrap_or_else(|| panic!("seed {seed}: the sheet is gone"));
        let there = numbers(&text);
        assert!(text.starts_with(HEAD.as_bytes()), "seed {seed}");
        assert!(there.starts_with(&kept) && there.len() <= kept.len() + 1, "seed {seed}: kept {kept:?}, there {there:?}");
        assert!(there.windows(2).all(|w| w[1] == w[0] + 1), "seed {seed}: {there:?}");
    }
}

/// Other programs replace, edit and remove the sheet: as soon as the walk has looked once more, every kept entry is under the sheet's name, or in the
/// file that was named.
#[test]
fn what_was_kept_outlives_other_programs() {
    let (mut anew, mut put_beside, mut crashed) = (0, 0, 0);
    for seed in 0..histories() {
        let mut dice = Dice::new(!seed);
        let disk = MadeUp::new(!seed, weather(&mut dice, true), meddle);
        disk.place(SHEET, HEAD.as_bytes());
        let Ok(mut held) = Held::open(disk.clone(), Path::new(SHEET), MOST, from) else { continue };
        let mut kept = numbers(held.text());
        // asking what the name stands for, which file this is, and reading it are three operations: another program may come between
        let mut seen = disk.done().saturating_sub(2);
        let mut beside = None;
        for number in 1000..1010 {
            let before = disk.done();
            match held.append(entry(number).as_bytes()) {
                Ok(how) => {
                    anew += usize::from(how == Kept::Anew);
                    kept.push(number);
                    seen = before.max(disk.done().saturating_sub(3));
                    assert!(numbers(held.text()) == kept, "seed {seed}: {:?}, kept {kept:?}", numbers(held.text()));
                }
                Err(Trouble::Beside(path)) => {
                    kept.push(number);
                    beside = Some(path);
                    break;
                }
                Err(_) => break,
            }
        }
        if disk.is_down() {
            crashed += 1;
            disk.restart();
            // what another program did after the last look can't be answered for
            let name = beside.as_deref().unwrap_or(Path::new(SHEET));
            if beside.is_some() || !disk.meddled_since(seen) {
                let there = disk.text(name).map_or(vec![], |text| numbers(&text));
                assert!(there.starts_with(&kept), "seed {seed}: kept {kept:?}, there {there:?}");
            }
            continue;
        }
        disk.calm();
        let place = match (beside, held.check()) {
            (Some(path), _) | (None, Err(Trouble::Beside(path))) => {
                put_beside += 1;
                path
            }
            (None, Ok(_)) => Path::new(SHEET).to_path_buf(),
            (None, Err(e)) => panic!("seed {seed}: {e}"),
        };
        let there = numbers(&disk.text(&place).unwrap_or_default());
        assert!(there.starts_with(&kept), "seed {seed}: kept {kept:?}, in {}: {there:?}", place.display());
    }
    let most = histories() as usize / 100;
    assert!(anew > most && put_beside > most && crashed > most, "all of it happened: {anew} {put_beside} {crashed}");
}

/// A file that is replaced is the old one or the new one, whole; where it was said to be new it is; what a crash leaves is swept by the next run.
#[test]
fn a_file_is_replaced_whole_or_not_at_all() {
    let (old, new) = ("old ".repeat(50), "new\n".repeat(70));
    for seed in 0..histories() {
        let mut dice = Dice::new(seed ^ 0xF00D);
        let disk = MadeUp::new(seed ^ 0xF00D, Weather { crash_at: 1 + dice.below(24), ..weather(&mut dice, false) }, |_| {});
        let path = Path::new("/rules/own.rules");
        let way = dice.below(3);
        if way != 2 {
            disk.place("/rules/own.rules", old.as_bytes());
        }
        let done = match way {
            0 => exchange(&disk, path, old.as_bytes(), new.as_bytes()),
            1 => put(&disk, path, new.as_bytes()),
            _ => put_new(&disk, path, new.as_bytes()),
        };
        disk.restart();
        let there = disk.text(path);
        let whole =
            there.is_none() && way == 2 || there.as_deref() == Some(new.as_bytes()) || way != 2 && there.as_deref() == Some(old.as_bytes());
        assert!(whole, "seed {seed}, way {way}: {:?}", there.map(|t| String::from_utf8_lossy(&t).into_owned()));
        assert!(done.is_err() || there.as_deref() == Some(new.as_bytes()), "seed {seed}, way {way}: said to be new");
        put(&disk, path, b"third").unwrap_or_else(|e| panic!("seed {seed}: {e}"));
        assert_eq!(disk.paths(), [path.to_path_buf()], "seed {seed}: swept");
    }
}

/// Two that want to change one file: a change that was seen before the last look is never overwritten.
#[test]
fn a_change_of_somebody_else_is_not_overwritten() {
    let mut refused = 0;
    for seed in 0..histories() {
        let disk = MadeUp::new(seed, Weather { others: 9, ..Weather::default() }, |other| other.replace("/r/a.rules", b"theirs".to_vec()));
        disk.place("/r/a.rules", b"old");
        let done = exchange(&disk, Path::new("/r/a.rules"), b"old", b"new");
        // reading what was opened, the rename and the sync of the folder: between these three a change of somebody else is not seen
        let late = disk.meddled_since(disk.done().saturating_sub(2));
        if matches!(done, Err(Trouble::Changed)) {
            refused += 1;
            assert_eq!(disk.text(Path::new("/r/a.rules")).as_deref(), Some(&b"theirs"[..]), "seed {seed}");
        } else if !late {
            assert_eq!(disk.text(Path::new("/r/a.rules")).as_deref(), Some(&b"new"[..]), "seed {seed}");
            assert!(!disk.meddled_since(0) || late, "seed {seed}: theirs is lost");
        }
    }
    assert!(refused > 0);
}
