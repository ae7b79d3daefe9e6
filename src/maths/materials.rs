//! Linear thermal expansion of the metals an engine is measured in.
//!
//! Mean coefficients from about 20 to 100 degrees C, per kelvin, good to about 5 % for the kind of metal: an alloy's own
//! data sheet wins. Between a bench at 30 and one at 20 degrees C, 5 % of a piston's growth is under 0.00005 in on 4 in.

/// A metal and how much it grows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Material {
    /// The word it is asked for by.
    pub id: &'static str,
    pub name: &'static str,
    /// Linear expansion, per kelvin.
    pub expansion: f64,
    pub source: &'static str,
}

const CALLISTER: &str = "Callister and Rethwisch, Materials Science and Engineering, table B.6";
const ASM: &str = "ASM Metals Handbook (attribution from memory)";
const MEMORY: &str = "metals handbook value, from memory";

const fn metal(id: &'static str, name: &'static str, millionths: f64, source: &'static str) -> Material {
    Material { id, name, expansion: millionths * 1e-6, source }
}

/// Every metal known here, iron first.
pub static MATERIALS: &[Material] = &[
    metal("cast-iron", "grey cast iron (blocks, liners)", 11.4, CALLISTER),
    metal("ductile-iron", "nodular (ductile) cast iron", 11.2, CALLISTER),
    metal("steel", "plain carbon steel", 11.7, MEMORY),
    metal("alloy-steel", "chromium-molybdenum and nickel alloy steel (cranks, rods)", 12.3, MEMORY),
    metal("austenitic-steel", "austenitic exhaust valve steel, 20 to 500 degrees C", 18.0, MEMORY),
    metal("aluminium", "cast aluminium-silicon block or head alloy (356)", 21.5, CALLISTER),
    metal("cast-piston", "cast piston alloy A132, about 12 % silicon", 19.0, ASM),
    metal("hypereutectic", "cast piston alloy, 16 to 18 % silicon", 18.0, MEMORY),
    metal("4032", "forged piston alloy 4032, about 12 % silicon", 19.4, ASM),
    metal("2618", "forged piston alloy 2618, little silicon", 22.3, MEMORY),
    metal("bronze", "leaded tin bronze bush (C93200)", 18.0, CALLISTER),
];

/// The metal asked for by its id.
pub fn material(id: &str) -> Option<&'static Material> {
    let id = id.trim();
    MATERIALS.iter().find(|m| m.id.eq_ignore_ascii_case(id))
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use super::super::bounds;
    use super::*;

    #[test]
    fn every_metal_is_found_once_and_is_one_a_sum_accepts() {
        for m in MATERIALS {
            assert_eq!(material(&m.id.to_uppercase()), Some(m), "{}", m.id);
            assert_eq!(MATERIALS.iter().filter(|n| n.id == m.id).count(), 1);
            assert!(m.expansion > bounds::EXPANSION.0 && m.expansion < bounds::EXPANSION.1);
            assert!(!m.source.is_empty() && !m.name.is_empty());
        }
        assert_eq!(material("unobtainium"), None);
    }

    #[test]
    fn aluminium_grows_more_than_iron_and_silicon_holds_it_back() {
        let of = |id| material(id).unwrap().expansion;
        assert!(of("cast-iron") < of("steel") && of("alloy-steel") < of("hypereutectic"));
        assert!(of("hypereutectic") < of("4032") && of("4032") < of("2618"));
    }
}
