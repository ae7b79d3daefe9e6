//! Shop notation in: `4.030in`, `.0025`, `2.5 thou`, `2-1/2in`, `5/16"`, `10 under`, `64cc`, `85 lb-ft`.

use std::collections::HashSet;
use std::marker::PhantomData;
use std::str::FromStr;
use std::sync::LazyLock;

use super::units::{System, UNITS, Unit, named_in, unit_for};
use super::{
    Angle, Area, Dimension, Force, Length, Mass, Measure, Number, Pressure, Share, Stiffness, Temperature, Torque,
    Turning, Viscosity, Volume,
};

/// A number as typed, with the unit beside it if there was one.
#[derive(Debug, Clone, PartialEq)]
pub struct Written {
    pub text: String,
    pub number: f64,
    pub unit: Option<String>,
    /// Digits typed after the point: what the instrument showed.
    pub decimals: usize,
}

/// Why a text is not the quantity wanted.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Misread {
    #[error("is not a number with a unit")]
    NotANumber,
    #[error("has a comma, which can be a decimal mark or a thousands mark: write it with a point")]
    Comma,
    #[error("is too large or too small to be a measurement")]
    NotFinite,
    #[error("has the unit \"{0}\", which is not one known here")]
    UnknownUnit(String),
    #[error("is {0}, where {1} is wanted")]
    WrongKind(&'static str, &'static str),
    #[error("has no unit: write {0}")]
    NeedsUnit(String),
}

/// The number and unit in `text`; the unit is only split off, not looked up.
pub fn read(text: &str) -> Result<Written, Misread> {
    let tidy = tidy(text);
    let (sign, body) = match tidy.strip_prefix('-') {
        Some(rest) => (-1.0, rest),
        None => (1.0, tidy.strip_prefix('+').unwrap_or(&tidy)),
    };
    let end =
        body.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '/' | '-' | ' '))).unwrap_or(body.len());
    // A hyphen or blank before the unit belongs to neither ("3-in", "4.030 in").
    let (digits, unit) = (body[..end].trim_matches([' ', '-']), body[end..].trim());
    if digits.contains(',') {
        return Err(Misread::Comma);
    }
    let (number, decimals) = magnitude(digits).ok_or(Misread::NotANumber)?;
    if !number.is_finite() || number.abs() > 1e12 {
        return Err(Misread::NotFinite);
    }
    let unit = (!unit.is_empty()).then(|| unit.to_lowercase());
    Ok(Written { text: text.trim().to_owned(), number: sign * number, unit, decimals })
}

/// One spelling for the marks a phone keyboard varies, and for vulgar fractions.
fn tidy(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.trim().chars() {
        match c {
            '″' | '“' | '”' | '„' => out.push('"'),
            '′' | '’' | '‘' => out.push('\''),
            '−' | '–' | '—' => out.push('-'),
            '½' => out.push_str(" 1/2"),
            '¼' => out.push_str(" 1/4"),
            '¾' => out.push_str(" 3/4"),
            '⅛' => out.push_str(" 1/8"),
            '⅜' => out.push_str(" 3/8"),
            '⅝' => out.push_str(" 5/8"),
            '⅞' => out.push_str(" 7/8"),
            c if c.is_whitespace() => out.push(' '),
            c => out.push(c),
        }
    }
    out.trim().to_owned()
}

/// `4.030`, `.0025`, `5/16`, `2-1/2`, `2 1/2`: value and digits after the point.
fn magnitude(digits: &str) -> Option<(f64, usize)> {
    let Some((before, below)) = digits.split_once('/') else {
        let whole = digits.split_once('.').map_or(digits, |(w, _)| w);
        let after = digits.split_once('.').map_or("", |(_, a)| a);
        let plain =
            !(whole.is_empty() && after.is_empty()) && whole.bytes().chain(after.bytes()).all(|b| b.is_ascii_digit());
        return plain.then(|| digits.parse().ok()).flatten().map(|n| (n, after.len()));
    };
    let (whole, above) = match before.rsplit_once(['-', ' ']) {
        Some((whole, above)) => (whole.trim().parse::<u32>().ok()?, above),
        None => (0, before),
    };
    let (above, below) = (above.trim().parse::<u32>().ok()?, below.trim().parse::<u32>().ok()?);
    (below > 0).then(|| (f64::from(whole) + f64::from(above) / f64::from(below), 4))
}

/// A quantity of a dimension known only at run time, in SI; a bare number takes the unit of `lean`.
pub fn read_si(dimension: Dimension, text: &str, lean: Option<System>) -> Result<f64, Misread> {
    fn typed<Q: Measure>(text: &str, lean: Option<System>) -> Result<f64, Misread> {
        Ok(text.parse::<Given<Q>>()?.value(lean)?.si())
    }
    match dimension {
        Dimension::Length => typed::<Length>(text, lean),
        Dimension::Area => typed::<Area>(text, lean),
        Dimension::Volume => typed::<Volume>(text, lean),
        Dimension::Torque => typed::<Torque>(text, lean),
        Dimension::Force => typed::<Force>(text, lean),
        Dimension::Pressure => typed::<Pressure>(text, lean),
        Dimension::Mass => typed::<Mass>(text, lean),
        Dimension::Angle => typed::<Angle>(text, lean),
        Dimension::Temperature => typed::<Temperature>(text, lean),
        Dimension::Share => typed::<Share>(text, lean),
        Dimension::Turning => typed::<Turning>(text, lean),
        Dimension::Viscosity => typed::<Viscosity>(text, lean),
        Dimension::Number => typed::<Number>(text, lean),
        Dimension::Stiffness => typed::<Stiffness>(text, lean),
    }
}

/// The system a written unit of that dimension belongs to; none for a bare number.
pub fn system_of(dimension: Dimension, written: &Written) -> Option<System> {
    let unit = unit_for(dimension, written.unit.as_deref()?)?;
    let metric = matches!(
        unit.symbol,
        "mm" | "cm"
            | "um"
            | "m"
            | "cm2"
            | "mm2"
            | "cc"
            | "l"
            | "Nm"
            | "kgf-m"
            | "N"
            | "kN"
            | "kgf"
            | "kPa"
            | "bar"
            | "MPa"
            | "GPa"
            | "°C"
            | "kgf/cm2"
            | "N/mm"
            | "kgf/mm"
    );
    Some(if metric { System::Metric } else { System::Inch })
}

/// True when the text begins as a quantity does: the line splitter and the question test ask this.
pub fn looks_numeric(text: &str) -> bool {
    let body = text.trim_start_matches(['-', '+', '−', '–', '—']);
    let mut chars = body.chars();
    match chars.next() {
        Some('.') => chars.next().is_some_and(|c| c.is_ascii_digit()),
        Some(c) => c.is_ascii_digit() || "½¼¾⅛⅜⅝⅞".contains(c),
        None => false,
    }
}

/// True for a word that can stand after a number as its unit.
pub fn is_unit_word(word: &str) -> bool {
    static WORDS: LazyLock<HashSet<String>> = LazyLock::new(|| {
        let spelt = UNITS.iter().flat_map(|unit| std::iter::once(unit.symbol.to_lowercase()).chain(owned(unit.also)));
        let sizes = ["over", "under", "oversize", "undersize", "cu", "cubic", "sq", "square"];
        spelt.chain(owned(&sizes)).collect()
    });
    fn owned<'a>(words: &'a [&'a str]) -> impl Iterator<Item = String> + 'a {
        words.iter().map(|word| (*word).to_owned())
    }
    if word.chars().any(char::is_uppercase) { WORDS.contains(&word.to_lowercase()) } else { WORDS.contains(word) }
}

/// A quantity as a person gave it. It is finished by [`Given::value`], once it is known whether a bare number may borrow a unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Given<Q> {
    written: Written,
    kind: PhantomData<Q>,
}

impl<Q> Given<Q> {
    pub fn written(&self) -> &Written {
        &self.written
    }

    /// True when no unit was typed.
    pub fn is_bare(&self) -> bool {
        self.written.unit.is_none()
    }
}

impl<Q: Measure> Given<Q> {
    /// The quantity; a bare number takes the unit of `lean`, and is refused where there is none.
    pub fn value(&self, lean: Option<System>) -> Result<Q, Misread> {
        let number = self.written.number;
        let Some(spelling) = &self.written.unit else {
            return match (Q::DIMENSION, lean) {
                (Dimension::Number, _) => Ok(Q::from_si(number)),
                // Only these are written without a unit everywhere.
                (Dimension::Angle | Dimension::Turning | Dimension::Share, None) => {
                    named_in(Q::DIMENSION, System::Inch).map(|u| in_unit(number, u)).ok_or(Misread::NotANumber)
                }
                (_, Some(system)) => {
                    named_in(Q::DIMENSION, system).map(|u| in_unit(number, u)).ok_or(Misread::NotANumber)
                }
                (_, None) => Err(Misread::NeedsUnit(choice(Q::DIMENSION, &self.written.text))),
            };
        };
        if let Some(size) = over_or_under(Q::DIMENSION, spelling, &self.written) {
            return Ok(Q::from_si(size));
        }
        unit_for(Q::DIMENSION, spelling)
            .map(|u| in_unit(number, u))
            .ok_or_else(|| Misread::UnknownUnit(spelling.clone()))
    }

    /// Which system the typed unit belongs to, to answer in the same.
    pub fn system(&self) -> Option<System> {
        system_of(Q::DIMENSION, &self.written)
    }
}

fn in_unit<Q: Measure>(number: f64, unit: &Unit) -> Q {
    Q::from_si(number * unit.factor + unit.offset)
}

/// `10 under` is ten thou, `0.010 under` is 0.010 in: the trade's words for a standard size, as a positive length.
fn over_or_under(dimension: Dimension, spelling: &str, written: &Written) -> Option<f64> {
    if dimension != Dimension::Length || !matches!(spelling, "over" | "under" | "oversize" | "undersize") {
        return None;
    }
    let step = if written.number.abs() >= 1.0 { 0.0254e-3 } else { 0.0254 };
    Some(written.number * step)
}

/// `4.03in or 4.03mm`: the choice named, for a number without a unit.
fn choice(dimension: Dimension, text: &str) -> String {
    let two = [System::Inch, System::Metric].map(|s| named_in(dimension, s).map_or("", |u| u.symbol));
    if two[0] == two[1] { format!("{text}{}", two[0]) } else { format!("{text}{} or {text}{}", two[0], two[1]) }
}

impl<Q: Measure> FromStr for Given<Q> {
    type Err = Misread;

    fn from_str(text: &str) -> Result<Self, Misread> {
        let written = read(text)?;
        if let Some(spelling) = &written.unit {
            let known =
                unit_for(Q::DIMENSION, spelling).is_some() || over_or_under(Q::DIMENSION, spelling, &written).is_some();
            if !known {
                let other = UNITS.iter().find(|u| unit_for(u.dimension, spelling).is_some_and(|found| found == *u));
                return Err(match other {
                    Some(unit) => Misread::WrongKind(unit.dimension.one(), Q::DIMENSION.one()),
                    None => Misread::UnknownUnit(spelling.clone()),
                });
            }
        }
        Ok(Self { written, kind: PhantomData })
    }
}

#[cfg(test)]
#[allow(clippy::expect_used)]
mod tests {
    use super::super::{Length, Temperature, Torque, Volume, in_inches};
    use super::*;

    fn length(text: &str) -> f64 {
        in_inches(Given::<Length>::from_str(text).and_then(|g| g.value(Some(System::Inch))).expect(text))
    }

    #[test]
    fn every_way_the_shop_writes_a_length() {
        for (text, inches) in [
            ("4.030in", 4.030),
            ("4.030\"", 4.030),
            ("4.030 in", 4.030),
            (".0025", 0.0025),
            ("2.5 thou", 0.0025),
            ("25 tenths", 0.0025),
            ("102.362mm", 4.030),
            ("2-1/2in", 2.5),
            ("2 1/2 in", 2.5),
            ("5/16\"", 0.3125),
            ("2½in", 2.5),
            ("0.010 under", 0.010),
            ("10 under", 0.010),
            ("30 over", 0.030),
            ("4.030″", 4.030),
            ("-0.002in", -0.002),
            ("–0.002in", -0.002),
            ("50.8 MM", 2.0),
            ("1/64 in", 0.015625),
        ] {
            assert!((length(text) - inches).abs() < 1e-12, "{text} read as {}", length(text));
        }
    }

    #[test]
    fn other_kinds() {
        let volume = |t: &str| Given::<Volume>::from_str(t).and_then(|g| g.value(None)).expect(t).si();
        assert!((volume("64cc") - 64e-6).abs() < 1e-15);
        assert!((volume("12.5 cu in") - 12.5 * 1.6387064e-5).abs() < 1e-15);
        let torque = |t: &str| Given::<Torque>::from_str(t).and_then(|g| g.value(None)).expect(t).si();
        assert!((torque("85 lb-ft") - 115.244_525_608).abs() < 1e-6, "NIST SP 811: 1 lbf ft = 1.355 818 N m");
        assert!((torque("115 Nm") - 115.0).abs() < 1e-12);
        let heat = |t: &str| Given::<Temperature>::from_str(t).and_then(|g| g.value(None)).expect(t).si();
        assert!((heat("68F") - 293.15).abs() < 1e-9 && (heat("20 °C") - 293.15).abs() < 1e-9);
    }

    #[test]
    fn nonsense_is_named() {
        let fault = |t: &str| Given::<Length>::from_str(t).and_then(|g| g.value(None)).expect_err(t);
        assert_eq!(fault("4,030in"), Misread::Comma);
        assert_eq!(fault("big"), Misread::NotANumber);
        assert_eq!(fault("1.2.3in"), Misread::NotANumber);
        assert_eq!(fault("5/0in"), Misread::NotANumber);
        assert_eq!(fault("4in4"), Misread::UnknownUnit("in4".into()));
        assert_eq!(fault("64cc"), Misread::WrongKind("a volume", "a length"));
        assert_eq!(fault("4.03"), Misread::NeedsUnit("4.03in or 4.03mm".into()));
        assert_eq!(fault(&"9".repeat(400)), Misread::NotFinite);
        for text in ["", "-", ".", "in", "nan", "inf", "NaNmm"] {
            assert_eq!(fault(text), Misread::NotANumber, "{text}");
        }
    }
}
