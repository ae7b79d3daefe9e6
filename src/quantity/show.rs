//! How a quantity is written out: the system asked for first, the other in brackets.
//!
//! Lengths show a tenth of a thou or a micron, the resolution of the shop's instruments; never more.

use super::{
    Angle, Area, Dimension, Force, Given, Length, Mass, Measure, Pressure, Share, Stiffness, System, Temperature,
    Torque, Volume,
};

/// A number with fixed decimals, without a minus in front of nothing.
pub fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| c == '0' || c == '.') => rest.to_owned(),
        _ => text,
    }
}

fn pair(system: System, inch: String, metric: String) -> String {
    match system {
        System::Inch => format!("{inch} ({metric})"),
        System::Metric => format!("{metric} ({inch})"),
    }
}

/// `0.0181 in (0.460 mm)`.
pub fn length(value: Length, system: System) -> String {
    pair(system, length_in(value, System::Inch), length_in(value, System::Metric))
}

/// `0.0181 in`: one system only, for tables and working.
pub fn length_in(value: Length, system: System) -> String {
    match system {
        System::Inch => format!("{} in", fixed(value.si() / 0.0254, 4)),
        System::Metric => format!("{} mm", fixed(value.si() * 1e3, 3)),
    }
}

/// `0.0202 to 0.0242 in (0.512 to 0.614 mm)`, `at least 0.0150 in (0.381 mm)`; empty where there is neither end.
pub fn length_range(low: Option<Length>, high: Option<Length>, system: System) -> String {
    range(Dimension::Length, low.map(Measure::si), high.map(Measure::si), system)
}

/// A range of any quantity kept as SI.
pub fn range(dimension: Dimension, low: Option<f64>, high: Option<f64>, system: System) -> String {
    match (low, high) {
        (Some(low), Some(high)) => {
            let both = |s: System| {
                let (low, high) = (any_in(dimension, low, s), any_in(dimension, high, s));
                // The unit once: `0.0202 to 0.0242 in`.
                match (low.split_once(' '), high.split_once(' ')) {
                    (Some((number, unit)), Some((_, same))) if unit == same => format!("{number} to {high}"),
                    _ => format!("{low} to {high}"),
                }
            };
            let (first, second) = (both(System::Inch), both(System::Metric));
            if first == second { first } else { pair(system, first, second) }
        }
        (Some(low), None) => format!("at least {}", any(dimension, low, system)),
        (None, Some(high)) => format!("at most {}", any(dimension, high, system)),
        (None, None) => String::new(),
    }
}

/// Any quantity kept as SI in one system only.
pub fn any_in(dimension: Dimension, si: f64, system: System) -> String {
    let both = any(dimension, si, system);
    match both.split_once(" (") {
        Some((first, _)) => first.to_owned(),
        None => both,
    }
}

/// `12.76 sq in (82.3 cm2)`.
pub fn area(value: Area, system: System) -> String {
    pair(system, format!("{} sq in", fixed(value.si() / 6.4516e-4, 2)), format!("{} cm2", fixed(value.si() * 1e4, 1)))
}

/// `350.0 cu in (5735.5 cc)`.
pub fn volume(value: Volume, system: System) -> String {
    pair(system, volume_in(value, System::Inch), volume_in(value, System::Metric))
}

/// `64.0 cc` or `3.91 cu in`.
pub fn volume_in(value: Volume, system: System) -> String {
    match system {
        System::Inch => format!("{} cu in", fixed(value.si() / 1.638_706_4e-5, 2)),
        System::Metric => format!("{} cc", fixed(value.si() * 1e6, 1)),
    }
}

/// `85.0 lb-ft (115.2 Nm)`.
pub fn torque(value: Torque, system: System) -> String {
    pair(
        system,
        format!("{} lb-ft", fixed(value.si() / 1.355_817_948_331_4, 1)),
        format!("{} Nm", fixed(value.si(), 1)),
    )
}

/// `9000 lbf (40.03 kN)`; up to 5 kN, where springs are, `110 lbf (489 N)`.
pub fn force(value: Force, system: System) -> String {
    let newtons = value.si();
    let metric = if newtons.abs() < 5e3 {
        format!("{} N", fixed(newtons, 0))
    } else {
        format!("{} kN", fixed(newtons / 1e3, 2))
    };
    pair(system, format!("{} lbf", fixed(newtons / 4.448_221_615_260_5, 0)), metric)
}

/// `300 lbf/in (52.5 N/mm)`.
pub fn stiffness(value: Stiffness, system: System) -> String {
    pair(
        system,
        format!("{} lbf/in", fixed(value.0 / (4.448_221_615_260_5 / 0.0254), 0)),
        format!("{} N/mm", fixed(value.0 / 1e3, 1)),
    )
}

/// `60 psi (414 kPa)`; from 20 MPa up, where it is a stress, `85.0 ksi (586 MPa)`.
pub fn pressure(value: Pressure, system: System) -> String {
    if value.si().abs() >= 2e7 {
        return pair(
            system,
            format!("{} ksi", fixed(value.si() / 6_894_757.293_168, 1)),
            format!("{} MPa", fixed(value.si() / 1e6, 0)),
        );
    }
    pair(
        system,
        format!("{} psi", fixed(value.si() / 6_894.757_293_168, 0)),
        format!("{} kPa", fixed(value.si() / 1e3, 0)),
    )
}

/// `560.0 g (19.75 oz)`: grams first in both systems, as balance scales read.
pub fn mass(value: Mass) -> String {
    format!("{} g ({} oz)", fixed(value.si() * 1e3, 1), fixed(value.si() / 0.028_349_523_125, 2))
}

/// `68 °F (20 °C)`.
pub fn temperature(value: Temperature, system: System) -> String {
    let celsius = value.si() - 273.15;
    pair(system, format!("{} °F", fixed(celsius * 1.8 + 32.0, 0)), format!("{} °C", fixed(celsius, 0)))
}

/// `47.5°`.
pub fn angle(value: Angle) -> String {
    format!("{}°", fixed(value.si().to_degrees(), 1))
}

/// `12.5 %`.
pub fn share(value: Share) -> String {
    format!("{} %", fixed(value.0 * 100.0, 1))
}

/// Any quantity kept as SI with its dimension, both systems.
pub fn any(dimension: Dimension, si: f64, system: System) -> String {
    match dimension {
        Dimension::Length => length(Length::from_si(si), system),
        Dimension::Area => area(Area::from_si(si), system),
        Dimension::Volume => volume(Volume::from_si(si), system),
        Dimension::Torque => torque(Torque::from_si(si), system),
        Dimension::Force => force(Force::from_si(si), system),
        Dimension::Pressure => pressure(Pressure::from_si(si), system),
        Dimension::Mass => mass(Mass::from_si(si)),
        Dimension::Angle => angle(Angle::from_si(si)),
        Dimension::Temperature => temperature(Temperature::from_si(si), system),
        Dimension::Turning => format!("{} rpm", fixed(si * 30.0 / std::f64::consts::PI, 0)),
        Dimension::Viscosity => format!("{} mPa s", number(si * 1e3)),
        Dimension::Share => share(Share(si)),
        Dimension::Stiffness => stiffness(Stiffness(si), system),
        Dimension::Number => number(si),
    }
}

/// A plain number without trailing noise, at most four decimals.
pub fn number(value: f64) -> String {
    trimmed(value, 4)
}

/// At most so many decimals, without noughts behind the last that counts.
pub fn trimmed(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// The text with its first letter raised.
pub fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map(|first| first.to_uppercase().chain(chars).collect()).unwrap_or_default()
}

impl<Q> std::fmt::Display for Given<Q> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.written().text)
    }
}

#[cfg(test)]
mod tests {
    use super::super::inches;
    use super::*;

    #[test]
    fn both_systems_with_the_digits_of_the_instrument() {
        assert_eq!(length(inches(0.01815), System::Inch), "0.0181 in (0.461 mm)");
        assert_eq!(length(inches(4.030), System::Metric), "102.362 mm (4.0300 in)");
        assert_eq!(
            length_range(Some(inches(0.0202)), Some(inches(0.0242)), System::Inch),
            "0.0202 to 0.0242 in (0.513 to 0.615 mm)"
        );
        assert_eq!(length_range(Some(inches(0.015)), None, System::Inch), "at least 0.0150 in (0.381 mm)");
        assert_eq!(range(Dimension::Share, None, Some(0.2), System::Metric), "at most 20.0 %");
        assert_eq!(range(Dimension::Share, Some(0.1), Some(0.2), System::Metric), "10.0 to 20.0 %");
        assert_eq!(temperature(Temperature::from_si(293.15), System::Inch), "68 °F (20 °C)");
        assert_eq!(length_in(inches(-0.000_001), System::Inch), "0.0000 in");
    }
}
