//! Uncertainty carried through a sum, against Monte Carlo (JCGM 101): the same line said again and again with each value
//! drawn from its normal distribution. Ours is first order (JCGM 100); for these sums the two agree as nearly as the
//! draws allow.

use proptest::prelude::Rng as _;
use proptest::test_runner::{RngAlgorithm, TestRng};

use gudgeon::desk::{Asker, Desk, Front, Outcome, Reply};

use crate::talks::{clock, empty_bench};

const DRAWS: usize = 1000;

fn say(desk: &Desk, line: &str) -> Reply {
    match desk.answer(&Asker::new("lead", Front::Terminal), line, clock()) {
        Outcome::Reply(reply) => reply,
        other => panic!("{line}: {other:?}"),
    }
}

fn value(reply: &Reply, name: &str) -> f64 {
    reply.values.iter().find(|v| v.name == name).unwrap_or_else(|| panic!("no {name}")).value
}

/// A standard normal draw (Box and Muller).
fn normal(rng: &mut TestRng) -> f64 {
    let mut unit = || (rng.next_u64() >> 11) as f64 / (1_u64 << 53) as f64;
    let (a, b): (f64, f64) = (1.0 - unit(), unit());
    (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()
}

/// The line with every `number±spread` replaced by `with(number, spread)`.
fn replaced(line: &str, mut with: impl FnMut(f64, f64) -> String) -> String {
    let tokens = line.split(' ').map(|token| {
        let Some((front, back)) = token.split_once('±') else { return token.to_owned() };
        let start = front.rfind('=').map_or(0, |at| at + 1);
        let end = front.rfind(|c: char| c.is_ascii_digit()).map_or(front.len(), |at| at + 1);
        let spread: String = back.chars().take_while(|c| c.is_ascii_digit() || *c == '.').collect();
        let (number, spread) = (front[start..end].parse().unwrap(), spread.parse().unwrap());
        format!("{}{}{}", &front[..start], with(number, spread), &front[end..])
    });
    tokens.collect::<Vec<_>>().join(" ")
}

#[track_caller]
fn agrees(line: &str, name: &str) {
    let desk = empty_bench();
    let mut rng = TestRng::from_seed(RngAlgorithm::ChaCha, &[7; 32]);
    let ours = value(&say(&desk, line), &format!("{name}_uncertainty"));
    let drawn: Vec<f64> = (0..DRAWS)
        .map(|_| {
            let line = replaced(line, |number, spread| format!("{}", number + spread / 2.0 * normal(&mut rng)));
            value(&say(&desk, &line), name)
        })
        .collect();
    let mean = drawn.iter().sum::<f64>() / DRAWS as f64;
    let variance = drawn.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (DRAWS - 1) as f64;
    let theirs = 2.0 * variance.sqrt();
    // The spread of 1000 draws is itself known to 2.2 per cent; well over three of those.
    assert!((ours / theirs - 1.0).abs() < 0.075, "{line}: {name} ±{ours}, drawn ±{theirs}");
}

#[test]
fn a_difference_of_sizes_agrees_with_monte_carlo() {
    agrees("piston clearance 4.0305in±0.0002in 4.0270in±0.0001in", "clearance");
    agrees("bearing clearance housing=2.6905in±0.0002in shell=0.0947in±0.0001in journal=2.4995in±0.0001in", "smallest");
}

#[test]
fn a_quotient_of_volumes_agrees_with_monte_carlo() {
    let line = "cylinder compression bore=4.030in±0.002in stroke=3.48in±0.005in chamber=64cc±1cc gasket=0.040in±0.002in deck=0.010in±0.002in dish=5cc±0.5cc";
    agrees(line, "ratio");
    agrees(line, "squish");
}

#[test]
fn a_torque_with_its_friction_agrees_with_monte_carlo() {
    agrees("bolt preload M10 8.8 share=75%±4%", "preload");
    agrees("ring taper 0.020in±0.0005in 0.016in±0.0005in", "taper");
}

#[test]
fn sizes_at_20_degrees_agree_with_monte_carlo() {
    agrees("piston clearance 102.362mm±0.003mm 102.270mm±0.003mm bore-temp=28C±2C piston-temp=24C±2C", "clearance");
}

/// JCGM 100, H.1.7, in our sum's terms: each of two values alone, then both in quadrature.
#[test]
fn shares_add_in_quadrature() {
    let desk = empty_bench();
    let of = |line: &str| value(&say(&desk, line), "clearance_uncertainty");
    let one = of("piston clearance 4.0305in±0.0003in 4.0270in");
    let other = of("piston clearance 4.0305in 4.0270in±0.0004in");
    let both = of("piston clearance 4.0305in±0.0003in 4.0270in±0.0004in");
    assert!((one - 0.0003).abs() < 1e-12 && (other - 0.0004).abs() < 1e-12 && (both - 0.0005).abs() < 1e-12);
}
