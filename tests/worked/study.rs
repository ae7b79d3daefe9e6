use gudgeon::maths::judge::Verdict;
use gudgeon::maths::study::{Order, Study, Table, rated, study};
use gudgeon::quantity::{Length, Measure, millimetres};

use super::{close, mm};

/// The gauge study printed in the AIAG measurement systems analysis manual (from memory): 3 appraisers, 3 trials, 10 parts,
/// deviations from nominal; a line a round.
const PUBLISHED: &str = "
    0.29 -0.56 1.34 0.47 -0.80 0.02 0.59 -0.31 2.26 -1.36
    0.41 -0.68 1.17 0.50 -0.92 -0.11 0.75 -0.20 1.99 -1.25
    0.64 -0.58 1.27 0.64 -0.84 -0.21 0.66 -0.17 2.01 -1.31
    0.08 -0.47 1.19 0.01 -0.56 -0.20 0.47 -0.63 1.80 -1.68
    0.25 -1.22 0.94 1.03 -1.20 0.22 0.55 0.08 2.12 -1.62
    0.07 -0.68 1.34 0.20 -1.28 0.06 0.83 -0.34 2.19 -1.50
    0.04 -1.38 0.88 0.14 -1.46 -0.29 0.02 -0.46 1.77 -1.49
    -0.11 -1.13 1.09 0.20 -1.07 -0.67 0.01 -0.56 1.45 -1.77
    -0.15 -0.96 0.67 0.11 -1.45 -0.49 0.21 -0.49 1.87 -2.16";

fn published() -> Study {
    let values: Vec<Length> = PUBLISHED.split_whitespace().map(|word| millimetres(word.parse().unwrap())).collect();
    study(&Table::new(&values, 3, 10, 3, Order::Rounds).unwrap()).unwrap()
}

/// Average and range as printed there: mean range 0.3417, range of appraisers 0.4446, of parts 3.511; EV 0.20188, AV 0.22963,
/// GRR 0.30575, PV 1.10456, TV 1.14610; 26.68 % of the total; 5 categories.
#[test]
fn average_and_range_of_the_published_study() {
    let found = published();
    close(mm(found.mean_range), 0.3417, 5e-5);
    close(mm(found.appraiser_range), 0.4446, 1e-4);
    close(mm(found.part_range), 3.511, 5e-4);
    let v = found.average_range.unwrap().variation;
    // Printed from rounded intermediates: a unit of the fourth place either way.
    close(mm(v.equipment), 0.201_88, 5e-5);
    close(mm(v.appraisers), 0.229_63, 5e-5);
    close(mm(v.gauge), 0.305_75, 5e-5);
    close(mm(v.part), 1.104_56, 5e-5);
    close(mm(v.total), 1.146_10, 5e-5);
    close(v.gauge_of_total, 0.2668, 5e-5);
    assert_eq!(v.categories, Some(5));
    assert_eq!(rated(v.gauge_of_total), Verdict::Marginal);
}

/// Analysis of variance as printed there: sums of squares 3.1673, 88.3619, 0.3590, 2.7589 with 2, 9, 18, 60 degrees of
/// freedom; interaction F = 0.434, pooled; EV 0.199933, AV 0.226838, GRR 0.302373, PV 1.042327; 27.9 %; 4 categories.
#[test]
fn analysis_of_variance_of_the_published_study() {
    let found = published().anova;
    let rows = [
        (found.appraisers, 2, 3.1673),
        (found.parts, 9, 88.3619),
        (found.interaction, 18, 0.3590),
        (found.error, 60, 2.7589),
    ];
    for (source, freedom, squares) in rows {
        assert_eq!(source.freedom, freedom);
        close(source.squares * 1e6, squares, 5e-5);
    }
    close(found.f.unwrap(), 0.434, 5e-4);
    assert!(found.pooled);
    let v = found.variation;
    close(mm(v.equipment), 0.199_933, 5e-7);
    close(mm(v.appraisers), 0.226_838, 1e-6);
    close(mm(v.gauge), 0.302_373, 2e-6);
    close(mm(v.part), 1.042_327, 1e-6);
    close(v.gauge_of_total, 0.279, 5e-4);
    assert_eq!((v.interaction.si(), v.categories), (0.0, Some(4)));
}

/// The same in plain Python sums, p by mpmath's incomplete beta: F = 0.433721030135105, p = 0.974106404329; EV =
/// 0.199933179720817, AV = 0.226837521496322, GRR = 0.302371522322905, PV = 1.04232749383803, share 27.8606508811423 %.
#[test]
fn the_published_study_to_more_digits() {
    let found = published().anova;
    close(found.f.unwrap(), 0.433_721_030_135_105, 1e-10);
    close(found.p.unwrap(), 0.974_106_404_329, 1e-9);
    close(mm(found.variation.equipment), 0.199_933_179_720_817, 1e-12);
    close(mm(found.variation.appraisers), 0.226_837_521_496_322, 1e-12);
    close(mm(found.variation.gauge), 0.302_371_522_322_905, 1e-12);
    close(mm(found.variation.part), 1.042_327_493_838_03, 1e-12);
    close(found.variation.gauge_of_total, 0.278_606_508_811_423, 1e-12);
}

/// By hand, two appraisers, two parts, two trials, in microns: A reads part 1 as 10, 12 and part 2 as 20, 22; B reads 16, 18 and
/// 18, 20. Cell means 11, 21, 17, 19; appraisers 16, 18; parts 14, 20; grand 17. SSa = 4 (1 + 1) = 8; SSp = 4 (9 + 9) = 72;
/// SSap = 2 (4 x 2^2) = 32; SSe = 4 x 2 = 8. MSe = 8 / 4 = 2, MSap = 32, F = 16, p = 0.0161 (F with 1 and 4: t = 4, two-sided; printed t tables
/// have 3.747 at 0.02 and 4.604 at 0.01), so it is kept: var_e = 2, var_ap = 15, var_a = (8 - 32) / 4 to 0, var_p = (72 - 32) / 4 = 10. GRR = sqrt 17.
/// Share of a tolerance of 50 microns: 6 sqrt 17 / 50.
#[test]
#[allow(clippy::approx_constant)]
fn people_who_differ_by_part() {
    let values: Vec<Length> =
        [10.0, 12.0, 20.0, 22.0, 16.0, 18.0, 18.0, 20.0].map(|x: f64| Length::from_si(x * 1e-6)).to_vec();
    let found = study(&Table::new(&values, 2, 2, 2, Order::Parts).unwrap()).unwrap();
    let anova = found.anova;
    close(anova.f.unwrap(), 16.0, 1e-9);
    close(anova.p.unwrap(), 0.0161, 5e-5);
    assert!(!anova.pooled);
    let square = |l: Length| (l.si() * 1e6).powi(2);
    let v = anova.variation;
    close(square(v.equipment), 2.0, 1e-9);
    close(square(v.interaction), 15.0, 1e-9);
    close(square(v.appraisers), 0.0, 1e-9);
    close(square(v.part), 10.0, 1e-9);
    close(v.gauge_of_tolerance(millimetres(0.050)).unwrap(), 6.0 * 17_f64.sqrt() / 50.0, 1e-12);
    // Average and range beside it: mean range 2, people's means 2 apart, parts 6 apart.
    let range = found.average_range.unwrap();
    close(range.variation.equipment.si() * 1e6, 2.0 * 0.8862, 1e-9);
    close(range.variation.part.si() * 1e6, 6.0 * 0.7071, 1e-9);
    close(square(range.variation.appraisers), (2.0_f64 * 0.7071).powi(2) - (2.0_f64 * 0.8862).powi(2) / 4.0, 1e-9);
}
