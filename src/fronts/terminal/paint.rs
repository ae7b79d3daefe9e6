//! A reply as plain text: the answer in the first line, wrapped to the width, actions as hints at the foot.

use comfy_table::presets;
use comfy_table::{ContentArrangement, Table as Grid};
use textwrap::{Options, WordSplitter};

use crate::desk::reply::{Block, Loudness, Reply, Table, Verdict, letter};
use crate::desk::{Outcome, Refusal};

/// Any outcome as text ending in a line break.
pub fn outcome(outcome: &Outcome, width: usize) -> String {
    match outcome {
        Outcome::Reply(reply) => self::reply(reply, width),
        Outcome::Refused(refusal) => refused(refusal, width),
        Outcome::Fault(text) => wrap(text, width, "") + "\n",
    }
}

fn refused(refusal: &Refusal, width: usize) -> String {
    let mut out = wrap(&format!("Refused. {}", refusal.sentence()), width, "") + "\n";
    if let Some(line) = &refusal.line {
        out.push_str(&format!("  > {line}\n"));
    }
    out
}

fn reply(reply: &Reply, width: usize) -> String {
    let verdict =
        reply.verdict.filter(|v| *v != Verdict::NoLimit).map_or(String::new(), |v| format!(" - {}", v.as_str()));
    let mut out = wrap(&format!("{}{verdict}", reply.title), width, "") + "\n";
    for block in &reply.blocks {
        out.push('\n');
        out.push_str(&self::block(block, width));
    }
    if !reply.actions.is_empty() {
        out.push_str("\nNext:\n");
        for action in &reply.actions {
            let dots = if action.form { " …" } else { "" };
            out.push_str(&format!("  > {}{dots}\n", action.line));
        }
    }
    out
}

fn block(block: &Block, width: usize) -> String {
    match block {
        Block::Heading(text) => format!("{}\n", text.to_uppercase()),
        Block::Text(text) => wrap(text, width, "") + "\n",
        Block::Fields(fields) => {
            let broad = fields.iter().map(|(label, _)| label.chars().count()).max().unwrap_or(0).min(24);
            fields
                .iter()
                .map(|(label, value)| {
                    let indent = " ".repeat(broad + 2);
                    let pad = " ".repeat(broad.saturating_sub(label.chars().count()) + 2);
                    let text = wrap(&format!("{label}{pad}{value}"), width, &indent);
                    text + "\n"
                })
                .collect()
        }
        Block::Table(table) => grid(table, width),
        Block::Steps { start, items } => {
            (*start..).zip(items).map(|(n, item)| wrap(&format!("{n}. {item}"), width, "   ") + "\n").collect()
        }
        Block::Bullets(items) => items.iter().map(|item| wrap(&format!("- {item}"), width, "  ") + "\n").collect(),
        Block::Working(lines) => lines.iter().map(|line| wrap(&format!("  {line}"), width, "    ") + "\n").collect(),
        Block::Figure(figure) => wrap(&format!("[figure: {}]", figure.alt), width, "") + "\n",
        Block::Photo(photo) => wrap(&format!("[photograph: {}]", photo.alt), width, "") + "\n",
        Block::Caution(caution) => {
            let word = match caution.loudness {
                Loudness::Note => "Note",
                Loudness::Tip => "Tip",
                Loudness::Important => "Important",
                Loudness::Warning => "WARNING",
                Loudness::Caution => "CAUTION",
            };
            wrap(&format!("! {word}: {}", caution.text), width, "  ") + "\n"
        }
        Block::Sources(sources) => wrap(&format!("Basis: {}", sources.join("; ")), width, "  ") + "\n",
        Block::Document(document) => format!("[document: {}, {} bytes]\n", document.name, document.content.len()),
    }
}

fn grid(table: &Table, width: usize) -> String {
    let mut grid = Grid::new();
    grid.load_style(presets::NOTHING)
        .set_content_arrangement(ContentArrangement::Dynamic)
        .set_width(u16::try_from(width).unwrap_or(80));
    grid.set_header(table.header.iter().map(|h| h.to_uppercase()));
    for row in &table.rows {
        grid.add_row(row.iter().map(|cell| match cell.verdict {
            Some(verdict) if cell.text == verdict.as_str() => cell.text.clone(),
            Some(verdict) => format!("{} {}", cell.text, letter(verdict)).trim().to_owned(),
            None => cell.text.clone(),
        }));
    }
    let caption = if table.caption.is_empty() { String::new() } else { format!("{}\n", table.caption) };
    let body: String = grid.lines().map(|line| format!("{}\n", line.trim_end())).collect();
    caption + &body
}

/// Wrapped to the width; lines after the first begin with `indent`.
fn wrap(text: &str, width: usize, indent: &str) -> String {
    textwrap::fill(
        text,
        Options::new(width).subsequent_indent(indent).break_words(false).word_splitter(WordSplitter::NoHyphenation),
    )
}
