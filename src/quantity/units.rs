//! The units a shop writes, with every spelling met on a phone keyboard.
//! Factors are exact by definition: NIST SP 811 (2008), appendix B.8, and the 1959 inch and pound.

use super::Dimension;

/// Which of the two systems a bare number or a reply leans to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum System {
    #[default]
    Inch,
    Metric,
}

/// One unit: SI value = number x `factor` + `offset`.
#[derive(Debug, PartialEq)]
pub struct Unit {
    pub symbol: &'static str,
    pub also: &'static [&'static str],
    pub dimension: Dimension,
    pub factor: f64,
    pub offset: f64,
}

const INCH: f64 = 0.0254;
const POUND: f64 = 0.453_592_37;
const GRAVITY: f64 = 9.806_65;
const POUND_FORCE: f64 = POUND * GRAVITY;

const fn unit(symbol: &'static str, also: &'static [&'static str], dimension: Dimension, factor: f64) -> Unit {
    Unit { symbol, also, dimension, factor, offset: 0.0 }
}

/// Every unit, in the order a refusal lists them.
pub static UNITS: &[Unit] = &[
    unit("in", &["inch", "inches", "\"", "''", "ins"], Dimension::Length, INCH),
    unit("mm", &["millimetre", "millimetres", "millimeter", "millimeters"], Dimension::Length, 1e-3),
    unit("thou", &["thous", "mil", "mils", "thousandths"], Dimension::Length, INCH * 1e-3),
    unit("tenths", &["tenth"], Dimension::Length, INCH * 1e-4),
    unit("cm", &["centimetre", "centimetres"], Dimension::Length, 1e-2),
    unit("um", &["micron", "microns", "micrometre", "micrometres", "µm", "μm"], Dimension::Length, 1e-6),
    unit("m", &["metre", "metres", "meter", "meters"], Dimension::Length, 1.0),
    unit("ft", &["foot", "feet", "'"], Dimension::Length, INCH * 12.0),
    unit("cm2", &["cm^2", "cm²", "sq cm", "sq-cm"], Dimension::Area, 1e-4),
    unit("sq in", &["sqin", "in2", "in^2", "in²", "sq-in", "square inches"], Dimension::Area, INCH * INCH),
    unit("mm2", &["mm^2", "mm²", "sq mm", "sq-mm"], Dimension::Area, 1e-6),
    unit("cc", &["cm3", "cm^3", "cm³", "ml", "ccs"], Dimension::Volume, 1e-6),
    unit(
        "cu in",
        &["cuin", "ci", "cid", "in3", "in^3", "in³", "cu-in", "cubic inches"],
        Dimension::Volume,
        INCH * INCH * INCH,
    ),
    unit("l", &["litre", "litres", "liter", "liters"], Dimension::Volume, 1e-3),
    unit(
        "lb-ft",
        &["lbft", "lb ft", "lbf-ft", "ft-lb", "ftlb", "ft lb", "ft-lbs", "ftlbs", "lb.ft", "lbs-ft"],
        Dimension::Torque,
        POUND_FORCE * INCH * 12.0,
    ),
    unit("Nm", &["nm", "n-m", "n.m", "n m", "newton metres", "newton-metres"], Dimension::Torque, 1.0),
    unit(
        "lb-in",
        &["lbin", "lb in", "in-lb", "inlb", "in lb", "in-lbs", "inlbs", "lbf-in"],
        Dimension::Torque,
        POUND_FORCE * INCH,
    ),
    unit("kgf-m", &["kgm", "kg-m", "kgfm", "mkg", "m-kg"], Dimension::Torque, GRAVITY),
    unit("lbf", &["lb", "lbs", "pounds"], Dimension::Force, POUND_FORCE),
    unit("N", &["newton", "newtons"], Dimension::Force, 1.0),
    unit("kN", &["kilonewton", "kilonewtons"], Dimension::Force, 1e3),
    unit("kgf", &["kg"], Dimension::Force, GRAVITY),
    unit("psi", &["lb/in2", "lbf/in2"], Dimension::Pressure, POUND_FORCE / (INCH * INCH)),
    unit("kPa", &["kilopascal", "kilopascals"], Dimension::Pressure, 1e3),
    unit("bar", &["bars"], Dimension::Pressure, 1e5),
    unit("MPa", &["n/mm2", "megapascal"], Dimension::Pressure, 1e6),
    unit("GPa", &["gigapascal"], Dimension::Pressure, 1e9),
    unit("ksi", &[], Dimension::Pressure, 1e3 * POUND_FORCE / (INCH * INCH)),
    unit("kgf/cm2", &["kg/cm2"], Dimension::Pressure, GRAVITY * 1e4),
    unit("g", &["gram", "grams", "gramme", "grammes"], Dimension::Mass, 1e-3),
    unit("kg", &["kilogram", "kilograms", "kilo", "kilos"], Dimension::Mass, 1.0),
    unit("oz", &["ounce", "ounces"], Dimension::Mass, POUND / 16.0),
    unit("lb", &["lbs", "pound", "pounds"], Dimension::Mass, POUND),
    unit("deg", &["°", "degree", "degrees", "degs"], Dimension::Angle, std::f64::consts::PI / 180.0),
    Unit {
        symbol: "°C",
        also: &["c", "degc", "deg c", "celsius", "℃"],
        dimension: Dimension::Temperature,
        factor: 1.0,
        offset: 273.15,
    },
    Unit {
        symbol: "°F",
        also: &["f", "degf", "deg f", "fahrenheit", "℉"],
        dimension: Dimension::Temperature,
        factor: 5.0 / 9.0,
        offset: 459.67 * 5.0 / 9.0,
    },
    unit("rpm", &["rev/min", "r/min"], Dimension::Turning, std::f64::consts::PI / 30.0),
    unit("mPa s", &["mpas", "mpa-s", "mpa.s", "cp", "centipoise"], Dimension::Viscosity, 1e-3),
    unit("ureyn", &["µreyn", "μreyn", "microreyn"], Dimension::Viscosity, 1e-6 * POUND_FORCE / (INCH * INCH)),
    unit("%", &["percent", "pc", "per cent"], Dimension::Share, 0.01),
    unit("lbf/in", &["lb/in", "lbs/in", "lb/inch"], Dimension::Stiffness, POUND_FORCE / INCH),
    unit("N/mm", &["newtons/mm"], Dimension::Stiffness, 1e3),
    unit("kgf/mm", &["kg/mm"], Dimension::Stiffness, GRAVITY * 1e3),
];

/// The unit of that dimension spelt so (case does not matter).
pub fn unit_for(dimension: Dimension, spelling: &str) -> Option<&'static Unit> {
    let wanted = spelling.trim().to_lowercase();
    UNITS
        .iter()
        .filter(|u| u.dimension == dimension)
        .find(|u| u.symbol.to_lowercase() == wanted || u.also.contains(&wanted.as_str()))
}

/// The unit a bare number of this dimension takes under a system; none where the number alone is not enough to know.
pub fn named_in(dimension: Dimension, system: System) -> Option<&'static Unit> {
    let symbol = match (dimension, system) {
        (Dimension::Length, System::Inch) => "in",
        (Dimension::Length, System::Metric) => "mm",
        (Dimension::Area, System::Inch) => "sq in",
        (Dimension::Area, System::Metric) => "cm2",
        // Chambers and dishes are poured with a burette, and read in cc, in inch shops too.
        (Dimension::Volume, _) => "cc",
        (Dimension::Torque, System::Inch) => "lb-ft",
        (Dimension::Torque, System::Metric) => "Nm",
        (Dimension::Force, System::Inch) => "lbf",
        (Dimension::Force, System::Metric) => "N",
        (Dimension::Pressure, System::Inch) => "psi",
        (Dimension::Pressure, System::Metric) => "kPa",
        (Dimension::Mass, _) => "g",
        (Dimension::Angle, _) => "deg",
        (Dimension::Temperature, System::Inch) => "°F",
        (Dimension::Temperature, System::Metric) => "°C",
        (Dimension::Turning, _) => "rpm",
        (Dimension::Viscosity, _) => "mPa s",
        (Dimension::Share, _) => "%",
        (Dimension::Stiffness, System::Inch) => "lbf/in",
        (Dimension::Stiffness, System::Metric) => "N/mm",
        (Dimension::Number, _) => return None,
    };
    unit_for(dimension, symbol)
}
