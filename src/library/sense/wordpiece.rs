//! A text as pieces of words, each by its number: the longest piece that the vocabulary has, then the longest of what is left.
//!
//! Words are parted at blanks and at every sign, small letters and all, as the network was taught (WordPiece, after the tables of
//! its vocabulary: one piece a line, `##` before what goes on a word).

use std::collections::HashMap;
use std::sync::LazyLock;

/// No text is read further than this.
pub(super) const LONGEST: usize = 128;
/// A word of more letters is none.
const LONGEST_WORD: usize = 40;

const VOCABULARY: &str = include_str!("vocabulary.txt");

static PIECES: LazyLock<HashMap<&str, usize>> =
    LazyLock::new(|| VOCABULARY.lines().enumerate().map(|(n, piece)| (piece, n)).collect());

/// The numbers of a text's pieces, at most so many, between those that mark where it begins and ends.
pub(super) fn pieces(text: &str, most: usize) -> Vec<usize> {
    let number = |piece: &str| PIECES.get(piece).copied().unwrap_or_default();
    let mut out = vec![number("[CLS]")];
    for word in words(&text.to_lowercase()) {
        match of_word(word) {
            Some(pieces) => out.extend(pieces),
            None => out.push(number("[UNK]")),
        }
    }
    out.truncate(most.min(LONGEST).saturating_sub(1));
    out.push(number("[SEP]"));
    out
}

/// Runs of letters and figures, and every other sign by itself.
fn words(text: &str) -> impl Iterator<Item = &str> {
    let mut rest = text;
    std::iter::from_fn(move || {
        rest = rest.trim_start();
        let first = rest.chars().next()?;
        let end = match first.is_alphanumeric() {
            true => rest.find(|c: char| !c.is_alphanumeric()).unwrap_or(rest.len()),
            false => first.len_utf8(),
        };
        let (word, left) = rest.split_at(end);
        rest = left;
        Some(word)
    })
}

/// The pieces of a word; none where some part of it is no piece.
fn of_word(word: &str) -> Option<Vec<usize>> {
    if word.chars().count() > LONGEST_WORD {
        return None;
    }
    let mut out = Vec::new();
    let mut from = 0;
    while from < word.len() {
        let ends = word[from..].char_indices().map(|(at, c)| from + at + c.len_utf8()).rev();
        let (end, piece) = ends.into_iter().find_map(|end| {
            let piece = &word[from..end];
            let piece = if from == 0 { PIECES.get(piece) } else { PIECES.get(format!("##{piece}").as_str()) };
            Some((end, *piece?))
        })?;
        out.push(piece);
        from = end;
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spelt(text: &str) -> Vec<&'static str> {
        let all: Vec<&str> = VOCABULARY.lines().collect();
        pieces(text, LONGEST).into_iter().map(|n| all[n]).collect()
    }

    #[test]
    fn a_text_is_parted_into_the_longest_pieces() {
        assert_eq!(spelt("Which way?"), ["[CLS]", "which", "way", "?", "[SEP]"]);
        assert_eq!(spelt("4.030in"), ["[CLS]", "4", ".", "03", "##0", "##in", "[SEP]"]);
    }

    #[test]
    fn what_is_no_text_is_read_all_the_same() {
        assert_eq!(spelt(""), ["[CLS]", "[SEP]"]);
        assert_eq!(spelt("\u{1F527}"), ["[CLS]", "[UNK]", "[SEP]"]);
        assert_eq!(pieces(&"x".repeat(5000), LONGEST).len(), 3);
        assert_eq!(pieces(&"way ".repeat(5000), 5000).len(), LONGEST);
        assert_eq!(pieces(&"way ".repeat(5000), 32).len(), 32);
    }
}
