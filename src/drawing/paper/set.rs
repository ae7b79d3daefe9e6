//! From blocks to pieces: strokes and lines of text at their places, of known height.

use super::faces::Face;
use super::{Block, Cell, Item, Paper, Photo, Row, Table};
use crate::drawing::Figure;
use crate::drawing::Mark;
use crate::drawing::photo::Small;
use crate::drawing::style::{FAINT, INK, LOOK, PLAIN, RULE, STOP};

/// One thing to put on the page; y runs down from the top of its piece.
#[derive(Debug, Clone)]
pub enum Stroke {
    Text { x: f64, y: f64, face: Face, size: f64, ink: &'static str, text: String },
    Line { from: (f64, f64), to: (f64, f64), ink: &'static str, weight: f64 },
    Area { at: (f64, f64), size: (f64, f64), ink: &'static str },
    Mark { at: (f64, f64), mark: Mark },
    Figure { at: (f64, f64), width: f64, figure: Figure },
    Photo { at: (f64, f64), size: (f64, f64), small: Small },
}

/// What is not parted by the end of a page.
#[derive(Debug, Clone, Default)]
pub struct Piece {
    pub height: f64,
    /// Free room above; none at the top of a page.
    pub gap: f64,
    /// Stays on the page of what follows.
    pub keep: bool,
    pub strokes: Vec<Stroke>,
    /// What is set again above it where it begins a page: its table's head.
    pub head: Option<Box<Piece>>,
}

/// A size of type with the distance between its lines.
#[derive(Debug, Clone, Copy)]
struct Type {
    face: Face,
    size: f64,
    ink: &'static str,
}

impl Type {
    fn leading(self) -> f64 {
        self.size * 1.32
    }
}

const BODY: Type = Type { face: Face::Plain, size: 9.0, ink: INK };
const STRONG: Type = Type { face: Face::Bold, ..BODY };
const SMALL: Type = Type { face: Face::Plain, size: 7.6, ink: FAINT };
const CELL: Type = Type { face: Face::Plain, size: 7.4, ink: INK };
const HEADING: Type = Type { face: Face::Bold, size: 12.0, ink: INK };
/// Room left and right in a cell, and above and below its text.
const PAD: (f64, f64) = (3.0, 2.2);

impl Piece {
    fn gapped(gap: f64) -> Self {
        Self { gap, ..Self::default() }
    }

    /// Lines of text under what is there, from `x`.
    fn lines(&mut self, text: &str, x: f64, room: f64, style: Type) {
        for line in style.face.wrap(text, style.size, room) {
            self.line(&line, x, style);
        }
    }

    fn line(&mut self, text: &str, x: f64, style: Type) {
        let y = self.height + style.size;
        self.strokes.push(Stroke::Text {
            x,
            y,
            face: style.face,
            size: style.size,
            ink: style.ink,
            text: text.to_owned(),
        });
        self.height += style.leading();
    }

    fn rule(&mut self, width: f64, weight: f64, ink: &'static str) {
        let y = self.height;
        self.strokes.push(Stroke::Line { from: (0.0, y), to: (width, y), ink, weight });
    }
}

/// Every piece of the document, `width` wide.
pub fn pieces(paper: &Paper, width: f64) -> Vec<Piece> {
    paper.blocks.iter().flat_map(|block| of_block(block, width)).collect()
}

fn of_block(block: &Block, width: f64) -> Vec<Piece> {
    match block {
        Block::Masthead { over, title, under, beside } => vec![masthead(over, title, under, beside.as_ref(), width)],
        Block::Banner(text) => vec![banner(text, width)],
        Block::Heading(text) => vec![heading(text, width)],
        Block::Subheading(text) => {
            let mut piece = Piece { keep: true, ..Piece::gapped(9.0) };
            piece.lines(text, 0.0, width, Type { size: 9.6, ..STRONG });
            piece.height += 2.0;
            vec![piece]
        }
        Block::Text(text) => vec![words(text, width, BODY)],
        Block::Small(text) => vec![words(text, width, SMALL)],
        Block::Exact(text) => vec![words(text, width, Type { face: Face::Mono, size: 7.6, ink: INK })],
        Block::Facts(facts) => facts_of(facts, width),
        Block::Bullets(items) => items.iter().map(|item| listed("•", item, width)).collect(),
        Block::Steps(items) => (1..).zip(items).map(|(n, item)| listed(&format!("{n}."), item, width)).collect(),
        Block::Caution { word, text } => vec![caution(word, text, width)],
        Block::Table(table) => table_of(table, width),
        Block::Figures { figures, across } => figures_of(figures, (*across).max(1), width),
        Block::Photos { photos, across } => photos_of(photos, (*across).max(1), width),
        Block::ToSign(lines) => vec![to_sign(lines, width)],
        Block::Together(blocks) => {
            let mut all: Vec<Piece> = blocks.iter().flat_map(|block| of_block(block, width)).collect();
            let last = all.len().saturating_sub(1);
            all.iter_mut().take(last).for_each(|piece| piece.keep = true);
            all
        }
    }
}

fn words(text: &str, width: f64, style: Type) -> Piece {
    let mut piece = Piece::gapped(4.0);
    piece.lines(text, 0.0, width, style);
    piece
}

fn masthead(over: &str, title: &str, under: &str, beside: Option<&Figure>, width: f64) -> Piece {
    const CODE: f64 = 74.0;
    let mut piece = Piece::default();
    let room = width - beside.map_or(0.0, |_| CODE + 12.0);
    piece.strokes.push(Stroke::Area { at: (0.0, 0.0), size: (room, 4.0), ink: LOOK });
    piece.height = 12.0;
    piece.lines(over, 0.0, room, Type { face: Face::Bold, size: 10.5, ink: LOOK });
    piece.height += 3.0;
    piece.lines(title, 0.0, room, Type { face: Face::Bold, size: 21.0, ink: INK });
    piece.lines(under, 0.0, room, Type { face: Face::Plain, size: 12.0, ink: INK });
    if let Some(figure) = beside {
        let at = (width - CODE, 0.0);
        piece.strokes.push(Stroke::Figure { at, width: CODE, figure: figure.clone() });
        piece.height = piece.height.max(CODE);
    }
    piece.height += 5.0;
    piece.rule(width, 1.6, INK);
    piece.height += 2.0;
    piece
}

fn banner(text: &str, width: f64) -> Piece {
    let mut piece = Piece::gapped(6.0);
    piece.height = 5.0;
    piece.lines(text, 8.0, width - 16.0, Type { ink: STOP, ..STRONG });
    piece.height += 4.0;
    frame(&mut piece, width, STOP, 1.2);
    piece
}

fn frame(piece: &mut Piece, width: f64, ink: &'static str, weight: f64) {
    let corners = [(0.0, 0.0), (width, 0.0), (width, piece.height), (0.0, piece.height)];
    for (from, to) in corners.into_iter().zip(corners.into_iter().cycle().skip(1)) {
        piece.strokes.push(Stroke::Line { from, to, ink, weight });
    }
}

fn heading(text: &str, width: f64) -> Piece {
    let mut piece = Piece { keep: true, ..Piece::gapped(15.0) };
    piece.lines(text, 0.0, width, HEADING);
    piece.height += 1.5;
    piece.rule(width, 0.8, INK);
    piece.height += 3.0;
    piece
}

/// In two columns where both halves have room; label over its value's first line.
fn facts_of(facts: &[(String, String)], width: f64) -> Vec<Piece> {
    const LABEL: f64 = 76.0;
    let one = |(label, value): &(String, String)| {
        let mut piece = Piece::gapped(1.5);
        piece.line(label, 0.0, Type { ink: FAINT, ..BODY });
        piece.height = 0.0;
        piece.lines(value, LABEL, width - LABEL, BODY);
        piece
    };
    facts.iter().map(one).collect()
}

fn listed(mark: &str, text: &str, width: f64) -> Piece {
    const INDENT: f64 = 15.0;
    let mut piece = Piece::gapped(2.5);
    piece.line(mark, 2.0, BODY);
    piece.height = 0.0;
    piece.lines(text, INDENT, width - INDENT, BODY);
    piece
}

fn caution(word: &str, text: &str, width: f64) -> Piece {
    let mut piece = Piece::gapped(6.0);
    piece.height = 3.0;
    piece.lines(word, 9.0, width - 14.0, Type { ink: STOP, ..STRONG });
    piece.lines(text, 9.0, width - 14.0, BODY);
    piece.height += 2.0;
    let bar = Stroke::Area { at: (0.0, 0.0), size: (3.0, piece.height), ink: STOP };
    piece.strokes.push(bar);
    piece
}

fn table_of(table: &Table, width: f64) -> Vec<Piece> {
    let edges: Vec<f64> = std::iter::once(0.0)
        .chain(table.columns.iter().scan(0.0, |x, column| {
            *x += column.share * width;
            Some(*x)
        }))
        .collect();
    let names: Vec<Cell> = table.columns.iter().map(|c| Item::Strong(c.head.clone()).into()).collect();
    let mut head = row_of(&names, &edges, Piece { keep: true, ..Piece::gapped(5.0) });
    head.strokes.insert(0, Stroke::Area { at: (0.0, 0.0), size: (width, head.height), ink: PLAIN });
    head.rule(width, 1.0, INK);
    let rows = table.rows.iter().map(|row| {
        let start = Piece { head: Some(Box::new(head.clone())), ..Piece::default() };
        match row {
            Row::Section(text) => {
                let mut piece = Piece { keep: true, ..start };
                piece.height = PAD.1 + 2.5;
                piece.lines(text, PAD.0, width - 2.0 * PAD.0, Type { face: Face::Bold, ..CELL });
                piece.height += 1.0;
                piece.rule(width, 0.6, INK);
                piece
            }
            Row::Cells(cells) => {
                let mut piece = row_of(cells, &edges, start);
                piece.rule(width, 0.35, RULE);
                piece
            }
        }
    });
    std::iter::once(head.clone()).chain(rows.collect::<Vec<_>>()).collect()
}

/// An item as it is set: its lines, or a mark before them.
struct Laid {
    mark: Option<Mark>,
    style: Type,
    lines: Vec<String>,
}

impl Laid {
    fn new(item: &Item, room: f64) -> Self {
        let (mark, style, text) = match item {
            Item::Words(text) => (None, CELL, text.as_str()),
            Item::Strong(text) => (None, Type { face: Face::Bold, ..CELL }, text.as_str()),
            Item::Faint(text) => (None, Type { ink: FAINT, ..CELL }, text.as_str()),
            Item::Verdict(mark) => (Some(*mark), CELL, mark.word()),
        };
        let room = room - mark.map_or(0.0, |_| MARK_ROOM);
        Self { mark, style, lines: style.face.wrap(text, style.size, room) }
    }

    fn height(&self) -> f64 {
        self.lines.len() as f64 * self.style.leading()
    }
}

const MARK_ROOM: f64 = 12.0;

/// Cells side by side; the items of level cells share their heights.
fn row_of(cells: &[Cell], edges: &[f64], mut piece: Piece) -> Piece {
    let laid: Vec<(bool, Vec<Laid>)> = cells
        .iter()
        .zip(edges.windows(2))
        .map(|(cell, edge)| {
            let room = edge[1] - edge[0] - 2.0 * PAD.0;
            (cell.level, cell.items.iter().map(|item| Laid::new(item, room)).collect())
        })
        .collect();
    let shared = |at: usize| {
        let level = laid.iter().filter(|(level, _)| *level);
        level.filter_map(|(_, items)| items.get(at)).map(Laid::height).fold(0.0, f64::max)
    };
    let mut tallest: f64 = 0.0;
    for ((level, items), left) in laid.iter().zip(edges) {
        piece.height = PAD.1;
        for (at, item) in items.iter().enumerate() {
            let top = piece.height;
            if let Some(mark) = item.mark {
                let middle = top + item.style.leading() / 2.0 - 0.3;
                piece.strokes.push(Stroke::Mark { at: (left + PAD.0 + 4.5, middle), mark });
            }
            let x = left + PAD.0 + item.mark.map_or(0.0, |_| MARK_ROOM);
            item.lines.iter().for_each(|line| piece.line(line, x, item.style));
            if *level {
                piece.height = top + shared(at);
            }
        }
        tallest = tallest.max(piece.height);
    }
    piece.height = tallest + PAD.1;
    piece
}

fn figures_of(figures: &[Figure], across: usize, width: f64) -> Vec<Piece> {
    const GAP: f64 = 10.0;
    let each = (width - GAP * (across - 1) as f64) / across as f64;
    let tall = |figure: &Figure| f64::from(figure.height) * each / f64::from(figure.width.max(1));
    let rows = figures.chunks(across).map(|row| {
        let mut piece = Piece::gapped(GAP);
        for (place, figure) in row.iter().enumerate() {
            let at = (place as f64 * (each + GAP), 0.0);
            piece.strokes.push(Stroke::Figure { at, width: each, figure: figure.clone() });
            piece.height = piece.height.max(tall(figure));
        }
        piece
    });
    rows.collect()
}

/// Each within the same frame, upright or across, so that the captions of a row stand level.
fn photos_of(photos: &[Photo], across: usize, width: f64) -> Vec<Piece> {
    const GAP: f64 = 10.0;
    let each = (width - GAP * (across - 1) as f64) / across as f64;
    let rows = photos.chunks(across).map(|row| {
        let mut piece = Piece::gapped(GAP);
        let size = |small: &Small| {
            let (wide, tall) = (f64::from(small.width.max(1)), f64::from(small.height.max(1)));
            let scale = (each / wide).min(each / tall);
            (wide * scale, tall * scale)
        };
        let tallest = row.iter().map(|photo| size(&photo.small).1).fold(0.0, f64::max);
        let mut foot = tallest;
        for (place, Photo { small, caption }) in row.iter().enumerate() {
            let x = place as f64 * (each + GAP);
            let (wide, tall) = size(small);
            let at = (x, tallest - tall);
            piece.strokes.push(Stroke::Photo { at, size: (wide, tall), small: small.clone() });
            piece.height = tallest + 2.5;
            piece.lines(caption, x, each, Type { size: 6.8, ..SMALL });
            foot = foot.max(piece.height);
        }
        piece.height = foot;
        piece
    });
    rows.collect()
}

fn to_sign(lines: &[String], width: f64) -> Piece {
    const BETWEEN: f64 = 26.0;
    let mut piece = Piece::gapped(8.0);
    let each = (width - BETWEEN) / 2.0;
    for pair in lines.chunks(2) {
        piece.height += 34.0;
        let top = piece.height;
        let mut foot = top;
        for (place, line) in pair.iter().enumerate() {
            let x = place as f64 * (each + BETWEEN);
            piece.height = top;
            piece.strokes.push(Stroke::Line { from: (x, top), to: (x + each, top), ink: INK, weight: 0.8 });
            piece.height += 1.5;
            piece.lines(line, x, each, SMALL);
            foot = foot.max(piece.height);
        }
        piece.height = foot;
    }
    piece
}
