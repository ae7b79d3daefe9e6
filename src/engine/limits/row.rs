//! A row of a limits table, read cell by cell: `ring gap | top | 0.0045 x bore | - | in | common practice`.

use std::fmt;

use super::super::measures::{EVERYWHERE, Kind, kind};
use super::super::plain;
use super::super::plan::own;
use super::super::position::Per;
use super::{Bound, Limit};
use crate::quantity::{Dimension, UNITS, Unit, read, unit_for};

/// The text of a row's cells, by column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cells<'a> {
    pub check: &'a str,
    pub at: &'a str,
    pub min: &'a str,
    pub max: &'a str,
    pub unit: &'a str,
    pub basis: &'a str,
}

/// What is wrong with one cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RowFault {
    pub column: &'static str,
    pub given: String,
    pub wanted: String,
}

impl fmt::Display for RowFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "column {} holds \"{}\"; wanted: {}", self.column, self.given, self.wanted)
    }
}

impl Limit {
    /// Reads a row; `page` and `line` say where it stands. All faults of the row are returned together.
    pub fn parse(cells: Cells<'_>, page: &str, line: usize) -> Result<Self, Vec<RowFault>> {
        let mut faults = Vec::new();
        let mut keep = |column, given: &str, wanted| {
            faults.push(RowFault { column, given: given.trim().chars().take(60).collect(), wanted });
        };
        let measure = match measure(&cells) {
            Ok(measure) => measure,
            Err((column, given, wanted)) => {
                keep(column, given, wanted);
                return Err(faults); // every other cell depends on it
            }
        };
        let at = place_of(&measure, cells.at).map_err(|wanted| keep("At", cells.at, wanted)).ok();
        let unit = unit_for(measure.dimension, cells.unit);
        if unit.is_none() {
            keep("Unit", cells.unit, units(measure.dimension));
        }
        if cells.basis.trim().is_empty() {
            keep("Basis", cells.basis, "the source of the limit, or \"common practice\"".to_owned());
        }
        let mut bound = |column, cell: &str| match cell_bound(cell, &measure, unit) {
            Ok(found) => found,
            Err(wanted) => {
                keep(column, cell, wanted);
                None
            }
        };
        let (min, max) = (bound("Min", cells.min), bound("Max", cells.max));
        if is_dash(cells.min) && is_dash(cells.max) {
            keep("Max", cells.max, "a number in Min, in Max, or in both".to_owned());
        }
        if let (Some(min), Some(max)) = (min, max)
            && reversed(min, max)
        {
            keep("Max", cells.max, format!("no less than Min, {}", cells.min.trim()));
        }
        match (at, unit) {
            (Some((per, at)), Some(unit)) if faults.is_empty() => Ok(Self {
                measure,
                per,
                at,
                min,
                max,
                unit,
                basis: cells.basis.trim().to_owned(),
                page: page.to_owned(),
                line,
            }),
            _ => Err(faults),
        }
    }
}

/// The measure a row names; of a check of the shop's own, what the row makes of it. Else the cell at fault.
fn measure<'a>(cells: &Cells<'a>) -> Result<Kind, (&'static str, &'a str, String)> {
    if let Some(kind) = kind(cells.check) {
        return Ok(*kind);
    }
    let name = own::name(cells.check).map_err(|wanted| ("Check", cells.check, wanted))?;
    if let Some(near) = own::near(name) {
        let wanted = format!("\"{near}\", perhaps; a check of your own needs a word that is not in it");
        return Err(("Check", cells.check, wanted));
    }
    let spelt = |unit: &&Unit| unit.symbol.eq_ignore_ascii_case(cells.unit.trim());
    let known = |unit: &&Unit| unit_for(unit.dimension, cells.unit).is_some();
    match UNITS.iter().find(spelt).or_else(|| UNITS.iter().find(known)) {
        Some(unit) => Ok(Kind { name, dimension: unit.dimension, parts: &[], journal: None }),
        None => Err(("Unit", cells.unit, "the unit that the check is measured in".to_owned())),
    }
}

/// Where the row's check is taken, if it is the shop's own and the cell says so, and the part it holds for.
fn place_of(measure: &Kind, cell: &str) -> Result<(Option<Per>, &'static str), String> {
    if is_dash(cell) {
        return Ok((None, EVERYWHERE));
    }
    if kind(measure.name).is_none() {
        return own::place(cell).map(|(per, at)| (Some(per), at));
    }
    let found = measure.parts.iter().find(|part| plain(part) == plain(cell));
    found.map(|part| (None, *part)).ok_or_else(|| match measure.parts {
        [] => format!("- ({} has no parts)", measure.name),
        parts => format!("- or one of: {}", parts.join(", ")),
    })
}

fn units(dimension: Dimension) -> String {
    let known: Vec<_> = UNITS.iter().filter(|u| u.dimension == dimension).map(|u| u.symbol).collect();
    format!("the unit of {}: {}", dimension.one(), known.join(", "))
}

fn is_dash(cell: &str) -> bool {
    matches!(cell.trim(), "-" | "–" | "—" | "−")
}

/// A Min or Max cell: `-`, a number in the row's unit, or a factor times bore or journal.
fn cell_bound(cell: &str, measure: &Kind, unit: Option<&Unit>) -> Result<Option<Bound>, String> {
    if is_dash(cell) {
        return Ok(None);
    }
    let lower = cell.to_lowercase();
    let (figure, size) = match lower.split_once(['x', '×', '*']) {
        Some((figure, size)) => (figure, Some(size.trim())),
        None => (lower.as_str(), None),
    };
    let shape = "a number without a unit, - for none, or a factor such as \"0.0045 x bore\"";
    let written = read(figure).map_err(|why| format!("{shape}; this {why}"))?;
    if written.unit.is_some() {
        return Err(shape.to_owned());
    }
    let number = written.number;
    match size {
        None => Ok(unit.map(|unit| Bound::Fixed(number * unit.factor + unit.offset))),
        Some(_) if measure.dimension != Dimension::Length => {
            Err(format!("a number: {} does not go by a size", measure.name))
        }
        Some(_) if number.abs() > 2.0 => Err("a factor, which times the size gives the limit".to_owned()),
        Some("bore") => Ok(Some(Bound::PerBore(number))),
        Some("journal") => match measure.journal {
            Some(journal) => Ok(Some(Bound::PerJournal(journal, number))),
            None => Err(format!("a number or a factor x bore: {} belongs to no journal", measure.name)),
        },
        Some(_) => Err("x bore or x journal".to_owned()),
    }
}

/// True where the minimum is above the maximum and both are stated by the same size.
fn reversed(min: Bound, max: Bound) -> bool {
    match (min, max) {
        (Bound::Fixed(a), Bound::Fixed(b)) | (Bound::PerBore(a), Bound::PerBore(b)) => a > b,
        (Bound::PerJournal(_, a), Bound::PerJournal(_, b)) => a > b,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used)]
    use super::super::super::demo;
    use super::super::{Sizes, Unsized};
    use super::*;

    fn row(cells: [&str; 6]) -> Result<Limit, Vec<RowFault>> {
        let [check, at, min, max, unit, basis] = cells;
        Limit::parse(Cells { check, at, min, max, unit, basis }, "ring-gaps", 12)
    }

    fn fault(cells: [&str; 6]) -> (&'static str, String) {
        let mut faults = row(cells).unwrap_err();
        assert_eq!(faults.len(), 1, "{faults:?}");
        let fault = faults.remove(0);
        (fault.column, fault.wanted)
    }

    #[test]
    fn a_factor_of_the_bore_on_the_skerry() {
        let [skerry, ..] = demo::engines();
        for cell in ["0.0045 x bore", "0.0045 × bore", "0.0045*bore", " .0045 X Bore "] {
            let limit = row(["ring gap", "top", cell, "-", "in", "common practice"]).unwrap();
            let bounds = limit.bounds(&Sizes::from(&skerry)).unwrap();
            // 0.0045 per inch of a 4 in bore is 0.018 in, by hand.
            assert!((bounds.min.unwrap() - 0.018 * 0.0254).abs() < 1e-12 && bounds.max.is_none());
            assert_eq!(limit.to_string(), "at least 0.0045 x bore");
        }
    }

    #[test]
    fn a_journal_is_the_one_the_measure_belongs_to() {
        let [skerry, ..] = demo::engines();
        for (check, size) in [("main oil clearance", skerry.main_journal), ("rod oil clearance", skerry.rod_journal)] {
            let limit = row([check, "-", "0.00075 x journal", "0.001 x journal", "in", "common practice"]).unwrap();
            let bounds = limit.bounds(&Sizes::from(&skerry)).unwrap();
            let si = crate::quantity::Measure::si(size.unwrap());
            assert!((bounds.min.unwrap() - 0.00075 * si).abs() < 1e-12);
            assert!((bounds.max.unwrap() - 0.001 * si).abs() < 1e-12);
            let nothing = limit.bounds(&Sizes::default()).unwrap_err();
            assert!(matches!(nothing, Unsized::Journal(_)));
        }
    }

    #[test]
    fn units_of_each_kind() {
        let si = |cells| row(cells).unwrap().bounds(&Sizes::default()).unwrap();
        let pressure = si(["oil pressure", "hot idle", "20", "-", "psi", "cp"]).min.unwrap();
        assert!((pressure - 137_895.145_863).abs() < 1e-3, "NIST SP 811: 1 psi = 6894.757 Pa");
        assert!((si(["leak-down", "-", "-", "20", "%", "cp"]).max.unwrap() - 0.2).abs() < 1e-12);
        assert!((si(["turning torque", "bare crank", "-", "6", "Nm", "cp"]).max.unwrap() - 6.0).abs() < 1e-12);
        assert_eq!(row(["Squish", "–", "1.00", "1.20", "mm", "cp"]).unwrap().to_string(), "1 to 1.2 mm");
    }

    #[test]
    fn each_fault_names_its_column() {
        let near = fault(["ring gaps", "-", "1", "-", "in", "cp"]);
        assert_eq!((near.0, near.1.starts_with("\"ring gap\", perhaps;")), ("Check", true), "{near:?}");
        assert_eq!(fault(["ring gap", "third", "1", "-", "in", "cp"]).0, "At");
        assert_eq!(fault(["squish", "top", "1", "-", "in", "cp"]).1, "- (squish has no parts)");
        assert_eq!(fault(["squish", "-", "1", "-", "psi", "cp"]).0, "Unit");
        assert_eq!(fault(["squish", "-", "1", "-", "in", " "]).0, "Basis");
        assert_eq!(fault(["squish", "-", "-", "-", "in", "cp"]).0, "Max");
        assert_eq!(fault(["squish", "-", "2", "1", "in", "cp"]).0, "Max");
        for bad in ["", "1 in", "x bore", "nan", "1,2", "0.004 x stroke", "4.5 x bore", "0.001 x journal"] {
            assert_eq!(fault(["squish", "-", bad, "-", "in", "cp"]).0, "Min", "{bad}");
        }
        assert_eq!(fault(["leak-down", "-", "-", "0.1 x bore", "%", "cp"]).0, "Max");
        assert_eq!(fault(["pump backlash", "-", "1", "-", "furlong", "cp"]).0, "Unit");
        assert_eq!(fault(["pump backlash", "gearbox", "1", "-", "in", "cp"]).0, "At");
        let both = row(["squish", "top", "big", "-", "psi", ""]).unwrap_err();
        assert_eq!(both.iter().map(|f| f.column).collect::<Vec<_>>(), ["At", "Unit", "Basis", "Min"]);
    }
}
