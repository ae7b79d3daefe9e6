//! Limits tables: `Check | At | Min | Max | Unit | Basis`. The engine room reads a row; this one finds them and says them.

use super::fault::Fault;
use super::page::{Kind, Node, Page};
use crate::engine::limits::{Cells, Limit};

/// The header that makes a table a limits table.
pub const HEADER: [&str; 6] = ["check", "at", "min", "max", "unit", "basis"];

pub(super) fn is_limits_header(header: &[String]) -> bool {
    header.len() == HEADER.len() && header.iter().zip(HEADER).all(|(cell, name)| cell.trim().eq_ignore_ascii_case(name))
}

/// The typed rows of a page's limits tables. A row that cannot be read is a fault, and left out.
pub(super) fn rows(page: &Page, faults: &mut Vec<Fault>) -> Vec<Limit> {
    let mut out = Vec::new();
    let mut tables = 0;
    for node in page.sections.iter().flat_map(|section| &section.nodes) {
        let Node::Table { header, rows, line } = node else { continue };
        if !is_limits_header(header) {
            if nearly_limits_header(header) {
                let what = format!("the header `{}` is not that of a limits table", header.join(" | "));
                faults.push(Fault::broken(&page.file, *line, what, "write `Check | At | Min | Max | Unit | Basis`"));
            }
            continue;
        }
        tables += 1;
        for row in rows {
            let cell = |n: usize| row.cells.get(n).map_or("", String::as_str);
            let cells =
                Cells { check: cell(0), at: cell(1), min: cell(2), max: cell(3), unit: cell(4), basis: cell(5) };
            match Limit::parse(cells, &page.slug, row.line) {
                Ok(limit) => out.push(limit),
                Err(found) => faults.extend(found.into_iter().map(|fault| {
                    let what = format!("{} holds \"{}\"", fault.column, fault.given);
                    Fault::broken(&page.file, row.line, what, format!("wanted: {}", fault.wanted))
                })),
            }
        }
    }
    if page.kind == Kind::Limits && tables == 0 {
        let remedy = "add a table with the header `Check | At | Min | Max | Unit | Basis`, or make it a note";
        faults.push(Fault::blemish(&page.file, 1, "the limits page has no limits table", remedy));
    }
    out
}

/// A header meant for a limits table with a column misspelt, missing or moved: most of its names are there.
fn nearly_limits_header(header: &[String]) -> bool {
    let known = header.iter().filter(|cell| HEADER.iter().any(|name| cell.trim().eq_ignore_ascii_case(name)));
    known.count() >= 4
}

fn cell(cells: &[String], n: usize) -> &str {
    match cells.get(n).map_or("", |cell| cell.trim()) {
        "-" | "–" | "—" => "",
        text => text,
    }
}

/// What a row is about: `ring gap, top`.
pub(super) fn lead(cells: &[String]) -> String {
    match cell(cells, 1) {
        "" => cell(cells, 0).to_owned(),
        at => format!("{}, {at}", cell(cells, 0)),
    }
}

/// A row read aloud: `Ring gap, top: at least 0.0045 x bore, at most 0.0055 x bore (in). Basis: common practice.`
pub(super) fn spoken(cells: &[String]) -> String {
    let lead = lead(cells);
    let mut letters = lead.chars();
    let lead: String = letters.next().into_iter().flat_map(char::to_uppercase).chain(letters).collect();
    let unit = cell(cells, 4);
    let bound = |n: usize, words: &str| match cell(cells, n) {
        "" => None,
        value if value.contains('x') => Some(format!("{words} {value} ({unit})")),
        value => Some(format!("{words} {value} {unit}")),
    };
    let bounds: Vec<String> = [bound(2, "at least"), bound(3, "at most")].into_iter().flatten().collect();
    let bounds = if bounds.is_empty() { "no limit".to_owned() } else { bounds.join(", ") };
    match cell(cells, 5) {
        "" => format!("{lead}: {bounds}."),
        basis => format!("{lead}: {bounds}. Basis: {basis}."),
    }
}
