//! A window is checked once, in the book: names, ranges, units, what is taken.

use super::book_of;
use faultbook::book::{Channel, Id, Take, Window};

const CHANNELS: &str = "\
channel rpm \"Engine speed\"\n  unit rpm\n\
channel inlet \"Inlet\"\n  unit kPa\n\
channel outlet \"Outlet\"\n  unit mbar\n\
channel air \"Air\"\n  unit degC\n\
channel skin \"Skin\"\n  unit degF\n\
channel supply \"Supply\"\n  unit V\n\
channel steps \"Steps\"\n";

fn reading(unit: &str, from: &str) -> String {
    format!("{CHANNELS}reading r \"R\"\n  unit {unit}\n  from {from}\n  band low below 2\n  band high above 2\n")
}

fn window(unit: &str, from: &str) -> Window {
    let (book, remarks) = book_of(&reading(unit, from));
    let book = book.unwrap_or_else(|| panic!("{from}: {remarks:?}"));
    let id = book.findings.find("r").expect("the reading is there");
    book.findings[id].gauge().and_then(|g| g.window.clone()).expect("it has a window")
}

/// The value of a window's formula where the channels have these values, in the order of `CHANNELS`.
fn value(unit: &str, from: &str, values: [f64; 7]) -> f64 {
    window(unit, from).formula.value(&|id: Id<Channel>| values[id.index()])
}

fn code(unit: &str, from: &str) -> Vec<(&'static str, String)> {
    let (book, remarks) = book_of(&reading(unit, from));
    assert!(book.is_none(), "`{from}` must not make a book");
    remarks.into_iter().map(|r| (r.code.id, r.message)).collect()
}

#[test]
fn formulas_come_out_in_the_unit_of_the_reading() {
    let values = [3000.0, 250.0, 1000.0, 20.0, 50.0, 12.5, 4.0];
    let close = |a: f64, b: f64| assert!((a - b).abs() < 1e-9, "{a} is not {b}");
    // 1000 mbar are 100 kPa; 50 degF are 10 degC (NIST SP 811, appendix B.8: t/degC = (t/degF - 32)/1.8)
    close(value("kPa", "inlet - outlet", values), 150.0);
    close(value("mbar", "inlet - outlet", values), 1500.0);
    close(value("bar", "inlet - (outlet + 500) / 2", values), 1.75);
    close(value("K", "air - skin", values), 10.0);
    close(value("degC", "(air + skin) / 2", values), 15.0);
    close(value("degC", "air - 3", values), 17.0);
    close(value("count", "inlet / outlet", values), 2.5);
    close(value("%", "steps * 10 - 2 * 5", values), 30.0);
    close(value("degF", "air", values), 68.0);
    close(value("K", "skin take spread", values), 10.0);
}

#[test]
fn ranges_are_in_the_unit_of_their_channel() {
    let window = window("V", "supply while inlet 1 bar to 1.2 bar and rpm below 50 and air above 30 for 2 min take least");
    let [inlet, rpm, air] = window.holds[..] else { panic!("three conditions") };
    assert!((inlet.low - 100.0).abs() < 1e-9 && (inlet.high - 120.0).abs() < 1e-9);
    assert!(rpm.high < 50.0 && rpm.high > 49.999, "50 itself is not below 50");
    assert!(air.low > 30.0 && air.low < 30.001, "30 itself is not above 30");
    assert_eq!((window.seconds, window.take), (120.0, Take::Least));
}

#[test]
fn the_median_is_taken_where_nothing_is_said() {
    assert_eq!(window("V", "supply").take, Take::Median);
    for word in ["median", "mean", "least", "most", "first", "last"] {
        assert_eq!(window("V", &format!("supply take {word}")).take.word(), word);
    }
    assert_eq!(window("min", "supply while rpm above 700 take duration").take, Take::Duration);
}

#[test]
fn what_does_not_fit_is_remarked_on() {
    let one = |unit: &str, from: &str| match &code(unit, from)[..] {
        [(code, message)] => (*code, message.clone()),
        other => panic!("`{from}` makes {other:?}"),
    };
    assert_eq!(one("V", "suply").0, "FB101");
    assert_eq!(one("V", "r").0, "FB102");
    assert_eq!(one("V", "supply while rpn below 3").0, "FB101");
    assert_eq!(one("V", "supply while inlet below 3 V").0, "FB110");
    assert_eq!(one("V", "supply for 3"), ("FB111", "a time needs its unit".into()));
    assert_eq!(one("V", "supply for -3 s").0, "FB116");
    assert_eq!(one("V", "supply take middle"), ("FB125", "nothing named `middle` can be taken".into()));
    assert_eq!(one("V", "supply + air"), ("FB126", "a voltage and a temperature can't be summed".into()));
    assert_eq!(one("V", "air"), ("FB126", "the window gives a temperature, but the reading is a voltage".into()));
    assert_eq!(one("V", "supply take duration"), ("FB126", "the window gives a time, but the reading is a voltage".into()));
    assert_eq!(one("degC", "air take spread").1, "the window gives a difference of temperatures, but the reading is a temperature");
    assert_eq!(one("V", "supply while rpm 900 to 700").0, "FB127");
    assert_eq!(one("V", "supply while rpm above 900 and rpm below 700").0, "FB127");
    assert_eq!(one("V", "12.5"), ("FB128", "the window names no channel to read".into()));
}
