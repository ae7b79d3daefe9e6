//! A photograph beside a line, as any front hands it to the desk.

use gudgeon::desk::reply::{Block, Photograph, Reply};
use gudgeon::desk::{Asker, Desk, Front, MOST_A_READING, Outcome};

use crate::pictures;
use crate::talks::{bench, clock};

fn sent(desk: &Desk, person: &str, line: &str, photos: &[(&[u8], &str)]) -> Outcome {
    let mut asker = Asker::new(person, Front::Chat);
    for (bytes, claimed) in photos {
        asker.enclose(*bytes, claimed);
    }
    desk.answer(&asker, line, clock())
}

fn told(outcome: Outcome) -> Reply {
    match outcome {
        Outcome::Reply(reply) => reply,
        other => panic!("{other:?}"),
    }
}

fn shown(reply: &Reply) -> Vec<&Photograph> {
    reply.blocks.iter().filter_map(|b| if let Block::Photo(photo) = b { Some(photo) } else { None }).collect()
}

#[test]
fn a_reading_is_posted_with_its_photograph_and_the_lead_sees_it() {
    let desk = bench();
    let phone = pictures::from_a_phone(320, 200, 6);
    let line = "log main-journal 5 2.4497in 2.4497in 2.4497in 2.4497in job=1";
    let reply = told(sent(&desk, "tech-1", line, &[(&phone, "image/jpeg")]));
    let number = reply.values.iter().find(|value| value.name == "reading").unwrap().value;
    let photos = shown(&reply);
    assert_eq!(photos.len(), 1);
    assert_eq!((photos[0].width, photos[0].height), (200, 320), "as it is seen");
    for word in ["Main journal 5", "job #1", "Harbour launch", "tech-1", "2026-11-20"] {
        assert!(photos[0].alt.contains(word), "{}", photos[0].alt);
    }
    let review = told(sent(&desk, "lead", &format!("review show {number}"), &[]));
    assert_eq!(shown(&review), photos);
    let kept = desk.photograph(&photos[0].hash).unwrap().unwrap();
    assert_eq!((kept.media, kept.bytes.len() as u64), ("image/jpeg", photos[0].size));
    assert!(!pictures::holds(&kept.bytes, pictures::SECRET), "where it was taken is nobody's affair");
    assert!(desk.photograph(&"0".repeat(64)).unwrap().is_none());

    // Later ones, and the same once more.
    let (later, name) = (pictures::webp(60, 40, 7), format!("photo {number}"));
    let again = told(sent(&desk, "tech-1", &name, &[(&later, "image/webp"), (&phone, "")]));
    assert_eq!(
        (again.title.as_str(), shown(&again).len()),
        (format!("The photograph is kept with reading {number}").as_str(), 2)
    );
    let before = desk.fingerprint().unwrap();
    let once_more = told(sent(&desk, "tech-1", &name, &[(&later, "image/webp")]));
    assert!(once_more.title.contains("had it already: 2 photographs"), "{}", once_more.title);
    assert_eq!(desk.fingerprint().unwrap(), before);

    // It stays with the reading that takes its place.
    let line = format!("amend {number} 2.4496in 2.4497in 2.4497in 2.4497in reason=misread");
    assert_eq!(shown(&told(sent(&desk, "tech-1", &line, &[]))).len(), 2);
}

#[test]
fn nothing_that_came_beside_a_line_is_dropped_unheard() {
    let desk = bench();
    let photo = pictures::jpeg(40, 30, 1);
    let svg = b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>";
    let before = desk.fingerprint().unwrap();
    let log = "log main-journal 5 2.4497in 2.4497in 2.4497in 2.4497in job=1";
    let many: Vec<Vec<u8>> = (0..=MOST_A_READING as u8).map(|tint| pictures::jpeg(20, 20, tint)).collect();
    let many: Vec<(&[u8], &str)> = many.iter().map(|bytes| (&bytes[..], "image/jpeg")).collect();
    let one = [(&photo[..], "image/jpeg")];
    for (person, line, photos, why) in [
        ("tech-1", "job list", &one[..], "takes no photograph"),
        ("tech-1", "how round is a bore", &one, "takes no photograph"),
        ("tech-1", "photo of the scored crank", &one, "takes no photograph"),
        ("tech-1", "help", &one, "takes no photograph"),
        ("tech-1", log, &[(&svg[..], "image/svg+xml")], "is no JPEG"),
        ("tech-1", log, &[(&photo[..], "image/jpeg"), (&photo[..99], "../../x.jpg")], "is damaged"),
        ("tech-1", log, &[(&[][..], "image/png")], "is no JPEG"),
        ("tech-1", log, &many, "takes 6 photographs"),
        ("tech-1", "photo 8", &one, "may not put a photograph beside"),
        ("tech-1", "photo 999", &one, "no reading 999"),
        ("lead", "amend 3 2.4497in 2.4497in 2.4496in 2.4497in reason=again", &many, "takes 6 photographs"),
    ] {
        match sent(&desk, person, line, photos) {
            Outcome::Refused(refusal) => assert!(refusal.possible.contains(why), "{line}: {}", refusal.possible),
            other => panic!("{line}: {other:?}"),
        }
        assert_eq!(desk.fingerprint().unwrap(), before, "{line}");
    }
}

#[test]
fn a_form_says_whether_a_photograph_may_come_with_it() {
    let desk = bench();
    let with: Vec<String> = desk.forms().iter().filter(|form| form.photos).map(|form| form.words()).collect();
    assert_eq!(with, ["log", "amend", "photo"]);
}
