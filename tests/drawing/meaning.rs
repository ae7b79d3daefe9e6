//! What is drawn means what it should: sides, ends, angles and marks land where a person would look for them.

use gudgeon::drawing::clearance_strip;
use gudgeon::drawing::engine_map;
use gudgeon::drawing::matrix;
use gudgeon::drawing::orientation::{self, Pin};
use gudgeon::drawing::plan::{Cylinders, Rotation};
use gudgeon::drawing::ring_clock;
use gudgeon::drawing::stages;
use gudgeon::drawing::{DrawingError, End, Figure, Mark, Side, bore_map, png};
use gudgeon::quantity::System;
use resvg::usvg::roxmltree::Document;

use super::layout::texts;
use super::samples::{banks, board, bore, clock, grid, map, orient, strip};

/// Middle of the first line of text that says exactly this.
fn at(figure: &Figure, words: &str) -> (f32, f32) {
    let texts = texts(figure);
    let found = texts.iter().find(|(said, ..)| said == words);
    let (_, there, _) = found.unwrap_or_else(|| panic!("no \"{words}\" in {:?}", figure.title));
    ((there.left() + there.right()) / 2.0, (there.top() + there.bottom()) / 2.0)
}

fn count(figure: &Figure, words: &str) -> usize {
    texts(figure).iter().filter(|(said, ..)| said == words).count()
}

/// Lines painted with this width, as `[x1, y1, x2, y2]`.
fn lines(figure: &Figure, width: &str) -> Vec<[f64; 4]> {
    let document = Document::parse(&figure.svg).unwrap();
    let lines = document.descendants().filter(|n| n.has_tag_name("line") && n.attribute("stroke-width") == Some(width));
    lines.map(|n| ["x1", "y1", "x2", "y2"].map(|key| n.attribute(key).unwrap().parse().unwrap())).collect()
}

#[test]
fn the_left_bank_is_on_the_left_and_the_forward_bank_stands_ahead() {
    for (forward, ahead, behind) in [(Side::Left, "1", "2"), (Side::Right, "2", "1")] {
        for cylinders in [Cylinders::Vee(banks(4, forward)), Cylinders::Flat(banks(4, forward))] {
            let figure = engine_map::draw(&map(cylinders, true));
            assert!(at(&figure, "1").0 < 180.0 && at(&figure, "2").0 > 180.0);
            assert!(at(&figure, ahead).1 + 10.0 < at(&figure, behind).1, "the forward bank is visibly ahead");
            assert!(at(&figure, "1").1 < at(&figure, "3").1, "front to rear runs down the picture");
            let side = if forward == Side::Left { "left bank" } else { "right bank" };
            assert!((at(&figure, "forward").0 - at(&figure, side).0).abs() < 1.0);
        }
    }
}

/// Seen from the front a clockwise crank carries its top to the viewer's right, which is the engine's LEFT hand.
#[test]
fn the_nose_arrow_follows_the_top_of_the_crank() {
    for (rotation, leftward) in [(Rotation::Clockwise, true), (Rotation::CounterClockwise, false)] {
        let mut input = map(Cylinders::Inline(vec![1, 2, 3, 4]), false);
        input.rotation = rotation;
        let figure = engine_map::draw(&input);
        let [x1, _, x2, _] = lines(&figure, "2.5")[0];
        assert_eq!(x2 < x1, leftward);
        assert_eq!(figure.alt.contains("its top moves to the left"), leftward);
    }
}

#[test]
fn rods_on_a_pin_stand_in_order_and_lean_to_their_banks() {
    for (place, first, second) in [(End::Front, "rod 1", "rod 2"), (End::Rear, "rod 2", "rod 1")] {
        let forward = if place == End::Front { Side::Left } else { Side::Right };
        let input = orient(Cylinders::Vee(banks(4, forward)), 1, Pin::Shared { place, mate: 2 });
        let figure = orientation::draw(&input);
        let (front, rear) = (at(&figure, "front cheek").1, at(&figure, "rear cheek").1);
        assert!(front < at(&figure, first).1 && at(&figure, first).1 < at(&figure, second).1);
        assert!(at(&figure, second).1 < rear);
        assert!(at(&figure, "rod 1").0 < 180.0 && at(&figure, "rod 2").0 > 180.0);
        assert_eq!(count(&figure, "chamfer"), 2);
        assert_eq!((count(&figure, "flats"), count(&figure, "meet")), (1, 1));
        assert!(figure.alt.contains("Flat to flat"));
    }
}

#[test]
fn the_chamfer_is_drawn_at_the_cheek_it_faces() {
    for (chamfer, near, far) in [(End::Front, "front cheek", "rear cheek"), (End::Rear, "rear cheek", "front cheek")] {
        let mut input = orient(Cylinders::Inline(vec![1, 2, 3, 4]), 2, Pin::Alone);
        input.chamfer = Some(chamfer);
        let figure = orientation::draw(&input);
        let away = |cheek: &str| (at(&figure, "chamfer").1 - at(&figure, cheek).1).abs();
        assert!(away(near) < away(far));
        let cuts = lines(&figure, "4");
        assert_eq!(cuts.len(), 2, "one cut corner on each half of the big end");
        let cut = |y: f64| (y as f32 - at(&figure, near).1).abs() < (y as f32 - at(&figure, far).1).abs();
        assert!(cuts.iter().all(|[_, y1, _, y2]| cut(*y1) && cut(*y2)));
    }
}

#[test]
fn chamfers_that_would_meet_are_not_called_flats() {
    let mut input = orient(Cylinders::Vee(banks(4, Side::Left)), 1, Pin::Shared { place: End::Front, mate: 2 });
    input.chamfer = Some(End::Rear);
    let figure = orientation::draw(&input);
    assert_eq!(count(&figure, "flats"), 0);
    assert!(!figure.alt.contains("Flat to flat"));
}

#[test]
fn the_one_asked_about_and_its_mate_are_named_beside_them() {
    let input = orient(Cylinders::Vee(banks(4, Side::Left)), 5, Pin::Shared { place: End::Front, mate: 6 });
    let figure = orientation::draw(&input);
    for (words, number) in [("this one", "5"), ("pin mate", "6")] {
        assert!((at(&figure, words).1 - at(&figure, number).1).abs() < 1.0);
    }
    assert!(at(&figure, "this one").0 < at(&figure, "5").0 && at(&figure, "pin mate").0 > at(&figure, "6").0);
}

#[test]
fn the_front_mark_and_the_sides_of_the_crown() {
    for (mark, above) in [(End::Front, true), (End::Rear, false)] {
        let mut input = orient(Cylinders::Inline(vec![1, 2, 3, 4]), 2, Pin::Alone);
        input.front_mark = Some(mark);
        let figure = orientation::draw(&input);
        // Thrust and reliefs both face right here, so their words stand about the middle of the crown.
        let middle = (at(&figure, "thrust").1 + at(&figure, "reliefs").1) / 2.0;
        assert_eq!(at(&figure, "mark").1 < middle, above);
        assert!(at(&figure, "thrust").0 > 180.0 && at(&figure, "reliefs").0 > 180.0);
    }
}

#[test]
fn gaps_stand_at_their_angles_clockwise_from_front() {
    let figure = ring_clock::draw(&clock([0.0, 90.0, 180.0, 270.0, 45.0]));
    let [top, second, upper, lower, expander] = ["T", "S", "U", "L", "E"].map(|letter| at(&figure, letter));
    assert!(at(&figure, "FRONT").1 < top.1);
    assert!((top.0 - 180.0).abs() < 1.0 && (upper.0 - 180.0).abs() < 1.0 && top.1 < upper.1);
    assert!((second.1 - lower.1).abs() < 1.0 && second.0 > lower.0);
    assert!(expander.0 > 180.0 && expander.1 < second.1);
}

#[test]
fn a_faulted_gap_carries_its_reason_number_and_a_cross() {
    let mut input = clock([0.0, 180.0, 90.0, 270.0, 45.0]);
    let sound = lines(&ring_clock::draw(&input), "3").len();
    input.gaps[2].fault = Some(1);
    input.reasons = vec!["in line with the thrust face".into()];
    let figure = ring_clock::draw(&input);
    assert_eq!(count(&figure, "×1"), 3, "at the gap, in its row, and before the reason");
    assert_eq!(lines(&figure, "3").len(), sound + 2);
    assert!(figure.alt.contains("upper rail 90°, fault 1"));
}

/// Deviations by hand: 4.0316 - 4.0305 = 0.0011 in = 11 tenths.
#[test]
fn deviations_are_counted_from_the_smallest_or_the_nominal() {
    let readings = [[4.0316, 4.0311], [4.0308, 4.0307], [4.0305, 4.0306]];
    let figure = bore_map::draw(&bore(readings, System::Inch, None));
    for words in ["+11 tenths", "+6 tenths", "+3 tenths", "+2 tenths", "0 tenths", "+1 tenth"] {
        assert_eq!(count(&figure, words), 1, "{words}");
    }
    assert!(at(&figure, "L").1 < at(&figure, "S").1 && at(&figure, "S").0 < 216.0);
    let figure = bore_map::draw(&bore(readings, System::Inch, Some(4.0310)));
    assert_eq!((count(&figure, "+6 tenths"), count(&figure, "−5 tenths")), (1, 1));
    let metric = [[100.005, 100.0], [100.0, 100.0], [100.0, 99.9995]];
    let figure = bore_map::draw(&bore(metric, System::Metric, Some(100.0)));
    assert_eq!((count(&figure, "+5 µm"), count(&figure, "−0.5 µm")), (1, 1));
}

/// The marker's line is 3 wide and starts above the scale; limits are 2.5 wide.
#[test]
fn the_marker_stands_where_the_reading_is() {
    let limits = (Some(1.5), Some(2.5));
    for (reading, share) in [(1.5, 0.0), (2.0, 0.5), (2.5, 1.0), (2.75, 1.25), (1.25, -0.25)] {
        let figure = clearance_strip::draw(&strip(reading, limits.0, limits.1, Mark::Within));
        let edges = lines(&figure, "2.5");
        let (min, max) = (edges[0][0], edges[1][0]);
        let marker = lines(&figure, "3").into_iter().find(|[x1, _, x2, y2]| x1 == x2 && *y2 > edges[0][1] + 30.0);
        let x = marker.unwrap()[0];
        assert!((x - (min + share * (max - min))).abs() < 0.05, "{reading}: {x} between {min} and {max}");
    }
}

#[test]
fn a_reading_far_off_the_scale_is_an_arrow_pointing_to_it() {
    for (reading, rightward) in [(40.0, true), (-40.0, false)] {
        let figure = clearance_strip::draw(&strip(reading, Some(1.5), Some(2.5), Mark::Out));
        let arrows = lines(&figure, "5");
        assert_eq!(arrows.len(), 1);
        assert_eq!(arrows[0][2] > arrows[0][0], rightward);
        assert!(figure.alt.contains("out"));
    }
}

#[test]
fn both_systems_stand_on_the_strip() {
    let figure = clearance_strip::draw(&strip(2.0, Some(1.5), Some(2.5), Mark::Within));
    for words in [
        "0.0020 in",
        "0.051 mm",
        "0.0015 in",
        "0.038 mm",
        "0.0025 in",
        "0.064 mm",
        "gauge ± 1 tenth of a thou",
        "within",
    ] {
        assert_eq!(count(&figure, words), 1, "{words}");
    }
}

#[test]
fn every_cell_of_the_matrix_has_its_letter_under_its_position() {
    let input = grid(6, 8, |n| (n + 1).to_string());
    let figure = matrix::draw(&input);
    let cells: Vec<Mark> = input.rows.iter().flat_map(|row| row.cells.iter().flatten().copied()).collect();
    for (mark, letter) in [(Mark::Within, "W"), (Mark::Out, "O"), (Mark::Returned, "R"), (Mark::Accepted, "✓")] {
        let wanted = cells.iter().filter(|cell| **cell == mark).count();
        assert_eq!(count(&figure, letter), wanted + usize::from(wanted > 0), "{letter}, and once in the legend");
    }
    let first = input.rows[0].cells.iter().position(|cell| *cell == Some(Mark::Marginal)).unwrap();
    assert!((at(&figure, "M").0 - at(&figure, &(first + 1).to_string()).0).abs() < 1.0);
}

#[test]
fn a_png_has_the_size_asked_for_and_no_more_than_is_sane() {
    let figure = clearance_strip::draw(&strip(2.0, Some(1.5), Some(2.5), Mark::Within));
    let bytes = png(&figure, 1.5).unwrap();
    assert_eq!(&bytes[..8], b"\x89PNG\r\n\x1a\n");
    // Width and height stand at bytes 16 to 23 (PNG specification, IHDR).
    let side = |from: usize| u32::from_be_bytes(bytes[from..from + 4].try_into().unwrap());
    assert_eq!((side(16), side(20)), (540, (f64::from(figure.height) * 1.5).ceil() as u32));
    for scale in [0.0, -1.0, f32::NAN, f32::INFINITY] {
        assert!(matches!(png(&figure, scale), Err(DrawingError::Scale(_))), "{scale}");
    }
    assert!(matches!(png(&figure, 1000.0), Err(DrawingError::TooLarge { .. })));
    let mut huge = figure.clone();
    (huge.width, huge.height) = (u32::MAX, u32::MAX);
    assert!(matches!(png(&huge, f32::MAX), Err(DrawingError::TooLarge { .. })));
    huge = figure;
    huge.svg.truncate(40);
    assert!(matches!(png(&huge, 1.0), Err(DrawingError::Drawing(_))));
}

#[test]
fn letters_are_painted_with_the_carried_font() {
    let mut figure = matrix::draw(&grid(1, 3, |n| n.to_string()));
    let with = png(&figure, 1.0).unwrap();
    figure.svg = figure.svg.replace("<text", "<metadata").replace("</text", "</metadata");
    assert_ne!(with, png(&figure, 1.0).unwrap());
}

#[test]
fn what_a_person_types_cannot_break_out_of_the_drawing() {
    let mut input = strip(2.0, None, None, Mark::NoLimit);
    input.heading = "a\u{0}\u{1b}[31m</text><script>\"'&\u{202e}".into();
    let figure = clearance_strip::draw(&input);
    let document = Document::parse(&figure.svg).unwrap();
    assert!(!document.descendants().any(|n| n.has_tag_name("script")));
    let title = document.descendants().find(|n| n.has_tag_name("title")).unwrap();
    assert_eq!(title.text(), Some("a[31m</text><script>\"'&"));
}

/// Each stage's letter stands in its job's row, and every letter in use is told in the legend.
#[test]
fn every_stage_of_a_job_has_its_letter_and_its_word() {
    let input = board(3, 9, "Lay the crank");
    let figure = stages::draw(&input);
    for (number, row) in input.rows.iter().enumerate() {
        let level = at(&figure, &row.job).1;
        let here: Vec<String> = texts(&figure)
            .into_iter()
            .filter(|(said, there, _)| said != &row.job && there.top() < level && there.bottom() > level)
            .map(|(said, ..)| said)
            .collect();
        let mut wanted: Vec<&str> = row.cells.iter().flatten().map(|mark| mark.letter()).collect();
        let mut found: Vec<&str> = here.iter().map(String::as_str).collect();
        wanted.sort_unstable();
        found.sort_unstable();
        assert_eq!(found, wanted, "row {number}");
    }
    for mark in stages::Mark::ALL {
        assert_eq!(count(&figure, mark.word()), 1, "{}", mark.word());
        let others = stages::Mark::ALL.into_iter().filter(|other| other.letter() == mark.letter());
        assert_eq!(others.count(), 1, "a letter means one thing");
    }
    assert!(figure.alt.contains("#1 Lay the crank: Lay the crank 0 out, Lay the crank 1 hold open"), "{}", figure.alt);
}
