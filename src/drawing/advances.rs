//! How wide the carried font's characters are, where the font itself is not: a phone letters figures in its own.
//!
//! `advances.txt` holds runs of characters: the first one's code, how many, and their advance in the regular and the bold
//! face, in 2048ths of an em. It is the font's own, as [`super::lettering`]'s test checks.

use std::collections::HashMap;
use std::sync::OnceLock;

const TABLE: &str = include_str!("advances.txt");
const EM: f64 = 2048.0;

/// Advance of a character in em, regular and bold; none beyond the table.
pub fn advance(c: char, bold: bool) -> Option<f64> {
    static KNOWN: OnceLock<HashMap<u32, (f64, f64)>> = OnceLock::new();
    let (regular, heavy) = *KNOWN.get_or_init(read).get(&u32::from(c))?;
    Some(if bold { heavy } else { regular })
}

fn read() -> HashMap<u32, (f64, f64)> {
    let mut known = HashMap::new();
    for line in TABLE.lines() {
        let mut parts = line.split(' ');
        let first = parts.next().and_then(|code| u32::from_str_radix(code, 16).ok());
        let mut number = || parts.next().and_then(|number| number.parse::<u32>().ok());
        let (Some(first), Some(count), Some(regular), Some(bold)) = (first, number(), number(), number()) else {
            continue;
        };
        known.extend((first..first + count).map(|code| (code, (f64::from(regular) / EM, f64::from(bold) / EM))));
    }
    known
}
