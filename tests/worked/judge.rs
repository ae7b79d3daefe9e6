use gudgeon::maths::judge::{Miss, Verdict, miss, verdict, verdict_si};
use gudgeon::quantity::{Dimension, inches};

use super::{close, inch};

/// ISO 14253-1: with limits 0.0015 and 0.0025 in and U = 0.0002 in conformity is proven from 0.0017 to 0.0023 in, both
/// ends included; in the 0.0002 in inside each limit it is not proven.
#[test]
fn the_zones_of_the_standard() {
    let judge = |v: f64| verdict(inches(v), inches(0.0002), Some(inches(0.0015)), Some(inches(0.0025)));
    for (value, wanted) in [
        (0.0014, Verdict::Out),
        (0.0015, Verdict::Marginal),
        (0.0016, Verdict::Marginal),
        (0.0017, Verdict::Within),
        (0.0020, Verdict::Within),
        (0.0023, Verdict::Within),
        (0.0024, Verdict::Marginal),
        (0.0025, Verdict::Marginal),
        (0.0026, Verdict::Out),
    ] {
        assert_eq!(judge(value), wanted, "{value}");
    }
}

/// JCGM 106:2012, simple acceptance (uncertainty left out): a value on the limit is accepted, a tenth past it is not.
/// 4.0100 - 4.0000 is not 0.0100 in binary.
#[test]
fn a_limit_met_exactly() {
    let wear = inches(4.0100) - inches(4.0000);
    assert_eq!(verdict(wear, inches(0.0), None, Some(inches(0.0100))), Verdict::Within);
    assert_eq!(verdict(wear, inches(0.0), Some(inches(0.0100)), None), Verdict::Within);
    assert_eq!(verdict(wear + inches(0.0001), inches(0.0), None, Some(inches(0.0100))), Verdict::Out);
}

/// Definition: judged before rounding. 0.00252 in shows as 0.0025 in, and is still past 0.0025 in.
#[test]
fn rounding_never_passes_a_reading() {
    assert_eq!(verdict(inches(0.002_52), inches(0.0), None, Some(inches(0.0025))), Verdict::Out);
}

/// Definition: a tolerance narrower than 2 U has no value that is proven inside.
#[test]
fn too_coarse_an_instrument_proves_nothing() {
    for tenth in 15..=25 {
        let value = inches(f64::from(tenth) * 1e-4);
        let found = verdict(value, inches(0.0006), Some(inches(0.0015)), Some(inches(0.0025)));
        assert_eq!(found, Verdict::Marginal, "{tenth}");
    }
}

/// Definition: no limits, no verdict; one limit judges one side.
#[test]
fn one_limit_or_none() {
    assert_eq!(verdict_si(Dimension::Pressure, 400e3, 5e3, None, None), Verdict::NoLimit);
    assert_eq!(verdict_si(Dimension::Pressure, 400e3, 5e3, Some(300e3), None), Verdict::Within);
    assert_eq!(verdict_si(Dimension::Pressure, 302e3, 5e3, Some(300e3), None), Verdict::Marginal);
    assert_eq!(verdict_si(Dimension::Share, 0.21, 0.0, None, Some(0.20)), Verdict::Out);
}

/// By hand: 0.0140 in of gap where 0.0180 is the least lacks 0.0040 in.
#[test]
fn what_is_lacking() {
    let Some(Miss::Below(by)) = miss(inches(0.0140), Some(inches(0.0180)), None) else { panic!("not below") };
    close(inch(by), 0.0040, 1e-12);
}
