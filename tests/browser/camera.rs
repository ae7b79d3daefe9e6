//! Photographs from the phone: taken, made small, sent with a reading, seen by the lead; and what is refused on the way.

use std::path::PathBuf;

use super::rig::{Screen, Served, on_screen, serve};
use super::wire::{Answer, ask};
use crate::pictures;

const LAST: &str = "#talk > .exchange:last-of-type";
const JOURNAL: [&str; 4] = ["2.4497", "2.4497", "2.4496", "2.4497"];
/// The form of a reading with all but its values.
const FORM: &str = "/form?line=log+main-journal+5+job%3D1";

/// A file for the camera field.
fn file(folder: &tempfile::TempDir, name: &str, bytes: &[u8]) -> PathBuf {
    let path = folder.path().join(name);
    std::fs::write(&path, bytes).unwrap();
    path
}

/// Chooses a file, as the camera would hand it over.
async fn choose(screen: &Screen, within: &str, path: &std::path::Path) {
    let field = screen.wait(&format!("{within} .camera input[type=file]")).await;
    field.send_keys(path.to_str().unwrap()).await.unwrap();
}

async fn type_journal(screen: &Screen, within: &str) {
    for (at, value) in JOURNAL.iter().enumerate() {
        screen.fill(&format!("{within} .boxes label:nth-child({}) input", at + 1), value).await;
    }
}

#[test]
fn a_photograph_is_made_small_sent_and_seen_by_the_lead() {
    let folder = tempfile::tempdir().unwrap();
    let path = file(&folder, "IMG 0001.jpg", &pictures::from_a_phone(2400, 1800, 6));
    on_screen(async |screen| {
        screen.size(360, 740).await;
        screen.be("tech-1").await;
        screen.goto(FORM).await;
        type_journal(screen, "#form").await;
        choose(screen, "#form", &path).await;
        screen.wait("#form .shots [data-state=ready] canvas").await;
        screen.eval("document.querySelector('#form .camera').scrollIntoView({block: 'center'})").await;
        screen.shot("camera-field").await;
        assert!(screen.text("#form .shots li span").await.starts_with("Goes with the reading"));
        screen.press("#form .primary").await;
        screen.wait(&format!("{LAST} figure.photo img")).await;
        assert!(screen.text(&format!("{LAST} .answer")).await.starts_with("Main journal 5: 2.4496 to 2.4497 in"));
        assert_eq!(screen.count("#form .shots li").await, 0, "it is none of the next reading's");

        screen.be("lead").await;
        let number = screen.shop.desk.fingerprint().unwrap().split(' ').next().unwrap().parse::<i64>().unwrap() - 1;
        screen.say(&format!("review show {number}")).await;
        screen
            .eval(&format!("document.querySelector('{LAST} figure.photo').scrollIntoView({{block: 'center'}})"))
            .await;
        screen.wait(&format!("{LAST} figure.photo img")).await;
        let seen = "const img = document.querySelector('#talk > .exchange:last-of-type figure.photo img');
                    return img.decode().then(() => [img.naturalWidth, img.naturalHeight, img.width, img.alt]);";
        let seen = screen.eval(seen).await;
        // Upright as it was held, the longer side of 1600.
        assert_eq!((seen[0].as_u64(), seen[1].as_u64()), (Some(1200), Some(1600)), "{seen}");
        assert!(seen[2].as_u64().unwrap() <= 340 && seen[3].as_str().unwrap().contains("Main journal 5"), "{seen}");
        screen.shot("camera-review").await;
        let wide = "return document.documentElement.scrollWidth <= document.documentElement.clientWidth";
        assert_eq!(screen.eval(wide).await, true, "nothing runs off the side");
    });
}

#[test]
fn a_reading_waits_for_its_photograph_and_does_not_go_without_it() {
    let folder = tempfile::tempdir().unwrap();
    let path = file(&folder, "one.jpg", &pictures::jpeg(900, 700, 4));
    let svg = file(&folder, "two.jpg", b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>");
    on_screen(async |screen| {
        screen.be("tech-1").await;
        screen.say("next 1").await;
        let before = screen.shop.desk.fingerprint().unwrap();
        for (at, value) in ["4.0004", "4.0002", "4.0004", "4.0002", "4.0003", "4.0001"].iter().enumerate() {
            screen.fill(&format!("{LAST} .boxes label:nth-child({}) input", at + 1), value).await;
        }
        choose(screen, LAST, &svg).await;
        screen.wait(&format!("{LAST} .shots [data-state=failed]")).await;
        screen.press(&format!("{LAST} .asked .primary")).await;
        screen.wait_for("return document.activeElement.closest('[data-state=failed]') !== null").await;
        assert_eq!(screen.shop.desk.fingerprint().unwrap(), before, "what its sender believes to be with it is not");
        screen.shot("camera-failed").await;
        screen.press(&format!("{LAST} .shots [data-state=failed] button")).await;
        choose(screen, LAST, &path).await;
        screen.press(&format!("{LAST} .asked .primary")).await;
        screen.wait(&format!("{LAST}.within .asked")).await;
        assert!(screen.text(&format!("{LAST} .answer")).await.starts_with("Bore 3: 4.0001 to 4.0004 in"));
        assert!(screen.text(&format!("{LAST} .card")).await.contains("on record with its photograph"));
        screen.eval(&format!("document.querySelector('{LAST}').scrollIntoView()")).await;
        screen.shot("camera-walk").await;
    });
}

#[test]
fn a_questioned_reading_keeps_its_photograph() {
    let folder = tempfile::tempdir().unwrap();
    let path = file(&folder, "one.jpg", &pictures::jpeg(900, 700, 4));
    on_screen(async |screen| {
        screen.be("tech-1").await;
        screen.say("next 1").await;
        for (at, value) in ["4.0004", "4.0002", "4.0004", "4.0302", "4.0003", "4.0001"].iter().enumerate() {
            screen.fill(&format!("{LAST} .boxes label:nth-child({}) input", at + 1), value).await;
        }
        choose(screen, LAST, &path).await;
        screen.wait(&format!("{LAST} .shots [data-state=ready]")).await;
        screen.press(&format!("{LAST} .asked .primary")).await;
        screen.wait(&format!("{LAST}.refused .shots [data-state=ready]")).await;
        // That it stands is said by a key of the card, which knows no photographs; it goes with them all the same.
        screen.press(&format!("{LAST} button[value$=' --sure']")).await;
        screen.wait(&format!("{LAST}:not(.refused) .verdict")).await;
        assert!(screen.text(&format!("{LAST} .card")).await.contains("on record with its photograph"));
    });
}

#[test]
fn without_script_the_form_brings_the_file_along() {
    let folder = tempfile::tempdir().unwrap();
    let path = file(&folder, "plain.png", &pictures::png(640, 480, 9));
    on_screen(async |screen| {
        screen.scripts(false).await;
        screen.be("tech-1").await;
        screen.goto(FORM).await;
        type_journal(screen, "#form").await;
        choose(screen, "#form", &path).await;
        screen.press("#form .primary").await;
        screen.wait(&format!("{LAST} figure.photo img")).await;
        assert_eq!(screen.path().await, "/form/photo");
        let wide = screen
            .eval("const i = document.querySelector('figure.photo img'); i.scrollIntoView(); return i.decode().then(() => i.naturalWidth)")
            .await;
        assert_eq!(wide, 640);
        screen.shot("camera-without-script").await;
        screen.scripts(true).await;
    });
}

async fn ticket(shop: &Served, person: &str) -> String {
    let origin = format!("http://{}", shop.address);
    let answer = ask(shop.address, "POST", "/door", &[("Origin", &origin)], format!("person={person}&code=")).await;
    answer.header("set-cookie").unwrap().split(';').next().unwrap().to_owned()
}

/// Sends bytes as that type, from the shop's own page.
async fn upload(shop: &Served, path: &str, cookie: &str, media: &str, body: &[u8]) -> Answer {
    let origin = format!("http://{}", shop.address);
    ask(shop.address, "POST", path, &[("Origin", &origin), ("Cookie", cookie), ("Content-Type", media)], body).await
}

/// A form of one file and some fields, as a browser writes it.
fn form(fields: &[(&str, &str)], name: &str, media: &str, bytes: &[u8]) -> Vec<u8> {
    let mut out = Vec::new();
    for (field, value) in fields {
        out.extend(format!("--cut\r\nContent-Disposition: form-data; name=\"{field}\"\r\n\r\n{value}\r\n").bytes());
    }
    let head = format!(
        "--cut\r\nContent-Disposition: form-data; name=\"form.file\"; filename=\"{name}\"\r\nContent-Type: {media}\r\n\r\n"
    );
    out.extend(head.bytes());
    out.extend(bytes);
    out.extend(b"\r\n--cut--\r\n");
    out
}

const FIELDS: [(&str, &str); 4] =
    [("form.words", "log"), ("form.key", "k"), ("check", "crank-end-float"), ("position", "0.0045in")];

#[tokio::test]
async fn hostile_uploads_are_refused_and_leave_nothing() {
    let shop = serve(|_| {}).await;
    let tech = ticket(&shop, "tech-1").await;
    let before = shop.desk.fingerprint().unwrap();
    let (jpeg, svg) = (pictures::jpeg(60, 40, 1), b"<svg xmlns='http://www.w3.org/2000/svg'><script>1</script></svg>");
    for (media, bytes) in [
        ("image/jpeg", &b""[..]),
        ("image/jpeg", svg),
        ("image/svg+xml", svg),
        ("text/html", b"<!doctype html><script>alert(1)</script>"),
        ("image/jpeg", &jpeg[..jpeg.len() / 2]),
        ("image/gif", b"GIF89a\x01\0\x01\0\0\0\0;"),
    ] {
        let ahead = upload(&shop, "/photo", &tech, media, bytes).await;
        assert_eq!(ahead.status, 422, "{media}: {}", ahead.text());
        if !bytes.is_empty() {
            let body = form(&FIELDS, "x.jpg", media, bytes);
            let sent = upload(&shop, "/form/photo", &tech, "multipart/form-data; boundary=cut", &body).await;
            assert_eq!(sent.status, 422, "{media}: {}", sent.text());
        }
    }
    // Too much of it is not even read; elsewhere the limit is as it was.
    let much = vec![0xff; 6 * 1024 * 1024];
    assert_eq!(upload(&shop, "/photo", &tech, "image/jpeg", &much).await.status, 413);
    assert_eq!(upload(&shop, "/line", &tech, "application/x-www-form-urlencoded", &much[..70_000]).await.status, 413);
    let long = "x".repeat(70_000);
    let body = form(&[("form.words", "log"), ("note", &long)], "x.jpg", "image/jpeg", &jpeg);
    assert_eq!(upload(&shop, "/form/photo", &tech, "multipart/form-data; boundary=cut", &body).await.status, 413);
    // No form at all, and one that breaks off.
    for (media, body) in [
        ("text/plain", b"x".to_vec()),
        ("multipart/form-data", b"x".to_vec()),
        ("multipart/form-data; boundary=cut", form(&FIELDS, "x.jpg", "image/jpeg", &jpeg)[..300].to_vec()),
    ] {
        let answer = upload(&shop, "/form/photo", &tech, media, &body).await;
        assert!((400..500).contains(&answer.status), "{media}: {}", answer.status);
    }
    // Nobody, and somebody from another page.
    assert_eq!(upload(&shop, "/photo", "", "image/jpeg", &jpeg).await.status, 401);
    let elsewhere = [("Origin", "http://elsewhere.example"), ("Cookie", &*tech), ("Content-Type", "image/jpeg")];
    assert_eq!(ask(shop.address, "POST", "/photo", &elsewhere, &jpeg).await.status, 403);
    assert_eq!(shop.desk.fingerprint().unwrap(), before);
}

#[tokio::test]
async fn a_file_name_says_nothing_and_a_kept_photograph_runs_nothing() {
    let shop = serve(|_| {}).await;
    let tech = ticket(&shop, "tech-1").await;
    for name in ["../../../data/record.sqlite", "..\\\\..\\\\x.exe", "<script>alert(1)</script>.jpg", "a.jpg\\0.html"] {
        let fields = [("form.words", "photo"), ("form.key", "k"), ("reading", "4")];
        let body = form(&fields, name, "text/html", &pictures::from_a_phone(60, 40, 1));
        let answer = upload(&shop, "/form/photo", &tech, "multipart/form-data; boundary=cut", &body).await;
        assert_eq!(answer.status, 200, "{name}: {}", answer.text());
        assert!(!answer.text().contains("alert(1)"));
    }
    let page =
        upload(&shop, "/form", &tech, "application/x-www-form-urlencoded", b"form.words=photo&reading=4").await.text();
    let address = page.split("<img src=\"").nth(1).unwrap().split('"').next().unwrap();
    assert_eq!(page.matches("<img").count(), 1, "the same photograph is kept once");
    let get = async |path: &str, headers: &[(&str, &str)]| ask(shop.address, "GET", path, headers, "").await;
    let lead = ticket(&shop, "lead").await;
    let seen = get(address, &[("Cookie", &lead)]).await;
    assert_eq!((seen.status, seen.header("content-type")), (200, Some("image/jpeg")));
    assert_eq!(seen.header("x-content-type-options"), Some("nosniff"));
    let policy = seen.header("content-security-policy").unwrap();
    assert!(
        policy.contains("sandbox") && policy.contains("default-src 'none'") && !policy.contains("script"),
        "{policy}"
    );
    assert!(!pictures::holds(&seen.body, pictures::SECRET) && image::load_from_memory(&seen.body).is_ok());
    let tag = seen.header("etag").unwrap();
    assert_eq!(get(address, &[("Cookie", &lead), ("If-None-Match", tag)]).await.status, 304);
    // Nobody else, whatever they know of it.
    assert_eq!(get(address, &[("If-None-Match", tag)]).await.status, 303);
    assert_eq!(get(address, &[]).await.status, 303);
    for path in ["/photo/..%2frecord.sqlite", "/photo/x.jpg", &format!("/photo/{}.jpg", "0".repeat(64))] {
        assert_eq!(get(path, &[("Cookie", &lead)]).await.status, 404, "{path}");
    }
}

#[tokio::test]
async fn one_sent_ahead_is_its_senders_and_one_that_is_gone_is_told() {
    let shop = serve(|_| {}).await;
    let (tech, lead) = (ticket(&shop, "tech-1").await, ticket(&shop, "lead").await);
    let name = upload(&shop, "/photo", &tech, "image/jpeg", &pictures::jpeg(60, 40, 8)).await.text();
    let before = shop.desk.fingerprint().unwrap();
    let urlencoded = "application/x-www-form-urlencoded";
    let line = |name: &str| {
        format!("form.words=log&form.key=k&check=crank-end-float&position=0.0045in&job=1&form.photo={name}")
    };
    for (cookie, name) in [(&lead, name.as_str()), (&tech, "0123456789abcdef0123456789abcdef"), (&tech, "../x")] {
        let answer = upload(&shop, "/form", cookie, urlencoded, line(name).as_bytes()).await;
        assert_eq!(answer.status, 422);
        assert!(answer.text().contains("no longer held here"), "{}", answer.text());
    }
    assert_eq!(shop.desk.fingerprint().unwrap(), before, "no reading goes without its photograph");
    for _ in 0..2 {
        let answer = upload(&shop, "/form", &tech, urlencoded, line(&name).as_bytes()).await;
        assert_eq!((answer.status, answer.text().matches("<img").count()), (200, 1), "{}", answer.text());
    }
    let count = |print: &str| print.split(' ').next().unwrap().parse::<u32>().unwrap();
    assert_eq!(count(&shop.desk.fingerprint().unwrap()), count(&before) + 2, "once, however often it is sent");
}
