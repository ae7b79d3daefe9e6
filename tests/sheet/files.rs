//! What stands in the files of a sheet.

use gudgeon::desk::Desk;
use gudgeon::drawing::{self, Figure};
use serde_json::Value;

use super::{file, rebuilt, said};

fn text(desk: &Desk, format: &str) -> String {
    String::from_utf8(file(desk, &format!("format={format}")).content).unwrap()
}

/// Cells of CSV by RFC 4180, for files whose cells hold no line break.
fn cells(line: &str) -> Vec<String> {
    let (mut out, mut quoted) = (vec![String::new()], false);
    let mut chars = line.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '"' if quoted && chars.peek() == Some(&'"') => out.last_mut().unwrap().push(chars.next().unwrap()),
            '"' => quoted = !quoted,
            ',' if !quoted => out.push(String::new()),
            c => out.last_mut().unwrap().push(c),
        }
    }
    out
}

#[test]
fn csv_and_json_tell_the_same() {
    let desk = rebuilt();
    let sheet: Value = serde_json::from_str(&text(&desk, "json")).unwrap();
    let csv = text(&desk, "csv");
    let rows: Vec<Vec<String>> = csv.lines().map(cells).collect();
    assert!(rows.iter().all(|row| row.len() == rows[0].len()));
    let column = |name: &str| rows[0].iter().position(|head| head == name).unwrap();
    let (reading, measure, value, min, max) =
        (column("reading"), column("measure"), column("value"), column("min"), column("max"));
    let mut told = 0;
    for one in sheet["readings"].as_array().unwrap() {
        let number = one["reading"].to_string();
        for judged in one["measures"].as_array().unwrap() {
            let name = judged["measure"].as_str().unwrap();
            let row = rows.iter().find(|row| row[reading] == number && row[measure] == name).unwrap();
            for (cell, key) in [(value, "value"), (min, "min"), (max, "max")] {
                match judged[key].as_f64() {
                    Some(wanted) => {
                        let found: f64 = row[cell].parse().unwrap();
                        assert!((found - wanted).abs() <= wanted.abs() * 1e-9, "{name} {key}: {found} is not {wanted}");
                    }
                    None => assert_eq!(row[cell], ""),
                }
            }
            told += 1;
        }
    }
    assert!(told > 100, "{told}");
}

/// 86.013 mm was typed: it comes back as 86.013 and `mm`, and the limits are those of the engine's page.
#[test]
fn a_reading_comes_back_as_it_was_typed() {
    let sheet: Value = serde_json::from_str(&text(&rebuilt(), "json")).unwrap();
    let readings = sheet["readings"].as_array().unwrap();
    let bore = readings.iter().find(|r| r["check"] == "bore" && r["position"] == "3").unwrap();
    assert_eq!((&bore["unit"], bore["values"].as_array().unwrap().len()), (&Value::from("mm"), 6));
    assert!((bore["values"][0].as_f64().unwrap() - 86.013).abs() < 1e-9);
    let size = bore["measures"].as_array().unwrap().iter().find(|m| m["measure"] == "bore size").unwrap();
    assert!(
        (size["min"].as_f64().unwrap() - 86.0).abs() < 1e-9 && (size["max"].as_f64().unwrap() - 86.02).abs() < 1e-9
    );
    assert_eq!((&bore["instrument"], &bore["review"]["by"]), (&Value::from("bore gauge 1"), &Value::from("lead")));
}

#[test]
fn what_was_changed_stays_visible() {
    let desk = rebuilt();
    let html = text(&desk, "html");
    for shown in [
        "Deck flatness deck accepted out of limits",
        "reading 164 was 0.230 mm (0.0091 in), reading 166 is 0.140 mm",
        "Reason: cap was not pulled down",
        "Limit set for this job: main oil clearance, 0.028 to 0.052 mm",
        "the gasket maker allows 0.08",
        "rod bolts new, part 48-110",
    ] {
        assert!(html.contains(shown), "{shown}");
    }
    let bare = crate::talks::bench();
    let open = String::from_utf8(file(&bare, "").content).unwrap();
    assert!(open.contains("NOT FINAL") && open.contains("not accepted"), "an open job says so");
    assert!(!html.contains("NOT FINAL"));
}

/// Signed off as it should be, gone over with a reason, changed since: each stands in every file, and what was gone over
/// stays there after it was put right.
#[test]
fn sign_offs_and_what_was_gone_over_stand_in_every_file() {
    let desk = crate::talks::empty_bench();
    let lines = [
        ("lead", "job open fulmar-four Van engine"),
        ("tech-1", "log leak-down 1 6% job=1"),
        ("tech-1", "log crank-end-float 0.14mm job=1"),
        ("tech-1", "log deck-flatness deck 0.02mm job=1"),
        ("lead", "review accept 2 4"),
        ("lead", "job sign prove reason=\"the others tomorrow\" job=1"),
        ("lead", "job sign machining job=1"),
        ("lead", "job sign crank reason=\"=strip only\" job=1"),
        ("lead", "review accept 3"),
        ("tech-1", "log leak-down 2 7% job=1"),
        ("tech-1", "log leak-down 3 7% job=1"),
        ("tech-1", "log leak-down 4 7% job=1"),
        (
            "tech-1",
            "paste valve-lash 1 intake, 0.20mm; 1 exhaust, 0.25mm; 2 intake, 0.20mm; 2 exhaust, 0.25mm; 3 intake, 0.20mm; 3 exhaust, 0.25mm; 4 intake, 0.20mm; 4 exhaust, 0.25mm job=1",
        ),
        ("lead", "review accept stage=prove job=1"),
        ("lead", "job sign prove job=1"),
        ("tech-1", "amend 4 0.03mm reason=\"other straight edge\""),
        ("lead", "job close 1 reason=\"the owner collects it\""),
    ];
    for (person, line) in lines {
        said(&desk, person, line);
    }
    let html = text(&desk, "html");
    for shown in [
        "Prove signed off over 2 open hold points: Valve lash: ",
        "Leak-down: 2, 3, 4 not posted. Reason: the others tomorrow",
        "Prove signed off by lead on 2026-11-20",
        "Lay the crank signed off by lead on 2026-11-20 over 2 open hold points: Main bearing inside diameter: 1, 2, 3, 4, 5 not \
         posted; Crank end float: waits for the lead. Reason: =strip only; a reading it covers was changed since",
        "Decide the machining signed off by lead on 2026-11-20",
        "Job closed over ",
    ] {
        assert!(html.contains(shown), "{shown}");
    }
    let sheet: Value = serde_json::from_str(&text(&desk, "json")).unwrap();
    let signed = sheet["sign_offs"].as_array().unwrap();
    let facts: Vec<_> = signed.iter().map(|s| (s["stage"].as_str().unwrap(), s["stale"].as_bool().unwrap())).collect();
    assert_eq!(facts, [("Decide the machining", false), ("Lay the crank", true), ("Prove", false)]);
    assert_eq!(
        signed[1]["open"][1],
        serde_json::json!({
            "check": "crank-end-float", "name": "Crank end float", "missing": [], "waiting": ["-"],
        })
    );
    assert_eq!(signed[2]["readings"].as_array().unwrap().len(), 12);
    let over = |what: &str| {
        sheet["changes"].as_array().unwrap().iter().filter(|c| c["what"].as_str().unwrap().contains(what)).count()
    };
    assert_eq!((over("signed off over"), over("Job closed over")), (2, 1), "they stay");
    assert!(!sheet["closed_over"].as_array().unwrap().is_empty());

    let csv = text(&desk, "csv");
    let rows: Vec<Vec<String>> = csv.lines().map(cells).collect();
    assert!(rows.iter().all(|row| row.len() == rows[0].len()));
    let column = |name: &str| rows[0].iter().position(|head| head == name).unwrap();
    let of = |stage: &str| {
        let row = rows.iter().find(|row| row[column("stage")] == stage).unwrap();
        ["stage_signed", "stage_open", "stage_reason"].map(|name| row[column(name)].clone())
    };
    assert_eq!(of("Prove"), ["signed off", "", ""].map(String::from));
    assert_eq!(of("Lay the crank")[0], "changed since");
    assert_eq!(of("Lay the crank")[2], "'=strip only", "no formula");
    assert!(of("Lay the crank")[1].ends_with("| Crank end float: waits for the lead"));
    assert_eq!(of("Decide the machining")[0], "signed off", "a stage without readings has a row of its own");
    assert_eq!(of("Measure the block"), ["", "", ""].map(String::from));
    assert!(rows[1..].iter().all(|row| row[column("job_open")].contains("Bore: 1, 2, 3, 4 not posted")));
    for (format, known) in [("csv", "job_open"), ("json", "sign_offs")] {
        let reply = said(&desk, "lead", &format!("sheet 1 format={format}"));
        let told = format!("{:?}", reply.blocks);
        assert!(told.contains(known), "the reply says what {known} holds");
    }
    assert!(file(&desk, "format=pdf").content.starts_with(b"%PDF-"));
}

#[test]
fn a_sheet_fetches_nothing_and_runs_nothing() {
    let desk = crate::talks::empty_bench();
    said(&desk, "lead", "job open fulmar-four <script>alert(1)</script> note=\"<img src=x onerror=alert(1)>\"");
    said(&desk, "tech-1", "log crank-end-float 0.14mm job=1 note=\"=HYPERLINK(1) <b>\"");
    let html = text(&desk, "html");
    for bad in ["<script", "<img", " src=\"", "href", "url(", "@import", "<b>"] {
        assert!(!html.contains(bad), "{bad}");
    }
    assert!(text(&desk, "csv").contains(",'=HYPERLINK(1) <b>"), "no formula");
    assert!(file(&desk, "format=pdf").content.starts_with(b"%PDF-"));
}

/// Pages of a PDF that is written without object streams.
pub fn pages(pdf: &[u8]) -> usize {
    let text = String::from_utf8_lossy(pdf);
    ["/Type /Page", "/Type/Page"]
        .iter()
        .map(|name| text.matches(name).count() - text.matches(&format!("{name}s")).count())
        .sum()
}

#[test]
fn the_pdf_is_kept_small_and_says_what_it_is() {
    let desk = rebuilt();
    for (paper, wide) in [("a4", "595.28"), ("letter", "612")] {
        let pdf = file(&desk, &format!("format=pdf paper={paper}")).content;
        let told = String::from_utf8_lossy(&pdf).replace(' ', "");
        assert!(told.contains(&format!("/MediaBox[00{wide}")), "{paper}");
        assert!(told.contains("<pdfaid:part>2</pdfaid:part>"), "archival");
        assert!((5..=24).contains(&pages(&pdf)), "{} pages", pages(&pdf));
        assert!(pdf.len() < 600_000, "{} bytes", pdf.len());
        assert_eq!(pdf, file(&desk, &format!("format=pdf paper={paper}")).content, "the same every time");
    }
}

/// The QR code is read back by another library.
#[test]
fn the_code_says_where_the_job_is() {
    let long = "http://shop.example:8470/sheet/104";
    for words in ["Job #1, event 12, seal 3ed9b1c0f95b4e09", long] {
        let figure: Figure = drawing::qr::draw(words, "code").unwrap();
        assert_eq!(read_back(&figure), words);
    }
    assert!(drawing::qr::draw(&"x".repeat(4_000), "code").is_err());
}

fn read_back(figure: &Figure) -> String {
    let png = drawing::png(figure, 2.0).unwrap();
    let pixels = resvg::tiny_skia::Pixmap::decode_png(&png).unwrap();
    let mut grey =
        rqrr::PreparedImage::prepare_from_greyscale(pixels.width() as usize, pixels.height() as usize, |x, y| {
            pixels.pixel(x as u32, y as u32).unwrap().red()
        });
    let found = grey.detect_grids();
    found[0].decode().unwrap().1
}
