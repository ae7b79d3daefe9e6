//! An engine read from the `[engine]` table of its page. Every fault is found in one reading, each with its key.

use std::fmt;

use toml::Value;

use super::model::{Bank, Banks, Duty, End, Engine, Facing, Layout, Reliefs, Rotation};
use super::sanity;
use crate::quantity::{Given, Length, System, inches};

/// What is wrong with one key of an engine's front matter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EngineFault {
    pub key: String,
    /// What it holds, as written; `nothing` when the key is missing.
    pub given: String,
    /// What would be right.
    pub wanted: String,
}

impl fmt::Display for EngineFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}` holds {}; wanted: {}", self.key, self.given, self.wanted)
    }
}

/// Every key an engine page may carry.
const KEYS: &[&str] = &[
    "id",
    "also",
    "duty",
    "unit",
    "layout",
    "cylinders",
    "bank_angle",
    "forward_bank",
    "shared_pins",
    "rotation",
    "firing_order",
    "left",
    "right",
    "numbers",
    "mains",
    "cam_journals",
    "pins",
    "bore",
    "stroke",
    "rod_length",
    "compression_height",
    "deck_height",
    "pin_offset",
    "pin",
    "main_journal",
    "rod_journal",
    "front_mark",
    "reliefs",
    "rod_marks",
    "undersizes",
    "oversizes",
    "without",
];

const ACROSS_BANKS: &[(&str, Facing)] = &[("valley", Facing::Valley), ("outside", Facing::Outside)];
const ACROSS_ROW: &[(&str, Facing)] = &[("left", Facing::Left), ("right", Facing::Right)];

impl Engine {
    /// Reads and checks an `[engine]` table; `title` is the page's. All faults are returned together.
    pub fn from_toml(title: &str, table: &toml::Table) -> Result<Self, Vec<EngineFault>> {
        let mut r = Reader { table, unit: None, faults: Vec::new() };
        r.unknown_keys();
        let id = r.must("id", "a short name in lower case, such as \"skerry-v8\"", slug);
        let also = r.may("also", "a list of names in quotes", names).unwrap_or_default();
        let duty = r.must_choose("duty", &Duty::ALL.map(|d| (d.word(), d)));
        let unit = r.must_choose("unit", &[("inch", System::Inch), ("metric", System::Metric)]);
        r.unit = unit;
        let rotation = r.must_choose(
            "rotation",
            &[("clockwise", Rotation::Clockwise), ("counter-clockwise", Rotation::CounterClockwise)],
        );
        let count = r.must("cylinders", "a whole number from 2 to 16", |v| whole(v, 2, 16));
        let layout = r.layout(count);
        let firing_order = r.must("firing_order", "the cylinder numbers in the order they fire", numbers);
        let mains = r.must("mains", "how many main bearings, 2 to 17", |v| whole(v, 2, 17));
        let cam_journals = r.may("cam_journals", "how many cam bearings, 2 to 40", |v| whole(v, 2, 40));
        let pins = r.may("pins", "the angle of each crank pin front to rear, each 0 to below 360", angles);
        let bore = r.must_length("bore", BIG);
        let stroke = r.must_length("stroke", BIG);
        let rod_length = r.length("rod_length", BIG);
        let compression_height = r.length("compression_height", BIG);
        let deck_height = r.length("deck_height", (1.0, 60.0));
        let pin_offset = r.length("pin_offset", (-0.5, 0.5));
        let pin = r.length("pin", (0.2, 8.0));
        let main_journal = r.length("main_journal", BIG);
        let rod_journal = r.length("rod_journal", BIG);
        let front_mark = r.choose("front_mark", &[("front", End::Front), ("flywheel", End::Flywheel)]);
        let across = match &layout {
            Some(Layout::Inline(_)) => ACROSS_ROW,
            _ => ACROSS_BANKS,
        };
        let mut reliefs: Vec<_> = across.iter().map(|&(word, facing)| (word, Reliefs::Toward(facing))).collect();
        reliefs.push(("none", Reliefs::None));
        let reliefs = r.choose("reliefs", &reliefs);
        let rod_marks = r.choose("rod_marks", across);
        let undersizes = r.sizes("undersizes");
        let oversizes = r.sizes("oversizes");
        let without =
            r.may("without", "a list of checks in quotes, such as [\"valve-lash\"]", names).unwrap_or_default();

        let mut faults = r.faults;
        let (
            Some(id),
            Some(duty),
            Some(unit),
            Some(rotation),
            Some(layout),
            Some(firing_order),
            Some(mains),
            Some(bore),
            Some(stroke),
        ) = (id, duty, unit, rotation, layout, firing_order, mains, bore, stroke)
        else {
            return Err(faults);
        };
        let engine = Self {
            id,
            title: title.trim().to_owned(),
            also,
            duty,
            unit,
            layout,
            rotation,
            firing_order,
            mains,
            cam_journals,
            pins,
            bore,
            stroke,
            rod_length,
            compression_height,
            deck_height,
            pin_offset,
            pin,
            main_journal,
            rod_journal,
            front_mark,
            reliefs,
            rod_marks,
            undersizes,
            oversizes,
            without,
        };
        faults.extend(sanity::faults(&engine));
        if faults.is_empty() { Ok(engine) } else { Err(faults) }
    }
}

/// Smallest and largest length believed, in inches.
type Range = (f64, f64);

/// For bores, strokes, rods and journals: a model engine to a ship's auxiliary.
const BIG: Range = (0.3, 40.0);

struct Reader<'a> {
    table: &'a toml::Table,
    unit: Option<System>,
    faults: Vec<EngineFault>,
}

impl Reader<'_> {
    fn fault(&mut self, key: &str, given: impl Into<String>, wanted: impl Into<String>) {
        self.faults.push(EngineFault { key: key.to_owned(), given: given.into(), wanted: wanted.into() });
    }

    fn unknown_keys(&mut self) {
        for (key, value) in self.table {
            if !KEYS.contains(&key.as_str()) {
                let near =
                    KEYS.iter().max_by(|a, b| strsim::jaro_winkler(a, key).total_cmp(&strsim::jaro_winkler(b, key)));
                let near = near.filter(|k| strsim::jaro_winkler(k, key) > 0.8);
                let wanted = near.map_or_else(|| format!("one of {}", KEYS.join(", ")), |k| format!("`{k}`, perhaps"));
                self.fault(key, value.to_string(), wanted);
            }
        }
    }

    /// The value of a key that may be missing; a fault when it is there and cannot be read.
    fn may<T>(&mut self, key: &str, wanted: &str, read: impl Fn(&Value) -> Option<T>) -> Option<T> {
        let value = self.table.get(key)?;
        let got = read(value);
        if got.is_none() {
            self.fault(key, value.to_string(), wanted);
        }
        got
    }

    fn must<T>(&mut self, key: &str, wanted: &str, read: impl Fn(&Value) -> Option<T>) -> Option<T> {
        if !self.table.contains_key(key) {
            self.fault(key, "nothing", wanted);
        }
        self.may(key, wanted, read)
    }

    fn choose<T: Copy>(&mut self, key: &str, words: &[(&str, T)]) -> Option<T> {
        self.may(key, &one_of(words), |v| pick(v, words))
    }

    fn must_choose<T: Copy>(&mut self, key: &str, words: &[(&str, T)]) -> Option<T> {
        self.must(key, &one_of(words), |v| pick(v, words))
    }

    fn must_length(&mut self, key: &str, range: Range) -> Option<Length> {
        if !self.table.contains_key(key) {
            self.fault(key, "nothing", "a length with its unit, such as \"4.000in\" or \"101.6mm\"");
        }
        self.length(key, range)
    }

    fn length(&mut self, key: &str, range: Range) -> Option<Length> {
        let value = self.table.get(key)?;
        match length(value, self.unit, range) {
            Ok(length) => Some(length),
            Err(wanted) => {
                self.fault(key, value.to_string(), wanted);
                None
            }
        }
    }

    /// Standard sizes, each more than the one before.
    fn sizes(&mut self, key: &str) -> Vec<Length> {
        let Some(value) = self.table.get(key) else { return Vec::new() };
        let wanted = "a list of lengths from small to large, such as [\"0.010in\", \"0.020in\"]";
        let Some(list) = value.as_array() else {
            self.fault(key, value.to_string(), wanted);
            return Vec::new();
        };
        let mut sizes: Vec<Length> = Vec::new();
        for value in list {
            match length(value, self.unit, (0.0001, 0.5)) {
                Ok(size) if sizes.last().is_none_or(|last| size > *last) => sizes.push(size),
                Ok(_) => self.fault(key, value.to_string(), wanted),
                Err(wanted) => self.fault(key, value.to_string(), wanted),
            }
        }
        sizes
    }

    fn layout(&mut self, count: Option<u8>) -> Option<Layout> {
        let word = self.must_choose("layout", &[("inline", 'i'), ("v", 'v'), ("flat", 'f')]);
        let foreign: &[&str] = match word? {
            'i' => &["bank_angle", "forward_bank", "shared_pins", "left", "right"],
            'v' => &["numbers"],
            _ => &["numbers", "bank_angle"],
        };
        for key in foreign {
            if let Some(value) = self.table.get(*key) {
                self.fault(key, value.to_string(), "nothing: an engine of this layout has no such thing");
            }
        }
        if word? == 'i' {
            let row = self.must("numbers", "the cylinder numbers front to rear", numbers)?;
            self.numbered("numbers", &row, count)?;
            return Some(Layout::Inline(row));
        }
        let left = self.must("left", "the left bank's cylinder numbers front to rear", numbers);
        let right = self.must("right", "the right bank's cylinder numbers front to rear", numbers);
        let forward = self.must_choose("forward_bank", &[("left", Bank::Left), ("right", Bank::Right)]);
        let shared = self.may("shared_pins", "true or false", Value::as_bool);
        let angle = if word? == 'v' {
            self.must("bank_angle", "the degrees between the banks, above 0 and below 180", |v| {
                degrees(v).filter(|a| *a > 0.0 && *a < 180.0)
            })
        } else {
            Some(180.0)
        };
        let (left, right) = (left?, right?);
        if left.len() != right.len() {
            let wanted = format!("as many cylinders as `left` has: {}", left.len());
            self.fault("right", format!("{right:?}"), wanted);
            return None;
        }
        self.numbered("left", &[left.as_slice(), &right].concat(), count)?;
        let (forward, angle) = (forward?, angle?);
        let banks = Banks { left, right, forward, shared_pins: shared.unwrap_or(word? == 'v') };
        Some(if word? == 'v' { Layout::V { banks, angle } } else { Layout::Flat(banks) })
    }

    /// Some when every number from 1 to the count of cylinders stands once.
    fn numbered(&mut self, key: &str, given: &[u8], count: Option<u8>) -> Option<()> {
        let count = count?;
        let mut sorted = given.to_vec();
        sorted.sort_unstable();
        if sorted.iter().copied().eq(1..=count) {
            return Some(());
        }
        let keys = if key == "left" { " across `left` and `right`" } else { "" };
        self.fault(key, format!("{given:?}"), format!("every number from 1 to {count} once{keys}"));
        None
    }
}

fn one_of<T>(words: &[(&str, T)]) -> String {
    let quoted: Vec<_> = words.iter().map(|(word, _)| format!("\"{word}\"")).collect();
    format!("one of {}", quoted.join(", "))
}

fn pick<T: Copy>(value: &Value, words: &[(&str, T)]) -> Option<T> {
    let given = value.as_str()?.trim();
    words.iter().find(|(word, _)| given.eq_ignore_ascii_case(word)).map(|(_, meaning)| *meaning)
}

fn slug(value: &Value) -> Option<String> {
    let text = value.as_str()?;
    let fits = !text.is_empty()
        && text.len() <= 40
        && text.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-');
    fits.then(|| text.to_owned())
}

fn names(value: &Value) -> Option<Vec<String>> {
    value.as_array()?.iter().map(|v| v.as_str().map(|s| s.trim().to_owned()).filter(|s| !s.is_empty())).collect()
}

fn whole(value: &Value, least: u8, most: u8) -> Option<u8> {
    let number = u8::try_from(value.as_integer()?).ok()?;
    (least..=most).contains(&number).then_some(number)
}

fn numbers(value: &Value) -> Option<Vec<u8>> {
    value.as_array()?.iter().map(|v| whole(v, 1, 16)).collect()
}

fn degrees(value: &Value) -> Option<f64> {
    value.as_float().or_else(|| value.as_integer().map(|n| n as f64)).filter(|a| a.is_finite())
}

fn angles(value: &Value) -> Option<Vec<f64>> {
    value.as_array()?.iter().map(|v| degrees(v).filter(|a| (0.0..360.0).contains(a))).collect()
}

/// A length in shop notation, or what would be right.
fn length(value: &Value, unit: Option<System>, (least, most): Range) -> Result<Length, String> {
    let text = value.as_str().ok_or("a length in quotes with its unit, such as \"4.000in\"")?;
    let given: Given<Length> = text.parse().map_err(|why| format!("a length such as \"4.000in\"; this {why}"))?;
    let length = given.value(unit).map_err(|why| format!("a length such as \"4.000in\"; this {why}"))?;
    if length < inches(least) || length > inches(most) {
        return Err(format!("a length from {least} to {most} in ({:.2} to {:.1} mm)", least * 25.4, most * 25.4));
    }
    Ok(length)
}

#[cfg(test)]
mod tests;
