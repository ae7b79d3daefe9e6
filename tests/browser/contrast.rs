//! The style sheet's pairs of ink and ground by WCAG 2.2's contrast ratio, in both themes: 7:1 (1.4.6) for answers, readings
//! and verdicts, 4.5:1 (1.4.3) for other text, 3:1 (1.4.11) for edges one has to see.

use std::collections::BTreeMap;

const PALETTE: &str = include_str!("../../src/fronts/web/assets/palette.css");

/// Ink, the grounds it stands on, and what the pair must hold.
const PAIRS: &[(&str, &[&str], f64)] = &[
    ("ink", &["ground", "card", "sunk", "tip-tint"], 7.0),
    ("within", &["within-tint", "card", "sunk"], 7.0),
    ("marginal", &["marginal-tint", "card", "sunk"], 7.0),
    ("out", &["out-tint", "card", "sunk"], 7.0),
    ("quiet", &["ground", "card", "sunk"], 4.5),
    ("blue", &["ground", "card", "sunk", "tip-tint"], 4.5),
    ("on-blue", &["blue"], 4.5),
    ("on-bar", &["bar"], 7.0),
    ("on-demo", &["demo"], 4.5),
    ("on-lamp", &["lamp"], 4.5),
    ("edge", &["ground", "card", "sunk"], 3.0),
    ("bar-edge", &["bar"], 3.0),
    ("lamp", &["bar"], 3.0),
    ("focus", &["ground", "card"], 3.0),
];

/// Each colour's light and dark value.
fn palette() -> BTreeMap<&'static str, [[f64; 3]; 2]> {
    let line = regex::Regex::new(r"--([a-z-]+): light-dark\((#[0-9a-f]{6}), (#[0-9a-f]{6})\);").unwrap();
    line.captures_iter(PALETTE)
        .map(|found| {
            let (_, [name, light, dark]) = found.extract();
            (name, [light, dark].map(channels))
        })
        .collect()
}

fn channels(hex: &str) -> [f64; 3] {
    [1, 3, 5].map(|at| f64::from(u8::from_str_radix(&hex[at..at + 2], 16).unwrap()))
}

/// Relative luminance as WCAG 2.2 defines it.
fn luminance(rgb: [f64; 3]) -> f64 {
    let linear = rgb.map(|c| c / 255.0).map(|c| if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) });
    0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
}

fn ratio(a: [f64; 3], b: [f64; 3]) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[test]
fn the_ratio_is_that_of_the_standard() {
    let grey = |v: f64| [v; 3];
    // WCAG's own ends, and #767676 on white, the darkest grey below 4.5:1's edge that its techniques name.
    assert!((ratio(grey(0.0), grey(255.0)) - 21.0).abs() < 1e-9);
    assert!((ratio(grey(118.0), grey(255.0)) - 4.54).abs() < 0.005);
}

#[test]
fn every_ink_holds_its_ratio_on_every_ground_it_stands_on() {
    let palette = palette();
    let mut named: Vec<&str> = Vec::new();
    for (ink, grounds, wanted) in PAIRS {
        for ground in *grounds {
            for (theme, name) in ["light", "dark"].into_iter().enumerate() {
                let found = ratio(palette[ink][theme], palette[ground][theme]);
                assert!(found >= *wanted, "{ink} on {ground}, {name}: {found:.2}, wanted {wanted}");
            }
            named.push(ground);
        }
        named.push(ink);
    }
    for colour in palette.keys() {
        assert!(named.contains(colour), "{colour} is in no pair");
    }
    // Colours are named in one place alone.
    let colour = regex::Regex::new(r"#[0-9a-f]{3,8}\b|rgb\(|hsl\(").unwrap();
    for sheet in ["base", "card", "form", "board", "library", "wide"] {
        let path = format!("{}/src/fronts/web/assets/{sheet}.css", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(path).unwrap();
        assert!(!colour.is_match(&text), "a colour in {sheet}.css");
    }
}
