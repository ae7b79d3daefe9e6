//! Which bolt after which: every bolt in its place with its turn, seen from above, and the stages below.

use super::Figure;
use super::canvas::{Canvas, polar};
use super::lettering::{fit, width};
use super::style::{CARD, CHOSEN, CHOSEN_TINT, INK, LETTER, PLAIN, Paint, RULE, STEEL, WIDTH};

/// Where the bolts are, each with its turn counted from 1.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Layout {
    /// Rows from left to right, each from front to rear.
    Rows(Vec<Vec<u32>>),
    /// Clockwise from the top.
    Circle(Vec<u32>),
}

/// Everything the figure shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BoltOrder {
    pub heading: String,
    pub layout: Layout,
    /// `stage 1: 40 %`.
    pub stages: Vec<String>,
}

const BOLT: f64 = 14.0;
/// More than this many of anything is drawn no further; the words carry all of it.
const MOST: usize = 24;

/// Draws the plan.
pub fn draw(input: &BoltOrder) -> Figure {
    let mut canvas = Canvas::new(WIDTH);
    let y = canvas.heading(&input.heading);
    let foot = match &input.layout {
        Layout::Rows(rows) => draw_rows(&mut canvas, y, rows),
        Layout::Circle(turns) => draw_circle(&mut canvas, y, turns),
    };
    let foot = canvas.facts(foot + 10.0, input.stages.iter().take(8).map(String::as_str));
    canvas.finish(foot + 8.0, &input.heading, &words(input))
}

fn draw_rows(canvas: &mut Canvas, y: f64, rows: &[Vec<u32>]) -> f64 {
    const STEP: f64 = 44.0;
    let across = rows.len().clamp(1, 8);
    let down = rows.iter().map(Vec::len).max().unwrap_or(0).clamp(1, 24);
    canvas.front_arrow((WIDTH / 2.0, y));
    let top = y + 44.0;
    let gap = (300.0 / across as f64).min(84.0);
    let left = WIDTH / 2.0 - gap * (across as f64 - 1.0) / 2.0;
    let card = (gap * (across as f64 - 1.0) + 52.0, STEP * (down as f64 - 1.0) + 52.0);
    canvas.rect((left - 26.0, top), card, 10.0, Paint::fill(PLAIN).edged(RULE, 1.5));
    for (row, turns) in rows.iter().take(across).enumerate() {
        // A short row keeps to the middle, as its bolts would.
        let inset = (down - turns.len().min(down)) as f64 * STEP / 2.0;
        for (column, turn) in turns.iter().take(down).enumerate() {
            draw_bolt(canvas, (left + row as f64 * gap, top + 26.0 + inset + column as f64 * STEP), *turn);
        }
    }
    top + card.1
}

fn draw_circle(canvas: &mut Canvas, y: f64, turns: &[u32]) -> f64 {
    let bolts = turns.len().clamp(1, MOST);
    // Far enough apart that neighbours do not touch: the chord is at least a bolt and a little.
    let needed = (2.0 * BOLT + 4.0) / (2.0 * (std::f64::consts::PI / bolts as f64).sin().max(0.05));
    let outer = needed.clamp(64.0, 140.0);
    let middle = (WIDTH / 2.0, y + outer + BOLT + 10.0);
    canvas.circle(middle, outer + BOLT + 8.0, Paint::fill(PLAIN).edged(RULE, 1.5));
    canvas.circle(middle, outer * 0.45, Paint::fill(CARD).edged(RULE, 1.5));
    for (place, turn) in turns.iter().take(bolts).enumerate() {
        draw_bolt(canvas, polar(middle, outer, 360.0 * place as f64 / bolts as f64), *turn);
    }
    middle.1 + outer + BOLT + 8.0
}

/// A bolt head with its turn; the first one stands out.
fn draw_bolt(canvas: &mut Canvas, at: (f64, f64), turn: u32) {
    let (fill, edge) = if turn == 1 { (CHOSEN_TINT, CHOSEN) } else { (STEEL, INK) };
    canvas.circle(at, BOLT, Paint::fill(fill).edged(edge, 2.0));
    let style = LETTER.middle().ink(edge);
    let text = fit(&turn.to_string(), 2.0 * BOLT - 2.0, style);
    debug_assert!(width(&text, style) <= 2.0 * BOLT);
    canvas.label(at, &text, style);
}

fn words(input: &BoltOrder) -> String {
    let list = |turns: &[u32]| turns.iter().map(u32::to_string).collect::<Vec<_>>().join(", ");
    let lie = match &input.layout {
        Layout::Rows(rows) => {
            let rows = rows.iter().enumerate();
            rows.map(|(at, row)| format!("Row {} from the left, front to rear: {}.", at + 1, list(row)))
                .collect::<Vec<_>>()
                .join(" ")
        }
        Layout::Circle(turns) => format!("Clockwise from the top: {}.", list(turns)),
    };
    let stages = input.stages.iter().map(|s| format!(" {s}.")).collect::<String>();
    format!("Seen from above. {lie}{stages}")
}
