//! Limits tables: `Check | At | Min | Max | Unit | Basis`. The engine room reads a row; this one finds them and says them,
//! and gathers the checks of the shop's own that they make into the plan.

use std::sync::Arc;

use super::fault::{Fault, nearest};
use super::leaf::Leaf;
use super::page::{Kind, Node, Page};
use crate::engine::limits::{Cells, Limit};
use crate::engine::measures;
use crate::engine::plan::{Check, Plan, own};

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

/// A check of the shop's own, and the row that makes it.
struct Made<'a> {
    check: Check,
    measure: measures::Kind,
    file: &'a str,
    line: usize,
}

/// The measuring plan of these leaves. The first row of a name on a limits page with a stage makes its check; every other
/// row of that name must agree with it.
pub(super) fn plan(leaves: &[Arc<Leaf>], faults: &mut Vec<Fault>) -> Plan {
    let own_rows = |leaf: &&Arc<Leaf>| leaf.limits.iter().any(Limit::is_own);
    let leaves: Vec<&Arc<Leaf>> = leaves.iter().filter(own_rows).collect();
    let mut made: Vec<Made> = Vec::new();
    for leaf in leaves.iter().filter(|leaf| leaf.page.kind == Kind::Limits) {
        let Some(stage) = leaf.page.stage else { continue };
        for row in leaf.limits.iter().filter(|row| row.is_own()) {
            let same = |first: &&Made| own::is_slip(row.measure.name, first.measure.name);
            if !made.iter().any(|first| same(&first)) {
                let (check, measure) = own::make(row, stage);
                made.push(Made { check, measure, file: &leaf.file, line: row.line });
            }
        }
    }
    for leaf in leaves {
        for row in leaf.limits.iter().filter(|row| row.is_own()) {
            if let Some((what, remedy)) = unlike(row, leaf.page.stage.is_some(), &made) {
                faults.push(Fault::broken(&leaf.file, row.line, what, remedy));
            }
        }
    }
    Plan::new(made.into_iter().map(|made| (made.check, made.measure)))
}

/// What is wrong with a row of a check of the shop's own, beside the row that makes it, and the remedy.
fn unlike(row: &Limit, staged: bool, made: &[Made]) -> Option<(String, String)> {
    let name = row.measure.name;
    let Some(first) = made.iter().find(|made| made.measure.name == name) else {
        let slip_of = made.iter().find(|made| own::is_slip(name, made.measure.name)).map(|made| made.measure.name);
        let known = measures::MEASURES.iter().map(|kind| kind.name);
        let remedy = match slip_of.or_else(|| nearest(name, known)) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => "take a name from a table that is there, or put a `stage` on the limits page that first names it"
                .to_owned(),
        };
        let what = if staged { "is too near another" } else { "is not in the plan" };
        return Some((format!("the check \"{name}\" {what}"), remedy));
    };
    let there = format!("{}:{}", first.file, first.line);
    if row.measure.dimension != first.measure.dimension {
        let wanted = first.measure.dimension.one();
        return Some((format!("\"{name}\" is {wanted} at {there}"), format!("give it in a unit of {wanted}")));
    }
    if row.per.is_some_and(|per| per != first.check.per) {
        let per = first.check.per.word();
        return Some((format!("\"{name}\" is taken at each {per} at {there}"), format!("write - or {per} under At")));
    }
    None
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
