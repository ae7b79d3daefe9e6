//! A document on paper: plain blocks in, PDF out, without a browser.
//!
//! [`set`] turns blocks into pieces of known height, [`pages`] puts the pieces on pages so that no heading is left alone
//! and a table's head stands on every page it goes on to, [`ink`] writes the pages down. Lengths are points.

mod faces;
mod figure;
mod ink;
mod pages;
mod set;

use super::photo::Small;
use super::{DrawingError, Figure, Mark};
use jiff::Timestamp;

/// The sheet of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    A4,
    Letter,
}

impl Format {
    /// Width and height (ISO 216; ANSI/ASME Y14.1).
    fn size(self) -> (f64, f64) {
        match self {
            Self::A4 => (595.28, 841.89),
            Self::Letter => (612.0, 792.0),
        }
    }
}

/// A whole document.
#[derive(Debug, Clone)]
pub struct Paper {
    pub format: Format,
    pub title: String,
    pub author: String,
    /// What stands at the foot of every page, left of its number.
    pub foot: String,
    pub made: Timestamp,
    pub blocks: Vec<Block>,
}

/// A piece of a document, in reading order.
#[derive(Debug, Clone)]
pub enum Block {
    /// The head of the first page, with a small figure at its right.
    Masthead {
        over: String,
        title: String,
        under: String,
        beside: Option<Figure>,
    },
    /// A line in a frame, for what must not be overlooked.
    Banner(String),
    Heading(String),
    /// Stays with what follows it.
    Subheading(String),
    Text(String),
    Small(String),
    /// Figures and letters that are compared by eye, such as a hash.
    Exact(String),
    Facts(Vec<(String, String)>),
    Bullets(Vec<String>),
    Steps(Vec<String>),
    Caution {
        word: String,
        text: String,
    },
    Table(Table),
    /// Side by side, so many in a row.
    Figures {
        figures: Vec<Figure>,
        across: usize,
    },
    /// Side by side, so many in a row, each with what it shows under it.
    Photos {
        photos: Vec<Photo>,
        across: usize,
    },
    /// Rules to sign on, each with what it is for.
    ToSign(Vec<String>),
    /// Not parted by the end of a page: for what is no longer than one.
    Together(Vec<Block>),
}

/// A photograph and what stands under it.
#[derive(Debug, Clone)]
pub struct Photo {
    pub small: Small,
    pub caption: String,
}

/// A table; its head is repeated on every page.
#[derive(Debug, Clone, Default)]
pub struct Table {
    pub columns: Vec<Column>,
    pub rows: Vec<Row>,
}

/// A column and its share of the width; shares add up to 1.
#[derive(Debug, Clone)]
pub struct Column {
    pub head: String,
    pub share: f64,
}

/// A row of a table.
#[derive(Debug, Clone)]
pub enum Row {
    /// Across the whole table: what the rows under it are about.
    Section(String),
    Cells(Vec<Cell>),
}

/// What stands in a cell, item under item.
#[derive(Debug, Clone, Default)]
pub struct Cell {
    pub items: Vec<Item>,
    /// Each item stands level with its like in the other level cells of the row.
    pub level: bool,
}

/// One item of a [`Cell`].
#[derive(Debug, Clone)]
pub enum Item {
    Words(String),
    Strong(String),
    Faint(String),
    /// A verdict: its letter in its shape, and its word.
    Verdict(Mark),
}

impl From<Vec<Item>> for Cell {
    fn from(items: Vec<Item>) -> Self {
        Self { items, level: false }
    }
}

impl From<Item> for Cell {
    fn from(item: Item) -> Self {
        vec![item].into()
    }
}

/// The document as PDF.
pub fn pdf(paper: &Paper) -> Result<Vec<u8>, DrawingError> {
    let (width, height) = paper.format.size();
    let pieces = set::pieces(paper, width - 2.0 * MARGIN);
    let pages = pages::pages(pieces, height - FOOT);
    ink::write(paper, &pages)
}

/// White edge of the paper: what every printer can do without.
const MARGIN: f64 = 40.0;
/// Room for the foot of the page, edge included.
const FOOT: f64 = 52.0;

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::faces::Face;
    use super::set::Stroke;
    use super::*;
    use crate::drawing::qr;

    /// Every kind of block, with words that are longer than any line.
    fn everything(format: Format) -> Paper {
        let long = |name: &str| format!("{name} {} 4.0006 in (101.615 mm) and more of it, {name}", "X".repeat(150));
        let code = qr::draw("job 1", "code").unwrap();
        let marks = Cell { items: Mark::ALL.into_iter().map(Item::Verdict).collect(), level: true };
        let items = |name: &str| vec![Item::Words(long(name)), Item::Faint(long(name)), Item::Strong(long(name))];
        let cell = |name: &str| Cell { items: items(name), level: name.ends_with('b') };
        let row = |at: usize| Row::Cells(vec![cell(&format!("row{at}a")), marks.clone(), cell(&format!("row{at}b"))]);
        let rows = std::iter::once(Row::Section(long("section"))).chain((0..12).map(row)).collect();
        let column = |head: &str, share| Column { head: head.to_owned(), share };
        let columns = vec![column("First", 0.3), column("Second", 0.2), column("Third", 0.5)];
        Paper {
            format,
            title: "Everything".to_owned(),
            author: "Ropewalk Engine Works".to_owned(),
            foot: long("foot"),
            made: Timestamp::UNIX_EPOCH,
            blocks: vec![
                Block::Masthead {
                    over: long("over"),
                    title: long("title"),
                    under: long("under"),
                    beside: Some(code.clone()),
                },
                Block::Banner(long("banner")),
                Block::Heading(long("heading")),
                Block::Subheading(long("subheading")),
                Block::Text(long("text")),
                Block::Small(long("small")),
                Block::Exact(long("exact")),
                Block::Facts(vec![("Label".to_owned(), long("fact"))]),
                Block::Bullets(vec![long("bullet"); 3]),
                Block::Steps(vec![long("step"); 3]),
                Block::Caution { word: "Caution".to_owned(), text: long("caution") },
                Block::Table(Table { columns, rows }),
                Block::Figures { figures: vec![code; 7], across: 3 },
                Block::Together(vec![Block::ToSign(vec![long("sign"); 3])]),
            ],
        }
    }

    #[test]
    fn nothing_leaves_the_paper_and_no_word_is_lost() {
        for format in [Format::A4, Format::Letter] {
            let paper = everything(format);
            let (width, height) = format.size();
            let (room, bottom) = (width - 2.0 * MARGIN, height - FOOT);
            let pages = pages::pages(set::pieces(&paper, room), bottom);
            let mut told = String::new();
            for placed in pages.iter().flatten() {
                assert!(placed.y + placed.piece.height <= bottom + 0.1, "{format:?}: {placed:?}");
                for stroke in &placed.piece.strokes {
                    let (right, foot) = match stroke {
                        Stroke::Text { x, y, face, size, text, .. } => {
                            told += text;
                            (x + face.width(text, *size), *y)
                        }
                        Stroke::Line { from, to, .. } => (from.0.max(to.0), from.1.max(to.1)),
                        Stroke::Area { at, size, .. } => (at.0 + size.0, at.1 + size.1),
                        Stroke::Mark { at, .. } => *at,
                        Stroke::Figure { at, width, .. } => (at.0 + width, at.1),
                        Stroke::Photo { at, size, .. } => (at.0 + size.0, at.1 + size.1),
                    };
                    assert!(right <= room + 0.1, "{format:?}: {stroke:?} ends at {right} of {room}");
                    assert!(foot <= placed.piece.height + 0.1, "{format:?}: {stroke:?} ends at {foot}");
                }
            }
            for name in ["over", "title", "banner", "fact", "bullet", "step", "caution", "section", "row11b", "sign"] {
                assert!(told.contains(name), "{name} is not on the paper");
            }
            let crosses = told.matches('X').count();
            assert_eq!(crosses, 150 * (4 + 5 + 1 + 3 + 3 + 1 + 1 + 12 * 6 + 3), "every letter is");
            assert!(pdf(&paper).unwrap().starts_with(b"%PDF-"));
        }
    }

    #[test]
    fn a_character_the_font_has_not_is_marked_not_dropped() {
        let blocks = vec![Block::Text("ring \u{1f527} gap \u{4e2d}".to_owned())];
        let paper = Paper { blocks, ..everything(Format::A4) };
        assert!(pdf(&paper).unwrap().starts_with(b"%PDF-"));
        assert_eq!(Face::Plain.glyph('\u{1f527}'), Face::Plain.glyph('\u{fffd}'));
    }
}
