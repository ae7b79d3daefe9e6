//! Photographs on the sheet: those of accepted readings small on paper, all of them by name in the data.

use gudgeon::desk::{Asker, Desk, Front, Outcome};
use serde_json::Value;

use super::files::pages;
use super::{file, lines, said};
use crate::pictures;
use crate::talks::{clock, empty_bench};

/// Puts photographs beside a reading, upright and across in turn.
fn picture(desk: &Desk, reading: u64, count: u32) {
    let mut asker = Asker::new("lead", Front::Terminal);
    for n in 0..count {
        let (width, height) = if n % 2 == 0 { (1600, 1200) } else { (1200, 1600) };
        asker.enclose(pictures::jpeg(width, height, (n * 40 + reading as u32) as u8), "image/jpeg");
    }
    let outcome = desk.answer(&asker, &format!("photo {reading}"), clock());
    assert!(matches!(outcome, Outcome::Reply(_)), "{outcome:?}");
}

/// The crank of that rebuild, measured and reviewed, the job still open.
fn measured() -> Desk {
    let desk = empty_bench();
    let typed = lines().filter(|(_, line)| line.starts_with("job open") || line.contains("main-journal"));
    for (number, (person, line)) in typed.enumerate() {
        let mut asker = Asker::new(person, Front::Terminal);
        asker.key = Some(format!("line-{number}"));
        let outcome = desk.answer(&asker, line, clock());
        assert!(matches!(outcome, Outcome::Reply(_)), "{person}: {line}: {outcome:?}");
    }
    desk
}

fn count(bytes: &[u8], wanted: &[u8]) -> usize {
    bytes.windows(wanted.len()).filter(|window| window == &wanted).count()
}

#[test]
fn photographs_stand_small_on_paper_and_by_name_in_the_data() {
    let desk = measured();
    let json = |desk: &Desk| serde_json::from_slice::<Value>(&file(desk, "format=json").content).unwrap();
    let html = |desk: &Desk| String::from_utf8(file(desk, "").content).unwrap();
    let numbers: Vec<u64> =
        json(&desk)["readings"].as_array().unwrap().iter().map(|one| one["reading"].as_u64().unwrap()).collect();
    let (one, several, waiting) = (numbers[0], numbers[1], numbers[2]);
    for number in [one, several] {
        said(&desk, "lead", &format!("review accept {number}"));
    }
    let papers = ["format=pdf", "format=pdf paper=letter"];
    let (plain, before) = (html(&desk), papers.map(|options| file(&desk, options).content));
    assert!(!plain.contains("Photographs"));
    // One has one, one has more than stand in a row, and one is not accepted.
    picture(&desk, one, 1);
    picture(&desk, several, 6);
    picture(&desk, waiting, 1);

    let whole = html(&desk);
    let photos = whole.split("<h2>Photographs</h2>").nth(1).unwrap().split("<h2>").next().unwrap();
    assert_eq!(photos.matches("<img").count(), 5, "one, and a row of the other");
    assert_eq!(photos.matches("2 more in the record</figcaption>").count(), 1);
    for reading in [one, several] {
        assert!(photos.contains(&format!("reading {reading}:")), "{reading}");
    }
    assert!(!photos.contains(&format!("reading {waiting}:")));
    assert!(whole.len() - plain.len() < 5 * 80_000, "{} bytes for five", whole.len() - plain.len());
    for (options, before) in papers.into_iter().zip(&before) {
        let pdf = file(&desk, options).content;
        let images = count(&pdf, b"/Subtype /Image") + count(&pdf, b"/Subtype/Image");
        assert_eq!(images, 5, "{options}");
        assert!(pages(&pdf) <= pages(before) + 1, "{options}: {} after {} pages", pages(&pdf), pages(before));
    }

    let (sheet, csv) = (json(&desk), String::from_utf8(file(&desk, "format=csv").content).unwrap());
    for (reading, wanted) in [(one, 1), (several, 6), (waiting, 1)] {
        let found = sheet["readings"].as_array().unwrap().iter().find(|r| r["reading"] == reading).unwrap();
        let photos = found["photos"].as_array().unwrap();
        assert_eq!(photos.len(), wanted);
        let of = |key: &str| photos.iter().map(|p| p[key].to_string().replace('"', "")).collect::<Vec<_>>().join(" ");
        assert!(csv.contains(&format!(",{},{}\r\n", of("hash"), of("bytes"))), "{reading}");
        for photo in photos {
            let kept = desk.photograph(photo["hash"].as_str().unwrap()).unwrap().unwrap();
            assert_eq!(kept.media, photo["media"]);
            assert_eq!(kept.bytes.len(), photo["bytes"].as_u64().unwrap() as usize);
        }
    }
}
