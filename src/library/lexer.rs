//! Text into words, the same way for pages and questions: lower case, hyphens and apostrophes forgiven, sizes in one spelling.
//!
//! `.010`, `0.010 in`, `10 thou`, `10 under` and `ten under` all become the size `#0.01` (inches); a millimetre size keeps
//! its own number, a fraction its own spelling, `#3/8`. A hyphenated word stands as its parts and as one word, so that
//! `leak-down`, `leak down` and `leakdown` meet.

use super::sizes::fraction;
use crate::quantity::is_unit_word;

/// One word or size of a text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Word {
    /// Lower case; a size starts with `#`.
    pub text: String,
    /// Where it stands: words of one place are spellings of each other.
    pub place: usize,
}

impl Word {
    pub fn is_size(&self) -> bool {
        self.text.starts_with('#')
    }
}

/// Longer runs of letters are no words.
const LONGEST: usize = 40;

/// The words of `text`, in order.
pub(super) fn words(text: &str) -> Vec<Word> {
    let raw = split(text);
    let mut out = Vec::with_capacity(raw.len());
    let (mut i, mut place) = (0, 0);
    while i < raw.len() {
        let taken = match numbered(&raw[i..]) {
            // `no 3`, `number three` and `number 3` are one.
            Some(number) => {
                out.push(Word { text: "number".into(), place });
                place += 1;
                out.push(Word { text: format!("#{number}"), place });
                2
            }
            None => size(&raw[i..], place, &mut out),
        };
        if taken > 0 {
            i += taken;
            place += 1;
            continue;
        }
        let run = raw[i..].iter().skip(1).take_while(|r| r.joined).count() + 1;
        let parts = &raw[i..i + run];
        let plain = parts.iter().all(|p| p.text.chars().all(char::is_alphabetic));
        if plain && (2..=3).contains(&run) {
            out.push(Word { text: parts.iter().map(|p| p.text.as_str()).collect(), place });
        }
        let run = if plain { run } else { 1 };
        for part in &raw[i..i + run] {
            out.push(Word { text: part.text.clone(), place });
            place += 1;
        }
        i += run;
    }
    out.retain(|word| word.text.chars().count() <= LONGEST);
    out
}

/// As [`words`], one word a place: of a hyphenated word only its parts. Sizes keep their unit beside them.
pub(super) fn parts(text: &str) -> Vec<Word> {
    let all = words(text);
    let next: Vec<usize> = all.iter().skip(1).map(|word| word.place).chain([usize::MAX]).collect();
    let kept = all.into_iter().zip(next).filter(|(word, next)| word.is_size() || word.place != *next);
    kept.map(|(word, _)| word).collect()
}

/// A run of letters and digits, and whether a hyphen ties it to the one before.
struct Raw {
    text: String,
    joined: bool,
}

fn split(text: &str) -> Vec<Raw> {
    let mut out: Vec<Raw> = Vec::new();
    let (mut current, mut hyphen, mut joined) = (String::new(), false, false);
    let text = text.to_lowercase();
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        let digit_next = chars.peek().is_some_and(char::is_ascii_digit);
        let number = current.is_empty() || current.chars().all(|c| c.is_ascii_digit());
        match c {
            // `m8x1.25` is a thread and its pitch, `205×55` two sizes.
            'x' | '×' if digit_next && is_thread(&current) => {}
            c if c.is_alphanumeric() => {
                if current.is_empty() {
                    joined = std::mem::take(&mut hyphen);
                }
                current.push(c);
                continue;
            }
            '/' if digit_next && number && (1..=2).contains(&current.len()) => {
                current.push(c);
                continue;
            }
            '.' if digit_next && number => {
                if current.is_empty() {
                    joined = std::mem::take(&mut hyphen);
                }
                current.push(c);
                continue;
            }
            // "what's", "can’t": one word. An inch mark or a foot mark after a number is a unit.
            '\'' | '’' | '‘' if !current.is_empty() && !number => continue,
            '"' | '″' | '”' if !current.is_empty() && number => current.push_str("in"),
            _ => {}
        }
        if !current.is_empty() {
            out.push(Raw { text: std::mem::take(&mut current), joined });
            hyphen = matches!(c, '-' | '‐' | '‑' | '–' | '—');
        } else {
            hyphen = false;
        }
        if c == '%' {
            out.push(Raw { text: "%".into(), joined: false });
        }
    }
    if !current.is_empty() {
        out.push(Raw { text: current, joined });
    }
    out
}

/// True for a number, or for what a metric thread is called.
fn is_thread(word: &str) -> bool {
    let digits = word.strip_prefix('m').unwrap_or(word);
    digits.starts_with(|c: char| c.is_ascii_digit()) && digits.chars().all(|c| c.is_ascii_digit() || c == '.')
}

/// Reads a size at the head of `raw` and says how many runs it took; none when there is no number.
fn size(raw: &[Raw], place: usize, out: &mut Vec<Word>) -> usize {
    let Some(first) = raw.first() else { return 0 };
    if first.text == "%" {
        return 1;
    }
    let digits = first.text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '/'))).unwrap_or(first.text.len());
    let (number, tail) = first.text.split_at(digits);
    let next = raw.get(1).map(|r| r.text.as_str());
    let whole = if digits > 0 { number } else { &first.text };
    if let Some((part, taken)) = fraction(whole, next).filter(|_| tail.is_empty() || digits == 0 || is_unit_word(tail))
    {
        out.push(Word { text: format!("#{part}"), place });
        return taken;
    }
    let (value, unit, taken) = match (number.parse::<f64>(), tail) {
        (Ok(value), "") => match next.filter(|word| is_unit_word(word) || *word == "%") {
            Some(word) => (value, word, 2),
            None => (value, "", 1),
        },
        (Ok(value), unit) if is_unit_word(unit) => (value, unit, 1),
        // `5w30` is a word; so is `two` unless a size word follows: `ten under`.
        (Ok(_), _) => return 0,
        (Err(_), _) => match (spelt(&first.text), next) {
            (Some(value), Some(word)) if is_size_word(word) => (value, word, 2),
            _ => return 0,
        },
    };
    let inches = match unit {
        "thou" | "thous" | "mil" | "mils" | "thousandths" => value / 1e3,
        "tenths" | "tenth" => value / 1e4,
        "over" | "oversize" | "under" | "undersize" if value >= 1.0 => value / 1e3,
        _ => value,
    };
    if !inches.is_finite() || inches.abs() > 1e9 {
        return taken;
    }
    // A hundred-thousandth is finer than anything a page says.
    out.push(Word { text: format!("#{}", (inches * 1e5).round() / 1e5), place });
    // "what rpm" finds "2000 rpm".
    match unit {
        "" | "%" => {}
        "over" | "oversize" => out.push(Word { text: "oversize".into(), place }),
        "under" | "undersize" => out.push(Word { text: "undersize".into(), place }),
        unit => out.push(Word { text: unit.to_owned(), place }),
    }
    taken
}

/// The number that a part is called by at the head of `raw`.
fn numbered(raw: &[Raw]) -> Option<f64> {
    let [name, number, ..] = raw else { return None };
    let number = spelt(&number.text).or_else(|| number.text.parse().ok().filter(|_| is_digits(&number.text)))?;
    (matches!(name.text.as_str(), "no" | "number") && number >= 1.0).then_some(number)
}

fn is_digits(text: &str) -> bool {
    (1..=2).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit())
}

fn is_size_word(word: &str) -> bool {
    matches!(word, "over" | "oversize" | "under" | "undersize" | "thou" | "thous" | "mil" | "mils" | "tenths" | "tenth")
}

/// The numbers people say as words before a size.
fn spelt(word: &str) -> Option<f64> {
    const SPELT: [(&str, f64); 17] = [
        ("half", 0.5),
        ("one", 1.0),
        ("two", 2.0),
        ("three", 3.0),
        ("four", 4.0),
        ("five", 5.0),
        ("six", 6.0),
        ("seven", 7.0),
        ("eight", 8.0),
        ("nine", 9.0),
        ("ten", 10.0),
        ("fifteen", 15.0),
        ("twenty", 20.0),
        ("thirty", 30.0),
        ("forty", 40.0),
        ("fifty", 50.0),
        ("sixty", 60.0),
    ];
    SPELT.iter().find(|(spelling, _)| *spelling == word).map(|(_, value)| *value)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> String {
        words(text).into_iter().map(|w| w.text).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn sizes_meet_in_one_spelling() {
        for text in [".010", "0.010 in", "0.010\"", "0.010″", "10 thou", "0.01in", "ten thou", "100 tenths"] {
            assert!(read(text).starts_with("#0.01"), "{text}");
        }
        assert_eq!(read("10 under"), "#0.01 undersize");
        assert_eq!(read("thirty over"), "#0.03 oversize");
        assert_eq!(read("0.030 oversize"), "#0.03 oversize");
        assert_eq!(read("0.25mm"), "#0.25 mm");
        assert_eq!(read("30% leak"), "#30 leak");
        assert_eq!(read("3/8-16 UNC"), "#3/8 #16 unc");
        assert_eq!(read("7/16in bolt"), "#7/16 bolt");
        assert_eq!(read("1 1/2 turns"), "#1 #1/2 turns");
        assert_eq!(read("half inch or five sixteenths"), "#1/2 inch or #5/16");
        assert_eq!(read("50/50 mix, half way"), "50/50 mix half way");
    }

    #[test]
    fn words_keep_their_letters_and_lose_their_marks() {
        assert_eq!(read("Can’t turn the V8?"), "cant turn the v8");
        assert_eq!(read("leak-down"), "leakdown leak down");
        assert_eq!(read("piston-to-valve"), "pistontovalve piston to valve");
        assert_eq!(read("5w30 oil"), "5w30 oil");
        assert_eq!(read("one ring"), "one ring");
        assert_eq!(read("No. 3 main, number three main"), "number #3 main number #3 main");
        assert_eq!(read("no rings, no half measures"), "no rings no half measures");
        assert_eq!(read("end.Next"), "end next");
        assert_eq!(read("\u{0}\u{7}🙂"), "");
        assert_eq!(read("M8x1.25"), read("M8 × 1.25"));
        assert_eq!(read("...."), "");
    }

    #[test]
    fn spellings_of_one_place_share_it() {
        let places: Vec<_> = words("a leak-down test").into_iter().map(|w| w.place).collect();
        assert_eq!(places, [0, 1, 1, 2, 3]);
        let alone: Vec<_> = parts("a leak-down 10 thou").into_iter().map(|w| (w.text, w.place)).collect();
        let want = [("a", 0), ("leak", 1), ("down", 2), ("#0.01", 3), ("thou", 3)];
        assert_eq!(alone, want.map(|(text, place)| (text.to_owned(), place)));
    }
}
