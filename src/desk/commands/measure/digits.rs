//! Lengths with the digits their uncertainty leaves: two figures of it (JCGM 100, 7.2.6), so that a mean is not shown
//! coarser than it is known.

use crate::quantity::{Length, Measure, System, show};

fn in_unit(value: Length, system: System) -> f64 {
    match system {
        System::Inch => value.si() / 0.0254,
        System::Metric => value.si() * 1e3,
    }
}

fn unit(system: System) -> &'static str {
    match system {
        System::Inch => "in",
        System::Metric => "mm",
    }
}

/// Decimals that show `uncertainty` to two figures: at least a thou or a hundredth, at most a millionth.
fn decimals(uncertainty: Length, system: System) -> usize {
    // A hair up, so that 0.000 099 999 is a tenth.
    let value = in_unit(uncertainty, system).abs() * (1.0 + 1e-9);
    // No uncertainty to go by: the digits of the shop's instruments.
    let (usual, most) = match system {
        System::Inch => (4, 6),
        System::Metric => (3, 5),
    };
    if value > 0.0 { (1 - value.log10().floor() as i32).clamp(usual - 1, most) as usize } else { usual as usize }
}

/// `2.49945 in`: with as many decimals as `uncertainty` deserves, one system.
pub fn fine_in(value: Length, uncertainty: Length, system: System) -> String {
    format!("{} {}", show::fixed(in_unit(value, system), decimals(uncertainty, system)), unit(system))
}

/// `0.00006 in (0.0015 mm)`: the same in both.
pub fn fine(value: Length, uncertainty: Length, system: System) -> String {
    let other = match system {
        System::Inch => System::Metric,
        System::Metric => System::Inch,
    };
    format!("{} ({})", fine_in(value, uncertainty, system), fine_in(value, uncertainty, other))
}

/// `2.49945 ± 0.00012 in (63.4860 ± 0.0030 mm)`.
pub fn plus_minus(value: Length, uncertainty: Length, system: System) -> String {
    let one = |system| {
        let decimals = decimals(uncertainty, system);
        let number = |length| show::fixed(in_unit(length, system), decimals);
        format!("{} ± {} {}", number(value), number(uncertainty), unit(system))
    };
    match system {
        System::Inch => format!("{} ({})", one(System::Inch), one(System::Metric)),
        System::Metric => format!("{} ({})", one(System::Metric), one(System::Inch)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{inches, millimetres};

    #[test]
    fn two_figures_of_the_uncertainty() {
        assert_eq!(
            plus_minus(inches(2.499_45), inches(0.000_123), System::Inch),
            "2.49945 ± 0.00012 in (63.4860 ± 0.0031 mm)"
        );
        assert_eq!(fine_in(millimetres(63.486), millimetres(0.25), System::Metric), "63.49 mm");
        assert_eq!(fine_in(inches(2.5), inches(0.0), System::Inch), "2.5000 in");
        assert_eq!(fine_in(inches(2.5), inches(1e-12), System::Inch), "2.500000 in");
    }
}
