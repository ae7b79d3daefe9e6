//! The text of a card: the blocks of a reply in reading order, fitted to what the platform takes.
//!
//! What does not fit is left off at a line's end and said so; a caution is never left off.

use super::limits::{self, size};
use super::mark;
use super::table;
use crate::desk::reply::{Block, Caution, Loudness, Table};

/// A piece of the text, already safe Markdown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Piece {
    /// Stands close over the piece that follows.
    Heading(String),
    Prose(Vec<String>),
    Code(Vec<String>),
    Heed(String),
}

/// The longest caution that is repeated under a text that was cut.
const HEED: usize = 400;
/// Room for cautions and the note under a text that was cut.
const FOOT: usize = 1_400;

/// The pieces of a block; none for what is not text.
pub fn pieces(block: &Block) -> Vec<Piece> {
    match block {
        Block::Heading(text) => vec![Piece::Heading(bold(text))],
        Block::Text(text) => vec![Piece::Prose(mark::escape(text).lines().map(str::to_owned).collect())],
        Block::Fields(fields) => vec![Piece::Prose(
            fields.iter().map(|(label, value)| format!("{} {}", bold(label), mark::escape(&flat(value)))).collect(),
        )],
        Block::Table(table) => self::table(table),
        Block::Steps { start, items } => {
            vec![Piece::Prose((*start..).zip(items).map(|(n, item)| format!("{n}. {}", inline(item))).collect())]
        }
        Block::Bullets(items) => vec![Piece::Prose(items.iter().map(|item| format!("- {}", inline(item))).collect())],
        Block::Working(lines) => vec![Piece::Code(lines.iter().map(|line| mark::inside_code(&flat(line))).collect())],
        Block::Caution(caution) => vec![Piece::Heed(heed(caution))],
        Block::Photo(photo) => vec![Piece::Prose(vec![mark::escape(&photo.alt)])],
        Block::Figure(_) | Block::Document(_) | Block::Sources(_) => Vec::new(),
    }
}

fn table(table: &Table) -> Vec<Piece> {
    let mut pieces = Vec::new();
    if !table.caption.trim().is_empty() {
        pieces.push(Piece::Heading(bold(&table.caption)));
    }
    match table::paint(table) {
        table::Painted::Code(lines) => {
            pieces.push(Piece::Code(lines));
            pieces.extend(table::legend(table).map(|legend| Piece::Prose(vec![legend])));
        }
        table::Painted::Lines(lines) => pieces.push(Piece::Prose(lines)),
    }
    pieces
}

fn heed(caution: &Caution) -> String {
    let (sign, word) = match caution.loudness {
        Loudness::Note => ("ℹ️", "Note"),
        Loudness::Tip => ("💡", "Tip"),
        Loudness::Important => ("❗", "Important"),
        Loudness::Warning => ("⚠️", "WARNING"),
        Loudness::Caution => ("🛑", "CAUTION"),
    };
    format!("> {sign} **{word}:** {}", inline(&caution.text))
}

fn bold(text: &str) -> String {
    format!("**{}**", inline(text))
}

/// On one line, safe after a marker of ours.
fn inline(text: &str) -> String {
    mark::escape(&flat(text))
}

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The pieces as one text of at most `room`, and whether all of it is there. `note` stands under a text that was cut.
pub fn fit(pieces: &[Piece], room: usize, note: &str) -> (String, bool) {
    let whole = join(pieces);
    if size(&whole) <= room {
        return (whole, true);
    }
    let upper = room.saturating_sub(FOOT);
    let mut kept: Vec<Piece> = Vec::new();
    let mut missed = pieces.iter();
    for piece in missed.by_ref() {
        kept.push(piece.clone());
        if size(&join(&kept)) > upper {
            kept.pop();
            if let Some(part) = beginning(piece, upper.saturating_sub(size(&join(&kept)) + 2)) {
                kept.push(part);
            }
            if matches!(piece, Piece::Heed(_)) {
                kept.push(shorter(piece));
            }
            break;
        }
    }
    kept.extend(missed.filter(|piece| matches!(piece, Piece::Heed(_))).map(shorter));
    kept.push(Piece::Prose(vec![note.to_owned()]));
    // More cautions than there is room for: the text above them gives way.
    while size(&join(&kept)) > room && kept.len() > 1 {
        let softest = kept.iter().position(|p| !matches!(p, Piece::Heed(_))).filter(|at| at + 1 < kept.len());
        kept.remove(softest.unwrap_or(kept.len() - 2));
    }
    (cut(&join(&kept), room), false)
}

fn join(pieces: &[Piece]) -> String {
    let mut out = String::new();
    let mut gap = "";
    for piece in pieces {
        out.push_str(gap);
        match piece {
            Piece::Heading(text) | Piece::Heed(text) => out.push_str(text),
            Piece::Prose(lines) => out.push_str(&lines.join("\n")),
            Piece::Code(lines) => out.push_str(&mark::code(lines)),
        }
        gap = if matches!(piece, Piece::Heading(_) | Piece::Code(_)) { "\n" } else { "\n\n" };
    }
    out
}

/// As many whole lines of a piece as fit, or the beginning of its first.
fn beginning(piece: &Piece, room: usize) -> Option<Piece> {
    const FENCES: usize = 8;
    let take = |lines: &[String], room: usize| {
        let mut used = 0;
        let mut out: Vec<String> = Vec::new();
        for line in lines {
            used += size(line) + 1;
            if used > room {
                break;
            }
            out.push(line.clone());
        }
        match lines.first().filter(|_| out.is_empty() && room > 40) {
            Some(first) => vec![cut(first, room - 1)],
            None => out,
        }
    };
    match piece {
        Piece::Heading(_) | Piece::Heed(_) => None,
        Piece::Prose(lines) => Some(Piece::Prose(take(lines, room))),
        Piece::Code(lines) => Some(Piece::Code(take(lines, room.saturating_sub(FENCES)))),
    }
    .filter(|p| !matches!(p, Piece::Prose(lines) | Piece::Code(lines) if lines.is_empty()))
}

fn shorter(piece: &Piece) -> Piece {
    match piece {
        Piece::Heed(text) => Piece::Heed(cut(text, HEED)),
        other => other.clone(),
    }
}

/// Cut without leaving half an escape.
fn cut(text: &str, most: usize) -> String {
    let cut = limits::cut(text, most);
    let Some(body) = cut.strip_suffix('…').filter(|_| cut != text) else { return cut };
    let slashes = body.chars().rev().take_while(|c| *c == '\\').count();
    let body = if slashes % 2 == 1 { body.strip_suffix('\\').unwrap_or(body) } else { body };
    format!("{body}…")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn caution(text: &str) -> Block {
        Block::Caution(Caution { loudness: Loudness::Caution, text: text.to_owned() })
    }

    fn all(blocks: &[Block]) -> Vec<Piece> {
        blocks.iter().flat_map(pieces).collect()
    }

    #[test]
    fn blocks_stand_in_reading_order() {
        let blocks = [
            Block::Heading("Measure".to_owned()),
            Block::Text("Push the crank to the rear.".to_owned()),
            Block::Steps { start: 3, items: vec!["Zero the dial.".to_owned(), "Lever *forward*.".to_owned()] },
            Block::Working(vec!["0.1234 - 0.1190 = 0.0044 in".to_owned()]),
            caution("Keep fingers clear."),
        ];
        let (text, whole) = fit(&all(&blocks), limits::DESCRIPTION, "cut");
        assert!(whole);
        let expected = [
            "**Measure**\nPush the crank to the rear.",
            "3. Zero the dial.\n4. Lever \\*forward\\*.",
            "```\n0.1234 - 0.1190 = 0.0044 in\n```\n> 🛑 **CAUTION:** Keep fingers clear.",
        ];
        assert_eq!(text, expected.join("\n\n"));
    }

    #[test]
    fn a_text_that_is_cut_keeps_its_cautions_and_says_so() {
        let blocks = [
            Block::Text("word ".repeat(2_000)),
            Block::Bullets(vec!["x".to_owned(); 500]),
            caution("Keep fingers clear."),
        ];
        let (text, whole) = fit(&all(&blocks), limits::DESCRIPTION, "The rest is in the file.");
        assert!(!whole && size(&text) <= limits::DESCRIPTION);
        assert!(text.contains("Keep fingers clear.") && text.ends_with("The rest is in the file."), "{text}");
        assert!(text.starts_with("word word"));
    }

    #[test]
    fn code_that_is_cut_is_closed() {
        let blocks = [Block::Working(vec!["1 + 1 = 2".to_owned(); 900])];
        let (text, whole) = fit(&all(&blocks), limits::DESCRIPTION, "cut");
        assert!(!whole && text.matches("```").count() == 2, "{text}");
    }
}
