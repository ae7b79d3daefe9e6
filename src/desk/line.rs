//! A line as typed on a phone, cut into tokens.
//!
//! Ours rather than a shell's: inch marks are not quotes, autocorrect's dashes and curly quotes are forgiven,
//! and a number keeps the unit word behind it (`2.5 thou`, `30 over`, `12.5 cu in`).

use super::trouble::{Refusal, clip};
use crate::quantity::{is_unit_word, looks_numeric};

/// The longest line that is read; a longer one is a paste gone wrong.
pub const LONGEST: usize = 2_000;

/// The line with one spelling for what keyboards vary, or a refusal for what no keyboard sends.
pub fn tidy(line: &str) -> Result<String, Refusal> {
    if line.chars().count() > LONGEST {
        return Err(Refusal::new("line", clip(line, 40), format!("A line holds at most {LONGEST} characters.")));
    }
    if let Some(c) = line.chars().find(|c| c.is_control() && !c.is_whitespace()) {
        let given = format!("character U+{:04X}", u32::from(c));
        return Err(Refusal::new("line", given, "A line is plain text without control characters."));
    }
    let mut out = String::with_capacity(line.len());
    let mut at_start = true;
    let mut chars = line.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '“' | '”' | '„' | '″' => out.push('"'),
            '‘' | '’' | '′' => out.push('\''),
            // A phone turns `--duty` into a long dash: before a word it means an option, before a number a minus.
            '–' | '—' | '−' => {
                let option = at_start && chars.peek().is_some_and(|next| next.is_alphabetic());
                out.push_str(if option { "--" } else { "-" });
            }
            c if c.is_whitespace() => out.push(' '),
            c => out.push(c),
        }
        at_start = c.is_whitespace();
    }
    // Where the keyboard has no ±.
    let out = out.replace("+/-", "±").replace("+-", "±");
    Ok(out.trim().to_owned())
}

/// The tokens of a tidied line. Quotes group only where a value may begin; `2.0015"` keeps its inch mark.
pub fn split(line: &str) -> Vec<String> {
    let chars: Vec<char> = line.chars().collect();
    let mut tokens = Vec::new();
    let mut token = String::new();
    let mut at = 0;
    while at < chars.len() {
        let c = chars[at];
        let may_open = c == '"' && (token.is_empty() || token.ends_with('='));
        match may_open.then(|| closing(&chars, at)).flatten() {
            Some(end) => {
                token.extend(&chars[at + 1..end]);
                tokens.push(std::mem::take(&mut token));
                at = end;
            }
            None if c == ' ' => {
                if !token.is_empty() {
                    tokens.push(std::mem::take(&mut token));
                }
            }
            None => token.push(c),
        }
        at += 1;
    }
    if !token.is_empty() {
        tokens.push(token);
    }
    join_units(tokens)
}

/// Where the quote opened at `open` closes: before a blank or the end.
fn closing(chars: &[char], open: usize) -> Option<usize> {
    (open + 1..chars.len()).find(|&i| chars[i] == '"' && chars.get(i + 1).is_none_or(|next| *next == ' '))
}

/// `4.030 in` and `bore=4.030 in` become one token; `2 1/2` does too.
fn join_units(tokens: Vec<String>) -> Vec<String> {
    let mut out: Vec<String> = Vec::with_capacity(tokens.len());
    for token in tokens {
        let joins = out.last().is_some_and(|last| {
            let value = last.split_once('=').map_or(last.as_str(), |(_, v)| v);
            let bare = looks_numeric(value) && value.chars().all(|c| c.is_ascii_digit() || ".-/+± ".contains(c));
            let word = value.trim_start_matches(|c: char| !c.is_alphabetic()).to_lowercase();
            let halfway = looks_numeric(value) && ["cu", "cubic", "sq", "square", "mpa"].contains(&word.as_str());
            let fraction = value.chars().all(|c| c.is_ascii_digit())
                && token.split_once('/').is_some_and(|(a, _)| !a.is_empty() && a.chars().all(|c| c.is_ascii_digit()));
            let spread = looks_numeric(value) && (token.starts_with('±') || last.ends_with('±'));
            (bare && (is_unit_word(&token) || fraction))
                || (halfway && is_unit_word(&format!("{word} {token}")))
                || spread
        });
        match out.last_mut() {
            Some(last) if joins => {
                last.push(' ');
                last.push_str(&token);
            }
            _ => out.push(token),
        }
    }
    out
}

/// A value made safe for a line. An inch mark before a blank would end the quotes, so it is written as two primes.
pub fn quoted(value: &str) -> String {
    if value.contains([' ', '"']) { format!("\"{}\"", value.replace('"', "''")) } else { value.to_owned() }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn cut(line: &str) -> Vec<String> {
        split(&tidy(line).unwrap())
    }

    #[test]
    fn inch_marks_survive() {
        assert_eq!(cut("log main-journal 3 2.4995\" 2.4993\""), ["log", "main-journal", "3", "2.4995\"", "2.4993\""]);
        assert_eq!(cut("ring gap 5/16\" x"), ["ring", "gap", "5/16\"", "x"]);
    }

    #[test]
    fn phone_keyboards_are_forgiven() {
        assert_eq!(cut("ring gap 4.030″ —duty marine"), ["ring", "gap", "4.030\"", "--duty", "marine"]);
        assert_eq!(cut("deck=–0.002in note=“ran hot, twice” x"), ["deck=-0.002in", "note=ran hot, twice", "x"]);
        assert_eq!(cut("deck=−0.002in"), ["deck=-0.002in"]);
    }

    #[test]
    fn a_number_keeps_its_unit_word() {
        assert_eq!(cut("convert 2.5 thou mm"), ["convert", "2.5 thou", "mm"]);
        assert_eq!(cut("convert 12.5 cu in cc"), ["convert", "12.5 cu in", "cc"]);
        assert_eq!(cut("ring gap bore=4.030 in factor=0.0045"), ["ring", "gap", "bore=4.030 in", "factor=0.0045"]);
        assert_eq!(cut("mill area=8.02sq in x"), ["mill", "area=8.02sq in", "x"]);
        assert_eq!(cut("convert 13 mPa s ureyn"), ["convert", "13 mPa s", "ureyn"]);
        assert_eq!(cut("convert 13 MPa psi"), ["convert", "13 MPa", "psi"]);
        assert_eq!(cut("bearing pick 30 over"), ["bearing", "pick", "30 over"]);
        assert_eq!(cut("bolt 2 1/2 in"), ["bolt", "2 1/2 in"]);
        assert_eq!(cut("measure stack 9.025±0.002 in"), ["measure", "stack", "9.025±0.002 in"]);
        assert_eq!(cut("ring gap 4.030in +/- 0.0001in marine"), ["ring", "gap", "4.030in ± 0.0001in", "marine"]);
        assert_eq!(cut("ring gap bore=4.030 ±0.0001 in x"), ["ring", "gap", "bore=4.030 ±0.0001 in", "x"]);
    }

    #[test]
    fn what_no_keyboard_sends_is_refused() {
        assert_eq!(tidy("ring\u{7}gap").unwrap_err().input, "line");
        assert_eq!(tidy(&"x".repeat(65_536)).unwrap_err().input, "line");
        assert_eq!(cut("a\tb\r\nc"), ["a", "b", "c"]);
    }
}
