use gudgeon::maths::rings::{Fit, GapRange, Heating, closing, filing, gap_change, gap_range, taper};
use gudgeon::quantity::{TemperatureInterval, inches, millimetres};
use uom::si::temperature_interval::kelvin;

use super::{close, inch, mm};

/// Common practice, printed on many a ring packet (from memory): 0.0045 per inch, so 0.018 in for a 4 in bore.
#[test]
fn the_four_inch_bore_of_every_bench_chart() {
    let gap = gap_range(inches(4.0), 0.0045, Some(0.0050)).unwrap();
    close(inch(gap.low), 0.018, 1e-12);
    close(inch(gap.high.unwrap()), 0.020, 1e-12);
}

/// 4.030 x 0.0045 = 0.018135 in and 4.030 x 0.0050 = 0.02015 in, by hand.
#[test]
fn thirty_over_by_hand() {
    let gap = gap_range(inches(4.030), 0.0045, Some(0.0050)).unwrap();
    close(inch(gap.low), 0.018_135, 1e-12);
    close(inch(gap.high.unwrap()), 0.020_15, 1e-12);
    // 0.018135 - 0.0140 = 0.004135; 0.02015 - 0.0140 = 0.00615
    let file = filing(inches(0.0140), gap).unwrap();
    close(inch(file.least), 0.004_135, 1e-12);
    close(inch(file.most.unwrap()), 0.006_15, 1e-12);
    assert_eq!(file.fit, Fit::Short);
}

/// Common practice: a factor is the same number in inch and metric. 102.362 mm is 4.030 in; x 0.0045 = 0.460629 mm.
#[test]
fn the_same_in_metric() {
    close(mm(gap_range(millimetres(102.362), 0.0045, None).unwrap().low), 0.460_629, 1e-9);
}

/// Common practice: oil rails take 0.015 in at least whatever the bore; at 0.015 in exactly they are right.
#[test]
fn a_rail_at_its_minimum_is_right() {
    let rail = GapRange { low: inches(0.015), high: None };
    assert_eq!(filing(inches(0.015), rail).unwrap().fit, Fit::Right);
    assert_eq!(filing(inches(0.055), rail).unwrap().fit, Fit::Right);
    assert_eq!(filing(inches(0.0149), rail).unwrap().fit, Fit::Short);
}

/// The trade's multiplier for taper from two gaps is 0.318 (common practice): 1/pi = 0.318309886.
/// 0.006 / pi = 0.00190985931710274 (30-digit decimals).
#[test]
fn six_thou_of_gap_is_just_under_two_of_taper() {
    let found = taper(inches(0.024), inches(0.018)).unwrap();
    close(inch(found.difference), 0.006, 1e-12);
    close(inch(found.taper), 0.001_909_859_317_102_74, 1e-15);
    close(1000.0 * inch(found.taper) / inch(found.difference), 318.0, 0.5);
}

/// Geometry: a circumference is pi x diameter, so boring 0.030 in over opens a gap by 0.030 pi = 0.0942477796076938 in.
#[test]
fn an_old_ring_in_a_bore_thirty_over() {
    close(inch(gap_change(inches(0.030)).unwrap()), 0.094_247_779_607_693_8, 1e-14);
}

/// By hand: 100 mm bore and iron ring at 10.8 millionths; the ring 150 K up, the bore 20 K up, so they differ by 130 K:
/// pi x 100 x 10.8e-6 x 130 = 0.441079608564007 mm (30-digit decimals).
#[test]
fn a_ring_hotter_than_its_bore_closes() {
    let at = |rise| Heating { expansion: 10.8e-6, rise: TemperatureInterval::new::<kelvin>(rise) };
    let heat = closing(millimetres(100.0), at(150.0), at(20.0)).unwrap();
    close(mm(heat.closing), 0.441_079_608_564_007, 1e-12);
    close(mm(heat.ring) - mm(heat.bore), mm(heat.closing), 1e-12);
    // One metal at one heat: the ring grows as its bore does and the gap closes by nothing.
    close(mm(closing(millimetres(100.0), at(80.0), at(80.0)).unwrap().closing), 0.0, 1e-15);
}

/// A ring maker's service note on oversize bores: at least 0.0035 in of gap for each inch of bore, so 0.014 in for a 4 in ring.
#[test]
fn the_four_inch_ring_of_a_service_note() {
    close(inch(gap_range(inches(4.0), 0.0035, None).unwrap().low), 0.014, 1e-12);
}

/// US Army TM 5-6115-593-34, table 1-2, and TM 5-3805-261-34: a gap is allowed 0.003 in (0.08 mm) more for each 0.001 in that the
/// liner has worn. The same two figures read backward are the taper.
#[test]
fn three_thou_of_gap_for_each_of_wear() {
    close(inch(gap_change(inches(0.001)).unwrap()), 0.003, 0.0005);
    close(mm(gap_change(inches(0.001)).unwrap()), 0.08, 0.005);
    close(inch(taper(inches(0.024), inches(0.021)).unwrap().taper), 0.001, 0.0005);
}

/// US Army TM 5-3825-229-14&P, paragraph 6-11: top ring 0.014 to 0.024 in, oil ring 0.010 to 0.020 in. A gap on either end is
/// right; 0.010 in wants 0.004 to 0.014 in filed (by hand); 0.025 in is past what a file can mend.
#[test]
fn limits_of_an_army_manual() {
    let of = |low, high| GapRange { low: inches(low), high: Some(inches(high)) };
    for (limits, edge) in [(of(0.014, 0.024), 0.014), (of(0.014, 0.024), 0.024), (of(0.010, 0.020), 0.020)] {
        assert_eq!(filing(inches(edge), limits).unwrap().fit, Fit::Right);
    }
    let short = filing(inches(0.010), of(0.014, 0.024)).unwrap();
    close(inch(short.least), 0.004, 1e-12);
    close(inch(short.most.unwrap()), 0.014, 1e-12);
    assert_eq!(filing(inches(0.025), of(0.014, 0.024)).unwrap().fit, Fit::Wide);
}
